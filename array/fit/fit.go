package fit

import (
	"context"
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/array/heat"
	"lodegrid/array/pixel"
	"lodegrid/field/quantity"
)

// Model is the readings of a design and of its variants as functions of what is in doubt.
type Model struct {
	Doubts   []design.Doubt
	Readings []Reading

	variants []variant
	pixels   map[string]*pixel.Pixel
	nets     map[string]map[float64]*heat.Network
	grids    map[string]map[design.Orientation]*grid.Grid
}

// variant is a design with the changes of some rows, and which readings are of it.
type variant struct {
	ordered, design design.Design // the latter with the panes' grip in the middle of its range
	list            []int
	quick           bool // a reading is taken at a frequency
}

// NewModel prepares the readings of a design. What is in doubt is what is in doubt of any of
// the variants; an amount by which it is off is off in all of them.
func NewModel(d design.Design, readings []Reading) (*Model, error) {
	m := &Model{Readings: readings, Doubts: d.Doubts()}
	at := map[string]int{}
	for i, r := range readings {
		k, ok := at[r.Set]
		if !ok {
			changes, err := r.changes()
			v := d
			if err == nil {
				v, err = d.With(changes...)
			}
			if err != nil {
				return nil, &Mistake{"readings", r.Line, fmt.Sprintf("set: %v", err), ""}
			}
			for _, t := range v.Doubts() {
				if !slices.ContainsFunc(m.Doubts, func(o design.Doubt) bool { return o.Key == t.Key }) {
					t.With = nil
					m.Doubts = append(m.Doubts, t)
				}
			}
			k = len(m.variants)
			at[r.Set], m.variants = k, append(m.variants, variant{ordered: v, design: settled(v)})
		}
		if r.Kind == Slides && m.variants[k].design.Fluid.DensityDifference == 0 {
			return nil, &Mistake{"readings", r.Line, "a tilt at which a drop slides that weighs nothing", "a fluid.density_difference other than 0"}
		}
		m.variants[k].list = append(m.variants[k].list, i)
		m.variants[k].quick = m.variants[k].quick || r.Frequency > 0
	}
	m.forget()
	return m, nil
}

// settled is a design whose panes hold a drop with the middle of what they may.
func settled(d design.Design) design.Design {
	grip := (d.Fluid.ContactLine + d.Fluid.ContactLineMost) / 2
	d.Fluid.ContactLine, d.Fluid.ContactLineMost = grip, grip
	return d
}

func (m *Model) forget() {
	m.pixels, m.nets = map[string]*pixel.Pixel{}, map[string]map[float64]*heat.Network{}
	m.grids = map[string]map[design.Orientation]*grid.Grid{}
}

// kept bounds how much is remembered of values tried before.
const kept = 150

// Predict is all readings with what is in doubt moved by x.
func (m *Model) Predict(ctx context.Context, x []float64) ([]float64, error) {
	out := make([]float64, len(m.Readings))
	for _, v := range m.variants {
		d := bench(v.design.Shifted(m.Doubts, x))
		d.Supply.Voltage, d.Drive.KickVoltage = v.design.Supply.Voltage, v.design.Drive.KickVoltage
		if !slices.ContainsFunc(v.list, func(i int) bool { return m.Readings[i].Kind == Moves || m.Readings[i].Kind == Slides }) {
			d.Fluid = v.design.Fluid // no drop lies there: the pixel at hand serves, whatever the fluid
		}
		p, err := m.predictor(ctx, d, v.quick)
		if err != nil {
			return nil, fmt.Errorf("predicting the readings: %w", err)
		}
		for _, i := range v.list {
			if out[i], err = p.read(ctx, m.Readings[i]); err != nil {
				return nil, fmt.Errorf("predicting a %s: %w", m.Readings[i].Kind, err)
			}
		}
	}
	return out, nil
}

// predictor is that of a design, with what it has in common with those before. What the
// steel adds goes by the drawn coil.
func (m *Model) predictor(ctx context.Context, d design.Design, quick bool) (*predictor, error) {
	if len(m.pixels) > kept || len(m.nets) > kept || len(m.grids) > kept {
		m.forget()
	}
	b, c := d.Board, d.Coil
	b.OuterMade, b.InnerMade, c.Etch, c.ViaPlating = 1, 1, 0, 0
	drawn := fmt.Sprintf("%v %v %v %v %v %v", b, c, d.Iron, d.Magnet, d.Fluid.Height, quick)
	made := fmt.Sprintf("%v %v %v %v %v", d.Board, d.Coil, d.Iron, d.Magnet, d.Grid)
	base := m.pixels[drawn]
	if base == nil {
		of := pixel.Steady
		if quick {
			of = pixel.New
		}
		p, err := of(ctx, d, d.Fluid.Height)
		if err != nil {
			return nil, err
		}
		base = &p
		m.pixels[drawn] = base
	}
	p, err := base.Remade(d, d.Fluid.Height)
	if err != nil {
		return nil, err
	}
	out := &predictor{d: d, pixel: &p}
	heated, wet := fmt.Sprintf("%s %v", made, d.Heat), fmt.Sprintf("%s %v", made, d.Fluid)
	if out.nets = m.nets[heated]; out.nets == nil {
		out.nets = map[float64]*heat.Network{}
		m.nets[heated] = out.nets
	}
	if out.grids = m.grids[wet]; out.grids == nil {
		out.grids = map[design.Orientation]*grid.Grid{}
		m.grids[wet] = out.grids
	}
	return out, nil
}

// modelStep is by how much of its standard deviation a value is moved to find slopes: finite
// elements are rough by a ten-thousandth, and this is far from bending.
const modelStep = 0.2

// near is how near to the answer a fit of a design ends, in standard errors.
const near = 1e-3

// Answer is what the readings say about a design.
type Answer struct {
	*Solution
	Design    design.Design
	Readings  []Reading
	Before    []design.Doubt // that count in these readings
	After     []design.Doubt // the same with what is left of them
	Values    []float64      // of their keys, SI
	First     []float64      // predictions by the design as it was
	Predicted []float64      // … as fitted
	Gained    []float64      // share of each doubt's variance that the readings took away
	Alike     [][]string     // keys that cannot be told apart
	// Freedom is how many readings there are more than unknowns that they settle.
	Freedom int
}

// Find fits the doubted values that count in the readings, or of them those that free names.
func Find(ctx context.Context, d design.Design, readings []Reading, free []string) (*Answer, error) {
	m, err := NewModel(d, readings)
	if err != nil {
		return nil, err
	}
	for _, key := range free {
		if !slices.ContainsFunc(m.Doubts, func(t design.Doubt) bool { return t.Key == key }) {
			var keys []string
			for _, t := range m.Doubts {
				keys = append(keys, t.Key)
			}
			return nil, fmt.Errorf("%q is not in doubt here; these are: %s", key, strings.Join(keys, ", "))
		}
	}
	if free != nil {
		m.Doubts = design.Picked(m.Doubts, func(t design.Doubt) bool { return slices.Contains(free, t.Key) })
	}
	a := &Answer{Design: settled(d), Readings: readings}
	misfit := func(ctx context.Context, x []float64) ([]float64, error) {
		got, err := m.Predict(ctx, x)
		for i := range got {
			got[i] = (got[i] - readings[i].Value) / readings[i].Error
		}
		return got, err
	}
	if free == nil {
		if err := m.keep(ctx, misfit); err != nil {
			return nil, err
		}
	}
	n := len(m.Doubts)
	a.Before = m.Doubts
	if free != nil && len(readings) < n {
		return nil, fmt.Errorf("%s for %d unknowns (%s): take as many readings, or free fewer", quantity.Count(len(readings), "reading"), n, strings.Join(free, ", "))
	}
	if a.First, err = m.Predict(ctx, make([]float64, n)); err != nil {
		return nil, err
	}
	if a.Solution, err = Solve(ctx, Problem{Unknowns: n, Misfit: misfit, Step: modelStep, Close: near, Slips: true}); err != nil {
		return nil, err
	}
	a.Predicted = make([]float64, len(readings))
	for i, r := range a.Misfit {
		a.Predicted[i] = readings[i].Value + r*readings[i].Error
	}
	fitted := a.Design.Shifted(a.Before, a.X)
	a.After = design.Sds(a.Before, a.Covariance)
	for i, t := range a.After {
		a.Values = append(a.Values, fitted.ValueOf(t.Key))
		a.Gained = append(a.Gained, max(0, 1-t.Sd*t.Sd/(a.Before[i].Sd*a.Before[i].Sd)))
	}
	a.findAlike()
	return a, nil
}

// least is by how many errors a value's standard deviation must move a reading to count.
const least = 0.05

// keep drops the doubts that none of the readings depends on.
func (m *Model) keep(ctx context.Context, misfit func(context.Context, []float64) ([]float64, error)) error {
	x := make([]float64, len(m.Doubts))
	at, err := misfit(ctx, x)
	if err != nil {
		return err
	}
	counts := map[string]bool{}
	for k, t := range m.Doubts {
		x[k] = modelStep
		to, err := misfit(ctx, x)
		if err != nil {
			return err
		}
		x[k] = 0
		most := 0.0
		for i := range to {
			most = math.Max(most, math.Abs(to[i]-at[i]))
		}
		counts[t.Key] = most > least*modelStep
	}
	m.Doubts = design.Picked(m.Doubts, func(t design.Doubt) bool { return counts[t.Key] })
	if len(m.Doubts) == 0 {
		return fmt.Errorf("none of the values in doubt moves any of these readings")
	}
	return nil
}

// told is the share of its variance from which on a value counts as settled by the readings,
// and alike the cosine from which on two move the readings the same way.
const told, alike = 0.5, 0.98

// findAlike finds what cannot be told apart: values that the readings would settle if they
// were alone, and that move the readings in the same way as another.
func (a *Answer) findAlike() {
	n := len(a.Before)
	column := func(k int) []float64 {
		list := mat.Col(nil, k, a.Slopes)
		for i := range list {
			if a.Doubted[i] {
				list[i] = 0
			}
		}
		return list
	}
	a.Freedom = len(a.Readings)
	taken := make([]bool, n)
	for k := range n {
		if a.Gained[k] >= told {
			a.Freedom--
		}
		own, set := column(k), []string{a.Before[k].Key}
		if size := floats.Norm(own, 2); !taken[k] && size > 1 {
			for m := k + 1; m < n; m++ {
				other := column(m)
				if s := floats.Norm(other, 2); s > 1 && math.Abs(floats.Dot(own, other)) > alike*s*size {
					set, taken[m] = append(set, a.Before[m].Key), true
				}
			}
		}
		if len(set) > 1 {
			a.Alike = append(a.Alike, set)
		}
	}
}

// Contradicts tells that the readings contradict each other or the model: a quarter of them is
// doubted, or the rest is off by half as much again as their errors allow.
func (a *Answer) Contradicts() bool {
	return 4*a.DoubtedCount() >= len(a.Readings) || a.ChiSquare() > 1.5*1.5
}

// ChiSquare is the mean square of the misfits of the readings that are not doubted.
func (a *Answer) ChiSquare() float64 {
	sum, n := 0.0, 0
	for i, r := range a.Misfit {
		if !a.Doubted[i] {
			sum, n = sum+r*r, n+1
		}
	}
	return sum / float64(max(n, 1))
}

// Fitted is the design with the fitted values and what is left of their doubt as a file that
// goes by another: base is that file's path as it stands in this one.
func (a *Answer) Fitted(base string) []byte {
	var b strings.Builder
	fmt.Fprintf(&b, "# Fitted by lodegrid to %d readings, %d of them doubted; misfit %.2f errors (root mean square of the others).\n", len(a.Readings), a.DoubtedCount(), math.Sqrt(a.ChiSquare()))
	fmt.Fprintf(&b, "base = %q\n", base)
	section, fitted := "", a.Design.Shifted(a.Before, a.X)
	order := make([]int, len(a.After))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(i, k int) bool {
		si, _, _ := strings.Cut(a.After[order[i]].Key, ".")
		sk, _, _ := strings.Cut(a.After[order[k]].Key, ".")
		return si < sk
	})
	for _, i := range order {
		t := a.After[i]
		s, name, _ := strings.Cut(t.Key, ".")
		if s != section {
			section = s
			fmt.Fprintf(&b, "\n[%s]\n", s)
		}
		before := a.Before[i].Sd
		fmt.Fprintf(&b, "%s = %s # ± %s, before %s ± %s\n", name, fitted.Stating(t.Key, t.Sd), design.ShowSd(t.Key, t.Sd), design.Show(t.Key, a.Design.ValueOf(t.Key), before), design.ShowSd(t.Key, before))
	}
	b.WriteString(design.Design{Stated: a.After}.DoubtText())
	return []byte(b.String())
}

// DoubtedCount is how many readings are doubted.
func (a *Answer) DoubtedCount() (n int) {
	for _, is := range a.Doubted {
		if is {
			n++
		}
	}
	return n
}

package fit

import (
	"context"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/mat"

	"lodegrid/array/design"
	"lodegrid/array/pixel"
	"lodegrid/field"
)

// Coupon is a small board of several coils that is measured before a grid is ordered: which
// variants of a design to put on it, what to read, and how well that settles what is in doubt.
type Coupon struct {
	Cols, Rows int      // coils that the board has room for
	Sets       []string // the changes of each coil chosen, "" for the design's own
	Candidates int
	Before     []design.Doubt
	After      []design.Doubt // when the readings of the chosen coils are in
	Plain      []design.Doubt // when one thing at a time is changed instead
	// Gain and PlainGain are ln det of the information over that of the tolerances.
	Gain, PlainGain float64
	Readings        []Reading // of the chosen coils, with what the design predicts as Value
	Designs         []design.Design
}

// Against is how many times the readings of one change at a time its readings are worth: the root,
// by the number of unknowns, of the determinants' ratio.
func (c *Coupon) Against() float64 {
	return math.Exp((c.Gain - c.PlainGain) / float64(len(c.Before)))
}

// candidates are the variants of a design that one board with it may hold, first itself and
// then those with one change: layers skipped, a track twice as wide, its steel left off or
// farther back, copper poured round its coils.
func candidates(d design.Design) (list []string) {
	layers, tracks, steels := []string{""}, []string{""}, []string{""}
	for _, n := range []int{1, 2} {
		if n < d.Coil.Layers {
			layers = append(layers, fmt.Sprintf("coil.layers=%d; coil.parallel_groups=1", n))
		}
	}
	if turns := math.Floor(d.Coil.Turns * (d.Coil.Track + d.Coil.Gap) / (2*d.Coil.Track + d.Coil.Gap)); turns >= 2 {
		tracks = append(tracks, fmt.Sprintf("coil.track=%.6g mm; coil.turns=%g", 2e3*d.Coil.Track, turns))
	}
	if d.Iron.Model != design.IronNone {
		steels = append(steels, "iron.model=none", fmt.Sprintf("iron.gap=%.6g mm", 1e3*d.Iron.Gap+0.5))
	}
	pours := []string{""}
	if d.Heat.CopperFraction < 0.25 {
		pours = append(pours, "heat.copper_fraction=50 %")
	}
	list = []string{""}
	for _, options := range [][]string{layers, tracks, steels, pours} {
		for _, before := range slices.Clone(list) {
			for _, o := range options[1:] {
				list = append(list, strings.TrimPrefix(before+"; "+o, "; "))
			}
		}
	}
	changed := func(set string) (n int) { // parallel_groups and turns go with another
		for _, key := range []string{"coil.layers", "coil.track", "iron.", "heat."} {
			if strings.Contains(set, key) {
				n++
			}
		}
		return n
	}
	slices.SortStableFunc(list, func(a, b string) int { return changed(a) - changed(b) })
	return list
}

// twoDigits rounds what is set on an instrument.
func twoDigits(v float64) float64 {
	v, _ = strconv.ParseFloat(strconv.FormatFloat(v, 'g', 2, 64), 64)
	return v
}

// plan is what to read of a coil with the plain instruments of a bench, with a drop on it or dry.
func plan(ctx context.Context, d design.Design, set string, dry bool) ([]Reading, error) {
	d = bench(settled(d))
	p, err := pixel.Steady(ctx, d, d.Fluid.Height)
	if err != nil {
		return nil, err
	}
	const warm, bright = 0.5, 0.3 // W
	ohms := p.Coil.Resistance(field.RoomTemperature)
	amps, volts := twoDigits(math.Sqrt(bright/ohms)), twoDigits(math.Sqrt(warm*ohms))
	at := Setup{Set: set, Air: field.RoomTemperature, Place: Coil}
	list := []Reading{{Setup: at, Kind: Ohms}, {Setup: at, Kind: Henries}}
	for _, z := range []float64{0, 1e-3, 3e-3} {
		s := at
		s.Height, s.Current = z, amps
		list = append(list, Reading{Setup: s, Kind: Tesla})
	}
	for _, t := range []float64{20, 900} {
		s := at
		s.Voltage, s.Time = volts, t
		list = append(list, Reading{Setup: s, Kind: Kelvin})
	}
	s := at
	s.Voltage, s.Time, s.Place = volts, 900, Back
	list = append(list, Reading{Setup: s, Kind: Kelvin})
	if !dry && d.Fluid.ContactLine > 0 {
		list = append(list, Reading{Setup: at, Kind: Moves})
		if f := d.Fluid; f.ContactLine*f.DropDiameter < 0.9*math.Abs(f.DensityDifference)*field.Gravity*math.Pi/4*f.DropDiameter*f.DropDiameter*f.TankGap {
			list = append(list, Reading{Setup: at, Kind: Slides})
		}
	}
	return list, nil
}

// Propose chooses up to coils variants for a board of a size (m): those whose readings have
// the greatest determinant of information together with the tolerances (D-optimal: V. V.
// Fedorov, Theory of Optimal Experiments, 1972, from memory), found by adding the best and then
// exchanging while that gains.
func Propose(ctx context.Context, d design.Design, width, height float64, coils int) (*Coupon, error) {
	c := &Coupon{Cols: int(width/d.Grid.Pitch + 1e-9), Rows: int(height/d.Grid.Pitch + 1e-9)}
	room := c.Cols * c.Rows
	if coils = min(coils, room); coils < 2 {
		return nil, fmt.Errorf("a board of %.4g mm × %.4g mm has room for %d at a pitch of %.4g mm; accepted: room for 2 or more, and --coils 2 or more", width*1e3, height*1e3, room, d.Grid.Pitch*1e3)
	}
	board := fmt.Sprintf("grid.cols=%d; grid.rows=%d", c.Cols, c.Rows) // in every row: its size counts in how warm it gets
	if d.Coils() > 1 {
		board += "; drive.in_series=1" // each is read alone, and there need not be whole strings
	}
	var readings []Reading
	var sets []string
	for i, set := range candidates(d) {
		set = strings.TrimSuffix(board+"; "+set, "; ")
		changes, err := Setup{Set: set}.changes()
		if err != nil {
			return nil, err
		}
		v, err := d.With(changes...)
		if err != nil && i > 0 {
			continue // the board house does not make it
		}
		if err != nil {
			return nil, fmt.Errorf("the design on a test board: %w", err)
		}
		list, err := plan(ctx, v, set, i > 0)
		if err != nil {
			return nil, err
		}
		sets, readings = append(sets, set), append(readings, list...)
	}
	m, err := NewModel(d, readings)
	if err != nil {
		return nil, err
	}
	n := len(m.Doubts)
	at, err := m.Predict(ctx, make([]float64, n))
	if err != nil {
		return nil, err
	}
	for i := range readings {
		readings[i].Value = at[i]
		readings[i].Error = readings[i].Kind.usual(at[i])
	}
	x, rows := make([]float64, n), mat.NewDense(len(readings), n, nil)
	for k := range x {
		x[k] = modelStep
		to, err := m.Predict(ctx, x)
		if err != nil {
			return nil, err
		}
		x[k] = 0
		for i := range to {
			rows.Set(i, k, (to[i]-at[i])/modelStep/readings[i].Error)
		}
	}
	// What no reading depends on is not what a test board is for.
	var counts []int
	for k := range n {
		if most := mat.Norm(rows.ColView(k), math.Inf(1)); most > least {
			counts = append(counts, k)
		}
	}
	m.Doubts = design.Picked(m.Doubts, func(t design.Doubt) bool {
		return slices.ContainsFunc(counts, func(k int) bool { return m.Doubts[k].Key == t.Key })
	})
	n = len(counts)
	some := mat.NewDense(len(readings), n, nil)
	for i, k := range counts {
		some.SetCol(i, mat.Col(nil, k, rows))
	}
	rows = some
	told := make([]*mat.SymDense, len(sets))
	for i, set := range sets {
		told[i] = mat.NewSymDense(n, nil)
		for r := range readings {
			if readings[r].Set == set {
				told[i].SymRankOne(told[i], 1, mat.NewVecDense(n, rows.RawRowView(r)))
			}
		}
	}
	chosen := exchange(told, min(coils, len(sets)))
	plain := make([]int, len(chosen)) // the design and then one change each
	for i := range plain {
		plain[i] = i
	}
	c.Candidates, c.Before = len(sets), m.Doubts
	c.Gain, c.PlainGain = information(told, chosen), information(told, plain)
	if c.After, err = after(m.Doubts, told, chosen); err != nil {
		return nil, err
	}
	if c.Plain, err = after(m.Doubts, told, plain); err != nil {
		return nil, err
	}
	slices.Sort(chosen)
	for _, i := range chosen {
		c.Sets, c.Designs = append(c.Sets, strings.TrimPrefix(strings.TrimPrefix(sets[i], board), "; ")), append(c.Designs, m.of(sets[i]))
		for _, r := range readings {
			if r.Set == sets[i] {
				c.Readings = append(c.Readings, r)
			}
		}
	}
	return c, nil
}

// of is the design of a variant, as it is ordered.
func (m *Model) of(set string) design.Design {
	for _, v := range m.variants {
		if m.Readings[v.list[0]].Set == set {
			return v.ordered
		}
	}
	return design.Design{}
}

// usual is the standard deviation of a plain instrument at a value.
func (k Kind) usual(v float64) float64 {
	for _, c := range columns {
		if c.kind == k {
			return c.share*math.Abs(v) + c.amount
		}
	}
	return math.NaN()
}

// sum is the information of some sets of readings with that of the tolerances.
func sum(told []*mat.SymDense, chosen []int) *mat.SymDense {
	n := told[0].SymmetricDim()
	s := mat.NewSymDense(n, nil)
	for k := range n {
		s.SetSym(k, k, 1)
	}
	for _, i := range chosen {
		s.AddSym(s, told[i])
	}
	return s
}

// information is the logarithm of its determinant.
func information(told []*mat.SymDense, chosen []int) float64 {
	var c mat.Cholesky
	if !c.Factorize(sum(told, chosen)) {
		return math.Inf(-1)
	}
	return c.LogDet()
}

// after is what is left of doubts when sets of readings are in.
func after(list []design.Doubt, told []*mat.SymDense, chosen []int) ([]design.Doubt, error) {
	var c mat.Cholesky
	cov := mat.NewSymDense(len(list), nil)
	if !c.Factorize(sum(told, chosen)) {
		return nil, fmt.Errorf("the readings' slopes are not finite")
	}
	if err := c.InverseTo(cov); err != nil {
		return nil, fmt.Errorf("what the readings settle: %w", err)
	}
	return design.Sds(list, cov), nil
}

// exchange chooses count of the sets.
func exchange(told []*mat.SymDense, count int) (chosen []int) {
	best := func(others []int) (at int, gain float64) {
		gain = math.Inf(-1)
		for i := range told {
			if slices.Contains(others, i) {
				continue
			}
			if g := information(told, append(others[:len(others):len(others)], i)); g > gain {
				at, gain = i, g
			}
		}
		return at, gain
	}
	for range count {
		i, _ := best(chosen)
		chosen = append(chosen, i)
	}
	for again := true; again; {
		again = false
		for k := range chosen {
			now := information(told, chosen)
			others := slices.Delete(slices.Clone(chosen), k, k+1)
			if i, gain := best(others); gain > now+1e-9 {
				chosen, again = append(others, i), true
				break
			}
		}
	}
	return chosen
}

// WriteTable writes the readings of a coupon as a table, with what is predicted, or with "?"
// where a reading is to be put in.
func (c *Coupon) WriteTable(w io.Writer, predicted bool) error {
	head := []string{"set", "place"}
	for _, col := range columns {
		head = append(head, fmt.Sprintf("%s [%s]", col.name, col.units()[0]))
	}
	if _, err := fmt.Fprintln(w, strings.Join(head, ",")); err != nil {
		return fmt.Errorf("writing a table of readings: %w", err)
	}
	for _, r := range c.Readings {
		row := []string{r.Set, ""}
		if r.Kind == Kelvin {
			row[1] = r.Place
		}
		for _, col := range columns {
			v, cell := 0.0, ""
			switch {
			case col.kind == r.Kind && !predicted:
				cell = "?"
			case col.kind == r.Kind:
				v, cell = r.Value, "%.4g"
			case col.at != nil && (*col.at(&r.Setup) != 0 || col.name == "height" && r.Kind == Tesla):
				v, cell = *col.at(&r.Setup), "%.6g"
			}
			if strings.HasPrefix(cell, "%") {
				cell = fmt.Sprintf(cell, col.in(v))
			}
			row = append(row, cell)
		}
		if _, err := fmt.Fprintln(w, strings.Join(row, ",")); err != nil {
			return fmt.Errorf("writing a table of readings: %w", err)
		}
	}
	return nil
}

// in is a value in the column's usual unit.
func (c column) in(v float64) float64 {
	switch {
	case c.unit != "":
		return v * 180 / math.Pi
	case c.dim == columns[0].dim:
		return v - field.ZeroCelsius
	}
	one, err := c.parse("1", c.units()[0], false)
	if err != nil {
		return math.NaN()
	}
	return v / one
}

package design

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/mat"

	"lodegrid/field"
	"lodegrid/field/material"
	"lodegrid/field/quantity"
	"lodegrid/field/tomlplace"
)

// Doubt is how far a key's value may be from what a design says: by one standard deviation.
type Doubt struct {
	Key string
	// Sd is the standard deviation, in the key's SI unit, and Usual that of a design that
	// states none.
	Sd, Usual float64
	// Spread is the share of Sd² that differs from pixel to pixel of one board; the rest
	// is common to the board.
	Spread float64
	// With are the correlations with the doubts before it.
	With []float64
}

// doubt is a key that may be in doubt.
type doubt struct {
	key    string
	spread float64
	// usual is the standard deviation where nothing is stated, 0 where the key counts for
	// nothing in the design.
	usual func(d Design) float64
}

// doubts are the keys that may be in doubt. All figures are common practice, no source: half
// of what board houses, magnet makers and instrument sheets call their tolerance.
var doubts = []doubt{
	{"board.outer_made", 0.2, func(Design) float64 { return 0.08 }}, // plated: ± 16 %
	{"board.inner_made", 0.2, func(d Design) float64 { return when(d.Coil.Layers > 1 && d.Board.Layers > 2, 0.05) }},
	{"board.thickness", 0, func(d Design) float64 { return 0.05 * d.Board.Thickness }}, // ± 10 %
	{"coil.etch", 0.2, func(d Design) float64 { return 0.05 * d.Coil.Track }},          // ± 10 % of a track
	{"coil.via_plating", 0.2, func(d Design) float64 { return when(d.Coil.Layers > 1, 0.15*d.Coil.ViaPlating) }},
	{"iron.gap", 0.5, func(d Design) float64 { return when(d.Iron.Model != IronNone, 0.05e-3) }},
	{"iron.mu_r", 0, func(d Design) float64 { return when(d.linear(), 0.2*d.Iron.MuR) }},
	{"magnet.remanence", 0.8, func(d Design) float64 { return when(d.Magnet.Kind != MagnetNone, 0.015*math.Abs(d.Magnet.Remanence)) }},
	{"drive.on_resistance", 0.2, func(d Design) float64 { return 0.1 * d.Drive.OnResistance }},
	{"drive.scan_diode", 0.2, func(d Design) float64 { return 0.1 * d.PathDrop() }}, // of diodes of one type, ± 20 % between makers and with their warmth
	{"supply.voltage", 0, func(d Design) float64 { return 0.01 * d.Supply.Voltage }},
	{"fluid.height", 0.5, func(d Design) float64 { return min(0.1e-3, d.Fluid.Height/10) }},
	{"fluid.susceptibility", 0, func(d Design) float64 { return 0.1 * d.Fluid.Susceptibility }},
	{"fluid.saturation", 0, func(d Design) float64 { return 0.05 * d.Fluid.Saturation }},
	{"fluid.relaxation", 0, func(d Design) float64 { return 0.5 * d.Fluid.Relaxation }},
	{"fluid.density_difference", 0, func(d Design) float64 { return 0.02 * math.Abs(d.Fluid.DensityDifference) }},
	{"fluid.contact_line", 0.5, func(d Design) float64 {
		return max((d.Fluid.ContactLineMost-d.Fluid.ContactLine)/4, 0.15*d.Fluid.ContactLine)
	}},
	{"heat.emissivity", 0, func(d Design) float64 { return 0.03 }},
	{"heat.convection", 0, func(Design) float64 { return 0.1 }}, // correlations: ± 20 %
	{"heat.storage", 0, func(Design) float64 { return 0.05 }},
	{"heat.front_insulation", 0, func(d Design) float64 { return 0.15 * d.Heat.FrontInsulation }},
	{"heat.board_conductivity", 0, func(d Design) float64 { return 0.1 * d.Heat.BoardConductivity }},
	{"heat.copper_fraction", 0, func(d Design) float64 { return min(0.3, 0.3+d.Heat.CopperFraction) * d.Heat.CopperFraction }},
	{"bench.probe", 0, func(Design) float64 { return 0.2e-3 }},
}

func when(is bool, v float64) float64 {
	if is {
		return v
	}
	return 0
}

// linear tells whether the steel's permeability is one number: the finite elements take it
// from the steel's curve unless the design gives its own.
func (d Design) linear() bool {
	if d.Iron.Model == IronNone {
		return false
	}
	steel := material.SteelNamed(d.Iron.Steel)
	return d.Iron.MuR != steel.MuR || d.Iron.Model == IronSlab || d.Iron.Model == IronImage || d.Iron.Model == IronAuto && d.Iron.CoreRadius == 0 && d.Iron.Radius == 0 && d.Magnet.Kind == MagnetNone
}

// Doubts are the doubts of a design: those it states, and the usual ones of all other keys
// that count in it. Stated tells which of them are stated.
func (d Design) Doubts() []Doubt {
	list := slices.Clone(d.Stated)
	for _, t := range doubts {
		at := slices.IndexFunc(list, func(x Doubt) bool { return x.Key == t.key })
		if at < 0 {
			at, list = len(list), append(list, Doubt{Key: t.key, Sd: t.usual(d), Spread: t.spread})
		}
		list[at].Usual = t.usual(d)
	}
	return slices.DeleteFunc(list, func(x Doubt) bool { return x.Sd == 0 })
}

// Shifted is a display as it may come out: the doubted values moved by standard deviations
// that are independent of each other, one for each of the doubts. Nothing is checked but
// that sizes stay sizes, a board's its copper and more: what comes out is not what was ordered.
func (d Design) Shifted(list []Doubt, by []float64) Design {
	var factor mat.TriDense
	whiten(list).LTo(&factor)
	d.own = slices.Clone(d.own)
	for i, t := range list {
		move := 0.0
		for k, v := range by[:i+1] {
			move += factor.At(i, k) * v
		}
		for _, at := range places(&d, t.Key) {
			was := *at
			*at += move * t.Sd
			if was > 0 && t.Key != "iron.gap" && t.Key != "coil.etch" && t.Key != "bench.probe" {
				solid := 0.0
				if t.Key == "board.thickness" {
					solid = d.solid()
				}
				*at = max(*at, solid+(was-solid)/5)
			}
		}
	}
	d.Iron.Gap, d.Iron.MuR, d.Heat.Emissivity = max(d.Iron.Gap, 0), max(d.Iron.MuR, 1), min(max(d.Heat.Emissivity, 0), 1)
	if !slices.Contains(d.own, "iron.factor") {
		d.Iron.Factor = field.ImageFactor(d.Iron.MuR)
	}
	return d
}

// solid is what a thinner board is not thinner by, m: its copper as ordered, over a metal core
// the dielectric too.
func (d Design) solid() float64 {
	if front, _, metal := d.MetalCore(); metal > 0 {
		return -front
	}
	return float64(min(d.Board.Layers, 2))*d.Board.CopperOuter + float64(max(d.Board.Layers-2, 0))*d.Board.CopperInner
}

// Picked are some of the doubts with the correlations between them.
func Picked(all []Doubt, want func(Doubt) bool) (list []Doubt) {
	var at []int
	for i, t := range all {
		if !want(t) {
			continue
		}
		var with []float64
		for _, k := range at {
			if k < len(t.With) {
				with = append(with, t.With[k])
			}
		}
		t.With = with
		list, at = append(list, t), append(at, i)
	}
	return list
}

// Sds are the standard deviations of a covariance in the shifts of Shifted, in SI units of
// the keys, and the correlations: how a fit's answer becomes doubts.
func Sds(list []Doubt, cov mat.Symmetric) []Doubt {
	n := len(list)
	var factor mat.TriDense
	whiten(list).LTo(&factor)
	var in, full mat.Dense
	in.Mul(&factor, cov)
	full.Mul(&in, factor.T())
	out := slices.Clone(list)
	for i := range n {
		out[i].Sd *= math.Sqrt(full.At(i, i))
		out[i].With = nil
		for k := range i {
			out[i].With = append(out[i].With, full.At(i, k)/math.Sqrt(full.At(i, i)*full.At(k, k)))
		}
	}
	return out
}

// correlated is the matrix of the doubts' correlations, with a number on its diagonal.
func correlated(list []Doubt, diagonal float64) *mat.SymDense {
	s := mat.NewSymDense(len(list), nil)
	for i, t := range list {
		s.SetSym(i, i, diagonal)
		for k, v := range t.With {
			s.SetSym(i, k, v)
		}
	}
	return s
}

// possible tells whether some readings could have such correlations: their matrix is positive
// definite by so much that rounding does not make it less, whichever of them are picked.
func possible(list []Doubt) bool {
	var c mat.Cholesky
	return len(list) == 0 || c.Factorize(correlated(list, 1-1e-12))
}

// whiten is the Cholesky factorisation of the correlations. Read checked that there is one.
func whiten(list []Doubt) *mat.Cholesky {
	var c mat.Cholesky
	if !c.Factorize(correlated(list, 1)) {
		panic("design: correlations of doubts that were not checked")
	}
	return &c
}

// places are where the number of a key stands, both ends of a span.
func places(d *Design, key string) []*float64 {
	s, _ := find(settings, key)
	switch at := s.at(d).(type) {
	case *float64:
		return []*float64{at}
	case [2]*float64:
		return at[:]
	}
	panic("design: the key " + key + " is not a number")
}

// dimensionOf is that of a key, nil of a pure number.
func dimensionOf(key string) *quantity.Dimension {
	s, _ := find(settings, key)
	return s.kind.dim
}

// ValueOf is the value of a key that may be in doubt, in SI units.
func (d Design) ValueOf(key string) float64 { return *places(&d, key)[0] }

// Stating is the value of such a key as a design file has it, to six digits and to the fifth of
// its standard deviation.
func (d Design) Stating(key string, sd float64) string {
	for _, at := range places(&d, key) {
		*at, _ = strconv.ParseFloat(strconv.FormatFloat(quantity.Within(*at, sd/1e3), 'g', 6, 64), 64)
	}
	s, _ := find(settings, key)
	return encode(s.hold(&d))
}

// Show is a value of such a key as people read it, to the second digit of its standard deviation.
func Show(key string, v, sd float64) string {
	v = quantity.Within(v, sd)
	if dim := dimensionOf(key); dim != nil {
		return quantity.Format(v, *dim)
	}
	return fmt.Sprintf("%.6g", v)
}

// ShowSd is a standard deviation of such a key as people read it, to two digits.
func ShowSd(key string, sd float64) string { return Show(key, sd, sd) }

const (
	doubtKey  = "doubt"
	doubtWant = `one [[doubt]] per key, each with key, sd in quotes with its unit, and perhaps spread, the share of its square that differs from pixel to pixel, and correlation, a list of one number for each [[doubt]] before it`
)

// doubtParts are what a [[doubt]] may say, as it is written.
var doubtParts = []string{"key", "sd", "spread", "correlation"}

// usualSpread is the share of a doubt's square that differs from pixel to pixel as a rule.
func usualSpread(key string) float64 {
	at := slices.IndexFunc(doubts, func(t doubt) bool { return t.key == key })
	return doubts[at].spread
}

// DoubtKeys are the keys that may be in doubt.
func DoubtKeys() []string {
	list := make([]string, len(doubts))
	for i, t := range doubts {
		list[i] = t.key
	}
	return list
}

// readDoubts reads what a file says about its own doubt.
func (r *resolver) readDoubts(v any) {
	rows, ok := v.([]any)
	if !ok {
		r.fail(doubtKey, "this is "+tomlplace.Describe(v), doubtWant)
		return
	}
	if len(rows) > len(doubts) {
		r.fail(doubtKey, fmt.Sprintf("%d doubts", len(rows)), fmt.Sprintf("up to %d", len(doubts)))
		return
	}
	var list []Doubt
	for i, item := range rows {
		path := tomlplace.Element(doubtKey, i+1)
		table, ok := item.(map[string]any)
		if !ok {
			r.fail(path, "this is "+tomlplace.Describe(item), doubtWant)
			return
		}
		t, f := readDoubt(table, list)
		if f != nil {
			r.fail(path, f.problem, f.accept)
			return
		}
		list = append(list, t)
	}
	for n := range list {
		if !possible(list[:n+1]) {
			r.fail(tomlplace.Element(doubtKey, n+1), "these correlations contradict each other", "correlations that some readings could have (a positive definite matrix)")
			return
		}
	}
	r.design.Stated = list
}

func readDoubt(table map[string]any, before []Doubt) (t Doubt, f *fault) {
	for name := range table {
		if !slices.Contains(doubtParts, name) {
			return t, &fault{fmt.Sprintf("unknown key %s", tomlplace.Clip(name)), doubtWant}
		}
	}
	t.Key, _ = table["key"].(string)
	if !slices.Contains(DoubtKeys(), t.Key) {
		return t, &fault{fmt.Sprintf("the key %s cannot be in doubt", tomlplace.Clip(t.Key)), strings.Join(DoubtKeys(), ", ")}
	}
	if slices.ContainsFunc(before, func(b Doubt) bool { return b.Key == t.Key }) {
		return t, &fault{t.Key + " stands twice", doubtWant}
	}
	t.Spread = usualSpread(t.Key)
	if v, ok := table["spread"]; ok {
		text, _ := v.(string)
		share, err := quantity.Parse(text, quantity.Ratio)
		if err != nil || !(share >= 0 && share <= 1) {
			return t, &fault{fmt.Sprintf("spread of %s is %s", t.Key, tomlplace.Describe(v)), `"0 %" to "100 %"`}
		}
		t.Spread = share
	}
	dim := dimensionOf(t.Key)
	unit := dim != nil
	text, isText := table["sd"].(string)
	switch {
	case unit && isText:
		v, err := quantity.Parse(text, *dim)
		if err != nil {
			e := err.(*quantity.Error)
			return t, &fault{"sd: " + e.Problem, e.Accept}
		}
		t.Sd = v
	case !unit && !isText && table["sd"] != nil:
		switch v := table["sd"].(type) {
		case int64:
			t.Sd = float64(v)
		case float64:
			t.Sd = v
		default:
			return t, &fault{"sd: this is " + tomlplace.Describe(v), "a number"}
		}
	default:
		want := "a number"
		if unit {
			want = "a text with a unit: " + strings.Join(dim.Units(), ", ")
		}
		return t, &fault{"sd of " + t.Key + " is missing or of the wrong kind", want}
	}
	if !(t.Sd >= 0) || math.IsInf(t.Sd, 0) {
		return t, &fault{fmt.Sprintf("sd of %s is %g", t.Key, t.Sd), "0 or more"}
	}
	if c, ok := table["correlation"]; ok {
		row, ok := c.([]any)
		if !ok || len(row) > len(before) {
			return t, &fault{"correlation of " + t.Key, fmt.Sprintf("a list of up to %d numbers, one for each [[doubt]] before it", len(before))}
		}
		for _, v := range row {
			x := math.NaN()
			switch v := v.(type) {
			case int64:
				x = float64(v)
			case float64:
				x = v
			}
			if !(math.Abs(x) < 1) {
				return t, &fault{fmt.Sprintf("correlation of %s is %s", t.Key, tomlplace.Describe(v)), "numbers between -1 and 1"}
			}
			t.With = append(t.With, x)
		}
	}
	return t, nil
}

// rounded are doubts as a file holds them, their correlations to nine digits. Where that makes
// correlations which no readings could have, all are made smaller until some could.
func rounded(stated []Doubt) []Doubt {
	list := slices.Clone(stated)
	for less := 0.0; ; less = max(1e-9, 2*less) {
		for i, t := range stated {
			list[i].With = slices.Clone(t.With)
			for k, c := range list[i].With {
				list[i].With[k] = math.Round(min(max(c, -1), 1)*(1-less)*1e9)/1e9 + 0 // no −0
			}
		}
		if less >= 1 || possible(list) {
			return list
		}
	}
}

// doubtRows are the stated doubts as a file holds them.
func (d Design) doubtRows() (rows []any) {
	for _, t := range rounded(d.Stated) {
		t.Sd, _ = strconv.ParseFloat(strconv.FormatFloat(t.Sd, 'g', 4, 64), 64)
		row := map[string]any{"key": t.Key, "sd": any(t.Sd)}
		if dim := dimensionOf(t.Key); dim != nil {
			row["sd"] = quantity.Exact(t.Sd, *dim)
		}
		if t.Spread != usualSpread(t.Key) {
			row["spread"] = quantity.Exact(t.Spread, quantity.Ratio)
		}
		if t.With != nil {
			var list []any
			for _, c := range t.With {
				list = append(list, c)
			}
			row["correlation"] = list
		}
		rows = append(rows, row)
	}
	return rows
}

// DoubtText writes the stated doubts.
func (d Design) DoubtText() string {
	var b strings.Builder
	for i, row := range d.doubtRows() {
		if i == 0 {
			b.WriteString("\n# How far values may be off: standard deviations, and correlations with the keys before.")
		}
		table := row.(map[string]any)
		b.WriteString("\n[[doubt]]\n")
		for _, name := range doubtParts {
			if v, ok := table[name]; ok {
				fmt.Fprintf(&b, "%s = %s\n", name, encode(v))
			}
		}
	}
	return b.String()
}

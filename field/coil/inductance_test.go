package coil

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/field"
)

func TestLoopMutualAgainstTable(t *testing.T) {
	for _, r := range table(t, "loops.csv") {
		a, b, d := r.f(t, "a_mm")*1e-3, r.f(t, "b_mm")*1e-3, r.f(t, "d_mm")*1e-3
		want := r.f(t, "m_nH") * 1e-9 * tables
		if e := relative(LoopMutual(a, b, d), want); e > 1e-12 {
			t.Errorf("loops %v: %.15g H, want %.15g, off by %.1e", r, LoopMutual(a, b, d), want, e)
		}
	}
}

// The pull between two loops of 10 mm radius, 1.6 mm apart, 1 A each: 7.62264 µN
// (computed from Maxwell's formula).
func TestLoopMutualSlope(t *testing.T) {
	const h = 1e-6
	slope := (LoopMutual(10e-3, 10e-3, 1.6e-3+h) - LoopMutual(10e-3, 10e-3, 1.6e-3-h)) / (2 * h)
	if e := relative(slope, -7.62264238210909e-6*tables); e > 1e-6 {
		t.Errorf("dM/dz = %g H/m, want -7.62264e-6", slope)
	}
}

// Ring of 10 mm radius and round wire of 0.1 mm radius: 62.0101598078 nH with
// uniform current, 58.8685671542 nH with surface current (Rosa & Grover's formula
// from memory; values computed). A circle's mean distance from itself is e^(−1/4) of
// its radius for a disc, its radius for a rim.
func TestLoopSelfOfRoundWire(t *testing.T) {
	for gmd, want := range map[float64]float64{
		0.1e-3 * math.Exp(-0.25): 62.0101598078e-9,
		0.1e-3:                   58.8685671542e-9,
	} {
		if e := relative(LoopSelf(10e-3, gmd), want*tables); e > 1e-11 {
			t.Errorf("self-inductance at GMD %g m: %.12g H, want %.12g", gmd, LoopSelf(10e-3, gmd), want)
		}
	}
}

func TestMeanDistanceAgainstQuadrature(t *testing.T) {
	for _, r := range table(t, "gmd.csv") {
		w, t1, t2, x, y := r.f(t, "w"), r.f(t, "t1"), r.f(t, "t2"), r.f(t, "x"), r.f(t, "y")
		want := r.f(t, "mean_log")
		var got float64
		if x == 0 && y == 0 {
			got = math.Log(RectangleGMD(w, t1))
			if rule := math.Log(0.2235 * (w + t1)); math.Abs(got-rule) > 0.003 {
				t.Errorf("%v: ln GMD %g is far from the rule of thumb's %g", r, got, rule)
			}
		} else {
			got = spread(w, t1, t2, x, y) + math.Log(math.Hypot(x, y))
		}
		tolerance := 1e-8
		if math.Hypot(x, y) > 8 {
			tolerance = 5e-6 // series of second order
		}
		if math.Abs(got-want) > tolerance {
			t.Errorf("%v: mean logarithm %.10f, want %.10f", r, got, want)
		}
	}
}

func vec(t *testing.T, r row, p string) r3.Vec {
	return r3.Scale(1e-3, r3.Vec{X: r.f(t, p+"x_mm"), Y: r.f(t, p+"y_mm"), Z: r.f(t, p+"z_mm")})
}

func TestFilamentMutualAgainstQuadrature(t *testing.T) {
	for _, r := range table(t, "filaments.csv") {
		a := Filament{vec(t, r, "a0"), vec(t, r, "a1")}
		b := Filament{vec(t, r, "b0"), vec(t, r, "b1")}
		want := r.f(t, "m_H") * tables
		got := FilamentMutual(a, b)
		if e := relative(got, want); e > 1e-9 {
			t.Errorf("%s: %.12g H, want %.12g, off by %.1e", r["name"], got, want, e)
		}
		// Reciprocity, and reversal of one current and of both.
		back := func(f Filament) Filament { return Filament{f.To, f.From} }
		for i, again := range []float64{FilamentMutual(b, a), -FilamentMutual(back(a), b), -FilamentMutual(a, back(b)), FilamentMutual(back(b), back(a))} {
			if e := relative(again, got); e > 1e-10 {
				t.Errorf("%s: exchange %d gives %.15g for %.15g", r["name"], i, again, got)
			}
		}
	}
	line := Filament{r3.Vec{}, r3.Vec{X: 1}}
	if got := FilamentMutual(line, Filament{r3.Vec{X: 0.5}, r3.Vec{X: 2}}); !math.IsInf(got, 1) {
		t.Errorf("overlapping filaments: %g, want +Inf", got)
	}
	if got := FilamentMutual(line, Filament{r3.Vec{X: 0.5}, r3.Vec{X: 0.5, Y: 2}}); got != 0 {
		t.Errorf("filaments at right angles: %g, want 0", got)
	}
}

// Between the closed forms and the quadrature that replaces them there is no step.
func TestFilamentMutualIsContinuous(t *testing.T) {
	a := Filament{r3.Vec{}, r3.Vec{X: 1}}
	pair := func(angle, away float64) float64 {
		sin, cos := math.Sincos(angle)
		return FilamentMutual(a, Filament{r3.Vec{Y: away}, r3.Vec{X: cos, Y: away + sin}})
	}
	for _, angle := range []float64{1e-12, 1e-2, 0.3} {
		if e := relative(pair(angle*(1-1e-10), 0.1), pair(angle*(1+1e-10), 0.1)); e > 2e-9 {
			t.Errorf("step of %.1e at the angle %g", e, angle)
		}
	}
	for _, angle := range []float64{0, 0.1, 1} {
		lo, hi := 7.0, 9.0
		for hi-lo > 1e-9 { // the far form begins somewhere here
			mid := (lo + hi) / 2
			if sin, cos := math.Sincos(angle); math.Hypot(cos/2-0.5, mid+sin/2) > 8 {
				hi = mid
			} else {
				lo = mid
			}
		}
		if e := relative(pair(angle, lo), pair(angle, hi)); e > 1e-8 {
			t.Errorf("step of %.1e where the far form begins at angle %g", e, angle)
		}
	}
}

func squareTurn(c, z float64) []Filament {
	s := Spec{Shape: Square}
	f := s.filaments(turn{apothem: c / 2}, 0)
	for i := range f {
		f[i].From.Z, f[i].To.Z = z, z
	}
	return f
}

func TestCoaxialSquaresAgainstTable(t *testing.T) {
	for _, r := range table(t, "squares.csv") {
		sum := 0.0
		for _, p := range squareTurn(r.f(t, "c1_mm")*1e-3, 0) {
			for _, q := range squareTurn(r.f(t, "c2_mm")*1e-3, r.f(t, "d_mm")*1e-3) {
				sum += FilamentMutual(p, q)
			}
		}
		if e := relative(sum, r.f(t, "m_nH")*1e-9*tables); e > 1e-12 {
			t.Errorf("squares %v: %.15g H, off by %.1e", r, sum, e)
		}
	}
}

func outline(t *testing.T, r row) (s Spec, n int, turns []turn) {
	n = int(r.f(t, "n"))
	dout, din := r.f(t, "dout_mm")*1e-3, r.f(t, "din_mm")*1e-3
	s = Spec{Shape: Round, Track: 0.5 * (dout - din) / 2 / float64(n)}
	if r["shape"] == "square" {
		s.Shape = Square
	}
	gap := ((dout-din)/2 - float64(n)*s.Track) / float64(n-1)
	for k := range n {
		turns = append(turns, turn{apothem: dout/2 - s.Track/2 - float64(k)*(s.Track+gap), weight: 1})
	}
	return s, n, turns
}

// The sums over turns, thin filaments and the table's own rule for the mean
// distance, against sums of the same kind made elsewhere; then against the simple
// expressions, within the 3 % they claim.
func TestClosedTurnSumsAgainstTable(t *testing.T) {
	for _, r := range table(t, "closed_turns.csv") {
		s, n, turns := outline(t, r)
		rings := s.rings(turns, cornerChords)
		sum := 0.0
		for i := range turns {
			sum += rings.self(i, 0.2235*(s.Track+35e-6))
			for j := range i {
				sum += 2 * rings.mutual(i, j, 0)
			}
		}
		want := r.f(t, "l_H") * tables
		if e := relative(sum, want); e > 1e-8 {
			t.Errorf("%v: %.10g H, want %.10g", r, sum, want)
		}
		whole := rings.pair(35e-6, 35e-6, 0) // with the exact mean distances
		if e := relative(whole, want); e > 0.004 {
			t.Errorf("%v: with the tracks' widths %.10g H, %.2g %% away", r, whole, 100*e)
		}
		sheet, err := CurrentSheet(Outline(r["shape"]), float64(n), r.f(t, "dout_mm")*1e-3, r.f(t, "din_mm")*1e-3)
		if err != nil {
			t.Fatal(err)
		}
		if e := relative(sheet, whole); e > 0.03 {
			t.Errorf("%v: current sheet %.10g H, sum %.10g", r, sheet, whole)
		}
		if s.Shape == Square {
			wheeler, err := ModifiedWheeler(SquareOutline, float64(n), r.f(t, "dout_mm")*1e-3, r.f(t, "din_mm")*1e-3)
			if err != nil {
				t.Fatal(err)
			}
			if e := relative(wheeler, whole); e > 0.03 {
				t.Errorf("%v: modified Wheeler %.10g H, sum %.10g", r, wheeler, whole)
			}
		}
	}
}

func TestExpressionsAgainstTable(t *testing.T) {
	for _, r := range table(t, "expressions.csv") {
		o, n, dout, din := Outline(r["shape"]), r.f(t, "n"), r.f(t, "dout_mm")*1e-3, r.f(t, "din_mm")*1e-3
		got, err := CurrentSheet(o, n, dout, din)
		if e := relative(got, r.f(t, "sheet_H")*tables); err != nil || e > 1e-9 {
			t.Errorf("%v: current sheet %.10g H, %v", r, got, err)
		}
		got, err = ModifiedWheeler(o, n, dout, din)
		if want := r.f(t, "wheeler_H") * tables; want == 0 {
			if err == nil {
				t.Errorf("%v: modified Wheeler gave %g for an outline it has no coefficients for", r, got)
			}
		} else if e := relative(got, want); err != nil || e > 1e-9 {
			t.Errorf("%v: modified Wheeler %.10g H, %v", r, got, err)
		}
	}
	for _, bad := range [][3]float64{{0, 2, 1}, {1, 1, 2}, {1, 2, -1}, {math.NaN(), 2, 1}, {1, math.Inf(1), 1}} {
		if _, err := CurrentSheet(CircleOutline, bad[0], bad[1], bad[2]); err == nil {
			t.Errorf("current sheet accepted %v", bad)
		}
	}
}

// Wide tracks cut into 96 filaments each against the sums with mean distances.
func TestRoundCoilsAgainstFineFilaments(t *testing.T) {
	for _, r := range table(t, "round_coils.csv") {
		s := Spec{
			Shape: Round, Outer: r.f(t, "outer_mm") * 1e-3, Track: r.f(t, "track_mm") * 1e-3, Gap: r.f(t, "gap_mm") * 1e-3,
			Turns: r.f(t, "turns"), ViaDrill: 0.2e-3, ViaPlating: 20e-6,
		}
		for _, z := range r.list(t, "z_mm") {
			s.Layers = append(s.Layers, Layer{Copper: r.f(t, "copper_mm") * 1e-3, Z: z * 1e-3})
		}
		c, err := New(s, Rules{})
		if err != nil {
			t.Fatal(err)
		}
		c.turns = nil // the reference has whole turns, the third layer has lost a part to its via
		for k := range int(s.Turns) {
			c.turns = append(c.turns, turn{apothem: s.Outer/2 - s.Track/2 - s.pitch()*(float64(k)+0.5), weight: 1})
		}
		want := r.f(t, "l_H") * tables
		e := c.Inductance()/want - 1
		t.Logf("%s mm track: %.6g H, %+.1e off", r["track_mm"], c.Inductance(), e)
		// What is left out is of the order of the square of track width over radius.
		x := c.spec.Track / c.turns[len(c.turns)-1].apothem
		if math.Abs(e) > 0.04*x*x {
			t.Errorf("%v: %.9g H, want %.9g", r, c.Inductance(), want)
		}
	}
}

// The closed turns against the true spiral, its middle line integrated point by
// point, and the length of that line.
func TestSpiralsAgainstNeumann(t *testing.T) {
	for _, r := range table(t, "spirals.csv") {
		s := Spec{
			Shape: Shape(r["shape"]), Outer: r.f(t, "outer_mm") * 1e-3, Track: r.f(t, "track_mm") * 1e-3, Gap: r.f(t, "gap_mm") * 1e-3,
			Turns: r.f(t, "turns"), Layers: []Layer{{Copper: r.f(t, "copper_mm") * 1e-3, Z: -17.5e-6}},
		}
		c, err := New(s, Rules{})
		if err != nil {
			t.Fatal(err)
		}
		if e := relative(c.Length(), r.f(t, "length_m")); e > 5e-6 { // chords of 0.5° in the reference
			t.Errorf("%s spiral: length %.9g m, want %s", r["shape"], c.Length(), r["length_m"])
		}
		e := c.Inductance()/(r.f(t, "l_H")*tables) - 1
		t.Logf("%s, %s turns, track %s mm: closed turns %.5g H, %+.2f %% of the spiral", r["shape"], r["turns"], r["track_mm"], c.Inductance(), 100*e)
		if math.Abs(e) > ClosedTurns {
			t.Errorf("%v: closed turns %.6g H", r, c.Inductance())
		}
	}
}

// The chords that stand for a rounded square's corners, against Gauss–Legendre points
// on the true arcs.
func TestRoundedSquaresAgainstNeumann(t *testing.T) {
	for _, r := range table(t, "rounded.csv") {
		s := Spec{Shape: RoundedSquare, Track: 0.1e-3}
		rings := s.rings([]turn{
			{apothem: r.f(t, "a_mm") * 1e-3, corner: r.f(t, "corner_a_mm") * 1e-3, weight: 1},
			{apothem: r.f(t, "b_mm") * 1e-3, corner: r.f(t, "corner_b_mm") * 1e-3, weight: 1},
		}, cornerChords)
		got := rings.mutual(0, 1, r.f(t, "d_mm")*1e-3)
		e := got/(r.f(t, "m_H")*tables) - 1
		t.Logf("%v: %+.1e off", r, e)
		if math.Abs(e) > 5e-4 {
			t.Errorf("%v: %.8g H", r, got)
		}
	}
}

// A rounded square lies between a square and a circle, and reaches the circle when
// its corners do.
func TestRoundedSquareBetweenSquareAndCircle(t *testing.T) {
	thin := func(shape Shape, corner float64) float64 {
		s := Spec{Shape: shape, Outer: 9e-3, CornerRadius: corner, Track: 0.2e-3}
		r := s.rings([]turn{{apothem: 4e-3, corner: corner, weight: 1}, {apothem: 3.9e-3, corner: max(0, corner-0.1e-3), weight: 1}}, cornerChords)
		return r.mutual(0, 1, 0.5e-3)
	}
	circle, square := thin(Round, 0), thin(Square, 0)
	last := square
	for _, corner := range []float64{0.2e-3, 1e-3, 2e-3, 3e-3, 3.9e-3} {
		m := thin(RoundedSquare, corner)
		if m >= last || m <= circle {
			t.Errorf("corner %g m: mutual inductance %g H, want between %g and %g", corner, m, circle, last)
		}
		last = m
	}
	if e := relative(thin(RoundedSquare, 4e-3), circle); e > 5e-4 {
		t.Errorf("rounded all the way: %.2e away from the circle", e)
	}
	if e := relative(thin(RoundedSquare, 1e-9), square); e > 1e-6 {
		t.Errorf("not rounded: %.2e away from the square", e)
	}
}

func TestLayerMatrix(t *testing.T) {
	for _, shape := range Shapes() {
		s := usual(t, shape, 4)
		s.Inner = 6e-3
		s.Layers[0].Copper = 20e-6
		c := build(t, s)
		m := c.LayerInductanceMatrix()
		var chol mat.Cholesky
		if !chol.Factorize(m) {
			t.Errorf("%s: layer matrix is not positive definite", shape)
		}
		sum := mat.Sum(m)
		if e := relative(c.Inductance(), sum); e > 1e-12 {
			t.Errorf("%s: four layers in series have %g H, the matrix sums to %g", shape, c.Inductance(), sum)
		}
		for i := range 4 {
			for j := range 4 {
				if m.At(i, j) <= 0 || i != j && m.At(i, j) >= math.Sqrt(m.At(i, i)*m.At(j, j)) {
					t.Errorf("%s: entry %d,%d is %g H", shape, i, j, m.At(i, j))
				}
			}
		}
		if m.At(0, 0) <= m.At(1, 1) {
			t.Errorf("%s: thinner copper has less inductance", shape)
		}
	}
}

// Two equal groups in parallel have a quarter of the series inductance but for what
// the turns lost to the vias change; equal voltage never gives more than shares by
// resistance.
func TestParallelGroups(t *testing.T) {
	s := usual(t, Round, 12)
	series := build(t, s)
	for _, groups := range []int{2, 3, 4, 6, 12} {
		s.ParallelGroups = groups
		c := build(t, s)
		n := float64(groups * groups)
		// Up to half a turn per layer, the innermost, is lost to the vias' places.
		if e := relative(c.Inductance()*n, series.Inductance()); e > 1e-2 {
			t.Errorf("%d groups: %g H, series %g", groups, c.Inductance(), series.Inductance())
		}
		if e := relative(c.Resistance(293.15)*n, series.Resistance(293.15)); e > 0.02 {
			t.Errorf("%d groups: %g Ω, series %g", groups, c.Resistance(293.15), series.Resistance(293.15))
		}
		if fast, slow := c.InductanceFast(), c.Inductance(); fast > slow*(1+1e-12) || fast < 0.9*slow {
			t.Errorf("%d groups: fast %g H, slow %g H", groups, fast, slow)
		}
	}
	if e := relative(series.InductanceFast(), series.Inductance()); e > 1e-12 {
		t.Errorf("series: fast and slow inductance differ by %g", e)
	}
}

func TestNeighboursAgainstNeumann(t *testing.T) {
	for _, r := range table(t, "neighbours.csv") {
		s := Spec{
			Shape: Shape(r["shape"]), Outer: r.f(t, "outer_mm") * 1e-3, Track: r.f(t, "track_mm") * 1e-3, Gap: r.f(t, "gap_mm") * 1e-3,
			Turns: r.f(t, "turns"), ViaDrill: 0.2e-3, ViaPlating: 20e-6, CornerRadius: 2.5e-3,
		}
		for _, z := range r.list(t, "z_mm") {
			s.Layers = append(s.Layers, Layer{Copper: 35e-6, Z: z * 1e-3})
		}
		c, err := New(s, Rules{})
		if err != nil {
			t.Fatal(err)
		}
		got, err := c.MutualInductance(r3.Scale(1e-3, r3.Vec{X: r.f(t, "dx_mm"), Y: r.f(t, "dy_mm"), Z: r.f(t, "dz_mm")}))
		if err != nil {
			t.Fatal(err)
		}
		tolerance := 1e-7
		if s.Shape == RoundedSquare {
			tolerance = 2e-4 // chords
		}
		e := relative(got, r.f(t, "m_H")*tables)
		t.Logf("%s at %s, %s, %s mm: %.6g H, off by %.1e", s.Shape, r["dx_mm"], r["dy_mm"], r["dz_mm"], got, e)
		if e > tolerance {
			t.Errorf("%v: %.10g H, off by %.1e", r, got, e)
		}
	}
}

// A coil beside another, and its image, are coils at an offset: side by side with it, and of
// one layer as deep behind the face as it is before it (a rounded square's chords differ by 4e-5).
func TestBeside(t *testing.T) {
	for _, shape := range Shapes() {
		s := usual(t, shape, 1)
		s.Inner = 6e-3
		c := build(t, s)
		for _, away := range []float64{s.Outer + 0.2e-3, 2.4 * s.Outer} {
			face := c.spec.Layers[0].Z - 1.1e-3
			direct, image := c.Beside(away, face)
			beside, err := c.MutualInductance(r3.Vec{X: away})
			if err != nil {
				t.Fatal(err)
			}
			deep, err := c.MutualInductance(r3.Vec{X: away, Z: -2.2e-3})
			if err != nil {
				t.Fatal(err)
			}
			if !(direct < 0) || relative(direct, beside) > 1e-9 || relative(image, deep) > 1e-4 {
				t.Errorf("%s at %s: %g and %g H, want %g and %g H", shape, mm(away), direct, image, beside, deep)
			}
		}
	}
}

func TestMutualReciprocity(t *testing.T) {
	big := usual(t, Round, 2)
	small := usual(t, Round, 4)
	small.Outer, small.Inner = 6e-3, 3e-3
	for _, shapes := range [][2]Shape{{Round, Round}, {Square, Square}, {Round, Square}, {Hexagon, RoundedSquare}} {
		big.Shape, small.Shape = shapes[0], shapes[1]
		big.Inner = 7e-3
		a, b := build(t, big), build(t, small)
		for _, o := range []r3.Vec{{X: 9.5e-3}, {X: -5e-3, Y: 12e-3}, {X: 1e-3, Y: 2e-3, Z: 4e-3}, {X: 100e-3, Y: 50e-3}} {
			ab, err := Mutual(a, b, o)
			if err != nil {
				t.Fatal(err)
			}
			ba, err := Mutual(b, a, r3.Scale(-1, o))
			if err != nil {
				t.Fatal(err)
			}
			// Between circles, the potential of one along the other is an independent
			// computation each way.
			if e := relative(ab, ba); e > 1e-7 {
				t.Errorf("%v at %v: %.12g and %.12g H", shapes, o, ab, ba)
			}
		}
	}
}

// From afar two coils are dipoles: M = −µ0 m²/(4π d³) side by side.
func TestMutualFarAway(t *testing.T) {
	for _, shape := range Shapes() {
		s := usual(t, shape, 2)
		s.Inner = 6e-3
		c := build(t, s)
		const d = 1.0
		got, err := c.MutualInductance(r3.Vec{Y: d})
		if err != nil {
			t.Fatal(err)
		}
		m := c.MagneticMoment()
		if e := relative(got, -field.Mu0*m*m/(4*math.Pi*d*d*d)); e > 2e-3 {
			t.Errorf("%s: %g H at 1 m, dipoles give %g", shape, got, -field.Mu0*m*m/(4*math.Pi*d*d*d))
		}
	}
}

// The mutual inductance is the flux of one coil's field through the other's turns.
func TestMutualIsFlux(t *testing.T) {
	s := usual(t, Square, 1)
	s.Turns, s.Inner = 2, 0
	c := build(t, s)
	offset := r3.Vec{X: 10e-3, Y: 3e-3, Z: 1e-3}
	want, err := c.MutualInductance(offset)
	if err != nil {
		t.Fatal(err)
	}
	src := c.Source(1e-3, 1e-6)
	g := gaussLegendre(24)
	flux := 0.0
	for _, turn := range c.turns {
		a := 2 * turn.apothem
		for i, x := range g.x {
			for j, y := range g.x {
				p := r3.Add(offset, r3.Vec{X: a * x, Y: a * y, Z: c.spec.Layers[0].Z})
				flux += g.w[i] * g.w[j] * a * a * src.B(p).Z
			}
		}
	}
	if e := relative(flux, want); e > 3e-4 { // thin filaments against wide tracks
		t.Errorf("flux %g Wb/A, mutual inductance %g H", flux, want)
	}
}

// The image raises the inductance by the mutual inductance of two such coils face to
// face, which Mutual finds in another way; far steel and no steel change nothing.
func TestInductanceOnSteel(t *testing.T) {
	for _, shape := range []Shape{Round, Square, Hexagon} {
		s := usual(t, shape, 2)
		c := build(t, s)
		const face = -2.5e-3
		got := c.InductanceOnSteel(face, 0.8)
		// The stack's mirror image is the stack itself, 2·(face − middle) below.
		middle := (s.Layers[0].Z + s.Layers[1].Z) / 2
		m, err := c.MutualInductance(r3.Vec{Z: 2 * (face - middle)})
		if err != nil {
			t.Fatal(err)
		}
		if e := relative(got, c.Inductance()+0.8*m); e > 1e-4 { // the tracks' width
			t.Errorf("%s: %.8g H on steel, by two coils %.8g", shape, got, c.Inductance()+0.8*m)
		}
		if none := c.InductanceOnSteel(face, 0); none != c.Inductance() {
			t.Errorf("%s: steel of factor 0 changes the inductance", shape)
		}
		if far := c.InductanceOnSteel(-1, 1); relative(far, c.Inductance()) > 1e-6 {
			t.Errorf("%s: steel a metre away changes the inductance", shape)
		}
		last := s.Layers[1]
		back := last.Z - last.Copper/2
		if in, on := c.InductanceOnSteel(back+last.Copper/4, 0.8), c.InductanceOnSteel(back, 0.8); in != on {
			t.Errorf("%s: steel that the copper has grown into gives %g H, against the copper %g H", shape, in, on)
		}
	}
}

func TestMutualRefusesOverlap(t *testing.T) {
	c := build(t, usual(t, Round, 2))
	for _, o := range []r3.Vec{{}, {X: 5e-3}, {X: 6e-3, Y: 6e-3, Z: 1e-3}, {X: math.NaN()}, {Y: math.Inf(1)}} {
		if _, err := c.MutualInductance(o); err == nil {
			t.Errorf("accepted the offset %v", o)
		}
	}
	for _, o := range []r3.Vec{{X: 9.3e-3}, {X: 7e-3, Y: 7e-3}, {Z: 2.1e-3}} {
		if m, err := c.MutualInductance(o); err != nil || m == 0 || math.IsNaN(m) {
			t.Errorf("offset %v: %g H, %v", o, m, err)
		}
	}
}

var sink float64

func BenchmarkInductance(b *testing.B) {
	for _, shape := range Shapes() {
		b.Run(fmt.Sprintf("%s/12 layers", shape), func(b *testing.B) {
			c := build(b, usual(b, shape, 12))
			for b.Loop() {
				sink = c.Inductance()
			}
		})
	}
	// The rival: every pair of the coil's 204 turns on its own.
	b.Run("round/12 layers/pair by pair", func(b *testing.B) {
		c := build(b, usual(b, Round, 12))
		type loop struct{ r, z float64 }
		var loops []loop
		for _, l := range c.spec.Layers {
			for _, t := range c.turns {
				loops = append(loops, loop{t.apothem, l.Z})
			}
		}
		g := RectangleGMD(c.spec.Track, c.spec.Layers[0].Copper)
		for b.Loop() {
			sum := 0.0
			for i, p := range loops {
				sum += LoopSelf(p.r, g)
				for _, q := range loops[:i] {
					sum += 2 * LoopMutual(p.r, q.r, p.z-q.z)
				}
			}
			sink = sum
		}
	})
}

func BenchmarkMutualNeighbour(b *testing.B) {
	for _, shape := range Shapes() {
		b.Run(string(shape), func(b *testing.B) {
			c := build(b, usual(b, shape, 12))
			for b.Loop() {
				m, err := c.MutualInductance(r3.Vec{X: 10e-3})
				if err != nil {
					b.Fatal(err)
				}
				sink = m
			}
		})
	}
}

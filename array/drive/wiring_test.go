package drive

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// dense solves the same wiring by nodal analysis on one dense matrix, pixels and
// all: slow, plain and independent of the banded solves.
func dense(t *testing.T, w Wiring, conductance, current []float64) []float64 {
	t.Helper()
	n := w.Rows * w.Cols
	// Nodes: row side of the pixels, column side, then buses and the two entries.
	next := 2 * n
	node := func() int { next++; return next - 1 }
	type resistor struct {
		a, b int
		ohms float64
	}
	var net []resistor
	entry := [2]int{node(), node()}
	lay := func(f Feeders, teeth, long int, at func(tooth, k int) int, in int) {
		ends := []Feed{FeedNear, FeedFar}
		for _, end := range ends {
			if f.Feed != end && f.Feed != FeedBoth && (f.Feed != "" || end != FeedNear) {
				continue
			}
			bus := in
			for tooth := range teeth {
				if f.Bus > 0 {
					b := node()
					net = append(net, resistor{bus, b, f.Bus})
					bus = b
				}
				k := 0
				if end == FeedFar {
					k = long - 1
				}
				net = append(net, resistor{bus, at(tooth, k), f.Segment})
			}
		}
		for tooth := range teeth {
			for k := range long - 1 {
				net = append(net, resistor{at(tooth, k), at(tooth, k+1), f.Segment})
			}
		}
	}
	lay(w.Row, w.Rows, w.Cols, func(r, c int) int { return r*w.Cols + c }, entry[0])
	lay(w.Column, w.Cols, w.Rows, func(c, r int) int { return n + r*w.Cols + c }, entry[1])
	source := node()
	net = append(net, resistor{source, entry[0], w.Lead})

	a := mat.NewDense(next, next, nil)
	b := mat.NewVecDense(next, nil)
	for _, r := range net {
		g := 1 / r.ohms
		a.Set(r.a, r.a, a.At(r.a, r.a)+g)
		a.Set(r.b, r.b, a.At(r.b, r.b)+g)
		a.Set(r.a, r.b, a.At(r.a, r.b)-g)
		a.Set(r.b, r.a, a.At(r.b, r.a)-g)
	}
	for i := range n {
		g := conductance[i]
		a.Set(i, i, a.At(i, i)+g)
		a.Set(n+i, n+i, a.At(n+i, n+i)+g)
		a.Set(i, n+i, a.At(i, n+i)-g)
		a.Set(n+i, i, a.At(n+i, i)-g)
		b.SetVec(i, b.AtVec(i)-current[i])
		b.SetVec(n+i, b.AtVec(n+i)+current[i])
	}
	for k, fix := range []int{source, entry[1]} {
		for j := range next {
			a.Set(fix, j, 0)
		}
		a.Set(fix, fix, 1)
		b.SetVec(fix, w.Voltage*float64(1-k))
	}
	var v mat.VecDense
	if err := v.SolveVec(a, b); err != nil {
		t.Fatal(err)
	}
	out := make([]float64, n)
	for i := range out {
		out[i] = v.AtVec(i) - v.AtVec(n+i)
	}
	return out
}

func TestWiringAgainstDense(t *testing.T) {
	r := rand.New(rand.NewPCG(20, 1))
	for _, rowFeed := range []Feed{"", FeedFar, FeedBoth} {
		for _, colFeed := range []Feed{FeedNear, FeedFar, FeedBoth} {
			for _, bus := range []float64{0, 0.004} {
				w := Wiring{
					Rows: 5, Cols: 7, Voltage: 12, Lead: 0.01,
					Row: Feeders{0.02, bus, rowFeed}, Column: Feeders{0.03, bus / 2, colFeed},
				}
				n := w.Rows * w.Cols
				g, i := make([]float64, n), make([]float64, n)
				for k := range g {
					if r.IntN(5) > 0 {
						g[k] = 0.3 * r.Float64()
						i[k] = 0.2 * r.Float64()
					}
				}
				want := dense(t, w, g, i)
				net, err := NewNetwork(w)
				if err != nil {
					t.Fatal(err)
				}
				d, err := net.Solve(g, i)
				if err != nil {
					t.Fatal(err)
				}
				for k := range want {
					near(t, "voltage", d.Voltage[k], want[k], 1e-11)
				}
				near(t, "energy", d.Loss+d.Delivered, w.Voltage*d.Total, 1e-11)
				if t.Failed() {
					t.Fatalf("%+v", w)
				}
			}
		}
	}
}

// By hand: one row of three pixels of 1 A each, feeder 10 mΩ a pitch, column side
// 20 mΩ a pitch, leads 5 mΩ. The last pixel loses 10 mΩ·(3+2+1) A on the row,
// 20 mΩ·1 A on its column, 5 mΩ·3 A on the leads: 95 mV.
func TestWiringByHand(t *testing.T) {
	net, err := NewNetwork(Wiring{Rows: 1, Cols: 3, Voltage: 5, Row: Feeders{Segment: 0.01}, Column: Feeders{Segment: 0.02}, Lead: 0.005})
	if err != nil {
		t.Fatal(err)
	}
	d, err := net.Solve(nil, []float64{1, 1, 1})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "worst drop", d.WorstDrop, 0.095, 1e-12)
	near(t, "loss", d.Loss, 0.01*(9+4+1)+0.02*3+0.005*9, 1e-12)
	near(t, "far corner", d.FarVoltage, 4.905/5, 1e-12)
	if d.Worst != 2 || d.FarCorner != 2 || d.Total != 3 {
		t.Errorf("%+v", d)
	}
	// Fed from both ends the middle is the worst: each end brings 1.5 A, so the middle
	// loses 10 mΩ·(1.5 + 0.5) A.
	net, err = NewNetwork(Wiring{Rows: 1, Cols: 3, Voltage: 5, Row: Feeders{Segment: 0.01, Feed: FeedBoth}, Column: Feeders{}})
	if err != nil {
		t.Fatal(err)
	}
	if d, err = net.Solve(nil, []float64{1, 1, 1}); err != nil {
		t.Fatal(err)
	}
	near(t, "worst drop, both ends", d.WorstDrop, 0.02, 1e-12)
	if d.Worst != 1 {
		t.Errorf("worst pixel %d, want the middle one", d.Worst)
	}
}

// A wiring that drops nearly everything still solves: a chain of equal resistors
// ends where a dense solve says.
func TestWiringHeavyDrop(t *testing.T) {
	w := Wiring{Rows: 4, Cols: 6, Voltage: 12, Lead: 2, Row: Feeders{5, 3, FeedNear}, Column: Feeders{7, 2, FeedBoth}}
	g := constant(24, 1)
	net, err := NewNetwork(w)
	if err != nil {
		t.Fatal(err)
	}
	d, err := net.Solve(g, nil)
	if err != nil {
		t.Fatal(err)
	}
	for k, want := range dense(t, w, g, constant(24, 0)) {
		if math.Abs(d.Voltage[k]-want) > 1e-11 {
			t.Errorf("pixel %d: %v V, want %v V", k, d.Voltage[k], want)
		}
	}
}

// The full bridge draws in proportion to its voltage, the low side nearly so; in
// both the solution is consistent: each pixel draws what its circuit draws there.
func TestWiringWithDrive(t *testing.T) {
	for _, mode := range []Mode{Direct, Scan} {
		for _, bridge := range bridges {
			p := testParams(mode, bridge)
			p.BoostVoltage = 0
			d := mustNew(t, p)
			levels, resistance := picture(rand.New(rand.NewPCG(21, 1)), d)
			net, err := NewNetwork(Wiring{
				Rows: p.Rows, Cols: p.Cols, Voltage: p.Voltage, Lead: 0.01,
				Row: Feeders{Segment: 0.01, Bus: 0.001}, Column: Feeders{Segment: 0.01, Feed: FeedFar},
			})
			if err != nil {
				t.Fatal(err)
			}
			drops, err := net.SolveDrive(d, levels, resistance)
			if err != nil {
				t.Fatal(err)
			}
			wired := d.WithVoltages(drops.Voltage)
			dst := make([]PixelState, d.Pixels())
			if err := wired.Steady(dst, levels, resistance); err != nil {
				t.Fatal(err)
			}
			var power float64
			for i, s := range dst {
				near(t, "current", drops.Current[i], s.RailAverage, 1e-7)
				power += s.Power
			}
			near(t, "delivered", drops.Delivered, power, 1e-7)
			if drops.WorstDrop <= 0 || drops.LossShare() <= 0 || drops.LossShare() > 0.5 {
				t.Errorf("%s %s: %+v", mode, bridge, drops)
			}
		}
	}
}

// More current anywhere never raises a voltage, and wider copper never loses more
// for the same currents (Rayleigh's monotonicity law).
func TestWiringMonotonic(t *testing.T) {
	r := rand.New(rand.NewPCG(22, 1))
	w := Wiring{Rows: 6, Cols: 8, Voltage: 12, Row: Feeders{0.02, 0.002, FeedBoth}, Column: Feeders{0.02, 0, FeedNear}, Lead: 0.01}
	net, err := NewNetwork(w)
	if err != nil {
		t.Fatal(err)
	}
	w.Row.Segment /= 2
	wide, err := NewNetwork(w)
	if err != nil {
		t.Fatal(err)
	}
	current := make([]float64, 48)
	before, err := net.Solve(nil, current)
	if err != nil {
		t.Fatal(err)
	}
	for range 30 {
		current[r.IntN(48)] += r.Float64()
		d, err := net.Solve(nil, current)
		if err != nil {
			t.Fatal(err)
		}
		better, err := wide.Solve(nil, current)
		if err != nil {
			t.Fatal(err)
		}
		for i := range current {
			if d.Voltage[i] > before.Voltage[i]+1e-12 {
				t.Fatalf("pixel %d: %v V, before %v V", i, d.Voltage[i], before.Voltage[i])
			}
		}
		if better.Loss > d.Loss*(1+1e-12) {
			t.Fatalf("wider copper loses %v W, narrower %v W", better.Loss, d.Loss)
		}
		before = d
	}
}

package lattice

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestUpdate runs a random animation, some frames with few changes and some with
// many, and expects planes kept up to date to equal a sum made from scratch.
func TestUpdate(t *testing.T) { bothWays(t, testUpdate) }

func testUpdate(t *testing.T) {
	for _, kc := range kernelCases {
		s := Shape{Rows: 9, Cols: 12, Samples: 3, Margin: 1, Components: kc.components}
		e := mustNew(t, s, kc.kernel, kc.options...)
		r := rand.New(rand.NewPCG(10, 10))
		p, q := e.NewPlanes(), e.NewPlanes()
		levels := make([]float64, s.Pixels())
		few, many := 0, 0
		for range 30 {
			n := r.IntN(e.Crossing() + 1)
			if r.IntN(3) == 0 {
				n = s.Pixels()
			}
			for range n {
				levels[r.IntN(s.Pixels())] = 2*r.Float64() - 1
			}
			changed, err := e.Update(p, levels)
			if err != nil {
				t.Fatal(err)
			}
			if changed > e.Crossing() {
				many++
			} else if changed > 0 {
				few++
			}
			e.whole(q, levels)
			compare(t, kc.name, rasters(p), rasters(q))
			for i, v := range p.Levels() {
				if v != levels[i] {
					t.Fatalf("%s: planes stand for level %g of pixel %d, want %g", kc.name, v, i, levels[i])
				}
			}
		}
		if few == 0 || many == 0 {
			t.Errorf("%s: %d frames with few changes and %d with many; both ways must be tried", kc.name, few, many)
		}
		if changed, _ := e.Update(p, levels); changed != 0 {
			t.Errorf("%s: %d pixels changed from a frame to itself", kc.name, changed)
		}
	}
}

// TestDrift adds many more changes than are allowed to pile up and holds the
// rounding against the bound stated at Update, term by term. The changes keep a
// sum of the same size throughout, so the largest sum is that of the run.
func TestDrift(t *testing.T) { bothWays(t, testDrift) }

func testDrift(t *testing.T) {
	s := Shape{Rows: 6, Cols: 7, Samples: 2, Components: 3}
	e := mustNew(t, s, square, Field())
	r := rand.New(rand.NewPCG(11, 11))
	p, q := e.NewPlanes(), e.NewPlanes()
	top, worstError, mostAdds := 0.0, 0.0, 0
	strongest := 0.0
	for c := range s.Components {
		strongest = max(strongest, e.table.peak()[c])
	}
	biggest := 0.0
	for n := range 4 * resync {
		pixel := r.IntN(s.Pixels())
		by := 2*r.Float64() - 1 - p.Levels()[pixel]
		biggest = max(biggest, math.Abs(by)*strongest)
		if err := e.Add(p, pixel, by); err != nil {
			t.Fatal(err)
		}
		mostAdds = max(mostAdds, p.adds)
		if p.adds > resync {
			t.Fatalf("%d changes piled up, at most %d allowed", p.adds, resync)
		}
		if n%64 == 63 || p.adds == resync {
			e.whole(q, p.Levels())
			a, b := rasters(p), rasters(q)
			top = max(top, largest(b))
			for i := range a {
				worstError = max(worstError, math.Abs(a[i]-b[i]))
			}
		}
	}
	if mostAdds != resync {
		t.Errorf("at most %d changes piled up, want the bound to be tried with %d", mostAdds, resync)
	}
	bound := resync*0x1p-53*(2*top+biggest) + 1e-14*top // and the reference's own rounding
	t.Logf("largest error %.2g, bound %.2g, largest sum %.2g", worstError, bound, top)
	if worstError > bound {
		t.Errorf("error %g above the bound %g", worstError, bound)
	}
}

func TestAddErrors(t *testing.T) {
	s := Shape{Rows: 3, Cols: 4, Samples: 2, Components: 2}
	e := mustNew(t, s, crooked)
	p := e.NewPlanes()
	frames := mustNew(t, s, crooked, FramesOnly())
	other := mustNew(t, Shape{Rows: 4, Cols: 3, Samples: 2, Components: 2}, crooked).NewPlanes()
	for _, f := range []struct {
		err  error
		want string
	}{
		{e.Add(p, -1, 1), "lattice: pixel -1 of 3×4, must be 0 to 11"},
		{e.Add(p, 12, 1), "lattice: pixel 12 of 3×4, must be 0 to 11"},
		{e.Add(p, 0, math.NaN()), "lattice: change of pixel 0 by NaN makes its level NaN, must be finite"},
		{e.Add(p, 0, math.Inf(1)), "lattice: change of pixel 0 by +Inf makes its level +Inf, must be finite"},
		{frames.Add(p, 0, 1), "lattice: Add on an engine made with FramesOnly"},
		{e.Add(nil, 0, 1), "lattice: planes are nil, want those of Engine.NewPlanes"},
		{e.Add(other, 0, 1), "lattice: planes are of shape {Rows:4 Cols:3 Samples:2 Margin:0 Components:2}, the engine of shape {Rows:3 Cols:4 Samples:2 Margin:0 Components:2}"},
	} {
		if f.err == nil || f.err.Error() != f.want {
			t.Errorf("error %v, want %q", f.err, f.want)
		}
	}
	for i, v := range p.data {
		if v != 0 {
			t.Fatalf("a refused change wrote %g at %d", v, i)
		}
	}
	// Without the table Update still works, by whole frames.
	levels := make([]float64, s.Pixels())
	if err := frames.Superpose(p, levels); err != nil {
		t.Fatal(err)
	}
	levels[3] = 1
	if _, err := frames.Update(p, levels); err != nil {
		t.Fatal(err)
	}
	q := e.NewPlanes()
	if err := e.Superpose(q, levels); err != nil {
		t.Fatal(err)
	}
	compare(t, "FramesOnly", rasters(p), rasters(q))
}

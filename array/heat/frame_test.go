package heat

import (
	"math"
	"math/rand/v2"
	"testing"
)

// framed is a board as a display has it, with rims, of coils that trade heat with the
// board within 25 ms on a plate that conducts well.
func framed(rows, cols int) Params {
	film := Film{Length: 0.12, Emissivity: 0.9}
	front := film
	front.Insulation = 0.02
	return Params{
		Rows: rows, Cols: cols, Ambient: 298.15, Front: front, Back: film, Edge: film,
		Layers: []Layer{
			{Capacity: 0.047, Down: 1.87},
			{Capacity: 0.48, Lateral: 0.013, Down: 0.012, Front: 1.44e-4, Rim: 2.4e-5},
			{Capacity: 0.545, Lateral: 0.05, Back: 1.44e-4, Rim: 1.2e-5},
		},
	}
}

// Frames much longer than the coils' own time constant, lit at random with up to 6 W a
// pixel (3 K between coil and board), stay within the tolerance of 0.01 K per 10 K of short steps.
func TestFramesWithinTolerance(t *testing.T) {
	for _, dt := range []float64{0.1, 0.25, 0.5, 1, 2} {
		p := framed(6, 8)
		n := New(p)
		fine := New(p)
		rng := rand.New(rand.NewPCG(5, 6))
		load := &VoltageDrive{Copper: Copper{12, 0.00393}, Volts: 8.5, Series: 0.6, Share: make([]float64, 48)}
		worst, top := 0.0, 0.0
		for range 30 {
			for i := range load.Share {
				load.Share[i] = math.Max(0, 4*rng.Float64()-3)
			}
			if err := n.Step(t.Context(), dt, load); err != nil {
				t.Fatal(err)
			}
			for range int(dt / 0.0025) {
				fine.splitter().step(0.0025, load)
			}
			for i, r := range fine.rise {
				worst, top = math.Max(worst, math.Abs(n.rise[i]-r)), math.Max(top, r)
			}
		}
		if !(worst < 1e-3*math.Max(10, top)) {
			t.Errorf("frames of %g s: %.2g K off, of up to %.3g K", dt, worst, top)
		}
		t.Logf("frames of %g s: within %.2g K of up to %.3g K", dt, worst, top)
		balanced(t, "frames", n)
	}
}

// BenchmarkFrame is one frame of half a second on a display of 64 × 64.
func BenchmarkFrame(b *testing.B) {
	n := New(framed(64, 64))
	watts := make([]float64, 64*64)
	for i := range watts {
		watts[i] = float64(i%7) * 0.1
	}
	load := &FixedPower{watts}
	for _, c := range []struct {
		name string
		step func() error
	}{
		{"auto", func() error { return n.Step(b.Context(), 0.5, load) }},
		{"implicit", func() error { return n.long(b.Context(), 0.5, load) }},
	} {
		b.Run(c.name, func(b *testing.B) {
			n.Start(298.15)
			for b.Loop() {
				if err := c.step(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

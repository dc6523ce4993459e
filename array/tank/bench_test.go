package tank

import (
	"math"
	"math/rand/v2"
	"testing"
)

// benchTank is a tank of 16×10 pixels of 12 mm at 16 cells per pitch.
func benchTank(b *testing.B, fill func(*Tank) error) *Tank {
	b.Helper()
	t, err := New(base())
	if err != nil {
		b.Fatal(err)
	}
	if err := fill(t); err != nil {
		b.Fatal(err)
	}
	return t
}

func run(b *testing.B, t *Tank, pi []float64) {
	b.Helper()
	n, model := 0, 0.0
	b.ReportAllocs()
	for b.Loop() {
		st, err := t.Step(1.0/60, pi)
		if err != nil {
			b.Fatal(err)
		}
		n += st.Substeps
		model += 1.0 / 60
	}
	b.ReportMetric(float64(n)/b.Elapsed().Seconds(), "substeps/s")
	b.ReportMetric(model/b.Elapsed().Seconds(), "×real")
}

// One op is one frame of 1/60 s.
func BenchmarkDrop(b *testing.B) {
	t := benchTank(b, func(t *Tank) error { return t.FillDisc(0, 0, 0.006) })
	run(b, t, gauss(t, 0.012, 0, 0.006, 80))
}

func BenchmarkPool(b *testing.B) {
	t := benchTank(b, func(t *Tank) error { return t.FillBelow(0.03) })
	pi := make([]float64, len(t.c))
	for k := range 8 {
		for i, v := range gauss(t, 0.024*(float64(k)-3.5), -0.03, 0.006, 80) {
			pi[i] += v
		}
	}
	run(b, t, pi)
}

// Fluid torn to shreds all over the tank: the interface is everywhere.
func BenchmarkShreds(b *testing.B) {
	t := benchTank(b, func(t *Tank) error {
		rng := rand.New(rand.NewPCG(1, 2))
		for range 300 {
			if err := t.FillDisc(0.18*(rng.Float64()-0.5), 0.11*(rng.Float64()-0.5), 0.0016); err != nil {
				return err
			}
		}
		return nil
	})
	rng := rand.New(rand.NewPCG(3, 4))
	pi := make([]float64, len(t.c))
	for range 60 {
		for i, v := range gauss(t, 0.18*(rng.Float64()-0.5), 0.11*(rng.Float64()-0.5), 0.006, 200*rng.Float64()) {
			pi[i] = math.Max(pi[i], v)
		}
	}
	run(b, t, pi)
}

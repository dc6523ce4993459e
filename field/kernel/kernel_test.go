package kernel

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/field"
)

// square is a closed square turn of half side a at height z.
func square(a, z float64) field.Source {
	p := []r3.Vec{{X: -a, Y: -a, Z: z}, {X: a, Y: -a, Z: z}, {X: a, Y: a, Z: z}, {X: -a, Y: a, Z: z}, {X: -a, Y: -a, Z: z}}
	return field.Path{Points: p, Current: 1}
}

// polygon is a closed regular turn of n sides, a the distance to a side's middle.
func polygon(n int, a, z float64) field.Source {
	var p []r3.Vec
	for i := range n + 1 {
		sin, cos := math.Sincos(2 * math.Pi * (float64(i) + 0.5) / float64(n))
		out := a / math.Cos(math.Pi/float64(n))
		p = append(p, r3.Vec{X: out * cos, Y: out * sin, Z: z})
	}
	return field.Path{Points: p, Current: 1}
}

func sources() map[string]Spec {
	round := field.Sum{}
	for _, a := range []float64{2e-3, 3.5e-3, 5e-3} {
		round = append(round, field.Coaxial{Loops: []field.CoaxialLoop{{Radius: a, Current: 1}}}, field.Coaxial{Loops: []field.CoaxialLoop{{Radius: a, Z: -1e-3, Current: 1}}})
	}
	return map[string]Spec{
		"round":       {Source: round, Height: 2e-3, Fold: 0, Reach: 0.3, Scale: 5e-3},
		"square":      {Source: field.Sum{square(5e-3, 0), square(3e-3, -0.5e-3)}, Height: 2e-3, Fold: 4, Reach: 0.3, Scale: 5e-3},
		"square near": {Source: square(5e-3, 0), Height: 0.7e-3, Fold: 4, Reach: 0.1, Scale: 5e-3},
		"hexagon":     {Source: field.Sum{polygon(6, 5e-3, 0), polygon(6, 2e-3, -1e-3)}, Height: 1.5e-3, Fold: 6, Reach: 0.2, Scale: 5e-3},
	}
}

// The kernel meets the source it was built from, near and far, to the tolerance
// asked for, at points it has not seen.
func TestKernelMeetsItsSource(t *testing.T) {
	for name, s := range sources() {
		k, err := Build(t.Context(), s)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		tol := s.RelTol
		if tol == 0 {
			tol = 1e-10
		}
		rng := rand.New(rand.NewPCG(7, 7))
		worst := 0.0
		for range 400 {
			r := s.Reach * math.Pow(rng.Float64(), 3)
			sin, cos := math.Sincos(2 * math.Pi * rng.Float64())
			p := r3.Vec{X: r * cos, Y: r * sin, Z: s.Height}
			worst = max(worst, r3.Norm(r3.Sub(k.At(p.X, p.Y), s.Source.B(p)))/k.Peak)
		}
		t.Logf("%s: %d panels, error %.1e of peak (own check %.1e)", name, len(k.panels), worst, k.Error)
		if worst > 10*tol {
			t.Errorf("%s: error %.2e of the peak, want under %.0e", name, worst, 10*tol)
		}
		if k.Error > 10*tol {
			t.Errorf("%s: stated error %.2e, want under %.0e", name, k.Error, 10*tol)
		}
	}
}

// The derivatives meet central differences of the source.
func TestGradientMeetsDifferences(t *testing.T) {
	for name, s := range sources() {
		k, err := Build(t.Context(), s)
		if err != nil {
			t.Fatal(err)
		}
		rng := rand.New(rand.NewPCG(8, 8))
		for range 100 {
			x, y := (rng.Float64()-0.5)*20e-3, (rng.Float64()-0.5)*20e-3
			g := k.LocalAt(x, y)
			j := field.Gradient(s.Source, r3.Vec{X: x, Y: y, Z: s.Height}, 1e-5)
			got := [5]float64{g.DxBx, g.DxBy, g.DyBy, g.DxBz, g.DyBz}
			want := [5]float64{j[0][0], j[1][0], j[1][1], j[2][0], j[2][1]}
			tol := 1e-6
			if s.RelTol > 0 {
				tol = 1e-3
			}
			for i := range got {
				if math.Abs(got[i]-want[i]) > tol*k.Peak/1e-3 {
					t.Fatalf("%s at (%g, %g): derivative %d is %g, differences say %g", name, x, y, i, got[i], want[i])
				}
			}
		}
	}
}

func TestBuildRefusesPlaneInSource(t *testing.T) {
	if _, err := Build(t.Context(), Spec{Source: notFinite{}, Reach: 0.1, Scale: 5e-3}); err == nil {
		t.Error("a field that is not finite: no error")
	}
}

type notFinite struct{}

func (notFinite) B(r3.Vec) r3.Vec { return r3.Vec{Z: math.NaN()} }

var sink r3.Vec

func BenchmarkAtRound(b *testing.B)  { benchmarkAt(b, "round") }
func BenchmarkAtSquare(b *testing.B) { benchmarkAt(b, "square") }

func benchmarkAt(b *testing.B, name string) {
	k, err := Build(b.Context(), sources()[name])
	if err != nil {
		b.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(1, 1))
	for b.Loop() {
		sink = k.At(0.05*rng.Float64(), 0.05*rng.Float64())
	}
}

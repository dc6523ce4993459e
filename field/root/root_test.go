package root

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"lodegrid/field/countdown"
)

// counted is a function that counts its evaluations.
func counted(f func(float64) float64, n *int) func(float64) (float64, error) {
	return func(x float64) (float64, error) { *n++; return f(x), nil }
}

// Roots known to all digits: the omega constant of x eˣ = 1 (OEIS A030178), the fixed point
// of the cosine (OEIS A003957), √2; from memory.
func TestFind(t *testing.T) {
	for _, c := range []struct {
		name      string
		f         func(float64) float64
		low, high float64
		root      float64
		most      int // evaluations
	}{
		{"x eˣ − 1", func(x float64) float64 { return x*math.Exp(x) - 1 }, -1, 1, 0.5671432904097838, 12},
		{"cos x − x", func(x float64) float64 { return math.Cos(x) - x }, 0, 2, 0.7390851332151607, 12},
		{"x² − 2", func(x float64) float64 { return x*x - 2 }, 0, 40, math.Sqrt2, 22},
		{"falling", func(x float64) float64 { return 2 - x*x }, 0, 40, math.Sqrt2, 22},
		{"a step", func(x float64) float64 { return math.Copysign(1, x-0.3) }, -1, 1, 0.3, 42},
		{"infinite at an end", func(x float64) float64 { return math.Log(x) }, 0, 3, 1, 22},
		{"infinite on a side", func(x float64) float64 {
			if x > 0.1 {
				return math.Inf(1)
			}
			return x - 0.1
		}, -1, 1, 0.1, 42},
		{"infinite on both", func(x float64) float64 { return math.Inf(int(math.Copysign(1, x-0.7))) }, 0, 1, 0.7, 42},
		{"flat", func(x float64) float64 { return math.Pow(x-0.4, 9) }, 0, 1, 0.4, 42},
		{"tiny", func(x float64) float64 { return 1e-300 * (x - 0.25) }, 0, 1, 0.25, 12},
	} {
		n := 0
		left, right, err := Find(t.Context(), counted(c.f, &n), c.low, c.high, 1e-11)
		if err != nil || left > right || right-left > 1e-11 || math.Abs(left-c.root) > 2e-11 && c.name != "flat" || n > c.most {
			t.Errorf("%s: %.15g … %.15g, %v in %d evaluations, want %.15g in %d", c.name, left, right, err, n, c.root, c.most)
		}
		if c.f(left) != 0 && (c.f(left) > 0) != (c.f(c.low) > 0) || c.f(right) != 0 && (c.f(right) > 0) != (c.f(c.high) > 0) {
			t.Errorf("%s: the signs at %g and %g are %g, %g", c.name, left, right, c.f(left), c.f(right))
		}
	}
}

// Whatever rises is bracketed, never in more than one evaluation above bisection's.
func TestFindBounded(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 2000 {
		low := rng.NormFloat64() * 10
		high := low + math.Exp(6*rng.Float64()-3)
		root := low + (high-low)*rng.Float64()
		power, steep := math.Exp(3*rng.Float64()-1.5), math.Exp(20*rng.NormFloat64())
		n := 0
		f := counted(func(x float64) float64 {
			v := steep * math.Copysign(math.Pow(math.Abs(x-root), power), x-root)
			if rng.Float64() < 0.1 {
				v = math.Copysign(math.Inf(1), v) // as monotone as before
			}
			return v
		}, &n)
		tol := (high - low) * math.Exp2(-float64(1+rng.IntN(30)))
		left, right, err := Find(t.Context(), f, low, high, tol)
		most := 2 + int(math.Ceil(math.Log2((high-low)/tol)+1e-3)) + 1 // bisection takes as many where rounding has its way
		if err != nil || !(left <= root && root <= right) && math.Abs(left-root) > 1e-12*(1+math.Abs(root)) || right-left > tol || n > most {
			t.Fatalf("root %g in %g … %g to %g: %g … %g, %v, in %d of %d evaluations", root, low, high, tol, left, right, err, n, most)
		}
	}
}

func TestFindRefuses(t *testing.T) {
	line := func(x float64) (float64, error) { return x - 5, nil }
	own := errors.New("its own")
	for _, c := range []struct {
		name           string
		f              func(float64) (float64, error)
		low, high, tol float64
	}{
		{"one sign", line, 0, 1, 0.1}, {"out of order", line, 9, 0, 0.1}, {"infinite ends", line, math.Inf(-1), 9, 0.1},
		{"no tolerance", line, 0, 9, math.NaN()},
		{"not a number", func(x float64) (float64, error) { return math.Sqrt(x - 1), nil }, 0, 9, 0.1},
		{"an error", func(x float64) (float64, error) { return 0, own }, 0, 9, 0.1},
	} {
		if _, _, err := Find(t.Context(), c.f, c.low, c.high, c.tol); err == nil || c.name == "an error" && !errors.Is(err, own) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	countdown.Stops(t, 5, func(ctx context.Context) error {
		_, _, err := Find(ctx, line, 0, 9, 0)
		return err
	})
	countdown.Stops(t, 25, func(ctx context.Context) error {
		_, _, err := Edge(ctx, func(x float64) (bool, error) { return x < math.Pi, nil }, 0, 9, 0)
		return err
	})
}

func TestEdge(t *testing.T) {
	for _, ends := range [][2]float64{{0, 10}, {10, 0}} {
		below := ends[0] < ends[1]
		in, out := Boundary(func(x float64) bool { return (x < math.Pi) == below }, ends[0], ends[1], 0)
		if math.Nextafter(in, out) != out || math.Min(in, out) >= math.Pi || math.Max(in, out) < math.Pi {
			t.Errorf("from %g to %g: %.17g and %.17g", ends[0], ends[1], in, out)
		}
		n := 0
		in, out = Boundary(func(x float64) bool { n++; return (x < math.Pi) == below }, ends[0], ends[1], 0.01)
		if math.Abs(out-in) > 0.01 || n != 10 {
			t.Errorf("from %g to %g: %g and %g after %d trials", ends[0], ends[1], in, out, n)
		}
	}
	own := errors.New("its own")
	if _, _, err := Edge(t.Context(), func(float64) (bool, error) { return false, own }, 0, 1, 0.1); !errors.Is(err, own) {
		t.Errorf("%v", err)
	}
}

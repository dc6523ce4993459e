package tank

import (
	"math"
	"testing"
)

func mean(c []float64) float64 { return sum(c) / float64(len(c)) }

// A parabolic well Π = P − ½kr² holds a disc of the volume asked for, its middle
// lowered by Δρg/k: Π − Δρgy is the same parabola about that point.
func TestEquilibriumInAParabolicWell(t *testing.T) {
	p := base()
	tk := newTank(t, p)
	const k = 2e5 // Pa/m²
	pi := make([]float64, p.Cols*p.Rows)
	for n := range pi {
		x, y := tk.middle(n/p.Cols, n%p.Cols)
		pi[n] = 80 - 0.5*k*((x-0.01)*(x-0.01)+y*y)
	}
	const share = 0.05
	c, err := Equilibrium(p, pi, share)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(mean(c)/share-1) > 1e-11 {
		t.Errorf("share %g, want %g", mean(c), share)
	}
	radius := math.Sqrt(share * p.Width * p.Height / math.Pi)
	low := -p.DensityDifference * StandardGravity / k
	for n, v := range c {
		x, y := tk.middle(n/p.Cols, n%p.Cols)
		d := radius - math.Hypot(x-0.01, y-low)
		if d > 1.5*tk.dx && v != 1 || d < -1.5*tk.dx && v != 0 {
			t.Fatalf("share %g at %g m inside the edge", v, d)
		}
		if want := min(max(0.5+d/tk.dx, 0), 1); math.Abs(v-want) > 0.25 {
			t.Fatalf("share %g at %g m inside the edge, want about %g", v, d, want)
		}
	}
}

// With no field the fluid lies level at the bottom, the light one at the top; where
// nothing pulls it is spread.
func TestEquilibriumWithoutField(t *testing.T) {
	p := base()
	p.Cols, p.Rows = 64, 40
	for _, sign := range []float64{1, -1} {
		q := p
		q.DensityDifference *= sign
		c, err := Equilibrium(q, nil, 0.3)
		if err != nil {
			t.Fatal(err)
		}
		for i := range 40 {
			want := 0.0
			if i >= 28 && sign > 0 || i < 12 && sign < 0 {
				want = 1
			}
			if math.Abs(c[i*64+7]-want) > 1e-9 {
				t.Errorf("sign %g: row %d has %g, want %g", sign, i, c[i*64+7], want)
			}
		}
	}
	p.GravityY = 0
	c, err := Equilibrium(p, nil, 0.3)
	if err != nil {
		t.Fatal(err)
	}
	for k, v := range c {
		if v != 0.3 {
			t.Fatalf("cell %d has %g", k, v)
		}
	}
	// One lit pixel on a flat tank, more fluid than its reach: the rest is level.
	tk := newTank(t, p)
	pi := make([]float64, 64*40)
	for k := range pi {
		x, y := tk.middle(k/64, k%64)
		pi[k] = max(0, 80-1e6*(x*x+y*y))
	}
	if c, err = Equilibrium(p, pi, 0.3); err != nil {
		t.Fatal(err)
	}
	if math.Abs(mean(c)-0.3) > 1e-10 || c[20*64+32] != 1 || math.Abs(c[0]-c[63]) > 1e-12 || c[0] <= 0 || c[0] >= 0.3 {
		t.Errorf("mean %g, at the pixel %g, in the corners %g and %g", mean(c), c[20*64+32], c[0], c[63])
	}
}

func TestEquilibriumVolumes(t *testing.T) {
	p := base()
	p.Cols, p.Rows = 64, 40
	tk := newTank(t, p)
	pi := gauss(tk, 0.01, 0, 0.01, 200)
	for _, share := range []float64{0, 1e-4, 0.01, 0.1, 0.5, 0.9, 0.999, 1} {
		c, err := Equilibrium(p, pi, share)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(mean(c)-share) > 1e-12 {
			t.Errorf("share %g, want %g", mean(c), share)
		}
	}
	for _, share := range []float64{-0.1, 1.1, math.NaN()} {
		if _, err := Equilibrium(p, pi, share); err == nil {
			t.Errorf("share %g gave no error", share)
		}
	}
	if _, err := Equilibrium(p, pi[1:], 0.1); err == nil {
		t.Error("a short field gave no error")
	}
	p.Gap = 0
	if _, err := Equilibrium(p, pi, 0.1); err == nil {
		t.Error("a tank without a gap gave no error")
	}
}

// The moving fluid comes to rest where Equilibrium says, when surface tension is
// small against the field.
func TestFluidComesToEquilibrium(t *testing.T) {
	p := base()
	p.Width, p.Height, p.Cols, p.Rows = 0.048, 0.048, 64, 64
	p.SurfaceTension = 1e-3
	tk := newTank(t, p)
	disc(t, tk, 0, 0.004, 0.006)
	pi := gauss(tk, 0, 0, 0.008, 80)
	step(t, tk, 3, pi)
	c, err := Equilibrium(p, pi, mean(tk.Fraction()))
	if err != nil {
		t.Fatal(err)
	}
	// The edges differ in width by choice: compare the sides of one half.
	apart, all := 0, 0
	for k, v := range tk.Fraction() {
		if (v > 0.5) != (c[k] > 0.5) {
			apart++
		}
		if c[k] > 0.5 {
			all++
		}
	}
	t.Logf("%d of %d cells differ", apart, all)
	if all < 150 || apart > all/25 {
		t.Errorf("%d of %d cells differ from the equilibrium", apart, all)
	}
}

func BenchmarkEquilibrium(b *testing.B) {
	p := base()
	tk := newTank(b, p)
	pi := gauss(tk, 0.01, 0, 0.01, 200)
	for b.Loop() {
		if _, err := Equilibrium(p, pi, 0.1); err != nil {
			b.Fatal(err)
		}
	}
}

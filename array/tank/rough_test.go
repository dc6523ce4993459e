package tank

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// rough switches random pixels every 50 ms.
func rough(tk *Tank, rng *rand.Rand, peak float64, pi []float64) {
	clear(pi)
	pitch := tk.p.Width / 16
	for range 30 {
		x0 := (float64(rng.IntN(16)) - 7.5) * pitch
		y0 := (float64(rng.IntN(10)) - 4.5) * pitch
		for i := range tk.ny {
			for j := range tk.nx {
				x, y := tk.middle(i, j)
				if d := math.Hypot(x-x0, y-y0) / (0.42 * pitch); d < 4 {
					pi[i*tk.nx+j] = max(pi[i*tk.nx+j], peak*math.Exp(-d*d))
				}
			}
		}
	}
}

// Rough scenes: Π to 500 Pa switched every 50 ms, torn fluid, thin and thick gaps,
// no surface tension, noise in place of a field. Shares stay in 0…1 and the volume
// stays what it was; both hold whatever the field does.
func TestRoughScenes(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*Params)
		peak   float64
		noise  bool
	}{
		{"usual", func(*Params) {}, 500, false},
		{"pushed away", func(*Params) {}, -500, false},
		{"thin gap", func(p *Params) { p.Gap = 0.3e-3 }, 500, false},
		{"hardly any drag", func(p *Params) { p.Gap, p.Viscosity = 10e-3, 1e-3 }, 500, false},
		{"no surface tension", func(p *Params) { p.SurfaceTension = 0 }, 500, false},
		{"strong surface tension", func(p *Params) { p.SurfaceTension = 0.07 }, 500, false},
		{"sticky", func(p *Params) { p.ContactLine = 0.02 }, 500, false},
		{"noise", func(p *Params) { p.SurfaceTension = 0 }, 500, true},
		{"unequal cells", func(p *Params) { p.Cols = 50 }, 500, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			p := base()
			p.Cols, p.Rows = 80, 50
			c.change(&p)
			tk := newTank(t, p)
			tk.FillBelow(0.03)
			disc(t, tk, 0, 0.02, 0.008)
			rng := rand.New(rand.NewPCG(3, 5))
			pi := make([]float64, p.Cols*p.Rows)
			fastest, substeps := 0.0, 0
			for range 16 {
				if c.noise {
					for k := range pi {
						pi[k] = c.peak * rng.Float64()
					}
				} else {
					rough(tk, rng, c.peak, pi)
				}
				st := step(t, tk, 0.05, pi)
				fastest = max(fastest, st.MaxSpeed)
				substeps += st.Substeps
				if !(math.Abs(st.MassError) <= 1e-12) {
					t.Fatalf("mass error %g", st.MassError)
				}
				for k, c := range tk.Fraction() {
					if !(c >= 0 && c <= 1) {
						t.Fatalf("share %g in cell %d", c, k)
					}
				}
				if !(st.MaxSpeed < 5) {
					t.Fatalf("speed %g m/s", st.MaxSpeed)
				}
			}
			t.Logf("%d substeps, fastest %.3f m/s", substeps, fastest)
			if fastest < 1e-3 {
				t.Errorf("nothing moved: fastest %g m/s", fastest)
			}
		})
	}
}

// Tanks nobody would build, filled at random and shaken: from 0.01 mm to 0.1 m of
// gap, from nearly gas to nearly solid. Nothing may leave 0…1, get lost or blow up.
func TestWildTanks(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 5))
	between := func(a, b float64) float64 { return a * math.Pow(b/a, rng.Float64()) }
	for n := range 150 {
		p := Params{
			Width: between(1e-3, 1), Cols: 4 + rng.IntN(20), Rows: 4 + rng.IntN(20),
			Gap: between(1e-5, 0.1), Density: between(1, 1e5), Viscosity: between(1e-6, 1e3),
			SurfaceTension: between(1e-6, 10), ContactLine: between(1e-6, 1),
			GravityX: 100 * rng.NormFloat64(), GravityY: 100 * rng.NormFloat64(),
		}
		p.Height = p.Width * float64(p.Rows) / float64(p.Cols) * between(0.6, 1.6)
		p.DensityDifference = p.Density * (2*rng.Float64() - 1)
		if rng.IntN(3) == 0 {
			p.ContactLine = 0
		}
		if rng.IntN(3) == 0 {
			p.SurfaceTension = 0
		}
		tk := newTank(t, p)
		c := make([]float64, tk.nx*tk.ny)
		for k := range c {
			c[k] = min(max(2*rng.Float64()-0.5, 0), 1)
		}
		setFraction(tk, c)
		peak := between(1e-3, 1e4)
		for range 2 {
			for k := range c {
				c[k] = peak * (2*rng.Float64() - 1)
			}
			st := step(t, tk, 30*tk.substepLimit(), c)
			if !(st.MaxSpeed < 1e6) || !(math.Abs(st.MassError) <= 1e-12) {
				t.Fatalf("tank %d: %+v, %+v", n, p, st)
			}
			for _, v := range tk.Fraction() {
				if !(v >= 0 && v <= 1) {
					t.Fatalf("tank %d: %+v: share %g", n, p, v)
				}
			}
		}
	}
}

// A scene that is its own mirror image stays so.
func TestMirrorSymmetry(t *testing.T) {
	p := base()
	p.Cols, p.Rows = 96, 60
	tk := newTank(t, p)
	tk.FillBelow(0.02)
	disc(t, tk, 0.03, 0.02, 0.008)
	disc(t, tk, -0.03, 0.02, 0.008)
	pi := gauss(tk, 0.02, 0, 0.006, 80)
	for k, v := range gauss(tk, -0.02, 0, 0.006, 80) {
		pi[k] += v
	}
	step(t, tk, 0.3, pi)
	c := tk.Fraction()
	worst := 0.0
	for i := range 60 {
		for j := range 48 {
			worst = max(worst, math.Abs(c[i*96+j]-c[i*96+95-j]))
		}
	}
	t.Logf("worst difference %g", worst)
	if worst > 1e-4 { // rounding decides on which side of a cut a faint share falls
		t.Errorf("mirror images differ by %g", worst)
	}
	if x, _ := centroid(t, tk); math.Abs(x) > 1e-7 {
		t.Errorf("centroid at x = %g m", x)
	}
}

func TestSameEveryTime(t *testing.T) {
	run := func() []float64 {
		p := base()
		p.Cols, p.Rows = 64, 40
		tk := newTank(t, p)
		disc(t, tk, 0, 0, 0.008)
		step(t, tk, 0.2, gauss(tk, 0.012, 0, 0.006, 200))
		return tk.Fraction()
	}
	a, b := run(), run()
	for k := range a {
		if a[k] != b[k] {
			t.Fatalf("cell %d: %g and %g", k, a[k], b[k])
		}
	}
}

func TestStepAllocatesNothing(t *testing.T) {
	p := base()
	p.Cols, p.Rows, p.ContactLine = 64, 40, 0.01
	tk := newTank(t, p)
	disc(t, tk, 0, 0, 0.008)
	pi := gauss(tk, 0.012, 0, 0.006, 80)
	if n := testing.AllocsPerRun(5, func() {
		if _, err := tk.Step(0.01, pi); err != nil {
			t.Fatal(err)
		}
	}); n != 0 {
		t.Errorf("a step allocates %g times", n)
	}
}

func TestStepRefuses(t *testing.T) {
	p := base()
	p.Cols, p.Rows = 16, 10
	tk := newTank(t, p)
	disc(t, tk, 0, 0, 0.03)
	before := fmt.Sprint(tk.Fraction(), tk.u, tk.v, tk.phi)
	for _, err := range []error{tk.FillDisc(0, 0, 0.011), tk.FillDisc(0, 0, math.Inf(1))} {
		if err == nil {
			t.Error("a bad filling gave no error")
		}
	}
	if fmt.Sprint(tk.Fraction(), tk.u, tk.v, tk.phi) != before {
		t.Error("a refused call changed the tank")
	}
	if _, err := tk.Step(1e6, make([]float64, 160)); err == nil {
		t.Error("a step of 1e6 s gave no error")
	}
	if st := step(t, tk, 0, nil); st.Substeps != 0 || st.ShortestStep != 0 {
		t.Errorf("a step of 0 s did %+v", st)
	}
}

func TestEmptyTank(t *testing.T) {
	p := base()
	p.Cols, p.Rows = 16, 10
	tk := newTank(t, p)
	st := step(t, tk, 0.1, gauss(tk, 0, 0, 0.01, 500))
	if st.MaxSpeed != 0 || st.MassError != 0 || tk.Volume() != 0 || tk.VolumeIn(0, 0, 1) != 0 {
		t.Errorf("an empty tank did %+v", st)
	}
	if _, _, ok := tk.Centroid(); ok {
		t.Error("an empty tank has a centroid")
	}
	disc(t, tk, 0, 0, 0.03)
	step(t, tk, 0.1, nil)
	tk.Clear()
	if tk.Volume() != 0 || tk.maxSpeed() != 0 {
		t.Error("a cleared tank is not empty and still")
	}
}

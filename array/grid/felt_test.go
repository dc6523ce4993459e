package grid

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/design/trial"
	"lodegrid/field"
	"lodegrid/field/ferrofluid"
)

// A fluid that follows all of the ripple feels the mean of the square, one that follows
// nothing the square of the mean: a lone pixel's hold by a weak current is in the ratio of
// The law itself, against the magnetisation followed in time: a linear body with poles,
// M' = (χ(H − N M) − M)/τ, in the field of a current under PWM. The force goes with ⟨M dH⟩,
// and both with the current: the pressure is µ0⟨M H⟩/2.
func TestPressureAgainstTimeStepping(t *testing.T) {
	g := trial.Build(t, New, 4, "drive.max_duty=25 %", "drive.frequency=20 kHz", "supply.voltage=3 V", "fluid.relaxation=12 us")
	along, across := g.lags()
	chi := g.Fluid.Susceptibility
	for _, c := range []struct{ n, lag, got float64 }{
		{g.Fluid.Axial, along, g.At(1).Along}, {g.Fluid.Across, across, g.At(1).Across},
	} {
		if trial.Off(c.lag, 12e-6/(1+c.n*chi)) > 1e-12 {
			t.Errorf("lag %g s for N = %g", c.lag, c.n)
		}
		// The current of a settled period by small steps, and what follows it.
		const steps = 20000
		period := 1 / g.Design.Drive.Frequency
		final := g.Design.Supply.Voltage / (g.Pixel.Coil.Resistance(293.15) + g.Design.Drive.OnResistance)
		tau := g.Pixel.TimeConstant(g.Design, 293.15, g.Pixel.Coil.Inductance())
		shrink := math.Exp(-period / steps / tau.Value)
		i, m, product := 0.0, 0.0, 0.0
		for round := range 20 {
			product = 0
			for k := range steps {
				target := 0.0
				if float64(k) < 0.25*steps {
					target = final
				}
				before := i
				i = target + (i-target)*shrink
				now := m
				m += (chi*((before+i)/2-c.n*m) - m) * period / steps / 12e-6
				if round == 19 {
					product += (now + m) / 2 * (before + i) / 2 / steps
				}
			}
		}
		mean := g.Pixel.FullCurrent
		want := product * (1 + c.n*chi) / chi // in amperes squared
		if got := mean*mean + c.got*c.got; trial.Off(got, want) > 2e-3 {
			t.Errorf("N = %g: mean square felt %g A², followed in time %g", c.n, got, want)
		}
	}
}

// Of a fluid that saturates the pressure of the RMS field is too large by ξ²(1 − D)/30 at
// most, ξ of the field inside while the current is on.
func TestSaturationOfARipple(t *testing.T) {
	body := ferrofluid.NewSpheroid(ferrofluid.Fluid{Susceptibility: 3, Saturation: 48e3}, 0.25)
	for _, share := range []float64{0.1, 0.3, 0.6, 1} {
		for _, b := range []float64{1e-3, 5e-3, 12e-3, 25e-3} {
			for _, at := range []r3.Vec{{Z: b}, {X: b}} {
				truth := share * body.PiOf(at)
				told := body.PiOf(r3.Scale(math.Sqrt(share), at))
				z, r := body.Inside(at.Z/field.Mu0, at.X/field.Mu0)
				xi := 3 * body.Susceptibility * math.Hypot(z, r) / body.Saturation
				if over, most := told/truth-1, xi*xi*(1-share)/30; over < -1e-9 || over > 1.02*most+1e-9 {
					t.Errorf("share %g, %v T: too large by %.4f, said at most %.4f", share, at, over, most)
				}
			}
		}
	}
}

// The whole plane against sums over every pixel: in step with one proportion of ripple to
// mean, with many, with magnets, and staggered, where squares add up; there what lies
// beyond the reach is left out, less than a thousandth of a pixel's own.
func TestRippledPlane(t *testing.T) {
	for name, changes := range map[string][]string{
		"in step": nil, "magnets": trial.Magnets, "staggered": {"drive.mode=stagger"}, "kick": {"drive.mode=kick", "drive.hold_duty=15 %"},
	} {
		for _, even := range []bool{true, false} {
			g := trial.Build(t, New, 4, append(changes, "grid.cols=7", "drive.max_duty=25 %")...)
			rng := rand.New(rand.NewPCG(3, 4))
			c := g.NewCurrents()
			for k := range c.Mean {
				a := g.At(1)
				if !even {
					a = Amps{a.Mean * rng.Float64(), a.Along * rng.Float64(), 0}
					a.Across = a.Along * g.At(1).Across / g.At(1).Along
				}
				if rng.IntN(3) == 0 {
					a.Mean = -a.Mean
				}
				c.Set(k, a)
			}
			p := g.Field(c)
			steady := g.Field(Steady(c.Mean))
			own := g.Pressure.Pi(math.Pow(g.Kernel.At(0, 0).Z*g.At(1).Along, 2), 0)
			for i := 0; i < g.Raster.Rows; i += 3 {
				for j := 0; j < g.Raster.Cols; j += 5 {
					n := i*g.Raster.Cols + j
					at := g.Raster.Point(i, j)
					b := r3.Vec{X: steady.Bx[n], Y: steady.By[n], Z: steady.Bz[n]}
					var sum r3.Vec
					var z2, r2 float64
					for k := range c.Mean {
						from := g.Design.PixelCenter(k/7, k%7)
						v := g.Kernel.At(at.X-from.X, at.Y-from.Y)
						sign := math.Copysign(1, c.Mean[k])
						sum = r3.Add(sum, r3.Vec{X: sign * c.Across[k] * v.X, Y: sign * c.Across[k] * v.Y, Z: sign * c.Along[k] * v.Z})
						z2 += math.Pow(c.Along[k]*v.Z, 2)
						r2 += math.Pow(c.Across[k], 2) * (v.X*v.X + v.Y*v.Y)
					}
					if g.InStep() {
						z2, r2 = sum.Z*sum.Z, sum.X*sum.X+sum.Y*sum.Y
					}
					want := g.Fluid.PiOf(r3.Vec{X: math.Sqrt(b.X*b.X + b.Y*b.Y + r2), Z: math.Sqrt(b.Z*b.Z + z2)})
					tol := 3e-6 * want
					if name == "staggered" {
						tol += 1e-3 * own
					}
					if math.Abs(p.Pi[n]-want) > tol || p.Bz[n] != steady.Bz[n] {
						t.Fatalf("%s, even %v, sample %d %d: %g Pa, want %g", name, even, i, j, p.Pi[n], want)
					}
				}
			}
			if bad := (Currents{c.Mean, c.Along[:3], c.Across}); panics(func() { g.FieldInto(p, bad) }) == nil {
				t.Error("a wrong number of ripples passes")
			}
			if g.turn != nil {
				t.Errorf("%s: a field without turns is added up twice", name)
			}
			if got := testing.AllocsPerRun(3, func() { g.FieldInto(p, c) }); got != 0 {
				t.Errorf("%s: allocates %v times", name, got)
			}
		}
	}
}

// A level is a share of the duty: behind a freewheel diode half of it is less than half the current, as
// a drive of half the duty has at full level; between two switches it is half.
func TestCurrentAtALevel(t *testing.T) {
	for bridge, least := range map[string]float64{"low-side": 0.3, "h-bridge": 0.5} {
		set := []string{"drive.frequency=100 kHz", "drive.bridge=" + bridge}
		g, half := trial.Build(t, New, 4, append(set, "drive.max_duty=20 %")...), trial.Build(t, New, 4, append(set, "drive.max_duty=10 %")...)
		got, want := g.At(0.5), half.At(1)
		if trial.Off(got.Mean, want.Mean) > 1e-9 || trial.Off(got.Along, want.Along) > 1e-9 {
			t.Errorf("%s: %+v at half level, %+v at half the duty", bridge, got, want)
		}
		if share := got.Mean / g.At(1).Mean; share > 0.5+1e-9 || share < least-1e-9 || bridge == "low-side" && share > 0.48 {
			t.Errorf("%s: half the level is %g of the current", bridge, share)
		}
		if double := g.At(2).Mean / g.At(1).Mean; trial.Off(double, 2) > 1e-12 {
			t.Errorf("%s: twice full level is %g of its current", bridge, double)
		}
		// The heat of a current is that of the level that gives it, not of as much of the duty.
		shares := make([]float64, g.Design.Pixels())
		shares[2] = got.Mean / g.At(1).Mean
		held := half.Pixel.Held(half.Design).Copper.Value
		if heat, err := g.HeldHeat(shares); err != nil || trial.Off(heat, held) > 1e-6 {
			t.Errorf("%s: %g W, %v; a drive of half the duty %g W", bridge, heat, err, held)
		}
		if bridge == "h-bridge" && g.At(-0.5).Mean != -got.Mean {
			t.Errorf("reversed: %g, want %g", g.At(-0.5).Mean, -got.Mean)
		}
	}
}

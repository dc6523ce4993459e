package hold

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/design/trial"
	"lodegrid/array/grid"
	"lodegrid/array/pixel"
	"lodegrid/field"
	"lodegrid/field/ferrofluid"
)

// The pull by filaments as they are used and by ones a hundred times as fine, for the
// designs that differ most.
func TestPullIsConverged(t *testing.T) {
	for _, c := range [][]string{
		{}, {"iron.model=slab"}, {"iron.model=fem", "iron.core_radius=0.9 mm", "coil.turns=8"}, {"magnet.kind=pixel"},
		{"coil.shape=square"}, {"fluid.tank_gap=3.5 mm"}, {"fluid.height=1.2 mm"},
	} {
		g := trial.Build(t, grid.New, 4, c...)
		a, b := PullOf(g), pullBy(g, g.Pixel.Resolved(g.Rear(), pixel.FilamentError/100))
		if w, p, f := trial.Off(a.Whole.Value, b.Whole.Value), trial.Off(a.Point.Value, b.Point.Value), trial.Off(a.Flux, b.Flux); w > 2e-5 || p > 5e-5 || f > 2e-5 {
			t.Errorf("%v: off by %.1g over the drop, %.1g at its middle, the field by %.1g", c, w, p, f)
		}
		if a.Whole.Value != PullOf(g).Whole.Value || trial.Off(a.Pressure, g.Fluid.PiOf(r3.Vec{Z: a.Flux})) > 1e-12 {
			t.Errorf("%v: Pull gives %g, at its own setting %g", c, PullOf(g).Whole.Value, a.Whole.Value)
		}
		if c == nil && a.Alone != a.Whole.Value {
			t.Errorf("without steel and magnet the coil alone pulls with %g, all together with %g", a.Alone, a.Whole.Value)
		}
	}
}

// A coil of 4 mm far below a small drop is a dipole on its axis, B = µ0 m/(2π z³), and the
// drop, twice as long as wide, a linear body with N = 0.1736 (Osborn 1945, the table's
// value for m = 2; from memory): Π = χ/(1 + Nχ) B²/(2µ0). The force over the drop is its
// face times the difference of Π between the rear pane at 39 mm and the front one at 41 mm.
// A pane half the gap off would make it 16 % wrong.
func TestPullOfAFarCoil(t *testing.T) {
	g := trial.Build(t, grid.New, 4, "coil.outer=4 mm", "coil.turns=4", "fluid.height=40 mm", "fluid.tank_gap=2 mm", "fluid.drop_diameter=1 mm",
		"fluid.susceptibility=1", "fluid.saturation=40 kA/m")
	const mu0 = 4e-7 * math.Pi
	layers := g.Pixel.Coil.Spec().Layers
	middle := 0.0
	for _, l := range layers {
		middle += l.Z / float64(len(layers))
	}
	m := g.Pixel.FullCurrent * g.Pixel.Coil.MagneticMoment()
	pi := func(z float64) float64 {
		b := mu0 * m / (2 * math.Pi * math.Pow(z-middle, 3))
		return 1 / (1 + 0.1736) * b * b / (2 * mu0)
	}
	want := math.Pi / 4 * 1e-3 * 1e-3 * (pi(39e-3) - pi(41e-3))
	p := PullOf(g)
	if trial.Off(p.Whole.Value, want) > 0.02 || trial.Off(p.Point.Value, want) > 0.02 {
		t.Errorf("the pull is %.4g N, as a point %.4g N; by hand %.4g N", p.Whole.Value, p.Point.Value, want)
	}
}

// The force along the pane on a rigid disc against the one by the pressure midway, by twice as
// many places; and, without weights of the variances, by the sum over the volume's surface.
func TestDiscGain(t *testing.T) {
	for _, c := range [][]string{{}, {"fluid.tank_gap=1 mm"}, {"fluid.tank_gap=3 mm", "fluid.drop_diameter=4 mm"}, {"magnet.kind=pixel"}} {
		g := trial.Build(t, grid.New, 4, c...)
		f := g.Design.Fluid
		gain := DiscGain(g)
		along, across := g.Fluid.Variances()
		if finer := discGain(g, 2*discPlaces, 4*discWay, along, across); trial.Off(gain, finer) > 1e-2 {
			t.Errorf("%v: gain %g, with finer steps %g", c, gain, finer)
		}
		plain := discGain(g, discPlaces, discWay, 1, 1)
		lit := g.Pixel.From(f.Height - f.TankGap/2).Lit(g.Pixel.FullCurrent)
		most := func(depth float64) float64 {
			best := 0.0
			for k := 10; k <= 22; k++ { // about a third of the pitch away it is greatest
				at := r3.Vec{X: float64(k) / 60 * g.Design.Grid.Pitch, Z: f.Height}
				best = max(best, -rimForce(g.Fluid, lit, at, f.DropDiameter/2, depth)/depth)
			}
			return best
		}
		if want := most(f.TankGap) / most(f.TankGap/50); trial.Off(plain, want) > 3e-2 {
			t.Errorf("%v: gain without weights %g, by the volume's surface %g", c, plain, want)
		}
	}
}

// rimForce is the magnetic force along x in newtons on a disc between panes, to which its faces
// add nothing: the sum of Π over its rim along the outward normal.
func rimForce(p ferrofluid.Directed, s field.Source, center r3.Vec, radius, depth float64) (force float64) {
	const n, around = 8, 64
	place, share := make([]float64, n), make([]float64, n)
	quad.Legendre{}.FixedLocations(place, share, -depth/2, depth/2)
	for k := range around {
		sin, cos := math.Sincos(2 * math.Pi * (float64(k) + 0.5) / around)
		for i, z := range place {
			pi := p.PiOf(s.B(r3.Add(center, r3.Vec{X: radius * cos, Y: radius * sin, Z: z})))
			force += pi * cos * share[i] * 2 * math.Pi * radius / around
		}
	}
	return force
}

// Weight and pinning by hand: 50 kg/m³ × 9.80665 m/s² × π/4 (7 mm)² 2 mm = 37.74 µN, also
// in a level display, where it does not act along the pane; 3 mN/m × 7 mm = 21 µN.
func TestWeightAndPinning(t *testing.T) {
	g := trial.Build(t, grid.New, 4, "heat.orientation=face-up", "fluid.contact_line=3 mN/m")
	if w := g.Weight().Value; trial.Off(w, 37.740e-6) > 1e-4 || g.Drop().Weight != 0 {
		t.Errorf("weight %g N, along the pane %g N", w, g.Drop().Weight)
	}
	if p := g.Pinning().Value; trial.Off(p, 21e-6) > 1e-12 || g.Drop().Pinning != p {
		t.Errorf("pinning %g N", p)
	}
}

// At 10 MHz there is no ripple to speak of: the mean is D V/(R + Ron), the heat I² R. In a
// scan of three rows a pixel is on for a third of the time.
func TestHeldByHand(t *testing.T) {
	g := trial.Build(t, grid.New, 4, "drive.max_duty=30 %", "drive.frequency=10 MHz", "drive.on_resistance=0.5 ohm")
	r := g.Pixel.Coil.Resistance(293.15)
	i := 0.3 * 12 / (r + 0.5)
	h := g.Pixel.Held(g.Design)
	if trial.Off(g.Pixel.FullCurrent, i) > 1e-9 || trial.Off(h.Average, i) > 1e-9 || trial.Off(h.RMS.Value, i) > 2e-3 || trial.Off(h.Copper.Value, i*i*r) > 4e-3 || trial.Off(h.Power.Value, i*i*(r+0.5)) > 4e-3 {
		t.Errorf("held: %+v; by hand %g A", h, i)
	}
	if tau := g.Pixel.TimeConstant(g.Design, 293.15, 80e-6); trial.Off(tau.Value, 80e-6/(r+0.5)) > 1e-12 {
		t.Errorf("time constant %g s, by hand 80 µH/(%g Ω + 0.5 Ω)", tau.Value, r)
	}
	levels := make([]float64, 12)
	levels[3], levels[7] = 1, -0.5
	if heat, err := g.HeldHeat(levels); err != nil || trial.Off(heat, 1.25*i*i*r) > 0.02 {
		t.Errorf("two pixels held: %g W, %v; by hand %g W", heat, err, 1.25*i*i*r)
	}
	scan := trial.Build(t, grid.New, 4, "drive.mode=scan", "drive.max_duty=30 %", "drive.frequency=10 MHz", "drive.on_resistance=0.5 ohm", "drive.scan_time=30 ms")
	if h := scan.Pixel.Held(scan.Design); trial.Off(h.Average, i/3) > 0.01 || trial.Off(h.Copper.Value, i*i*r/3) > 0.01 || trial.Off(scan.Pixel.Full.On.Average, i) > 0.01 || trial.Off(scan.Pixel.FullCurrent, i/3) > 0.01 {
		t.Errorf("scanned: %+v; by hand %g A over the scan", h, i/3)
	}
}

// Half a sector stands for half the disc, one radius for a round field.
func TestRoundField(t *testing.T) {
	for _, shape := range []string{"round", "square", "hexagon"} {
		g := trial.Build(t, grid.New, 4, "coil.shape="+shape, "iron.model=image", "magnet.kind=pixel", "magnet.depth=1.3 mm")
		f := g.Design.Fluid
		lit := g.Pixel.From(f.Height - f.TankGap/2).Lit(g.Pixel.FullCurrent)
		if part, all := -PullOf(g).Whole.Value, ferrofluid.PullAxial(g.Fluid, lit, f.Height, f.DropDiameter, f.TankGap, 1); trial.Off(part, all) > 1e-6 {
			t.Errorf("%s: pull %g N by half a sector, %g N by half the disc", shape, part, all)
		}
	}
	g := trial.Build(t, grid.New, 4, "iron.model=fem", "iron.core_radius=0.9 mm", "coil.turns=8")
	f := g.Design.Fluid
	lit := g.Pixel.From(f.Height - f.TankGap/2).Lit(g.Pixel.FullCurrent)
	for _, z := range []float64{f.Height - f.TankGap/2, f.Height, f.Height + f.TankGap/2} {
		level := levelWith(g, lit, z)
		most := r3.Norm(level(0, 0))
		for k := range 41 {
			x, y := float64(k)*0.3e-3-3e-3, float64(k%7)*0.4e-3
			if got, want := level(x, y), lit.B(r3.Vec{X: x, Y: y, Z: z}); r3.Norm(r3.Sub(got, want)) > 1e-4*most {
				t.Errorf("B at (%g, %g, %g) is %v, by the spline %v, of %g at most", x, y, z, want, got, most)
			}
		}
	}
}

package ferrofluid_test

import (
	"bufio"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/field"
	"lodegrid/field/ferrofluid"
)

// The check values below use µ0 = 4π·1e-7 H/m exactly.
const tableMu0 = 4 * math.Pi * 1e-7

func apart(got, want float64) float64 {
	if want == 0 {
		return math.Abs(got)
	}
	return math.Abs(got/want - 1)
}

func TestLangevinAgainstTable(t *testing.T) {
	f, err := os.Open("../../testdata/field/langevin.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows := 0
	for s := bufio.NewScanner(f); s.Scan(); {
		if strings.HasPrefix(s.Text(), "#") {
			continue
		}
		var v [4]float64
		cells := strings.Split(s.Text(), ",")
		if len(cells) != len(v) {
			t.Fatalf("%q has %d cells", s.Text(), len(cells))
		}
		for i, c := range cells {
			if v[i], err = strconv.ParseFloat(c, 64); err != nil {
				t.Fatal(err)
			}
		}
		rows++
		x := v[0]
		for name, c := range map[string]struct{ got, want, back float64 }{
			"Langevin":      {ferrofluid.Langevin(x), v[1], -ferrofluid.Langevin(-x)},
			"LangevinSlope": {ferrofluid.LangevinSlope(x), v[2], ferrofluid.LangevinSlope(-x)},
			"LogSinhOver":   {ferrofluid.LogSinhOver(x), v[3], ferrofluid.LogSinhOver(-x)},
		} {
			if apart(c.got, c.want) > 2e-15 || c.got != c.back {
				t.Errorf("%s(%v) = %.17g, table %.17g, off by %.1e; mirrored %v", name, x, c.got, c.want, apart(c.got, c.want), c.back)
			}
		}
	}
	if rows < 15 {
		t.Errorf("only %d rows", rows)
	}
	for _, x := range []float64{1e8, 1e200, math.MaxFloat64} {
		if l, p := ferrofluid.Langevin(x), ferrofluid.LogSinhOver(x); apart(l, 1) > 1e-7 || apart(p, x) > 1e-6 {
			t.Errorf("at %v: L = %v, its integral %v", x, l, p)
		}
		if s := ferrofluid.LangevinSlope(x); !(s >= 0 && s < 1e-15) {
			t.Errorf("slope at %v is %v", x, s)
		}
	}
	if ferrofluid.Langevin(0) != 0 || ferrofluid.LogSinhOver(0) != 0 || apart(ferrofluid.LangevinSlope(0), 1./3) > 1e-15 {
		t.Error("values at zero")
	}
	if l, p := ferrofluid.Langevin(math.Inf(-1)), ferrofluid.LogSinhOver(math.Inf(-1)); l != -1 || !math.IsInf(p, 1) {
		t.Errorf("at −Inf: %v, %v", l, p)
	}
}

// modelFluid is made of 10 nm magnetite, 5 % by volume, at 298.15 K (R. E. Rosensweig,
// Ferrohydrodynamics, 1985, from memory; values computed with mpmath).
func modelFluid() ferrofluid.Fluid {
	const d, share, domain = 10e-9, 0.05, 446e3
	return ferrofluid.Fluid{
		Susceptibility: math.Pi / 18 * share * tableMu0 * domain * domain * d * d * d / (field.Boltzmann * 298.15),
		Saturation:     share * domain,
	}
}

func TestMagnetisation(t *testing.T) {
	f := modelFluid()
	if apart(f.Susceptibility, 0.52991822615098) > 1e-13 || apart(f.Saturation, 22300) > 1e-15 {
		t.Errorf("model fluid %+v, want χ = 0.52991822615098, Ms = 22300 A/m", f)
	}
	for _, c := range []struct{ h, want float64 }{
		{1e3, 529.738770166797}, {1e4, 5127.909521185436}, {5e4, 16079.593074249}, {1e5, 19171.935958597},
	} {
		if got := f.M(c.h); apart(got, c.want) > 1e-11 {
			t.Errorf("M(%v) = %.15g, want %.15g", c.h, got, c.want)
		}
		if got := f.M(-c.h); apart(got, -c.want) > 1e-11 {
			t.Errorf("M(−%v) = %.15g", c.h, got)
		}
	}
	linear := ferrofluid.Fluid{Susceptibility: 1.5, Saturation: math.Inf(1)}
	if linear.M(2e9) != 3e9 || linear.DM(5) != 1.5 || apart(linear.Pi(0.01), 1.5*1e-4/(2*field.Mu0)) > 1e-15 {
		t.Errorf("linear fluid: M %v, DM %v, Π %v", linear.M(2e9), linear.DM(5), linear.Pi(0.01))
	}
	none := ferrofluid.Fluid{Saturation: 1e4}
	if none.M(1e5) != 0 || none.Pi(1) != 0 || none.DPi(1) != 0 {
		t.Error("a fluid without susceptibility is magnetic")
	}
	for _, bad := range []ferrofluid.Fluid{{-1, 1}, {1, 0}, {1, -3}, {math.NaN(), 1}, {1, math.NaN()}, {math.Inf(1), 1}, {}} {
		if bad.Check() == nil {
			t.Errorf("%+v passes", bad)
		}
	}
	if err := linear.Check(); err != nil {
		t.Error(err)
	}
}

// µ0 ∫ M dH of the model fluid up to 50 kA/m: 500340699.608 A²/m² times µ0.
func TestMagneticPressure(t *testing.T) {
	f := modelFluid()
	if got, want := f.Pi(field.Mu0*5e4)/field.Mu0, 500340699.608; apart(got, want) > 1e-11 {
		t.Errorf("∫M dH = %.12g, want %.12g", got, want)
	}
	// Its rise, tangential field: 53.428597472 mm at 1200 kg/m³.
	if got, want := ferrofluid.Rise(f, field.Mu0*5e4, 1200).Value*tableMu0/field.Mu0, 53.428597472e-3; apart(got, want) > 1e-10 {
		t.Errorf("rise %v, want %v", got, want)
	}
	// A linear fluid, χ = 1, 8 kA/m: 3.4171018277 mm.
	linear := ferrofluid.Fluid{Susceptibility: 1, Saturation: math.Inf(1)}
	if got, want := ferrofluid.Rise(linear, field.Mu0*8e3, 1200).Value*tableMu0/field.Mu0, 3.4171018277e-3; apart(got, want) > 1e-10 {
		t.Errorf("linear rise %v, want %v", got, want)
	}
	// The normal jump µ0 M²/2 at 8 kA/m is 40.2123859659 Pa: with the field normal
	// to a linear layer, χ = 1, H = M = 8 kA/m inside and 16 kA/m without it, it
	// comes on top of Π = µ0 χ H²/2, which here is as large.
	layer := ferrofluid.Body{Fluid: linear, Demagnetisation: ferrofluid.Layer}
	if got, want := layer.Pi(field.Mu0*16e3)*tableMu0/field.Mu0, 2*40.2123859659; apart(got, want) > 1e-11 {
		t.Errorf("Π and the normal jump: %v Pa, want %v", got, want)
	}
	// Kelvin force density: 20 kA/m in 2 T/m pulls with 4e4 N/m³, 3.3990540 times
	// the weight of 1200 kg/m³; linear, χ = 1, 8 kA/m in 2e6 A/m²: 20106.1929830.
	strong := ferrofluid.Fluid{Susceptibility: 1, Saturation: math.Inf(1)}
	if got := strong.DPi(field.Mu0*20e3) * 2 / (1200 * field.Gravity); apart(got, 3.3990540) > 1e-7 {
		t.Errorf("Kelvin force over weight %v, want 3.3990540", got)
	}
	if got := linear.DPi(field.Mu0*8e3) * tableMu0 * 2e6; apart(got, 20106.1929830) > 1e-10 {
		t.Errorf("Kelvin force density %v, want 20106.1929830", got)
	}
}

// Π's slope is DPi, for a bare fluid and for bodies, from tiny to huge fields.
func TestPressureSlope(t *testing.T) {
	f := ferrofluid.Fluid{Susceptibility: 1.5, Saturation: 32e3}
	for _, p := range []ferrofluid.Pressure{
		f, ferrofluid.Body{Fluid: f, Demagnetisation: 1. / 3}, ferrofluid.Body{Fluid: f, Demagnetisation: ferrofluid.Layer},
		ferrofluid.Body{Fluid: f},
	} {
		last := 0.0
		for e := -9.0; e < 4; e += 0.05 {
			b := math.Pow(10, e)
			h := 1e-3 * b
			slope := (8*(p.Pi(b+h)-p.Pi(b-h)) - (p.Pi(b+2*h) - p.Pi(b-2*h))) / (12 * h)
			if apart(slope, p.DPi(b)) > 1e-9 {
				t.Fatalf("%+v at %v T: slope %v, DPi %v", p, b, slope, p.DPi(b))
			}
			if p.Pi(b) <= last || p.Pi(-b) != p.Pi(b) || p.DPi(-b) != -p.DPi(b) {
				t.Fatalf("%+v at %v T: Π %v after %v, or not even", p, b, p.Pi(b), last)
			}
			last = p.Pi(b)
		}
	}
	if got := testing.AllocsPerRun(100, func() { f.Pi(0.02) }); got != 0 {
		t.Errorf("%v allocations a call of Pi", got)
	}
}

func TestDemagnetisation(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 2000 {
		f := ferrofluid.Fluid{Susceptibility: 5 * rng.Float64(), Saturation: math.Pow(10, 2+4*rng.Float64())}
		b := ferrofluid.Body{Fluid: f, Demagnetisation: rng.Float64()}
		h := math.Pow(10, 8*rng.Float64())
		x := b.Inside(h)
		if back := x + b.Demagnetisation*f.M(x); apart(back, h) > 1e-14 || x > h || b.Inside(-h) != -x {
			t.Fatalf("%+v in %v A/m: inside %v, back %v", b, h, x, back)
		}
	}
	// A linear sphere: H = H0/(1 + χ/3), M = 3χ/(3 + χ) H0 (textbook, from memory).
	b := ferrofluid.Body{Fluid: ferrofluid.Fluid{Susceptibility: 2, Saturation: math.Inf(1)}, Demagnetisation: 1. / 3}
	if got := b.DPi(field.Mu0 * 1000); apart(got, 6./5*1000) > 1e-14 {
		t.Errorf("M of a linear sphere %v, want 1200", got)
	}
}

func coilAndMagnet() field.Sum {
	return field.Sum{
		field.Coaxial{Center: r3.Vec{X: 1e-3}, Loops: []field.CoaxialLoop{{Radius: 5e-3, Current: 30}}},
		field.CylinderMagnet{Radius: 3e-3, Length: 2e-3, Remanence: 0.2, Center: r3.Vec{Z: -4e-3}},
	}
}

// By Gauss's theorem the surface sum is ∫ ∇Π dV: checked against that integral,
// Gauss–Legendre in the ball with the differentiated field.
func TestPullIsTheVolumeIntegral(t *testing.T) {
	s := coilAndMagnet()
	f := ferrofluid.Fluid{Susceptibility: 1.5, Saturation: 32e3}
	center, radius := r3.Vec{X: 2e-3, Y: 1e-3, Z: 5e-3}, 2e-3
	var want r3.Vec
	// Midpoints in radius cubed, in height and around: second order, so two
	// meshes and one step of Richardson.
	integral := func(n int) r3.Vec {
		var sum r3.Vec
		for i := range n {
			for j := range n {
				for k := range 2 * n {
					r := radius * math.Cbrt((float64(i)+0.5)/float64(n))
					z := -1 + (2*float64(j)+1)/float64(n)
					rho := math.Sqrt(1 - z*z)
					sin, cos := math.Sincos(math.Pi * (float64(k) + 0.5) / float64(n))
					p := r3.Add(center, r3.Scale(r, r3.Vec{X: rho * cos, Y: rho * sin, Z: z}))
					sum = r3.Add(sum, ferrofluid.PullSmall(f, s, p, 1, 2e-5))
				}
			}
		}
		volume := 4. / 3 * math.Pi * radius * radius * radius
		return r3.Scale(volume/float64(2*n*n*n), sum)
	}
	coarse, fine := integral(8), integral(16)
	want = r3.Add(fine, r3.Scale(1./3, r3.Sub(fine, coarse)))
	got := ferrofluid.Pull(f, s, center, 2*radius)
	if off := r3.Norm(r3.Sub(got, want)) / r3.Norm(want); off > 1e-4 {
		t.Errorf("pull %v, volume integral %v, apart %.1e", got, want, off)
	}
}

// The same for a disc between two panes: Gauss–Legendre over its volume in height,
// midpoints around, with the differentiated field. A disc cut in two is pulled as the
// whole, and a small disc as a small drop of its volume.
func TestPullOnADisc(t *testing.T) {
	s := coilAndMagnet()
	f := ferrofluid.Fluid{Susceptibility: 1.5, Saturation: 32e3}
	center := r3.Vec{X: 1e-3, Y: -0.5e-3, Z: 4e-3}
	const diameter, depth, n = 6e-3, 2e-3, 20
	place, share := make([]float64, n), make([]float64, n)
	quad.Legendre{}.FixedLocations(place, share, 0, 1)
	var want r3.Vec
	for k := range 2 * n {
		sin, cos := math.Sincos(math.Pi * (float64(k) + 0.5) / n)
		for i := range n {
			rho := diameter / 2 * place[i]
			for j := range n {
				at := r3.Add(center, r3.Vec{X: rho * cos, Y: rho * sin, Z: depth * (place[j] - 0.5)})
				volume := share[i] * diameter / 2 * rho * share[j] * depth * math.Pi / n
				want = r3.Add(want, ferrofluid.PullSmall(f, s, at, volume, 2e-5))
			}
		}
	}
	got := pullDisc(f, s, center, diameter, depth)
	if off := r3.Norm(r3.Sub(got, want)) / r3.Norm(want); off > 1e-6 {
		t.Errorf("pull %v, volume integral %v, apart %.1e", got, want, off)
	}
	upper := pullDisc(f, s, r3.Add(center, r3.Vec{Z: depth / 4}), diameter, depth/2)
	lower := pullDisc(f, s, r3.Add(center, r3.Vec{Z: -depth / 4}), diameter, depth/2)
	if off := r3.Norm(r3.Sub(r3.Add(upper, lower), got)) / r3.Norm(got); off > 1e-8 {
		t.Errorf("two halves give %v, the whole %v", r3.Add(upper, lower), got)
	}
	round := field.Coaxial{Loops: []field.CoaxialLoop{{Radius: 5e-3, Current: 30}}}
	axial, whole := ferrofluid.PullAxial(f, round, 4e-3, diameter, depth, 0), pullDisc(f, round, r3.Vec{Z: 4e-3}, diameter, depth).Z
	if off := apart(axial, whole); off > 1e-6 {
		t.Errorf("on the axis the faces give %g, faces and rim %g, apart %.1e", axial, whole, off)
	}
	small := pullDisc(f, s, center, 1e-4, 1e-4)
	drop := ferrofluid.PullSmall(f, s, center, math.Pi/4*1e-12, 5e-5)
	if off := r3.Norm(r3.Sub(small, drop)) / r3.Norm(drop); off > 1e-3 {
		t.Errorf("a small disc is pulled by %v, a small drop of its volume by %v", small, drop)
	}
}

// A small drop: both forms agree, and both are the fall of the energy −V Π.
func TestPullOnASmallDrop(t *testing.T) {
	s := coilAndMagnet()
	f := ferrofluid.Fluid{Susceptibility: 1.5, Saturation: 32e3}
	for _, p := range []ferrofluid.Directed{f, ferrofluid.Body{Fluid: f, Demagnetisation: 1. / 3}} {
		for _, at := range []r3.Vec{{X: 2e-3, Y: 1e-3, Z: 3e-3}, {X: -6e-3, Z: 2e-3}, {Z: 8e-3}} {
			const diameter = 0.1e-3
			volume := math.Pi / 6 * diameter * diameter * diameter
			small := ferrofluid.PullSmall(p, s, at, volume, 5e-5)
			pull := ferrofluid.Pull(p, s, at, diameter)
			// They differ by (radius/distance)²/10 or so.
			if off := r3.Norm(r3.Sub(pull, small)) / r3.Norm(small); off > 5e-4 {
				t.Errorf("at %v: pull %v, small form %v, apart %.1e", at, pull, small, off)
			}
			energy := func(x r3.Vec) float64 { return -volume * p.PiOf(s.B(x)) }
			const h = 2e-5
			slope := func(e r3.Vec) float64 {
				e = r3.Scale(h, e)
				return -(8*(energy(r3.Add(at, e))-energy(r3.Sub(at, e))) - (energy(r3.Add(at, r3.Scale(2, e))) - energy(r3.Sub(at, r3.Scale(2, e))))) / (12 * h)
			}
			fall := r3.Vec{X: slope(r3.Vec{X: 1}), Y: slope(r3.Vec{Y: 1}), Z: slope(r3.Vec{Z: 1})}
			if off := r3.Norm(r3.Sub(fall, small)) / r3.Norm(small); off > 1e-8 {
				t.Errorf("at %v: small form %v, fall of the energy %v, apart %.1e", at, small, fall, off)
			}
		}
	}
	if f := ferrofluid.PullSmall(f, field.Sum{}, r3.Vec{}, 1, 1e-5); f != (r3.Vec{}) {
		t.Errorf("pull without a field: %v", f)
	}
}

// Action and reaction: the loop pulls the magnetised drop as hard as the drop's
// dipole field pulls the loop, F = −I·2πa·Br of the dipole at the wire.
func TestPullMatchesReactionOnTheLoop(t *testing.T) {
	const a, current, z, diameter = 5e-3, 20.0, 4e-3, 0.2e-3
	loop := field.Coaxial{Loops: []field.CoaxialLoop{{Radius: a, Current: current}}}
	sphere := ferrofluid.Body{Fluid: ferrofluid.Fluid{Susceptibility: 2, Saturation: 30e3}, Demagnetisation: 1. / 3}
	volume := math.Pi / 6 * diameter * diameter * diameter
	at := r3.Vec{Z: z}
	moment := volume * sphere.DPi(loop.B(at).Z)
	dipole := field.Dipole{Moment: r3.Vec{Z: moment}, Center: at}
	onLoop := -current * 2 * math.Pi * a * dipole.B(r3.Vec{X: a}).X
	got := ferrofluid.PullSmall(sphere, loop, at, volume, 0)
	if apart(got.Z, -onLoop) > 1e-12 || math.Abs(got.X) > 1e-12*math.Abs(got.Z) || math.Abs(got.Y) > 1e-12*math.Abs(got.Z) {
		t.Errorf("pull on the drop %v, on the loop %v", got, onLoop)
	}
	if got.Z >= 0 {
		t.Errorf("the drop above the loop is pushed away: %v", got)
	}
}

// Onset for linear fluids, 1200 kg/m³, 26 mN/m, g = 9.80665: computed values of the
// formulas of Cowley & Rosensweig (1967), in two equivalent forms.
func TestPeaksOfLinearFluids(t *testing.T) {
	scale := math.Sqrt(field.Mu0 / tableMu0) // M, H go with 1/√µ0
	for _, c := range []struct{ chi, m, inside, applied, bmT float64 }{
		{0.5, 6811.664639, 13623.329277, 20434.993916, 25.679371},
		{1, 6462.112475, 6462.112475, 12924.224949, 16.241060},
		{2, 6092.538069, 3046.269034, 9138.807103, 11.484164},
		{3, 5899.074619, 1966.358206, 7865.432826, 9.883994},
	} {
		f := ferrofluid.Fluid{Susceptibility: c.chi, Saturation: math.Inf(1)}
		o, reached, err := f.Peaks(1200, 0.026)
		if err != nil || !reached {
			t.Fatalf("χ = %v: %v, %v", c.chi, reached, err)
		}
		for name, v := range map[string][2]float64{
			"M": {o.M * scale, c.m}, "H inside": {o.Inside * scale, c.inside},
			"H applied": {o.Applied * scale, c.applied}, "B": {o.B / scale, c.bmT * 1e-3},
			"wavenumber": {o.Wavenumber, 672.7663899}, "wavelength": {o.Wavelength, 9.339326996e-3}, "spacing": {o.Spacing, 10.784125910e-3},
		} {
			if apart(v[0], v[1]) > 5e-8 {
				t.Errorf("χ = %v: %s %.10g, want %.10g", c.chi, name, v[0], v[1])
			}
		}
		// The applied-field form, Hc² = 2(1+χ)(2+χ)√(ρgσ)/(χ²µ0).
		hc := math.Sqrt(2 * (1 + c.chi) * (2 + c.chi) * math.Sqrt(1200*9.80665*0.026) / (c.chi * c.chi * field.Mu0))
		if apart(o.Applied, hc) > 1e-13 {
			t.Errorf("χ = %v: applied %v, other form %v", c.chi, o.Applied, hc)
		}
		// A fluid with a very high saturation is the linear one.
		almost := ferrofluid.Fluid{Susceptibility: c.chi, Saturation: 1e9}
		if a, _, _ := almost.Peaks(1200, 0.026); apart(a.B, o.B) > 1e-6 {
			t.Errorf("χ = %v: B %v with saturation 1e9, %v linear", c.chi, a.B, o.B)
		}
	}
}

// A saturating fluid: the state found satisfies the condition, needs more field than
// the linear fluid, and a weak fluid never gets there.
func TestPeaksOfSaturatingFluids(t *testing.T) {
	const drho, sigma = 1200.0, 0.026
	f := ferrofluid.Fluid{Susceptibility: 1.5, Saturation: 20e3}
	o, reached, err := f.Peaks(drho, sigma)
	if err != nil || !reached {
		t.Fatal(reached, err)
	}
	// Chord and tangent permeabilities taken from M itself.
	chord := 1 + f.M(o.Inside)/o.Inside
	h := 1e-4 * o.Inside
	tangent := 1 + (f.M(o.Inside+h)-f.M(o.Inside-h))/(2*h)
	need := 2 / field.Mu0 * (1 + 1/math.Sqrt(chord*tangent)) * math.Sqrt(9.80665*drho*sigma)
	if apart(o.M*o.M, need) > 1e-8 || apart(o.M, f.M(o.Inside)) > 1e-14 || apart(o.B, field.Mu0*(o.M+o.Inside)) > 1e-14 {
		t.Errorf("%+v: M² is %v, needs %v", o, o.M*o.M, need)
	}
	linear, _, _ := ferrofluid.Fluid{Susceptibility: 1.5, Saturation: math.Inf(1)}.Peaks(drho, sigma)
	if o.B <= linear.B {
		t.Errorf("saturating %v T, linear %v T", o.B, linear.B)
	}
	if weak, reached, err := (ferrofluid.Fluid{Susceptibility: 1, Saturation: 4e3}).Peaks(drho, sigma); err != nil || reached || weak.Spacing == 0 {
		t.Errorf("a fluid of 4 kA/m: %+v, %v, %v", weak, reached, err)
	}
	if _, reached, err := (ferrofluid.Fluid{Saturation: 4e3}).Peaks(drho, sigma); err != nil || reached {
		t.Errorf("a fluid without susceptibility: %v, %v", reached, err)
	}
	for _, c := range [][2]float64{{0, 0.03}, {-1, 0.03}, {100, 0}, {100, math.NaN()}} {
		if _, _, err := f.Peaks(c[0], c[1]); err == nil {
			t.Errorf("density difference %v, tension %v: no error", c[0], c[1])
		}
	}
	if _, _, err := (ferrofluid.Fluid{}).Peaks(drho, sigma); err == nil {
		t.Error("the zero fluid: no error")
	}
}

var sink float64

func BenchmarkPi(b *testing.B) {
	f := ferrofluid.Fluid{Susceptibility: 1.5, Saturation: 32e3}
	for i := 0; b.Loop(); i++ {
		sink += f.Pi(1e-4 * float64(i&511))
	}
}

func BenchmarkPull(b *testing.B) {
	f := ferrofluid.Fluid{Susceptibility: 1.5, Saturation: 32e3}
	s := coilAndMagnet()
	for b.Loop() {
		sink += ferrofluid.Pull(f, s, r3.Vec{Z: 5e-3}, 3e-3).Z
	}
}

// pullDisc is the magnetic force in newtons on a round disc of fluid anywhere, its axis
// along z, that fills the room between two panes: diameter and depth in metres, middle
// at center. It is the sum of Π over both faces and the rim along the outward normal,
// as in Pull, by Gauss places, to about 1e-7 of the force.
func pullDisc(p ferrofluid.Directed, s field.Source, center r3.Vec, diameter, depth float64) r3.Vec {
	const most = 256
	n, around := 6, 8
	force, size := discForce(p, s, center, diameter/2, depth/2, n, around)
	same := func(f r3.Vec) bool { return r3.Norm(r3.Sub(f, force)) <= 1e-7*r3.Norm(force)+1e-13*size }
	for n < most {
		finer, _ := discForce(p, s, center, diameter/2, depth/2, 2*n, around)
		done := same(finer)
		n, force = 2*n, finer
		if done {
			break
		}
	}
	for around < most {
		finer, _ := discForce(p, s, center, diameter/2, depth/2, n, 2*around)
		done := same(finer)
		around, force = 2*around, finer
		if done {
			break
		}
	}
	return force
}

func discForce(p ferrofluid.Directed, s field.Source, center r3.Vec, radius, half float64, n, around int) (force r3.Vec, size float64) {
	place, share := make([]float64, n), make([]float64, n)
	quad.Legendre{}.FixedLocations(place, share, 0, 1)
	push := func(off, normal r3.Vec, area float64) {
		v := p.PiOf(s.B(r3.Add(center, off))) * area
		force = r3.Add(force, r3.Scale(v, normal))
		size += v
	}
	for k := range around {
		step := 2 * math.Pi / float64(around)
		sin, cos := math.Sincos(step * (float64(k) + 0.5))
		for i, x := range place {
			rho := radius * x
			area := share[i] * radius * rho * step
			push(r3.Vec{X: rho * cos, Y: rho * sin, Z: half}, r3.Vec{Z: 1}, area)
			push(r3.Vec{X: rho * cos, Y: rho * sin, Z: -half}, r3.Vec{Z: -1}, area)
			push(r3.Vec{X: radius * cos, Y: radius * sin, Z: half * (2*x - 1)}, r3.Vec{X: cos, Y: sin}, share[i]*2*half*radius*step)
		}
	}
	return force, size
}

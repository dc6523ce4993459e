package heat

import (
	"math"
	"testing"
)

func near(t *testing.T, what string, got, want, relative float64) {
	t.Helper()
	if !(math.Abs(got-want) <= relative*math.Abs(want)) {
		t.Errorf("%s = %.12g, want %.12g (relative difference %.2g, allowed %.2g)", what, got, want, got/want-1, relative)
	}
}

// givenAir is the set of properties of the worked values below, near 315.65 K.
var givenAir = Air{Viscosity: 1.74e-5, Diffusivity: 2.47e-5, Conductivity: 0.0273, Prandtl: 0.705, Expansion: 1 / 315.65}

// Worked values of the project's reference table, section 7: surface 333.15 K, air
// 298.15 K, properties as stated there; the formulas evaluated outside this
// program (mpmath). The attributions of the formulas are with the functions.
func TestConvectionWorkedValues(t *testing.T) {
	const ts, ta = 333.15, 298.15
	const tol = 1e-8
	ra := Rayleigh(givenAir, ts-ta, 0.1)
	near(t, "Ra vertical 0.1 m", ra, 2.53009440e6, tol)
	near(t, "Nu vertical", NusseltVertical(ra, givenAir.Prandtl), 21.25223620, tol)

	up := Rayleigh(givenAir, ts-ta, 0.025)
	near(t, "Ra level 0.1 m square", up, 3.95327249e4, tol)
	near(t, "Nu hot up", NusseltHotUp(up), 7.61435196, tol)
	near(t, "Nu hot down", NusseltHotDown(up), 3.80717598, tol)
	big := Rayleigh(givenAir, ts-ta, 0.25)
	near(t, "Ra level 1 m square", big, 3.95327249e7, tol)
	near(t, "Nu hot up, turbulent", NusseltHotUp(big), 51.09873819, tol)

	// The same through Film, which is what the network uses.
	for _, c := range []struct {
		way    Orientation
		length float64
		h      float64
	}{
		{Vertical, 0.1, 5.80186048}, {FaceUp, 0.025, 8.31487234}, {FaceUp, 0.25, 5.57998221}, {FaceDown, 0.025, 4.15743617},
	} {
		f := Film{Orientation: c.way, Length: c.length, Air: &givenAir}
		near(t, "h "+string(c.way), f.Convection(ts, ta), c.h, 1e-7)
	}
	// A cold plate swaps the sides.
	cold := Film{Orientation: FaceDown, Length: 0.025, Air: &givenAir}
	near(t, "h cold face down", cold.Convection(ta, ts), 8.31487234, 1e-7)
}

// Example 9.2 of T. L. Bergman et al., Introduction to Heat Transfer, 6th ed.: a
// glass door, Pr 0.69, Gr 2.63e9, Nu 147; digits from the documentation of the
// ChEDL ht library, function Nu_vertical_plate_Churchill (seen).
func TestVerticalTextbook(t *testing.T) {
	near(t, "Nu", NusseltVertical(0.69*2.63e9, 0.69), 147.16185223770603, 1e-13)
}

// Example 7.1 of Incropera & DeWitt, Fundamentals of Heat and Mass Transfer, 5th
// ed.: air over a plate, Re 9597, Pr 0.687, Nu 57.4 (from memory).
func TestForcedTextbook(t *testing.T) {
	near(t, "Nu", NusseltForced(9597, 0.687), 57.4, 1e-3)
	// Turbulent mean with a laminar start, Re 1e6 and Pr 0.7, by hand:
	// (0.037·63095.7344 − 871)·0.8879040017 = 1463.54217·0.8879040017 = 1299.48495.
	near(t, "Nu", NusseltForced(1e6, 0.7), 1299.48495, 1e-8)
}

// The joined branches are continuous and never fall.
func TestNusseltMonotone(t *testing.T) {
	for name, f := range map[string]func(x float64) float64{
		"vertical": func(x float64) float64 { return NusseltVertical(x, 0.71) },
		"hot up":   NusseltHotUp,
		"hot down": NusseltHotDown,
		"forced":   func(x float64) float64 { return NusseltForced(x, 0.71) },
	} {
		before := f(1)
		for x := 1.01; x < 1e11; x *= 1.01 {
			now := f(x)
			if now < before || now > before*1.03 {
				t.Fatalf("%s: Nu(%g) = %g after %g", name, x, now, before)
			}
			before = now
		}
	}
	if NusseltMixed(7, 0) != 7 {
		t.Error("no wind must leave natural convection exactly")
	}
	near(t, "mixed", NusseltMixed(1, 1), math.Cbrt(2), 1e-15)
}

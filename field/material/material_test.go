package material_test

import (
	"math"
	"strings"
	"testing"

	"lodegrid/field"
	"lodegrid/field/material"
)

func apart(got, want float64) float64 { return math.Abs(got/want - 1) }

// IEC 60028 and NBS Handbook 100 (title pages seen; values quoted by secondary
// sources): 0.017241 Ω·mm²/m = 1/58, 58 MS/m, 0.00393/K at 20 °C.
func TestCopperResistivity(t *testing.T) {
	for _, c := range []struct{ celsius, want, tol float64 }{
		{20, 1.724137931034e-8, 1e-12},
		{80, 2.130689655e-8, 1e-9},
		{105, 1.724137931034e-8 * 1.33405, 1e-9},
	} {
		if got := material.CopperResistivity(273.15 + c.celsius); apart(got, c.want) > c.tol {
			t.Errorf("resistivity at %v °C is %v, want %v", c.celsius, got, c.want)
		}
	}
	// A track of 1 m × 0.2 mm × 35 µm.
	if got := material.CopperResistivity(353.15) / (0.2e-3 * 35e-6); apart(got, 3.0438423645320) > 1e-12 {
		t.Errorf("track at 80 °C: %v Ω, want 3.0438423645320", got)
	}
	// Thermal and electrical conduction of a metal are tied by Wiedemann and
	// Franz, k ρ/T = 2.44e-8 W Ω/K² (Sommerfeld's value, from memory); copper
	// keeps it within some 10 % at room temperature.
	c := material.AnnealedCopper
	if l := c.Conductivity * c.ResistivityAt(293.15) / 293.15; apart(l, 2.44e-8) > 0.1 {
		t.Errorf("Lorenz number %v, want 2.44e-8 within 10 %%", l)
	}
	if m := material.LaminateNamed("aluminium"); apart(m.InPlane/m.ElectricConductivity/293.15, 2.44e-8) > 0.1 {
		t.Errorf("Lorenz number of aluminium %v, want 2.44e-8 within 10 %%", m.InPlane/m.ElectricConductivity/293.15)
	}
	// 1 oz/ft² from the exact units and the density is 34.3253 µm; the trade's
	// rounded figure lies within the ±10 % that foil is sold to.
	if exact := 28.349523125e-3 / 0.09290304 / c.Density; apart(exact, 34.3253e-6) > 1e-5 || apart(material.OunceThickness, exact) > 0.1 {
		t.Errorf("an ounce is %v m by its mass, %v m in the table", exact, material.OunceThickness)
	}
}

// Each table: usable numbers, a source for every entry, names that find themselves
// and cannot be mistaken for one another.
func TestTables(t *testing.T) {
	check := func(kind string, names []string, get func(string) (found string, numbers []float64, source string)) {
		t.Helper()
		if len(names) == 0 {
			t.Errorf("no %s", kind)
		}
		seen := map[string]bool{}
		for _, name := range names {
			if lower := strings.ToLower(name); seen[lower] || lower != name {
				t.Errorf("%s %q: twice, or not in lower case", kind, name)
			} else {
				seen[lower] = true
			}
			found, numbers, source := get(name)
			if found != name {
				t.Errorf("%s %q: found %q", kind, name, found)
			}
			if len(source) < len("from memory") {
				t.Errorf("%s %q: no source", kind, name)
			}
			for i, v := range numbers {
				if !(v > 0) || math.IsInf(v, 0) {
					t.Errorf("%s %q: number %d is %v", kind, name, i, v)
				}
			}
		}
		if none, _, _ := get(names[0] + "x"); none != "" {
			t.Errorf("%s %qx: found %q", kind, names[0], none)
		}
	}
	check("laminate", material.LaminateNames(), func(n string) (string, []float64, string) {
		l := material.LaminateNamed(n)
		return l.Name, []float64{l.InPlane, l.Through, l.Density, l.HeatCapacity, l.Limit - 293.15}, l.Source
	})
	check("steel", material.SteelNames(), func(n string) (string, []float64, string) {
		s := material.SteelNamed(n)
		return s.Name, []float64{s.MuR, s.InitialMuR, s.Conductivity, s.Density, s.HeatCapacity}, s.Source
	})
	check("magnet grade", material.GradeNames(), func(n string) (string, []float64, string) {
		g := material.GradeNamed(n)
		return g.Name, []float64{g.Remanence - g.RemanenceLeast, g.RemanenceLeast, -g.TempCoefficient, g.Recoil, g.Density, g.Limit - 293.15}, g.Source
	})
	check("fluid", material.FluidNames(), func(n string) (string, []float64, string) {
		f := material.FluidNamed(n)
		return f.Name, []float64{f.Saturation, f.Susceptibility, f.Density, f.Viscosity, f.SurfaceTension, f.InterfacialTension}, f.Source
	})
}

// A caller's change stays the caller's.
func TestTablesAreCopies(t *testing.T) {
	material.Steels()[0].CurveB[1] = -1
	s := material.SteelNamed("low-carbon")
	if s.CurveB[1] < 0 {
		t.Errorf("the table was changed: %v", s.CurveB[:2])
	}
	material.Laminates()[0].InPlane = -1
	material.Grades()[0].Remanence = -1
	material.Fluids()[0].Density = -1
	if material.Laminates()[0].InPlane < 0 || material.Grades()[0].Remanence < 0 || material.Fluids()[0].Density < 0 {
		t.Error("a table was changed")
	}
}

func TestSteelCurves(t *testing.T) {
	for _, s := range material.Steels() {
		if len(s.CurveH) != len(s.CurveB) {
			t.Fatalf("%s: %d values of H, %d of B", s.Name, len(s.CurveH), len(s.CurveB))
		}
		for i := range s.CurveH {
			if i == 0 {
				if s.CurveH[0] != 0 || s.CurveB[0] != 0 {
					t.Errorf("%s: the curve does not start at the origin", s.Name)
				}
				continue
			}
			slope := (s.CurveB[i] - s.CurveB[i-1]) / (s.CurveH[i] - s.CurveH[i-1])
			// B may not rise slower than in vacuum; the last points, which lie on
			// that slope, are rounded to four digits.
			if !(slope > 0.999*field.Mu0) {
				t.Errorf("%s: between points %d and %d dB/dH is %v, less than µ0", s.Name, i, i+1, slope)
			}
		}
		if n := len(s.CurveH); n > 0 {
			if js := s.CurveB[n-1] - field.Mu0*s.CurveH[n-1]; apart(js, s.Saturation) > 0.01 {
				t.Errorf("%s: the curve ends at a polarisation of %v T, the entry says %v", s.Name, js, s.Saturation)
			}
			if mu := s.CurveB[1] / (field.Mu0 * s.CurveH[1]); apart(mu, s.InitialMuR) > 0.01 {
				t.Errorf("%s: the curve starts with µr %v, the entry says %v", s.Name, mu, s.InitialMuR)
			}
		}
		// Iron alone polarises to 2.15 T (from memory); alloys stay below.
		if s.Saturation > 2.2 || (s.Saturation == 0) != (s.MuR < 2) {
			t.Errorf("%s: saturation %v T with µr %v", s.Name, s.Saturation, s.MuR)
		}
	}
}

// The grade's number is its energy product in MGOe: (BH)max = Br²/(4 µ0 µrec) for a
// straight demagnetisation line, 1 MGOe = 7957.747 J/m³. Sintered magnets keep it
// within some 8 %.
func TestGradeNumberIsEnergyProduct(t *testing.T) {
	numbered := 0
	for _, g := range material.Grades() {
		if !strings.HasPrefix(g.Name, "n") {
			continue
		}
		digits := strings.TrimRight(g.Name[1:], "mshue")
		var want float64
		for _, d := range digits {
			want = 10*want + float64(d-'0')
		}
		numbered++
		product := g.Remanence * g.Remanence / (4 * field.Mu0 * g.Recoil) / 7957.747
		if apart(product, want) > 0.08 {
			t.Errorf("%s: Br %v T makes %.1f MGOe", g.Name, g.Remanence, product)
		}
	}
	if numbered < 20 {
		t.Errorf("only %d numbered grades", numbered)
	}
	// Reversible loss from 20 to 80 °C, −0.12 %/K: 7.2 %.
	g := material.GradeNamed("n42")
	if apart(g.RemanenceAt(353.15), g.Remanence*0.928) > 1e-12 {
		t.Errorf("n42 at 80 °C: %v T of %v", g.RemanenceAt(353.15), g.Remanence)
	}
	// Limits by letter: quoted by a secondary source, and in makers' tables.
	for name, limit := range map[string]float64{"n42": 80, "n42m": 100, "n42h": 120, "n42sh": 150, "n38uh": 180, "n38eh": 200} {
		if g := material.GradeNamed(name); math.Abs(g.Limit-273.15-limit) > 1e-9 {
			t.Errorf("%s: limit %v K; want %v °C", name, g.Limit, limit)
		}
	}
}

// The fluids' densities are mixtures of 5180 kg/m³ magnetite, saturating at 446
// kA/m, and carrier (R. E. Rosensweig, Ferrohydrodynamics, 1985, from memory).
// Their susceptibility lies between that of lone 10 nm particles by Langevin's
// formula at 298.15 K and eight times it, as real fluids with larger and interacting
// particles do (from memory).
func TestFluidClasses(t *testing.T) {
	for _, f := range material.Fluids() {
		carrier := 900.0
		if strings.HasPrefix(f.Name, "water") {
			carrier = 1000
		}
		share := f.Saturation / 446e3
		// The mixture's density by volumes, one kelvin warmer, falls as it expands.
		if grown := 1 / (share + (1-share)*(1+f.OwnExpansion)); math.Abs((1-grown)/f.Expansion()-1) > 1e-3 {
			t.Errorf("%s: density falls by %g in a kelvin, expands by %g", f.Name, 1-grown, f.Expansion())
		}
		if want := share*5180 + (1-share)*carrier; math.Abs(f.Density-want) > 1 {
			t.Errorf("%s: density %v, mixture %v", f.Name, f.Density, want)
		}
		lone := math.Pi / 18 * share * field.Mu0 * 446e3 * 446e3 * 1e-24 / (1.380649e-23 * 298.15)
		if f.Susceptibility < lone || f.Susceptibility > 8*lone {
			t.Errorf("%s: susceptibility %v, lone particles %v", f.Name, f.Susceptibility, lone)
		}
		if f.InterfacialTension >= f.SurfaceTension {
			t.Errorf("%s: tension against a liquid %v exceeds that against air %v", f.Name, f.InterfacialTension, f.SurfaceTension)
		}
	}
}

package heat

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
)

// The table in the code is the table in testdata/heat/air.csv, which names its
// source and which the SciPy checks read.
func TestAirTable(t *testing.T) {
	raw, err := os.ReadFile("../../testdata/heat/air.csv")
	if err != nil {
		t.Fatal(err)
	}
	r := csv.NewReader(strings.NewReader(string(raw)))
	r.Comment = '#'
	lines, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if len(lines) != len(airTable) {
		t.Fatalf("%d lines in the file, %d in the code", len(lines), len(airTable))
	}
	for i, line := range lines {
		a := airTable[i]
		for j, want := range []float64{a.celsius, a.density, a.cp, a.k, a.alpha, a.mu, a.nu, a.pr} {
			if got, err := strconv.ParseFloat(line[j], 64); err != nil || got != want {
				t.Errorf("line %d column %d: file %s, code %g", i, j, line[j], want)
			}
		}
	}
}

// The columns of the printed table obey their own definitions, α = k/(ρ cp),
// ν = µ/ρ, Pr = ν/α: a slip of a digit would show. −100 °C is left out: the source
// prints 966 J/(kg·K) there, 4 % off its neighbours.
func TestAirTableConsistent(t *testing.T) {
	for _, a := range airTable {
		if a.celsius == -100 {
			continue
		}
		for name, ratio := range map[string]float64{
			"k/(ρ cp α)": a.k / (a.density * a.cp * a.alpha),
			"µ/(ρ ν)":    a.mu / (a.density * a.nu),
			"ν/(α Pr)":   a.nu / (a.alpha * a.pr),
		} {
			if math.Abs(ratio-1) > 6e-3 {
				t.Errorf("%g °C: %s = %.4f, want 1", a.celsius, name, ratio)
			}
		}
	}
}

// Second opinion: viscosity and conductivity of the U.S. Standard Atmosphere 1976
// (eqs. 51 and 53: µ = 1.458e-6 T^1.5/(T+110.4), k = 2.64638e-3 T^1.5/(T + 245.4
// 10^(−12/T)), from memory), density of an ideal gas of 28.9644 g/mol.
func TestAirAgainstStandardAtmosphere(t *testing.T) {
	for kelvin := 230.0; kelvin <= 480; kelvin += 7.3 {
		a := AirAt(kelvin)
		rho := 101325 * 28.9644e-3 / (8.31446 * kelvin)
		mu := 1.458e-6 * math.Pow(kelvin, 1.5) / (kelvin + 110.4)
		k := 2.64638e-3 * math.Pow(kelvin, 1.5) / (kelvin + 245.4*math.Pow(10, -12/kelvin))
		if e := a.Viscosity/(mu/rho) - 1; math.Abs(e) > 0.02 {
			t.Errorf("%g K: ν off by %.3f", kelvin, e)
		}
		if e := a.Conductivity/k - 1; math.Abs(e) > 0.03 {
			t.Errorf("%g K: k off by %.3f", kelvin, e)
		}
	}
}

func TestAirAtEnds(t *testing.T) {
	// At a line of the table, its values.
	warm := 303.15
	a := AirAt(warm)
	if math.Abs(a.Viscosity-1.608e-5) > 1e-12 || math.Abs(a.Conductivity-0.02588) > 1e-9 || a.Expansion != 1/warm {
		t.Errorf("at 30 °C: %+v", a)
	}
	// Beyond, the nearest line.
	if a := AirAt(2000); a.Viscosity != 1.133e-4 || a.Expansion != 1.0/2000 {
		t.Errorf("at 2000 K: %+v", a)
	}
	if a := AirAt(50); a.Prandtl != 0.7246 {
		t.Errorf("at 50 K: %+v", a)
	}
}

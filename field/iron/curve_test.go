package iron

import (
	"math"
	"strings"
	"testing"

	"lodegrid/field"
	"lodegrid/field/material"
)

// Curves that no steel has are refused, with the point at fault.
func TestBadCurves(t *testing.T) {
	for _, c := range []struct {
		name string
		h, b []float64
		says string
	}{
		{"one point", []float64{100}, []float64{0.5}, "two or more"},
		{"lengths differ", []float64{100, 200}, []float64{0.5}, "2 values of H and 1 of B"},
		{"B falls", []float64{100, 200, 300}, []float64{0.5, 1, 0.9}, "point 3"},
		{"B stands still", []float64{100, 200, 300}, []float64{0.5, 1, 1}, "point 3"},
		{"H falls", []float64{100, 90, 300}, []float64{0.5, 1, 1.2}, "point 2"},
		{"negative", []float64{-100, 200}, []float64{-0.5, 1}, "point 1"},
		{"not a number", []float64{100, math.NaN()}, []float64{0.5, 1}, "point 2"},
		{"infinite", []float64{100, 200}, []float64{0.5, math.Inf(1)}, "point 2"},
		{"oersted taken for A/m", []float64{1e6, 2e6}, []float64{0.5, 0.6}, "slower than in air"},
	} {
		_, err := NewTable(c.h, c.b)
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: error %v, want one that says %q", c.name, err, c.says)
		}
	}
}

// Every steel's curve goes through its points, rises between and beyond them, tells its
// own slope, and is that of air far above saturation.
func TestSteelCurves(t *testing.T) {
	for _, name := range material.SteelNames() {
		steel, err := material.SteelNamed(name)
		if err != nil {
			t.Fatal(err)
		}
		if steel.Saturation == 0 {
			continue
		}
		var curve Curve = Frohlich{MuI: steel.InitialMuR, Js: steel.Saturation}
		if steel.CurveB != nil {
			table, err := NewTable(steel.CurveH, steel.CurveB)
			if err != nil {
				t.Fatalf("%s: %v", steel.Name, err)
			}
			curve = table
			for i, b := range steel.CurveB {
				if h, _ := curve.H(b); math.Abs(h-steel.CurveH[i]) > 1e-9*steel.CurveH[i]+1e-9 {
					t.Errorf("%s: H(%g T) = %g A/m, the point says %g", steel.Name, b, h, steel.CurveH[i])
				}
			}
		}
		last := -1.0
		for b := 0.0; b < 6; b += 0.001237 {
			h, slope := curve.H(b)
			if !(h > last) || !(slope > 0) {
				t.Fatalf("%s: H(%g T) = %g A/m, slope %g, after %g", steel.Name, b, h, slope, last)
			}
			last = h
			const e = 1e-6
			up, _ := curve.H(b + 0.5 + e)
			down, _ := curve.H(b + 0.5 - e)
			if _, slope := curve.H(b + 0.5); math.Abs((up-down)/(2*e)/slope-1) > 1e-3 {
				t.Errorf("%s at %g T: slope %g, by differences %g", steel.Name, b+0.5, slope, (up-down)/(2*e))
			}
		}
		if _, slope := curve.H(50); math.Abs(slope*field.Mu0-1) > 1e-2 {
			t.Errorf("%s: at 50 T the slope is %g of air's", steel.Name, slope*field.Mu0)
		}
	}
}

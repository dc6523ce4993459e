package iron

import (
	"math"
	"testing"

	"lodegrid/field"
	"lodegrid/field/material"
)

// Curves that no steel has are refused, with the point at fault.
// Every steel's curve goes through its points, rises between and beyond them, tells its
// own slope, and is that of air far above saturation.
func TestSteelCurves(t *testing.T) {
	for _, name := range material.SteelNames() {
		steel := material.SteelNamed(name)
		if steel.Saturation == 0 {
			continue
		}
		var curve Curve = Frohlich{MuI: steel.InitialMuR, Js: steel.Saturation}
		if steel.CurveB != nil {
			table := NewTable(steel.CurveH, steel.CurveB)
			curve = table
			for i, b := range steel.CurveB {
				if i > 0 && steel.CurveH[i]-steel.CurveH[i-1] > 1.001/field.Mu0*(b-steel.CurveB[i-1]) {
					t.Errorf("%s: B rises slower than in air before %g T", steel.Name, b)
				}
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

package fit

import (
	"math"
	"strings"
	"testing"

	"lodegrid/array/design/trial"
	"lodegrid/field"
)

// A drop slides where its weight down the pane passes what the panes hold: grip × diameter
// over Δρ g πD²/4 t, unlit; lit it slides later. A quarter of the grip lets it start at about
// half the volts, since a drop's pull goes by the current's square while it is not saturated.
func TestDropsOnPanes(t *testing.T) {
	read := func(grip string) []float64 {
		d := trial.Design(t, "fluid.contact_line="+grip)
		list, err := Read("r.csv", strings.NewReader("voltage [V],moves [V],slides [deg]\n,1,20\n0.3,,20\n"))
		if err != nil {
			t.Fatal(err)
		}
		m, err := NewModel(d, list)
		if err != nil {
			t.Fatal(err)
		}
		got, err := m.Predict(t.Context(), make([]float64, len(m.Doubts)))
		if err != nil {
			t.Fatal(err)
		}
		f := d.Fluid
		weight := math.Abs(f.DensityDifference) * field.Gravity * math.Pi / 4 * f.DropDiameter * f.DropDiameter * f.TankGap
		if sin := math.Sin(got[1]); math.Abs(sin/(f.ContactLine*f.DropDiameter/weight)-1) > 1e-9 {
			t.Errorf("%s: slides at a sine of %.6f, want %.6f", grip, sin, f.ContactLine*f.DropDiameter/weight)
		}
		if got[2] <= got[1] {
			t.Errorf("%s: slides at %.3f lit, %.3f unlit", grip, got[2], got[1])
		}
		// What holds it back on a slope at 0.3 V is the pull that starts it at its volts.
		pull := (math.Sin(got[2]) - math.Sin(got[1])) * math.Pow(got[0]/0.3, 2)
		if math.Abs(pull/math.Sin(got[1])-1) > 0.05 {
			t.Errorf("%s: the pull at %.3g V is %.3f of the grip", grip, got[0], pull/math.Sin(got[1]))
		}
		return got
	}
	if whole, quarter := read("0.2 mN/m"), read("0.05 mN/m"); math.Abs(whole[0]/quarter[0]-2) > 0.1 {
		t.Errorf("moves at %.3g V, with a quarter of the grip at %.3g V", whole[0], quarter[0])
	}
}

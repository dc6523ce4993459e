package verdict

import (
	"math"
	"slices"
	"testing"
)

// A pane that may hold a drop where no pixel is lit is told, though at its least it lets go;
// less grip and heavier drops mend it, and the figure at the most is that of a pane that holds
// so for certain.
func TestStickingIsMended(t *testing.T) {
	keep := []string{"limits.touch=200 degC", "limits.board=300 degC", "limits.hold=0.05", "supply.power=100 W", "drive.max_duty=30 %", "limits.false_on=0.6", "fluid.density_difference=40 kg/m3"}
	d := small(t, append(keep, "fluid.contact_line=0.5 mN/m to 4 mN/m")...)
	v := judged(t, d, marching())
	if got := limits(v); !slices.Equal(got, []Limit{Sticks}) {
		t.Fatalf("broken are %v, dark hold %.3g", got, v.Summary.GreatestFalseOn)
	}
	sure := judged(t, small(t, append(keep, "fluid.contact_line=4 mN/m")...), marching())
	if got := v.Problems[0].Value; math.Abs(got/sure.Summary.GreatestFalseOn-1) > 1e-9 {
		t.Errorf("at its most %.6g, for certain %.6g", got, sure.Summary.GreatestFalseOn)
	}
	if got := limits(sure); !slices.Equal(got, []Limit{Releases}) {
		t.Errorf("for certain: broken are %v", got)
	}
	if len(v.Problems[0].Remedies) != 2 {
		t.Fatalf("remedies %+v", v.Problems[0].Remedies)
	}
	for _, r := range v.Problems[0].Remedies {
		mended, err := d.With(r.Set...)
		if err != nil {
			t.Fatal(err)
		}
		if again := judged(t, mended, marching()); len(again.Problems) != 0 || !(r.Value > 0.9*0.6) {
			t.Errorf("with %v: broken are %v, %.3g of 0.6", r.Set, limits(again), r.Value)
		}
	}
}

package shown

import (
	"math"
	"testing"

	"lodegrid/array/design"
)

// Drops that walk over a held one pass it the nearer the heavier they are. By the drop model they
// show, and by the tank, 8 and 12 cells per pitch, they do at 1.3 kg/m³ and run together at 2.4;
// with a duty of 35.9 %, or beside none, they do not.
func TestDropsThatPass(t *testing.T) {
	d, err := design.ReadFile("../../testdata/shown/over.toml")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		density, duty string
		held, passes  bool
	}{{"1.3 kg/m3", "30 %", true, true}, {"2.4 kg/m3", "30 %", true, false}, {"2.4 kg/m3", "35.9 %", true, true}, {"2.4 kg/m3", "30 %", false, true}} {
		g := gridOf(t, d, design.Change{Key: "fluid.density_difference", Value: c.density}, design.Change{Key: "drive.max_duty", Value: c.duty})
		s := walk(g, 1, 6, 7, 8, 9, 10, 11, 10, 9, 8, 7)
		for i := range s.Frames {
			s.Frames[i].Duration = 6
			if c.held {
				s.Frames[i].Levels[14] = 1
			}
		}
		p, seen := followed(t, g, s)
		r := seen.Record()
		if err := r.Pass(t.Context(), p, s); err != nil {
			t.Fatal(err)
		}
		if near := r.Passing; (near == nil) != c.passes || r.Keeps(0.9, 1) != c.passes || !r.Keeps(0, 1) {
			t.Errorf("%s at %s, held %t: %+v", c.density, c.duty, c.held, near)
		} else if near != nil && (near.Share > 0.7 || near.Frame < 1 || near.Frame > 9 || math.Abs(near.Gap-2.55e-3) > 1e-9) {
			t.Errorf("%s: %+v, want a gap of three quarters of 10 mm less 6.6 mm, and most pictures bare", c.density, near)
		}
	}
}

package verdict

import (
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
	"lodegrid/scenes"
)

// A ring of pixels whose way up the drop model makes, and a stiff drop pulled less does not, breaks
// limits.shown with all of its pictures shown; a lighter drop's does not.
func TestHopsBreakTheLimit(t *testing.T) {
	s := scenes.New("ring", 2, 4, 4, 4)
	for i, at := range []int{0, 1, 5, 4} {
		s.Frames[i].Levels[at] = 1
	}
	for density, broken := range map[string]bool{"0.5 kg/m3": false, "5 kg/m3": true} {
		d, err := trial.Lit().With([]design.Change{{Key: "grid.cols", Value: "4"}, {Key: "grid.rows", Value: "2"}, {Key: "drive.mode", Value: "kick"}, {Key: "drive.max_duty", Value: "100 %"},
			{Key: "drive.hold_duty", Value: "16 %"}, {Key: "drive.kick_time", Value: "600 ms"}, {Key: "fluid.density_difference", Value: density}, {Key: "limits.shown", Value: "90 %"}}...)
		if err != nil {
			t.Fatal(err)
		}
		v, err := Look(t.Context(), playerOf(t, d), s, nil)
		if err != nil {
			t.Fatal(err)
		}
		if share, _ := v.Seen.Share(); share < 1 || v.Seen.Time > 0 {
			t.Fatalf("%s: the drop model shows %g: nothing is tried", density, share)
		}
		found := false
		for _, p := range v.Problems {
			if p.Limit == Shown {
				found = p.Value == 1 && p.Count == 1 && p.Of == 4 && p.Frame == 0 && p.Pixel == 0
			}
		}
		if found != broken {
			t.Errorf("%s: %+v", density, v.Problems)
		}
	}
}

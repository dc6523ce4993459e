package render

import (
	"math"
	"strings"
	"testing"

	"lodegrid/array/design"
	"lodegrid/scenes/choose"
	"lodegrid/scenes/verdict"
)

// Where every drive breaks a limit, those that all of them break are told with the drive that comes
// nearest and its figure; each drive's settings are as they are typed.
func TestNearestDrives(t *testing.T) {
	of := func(list ...verdict.Problem) choose.Driven {
		return choose.Driven{Choice: &choose.Choice{Verdict: &verdict.Verdict{Problems: list}, Changes: []design.Change{{Key: "supply.voltage", Value: "5 V"}, {Key: "drive.mode", Value: "kick"}}}}
	}
	touch := func(v float64) verdict.Problem { return verdict.Problem{Limit: verdict.Touch, Value: v, Bound: 324.15} }
	board := verdict.Problem{Limit: verdict.Board, Value: math.Inf(1), Bound: 403.15}
	shown := func(v float64) verdict.Problem { return verdict.Problem{Limit: verdict.Shown, Value: v, Bound: 0.9} }
	a := &choose.Advice{Drives: []choose.Driven{of(board, touch(363.15), shown(0.1)), of(touch(343.15), shown(0.4))}}
	s, note := nearestTable(a)
	if len(s.Rows) != 2 || !strings.Contains(note, "no. 2 breaks the fewest, limits.touch and limits.shown") {
		t.Fatalf("%+v, %s", s.Rows, note)
	}
	for i, want := range [][4]string{{"limits.touch", "2", "70.0 °C", "51.0 °C"}, {"limits.shown", "2", "40 %", "90 %"}} {
		for k, w := range want {
			if s.Rows[i][k].Text != w {
				t.Errorf("row %d: %q, want %q", i, s.Rows[i][k].Text, w)
			}
		}
	}
	if got := takeTable(a.Drives).Rows[1][1].Text; got != `--set supply.voltage="5 V" --set drive.mode="kick"` {
		t.Error(got)
	}
	stiff := verdict.Problem{Limit: verdict.Shown, Value: 1, Bound: 0.9, Count: 3, Of: 20}
	least := verdict.Problem{Limit: verdict.Shown, Value: 0.95, Bound: 0.9, Count: 2, Of: 20}
	for _, list := range [][]verdict.Problem{{shown(0.89), stiff, least}, {least, stiff, shown(0.89)}, {stiff, least, shown(0.89)}} {
		b := &choose.Advice{}
		for _, p := range list {
			b.Drives = append(b.Drives, of(p))
		}
		if s, _ := nearestTable(b); len(s.Rows) != 1 || s.Rows[0][2].Text != "95 %, but 2 of 20 hops fail with a stiff drop" {
			t.Errorf("%+v: %+v", list, s.Rows)
		}
	}
	a.Drives[1].Verdict.Problems = nil
	if _, note := nearestTable(a); note != "" {
		t.Errorf("one breaks nothing, and yet: %s", note)
	}
}

package render

import (
	"bytes"
	"io"
	"math"
	"strings"
	"testing"

	"lodegrid/array/design"
	"lodegrid/field"
	"lodegrid/scenes/player"
	"lodegrid/scenes/studies"
)

// The report tells of free, chosen and blocked where they decide differently, one limit or
// the other, a blocked one without a steady state too; heat tells it always.
func TestBacksTold(t *testing.T) {
	x := play(t, "drive.max_duty=14 %", "heat.back=wall", "heat.ambient=25 degC")
	var peaks player.Summary
	var backs []studies.Mounted
	for _, back := range []design.Back{design.BackCase, design.BackWall} { // of a case another face is the hottest
		p, err := x.p.Hung(back, 0)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := p.Warm(t.Context(), x.s); err != nil {
			t.Fatal(err)
		}
		l, err := p.Try(t.Context(), x.s, nil)
		if err != nil {
			t.Fatal(err)
		}
		peaks = l.Summary()
		backs, err = studies.Backs(t.Context(), p, x.s, peaks)
		if err != nil || len(backs) != 3 {
			t.Fatal(backs, err)
		}
		for _, m := range backs {
			q, err := p.Hung(m.Back, 0)
			if err != nil {
				t.Fatal(err)
			}
			hottest, touch, err := q.LoopPeaks(t.Context(), x.s)
			if err != nil {
				t.Fatal(err)
			}
			t.Logf("%s as in a %s: %.2f °C told, %.2f °C played; surface %.2f, %.2f °C", m.Back, back, m.Hottest-field.ZeroCelsius, hottest-field.ZeroCelsius, m.Touch-field.ZeroCelsius, touch-field.ZeroCelsius)
			if math.Abs(m.Hottest-hottest) > 0.5 || math.Abs(m.Touch-touch) > 0.5 {
				t.Errorf("%s as in a %s: told %.2f and %.2f K, played %.2f and %.2f K", m.Back, back, m.Hottest, m.Touch, hottest, touch)
			}
		}
	}
	if !(backs[0].Hottest < backs[1].Hottest && backs[1].Hottest < backs[2].Hottest && backs[1].Chosen) {
		t.Fatalf("free, wall, sealed: %+v", backs)
	}
	between := func(a, b float64) float64 { return (a + b) / 2 }
	for _, c := range []struct {
		name         string
		board, touch float64
		told         bool
	}{
		{"both keep all", 690, 690, false}, {"both break all", 300, 300, false},
		{"the board decides", between(backs[1].Hottest, backs[2].Hottest), 690, true},
		{"the touch decides, the board is broken anyway", 300, between(backs[0].Touch, backs[1].Touch), true},
	} {
		q, err := x.p.With(func(d *design.Design) { d.Limits.Board, d.Limits.Touch = c.board, c.touch })
		if err != nil {
			t.Fatal(err)
		}
		s, err := MountingSection(t.Context(), q, x.s, peaks, true)
		if err != nil {
			t.Fatal(err)
		}
		doc := Document{Kind: "report", Sections: []Section{s}}
		for name, write := range map[string]func(io.Writer) error{
			"text": func(w io.Writer) error { return doc.WriteText(w, false) }, "JSON": doc.WriteJSON, "HTML": doc.WriteHTML,
		} {
			var b bytes.Buffer
			if err := write(&b); err != nil {
				t.Fatal(err)
			}
			text := strings.Join(strings.Fields(b.String()), " ")
			all := true
			for _, back := range []string{"free", "wall", "sealed"} {
				all = all && strings.Contains(text, back)
			}
			if all != c.told {
				t.Errorf("%s, %s: all three are told is %v, want %v", c.name, name, all, c.told)
			}
			if name != "JSON" && !strings.Contains(text, "the default for a vertical display") {
				t.Errorf("%s, %s: the default is not told", c.name, name)
			}
		}
		if s, err = MountingSection(t.Context(), q, x.s, peaks, false); err != nil || len(s.Tables) != 2 {
			t.Errorf("%s: in full %d tables: %v", c.name, len(s.Tables), err)
		}
	}
}

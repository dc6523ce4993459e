package render

import (
	"strings"
	"testing"

	"lodegrid/array/design"
	"lodegrid/scenes/choreograph"
)

// How long a scene lasts is told with what chance makes of it, and what the advice breaks.
func TestLastingCarried(t *testing.T) {
	days := choreograph.Days{Loops: 7, Loss: 0.007}
	own := choreograph.Lasting{Kept: 20, Shown: choreograph.Spread{Mean: 0.882, Deviation: 0.021}, Fused: choreograph.Spread{Mean: 161, Deviation: 12.8}}
	best := choreograph.Lasting{Every: 600, Kept: choreograph.Enough}
	for _, c := range []struct {
		list   []choreograph.Lasting
		broken []Problem
		want   string
	}{
		{[]choreograph.Lasting{own, best}, nil, `scene.gather = "10 min" is the longest of the times tried with which every loop shows enough in 95 or more of 100 such days; no limit is broken then.`},
		{[]choreograph.Lasting{own, best}, []Problem{{What: "It gets hot."}}, "days; but then: It gets hot."},
		{[]choreograph.Lasting{own, own}, nil, "However often drops are parted, some loop shows too little"},
		{[]choreograph.Lasting{best, best}, nil, "It lasts as it is."},
	} {
		s := Section{Key: "carry", Title: "Carried"}
		LastingCarried(&s, design.Demo(), days, c.list, c.broken)
		var b strings.Builder
		if err := (Document{Kind: "carry", Sections: []Section{s}, Width: 200}).WriteText(&b, false); err != nil {
			t.Fatal(err)
		}
		for _, want := range []string{c.want, "Looped 7 times while 0.7 %"} {
			if !strings.Contains(b.String(), want) {
				t.Errorf("%q is missing:\n%s", want, b.String())
			}
		}
		if c.list[0].Kept == 20 && !strings.Contains(b.String(), "20 ± 4 keep 90 %  88.2 %") {
			t.Errorf("what chance makes is missing:\n%s", b.String())
		}
	}
}

package render

import (
	"strings"
	"testing"

	"lodegrid/array/design"
	"lodegrid/scenes/choreograph"
	"lodegrid/scenes/player"
)

// How long a scene lasts is told with what chance makes of it, and what the advice breaks.
func TestLastingCarried(t *testing.T) {
	days := choreograph.Days{Loops: 7, Loss: 0.007}
	own := choreograph.Lasting{Kept: choreograph.Spread{Mean: 20, Deviation: 4}, Worst: 13, Shown: choreograph.Spread{Mean: 0.882, Deviation: 0.021}, Fused: choreograph.Spread{Mean: 161, Deviation: 12.8}}
	best := choreograph.Lasting{Every: 600, Kept: choreograph.Spread{Mean: choreograph.Enough}}
	for _, c := range []struct {
		list   []choreograph.Lasting
		broken []Problem
		want   string
	}{
		{[]choreograph.Lasting{own, best}, nil, `scene.gather = "10 min" is the longest of the times tried with which every loop shows enough in 95 or more of 100 such days, on the mean of the plans; no limit is broken then.`},
		{[]choreograph.Lasting{own, best}, []Problem{{What: "It gets hot."}}, "plans; but then: It gets hot."},
		{[]choreograph.Lasting{own, own}, nil, "However often drops are parted, some loop shows too little: the scene does not last.\n"},
		{[]choreograph.Lasting{own, {Every: 600}}, nil, `does not last. Never to part them (scene.gather = "0 s") keeps most.`},
		{[]choreograph.Lasting{best, best}, nil, "It lasts as it is."},
		{[]choreograph.Lasting{best, {Every: 60}}, nil, "\n    1 min "},
		{[]choreograph.Lasting{best, {Every: 75}}, nil, "\n    75 s "},
	} {
		s := Section{Key: "carry", Title: "Carried"}
		LastingCarried(&s, design.Demo(), days, c.list, c.broken)
		var b strings.Builder
		if err := (Document{Kind: "carry", Sections: []Section{s}, Width: 200}).WriteText(&b, false); err != nil {
			t.Fatal(err)
		}
		for _, want := range []string{c.want, "Looped 7 times while 0.7 %", "is what --loss says, a guess"} {
			if !strings.Contains(b.String(), want) {
				t.Errorf("%q is missing:\n%s", want, b.String())
			}
		}
		if c.list[0].Worst == 13 && !strings.Contains(strings.Join(strings.Fields(b.String()), " "), "never 20.0 4.0 13 88.2 %") {
			t.Errorf("what chance makes is missing:\n%s", b.String())
		}
	}
}

// A start out of the pool tells what comes out, what it heats and what would bring more.
func TestStartCarried(t *testing.T) {
	d := design.Demo()
	st := choreograph.Start{Drops: 3, Depth: 7.3e-3, Left: 7.2e-3, Came: 1, Cells: 8, Fall: 60, Confirmed: -1, Lifts: []choreograph.Lift{{Kick: 3.5, Drops: 0.93}}}
	for _, c := range []struct {
		change func(*choreograph.Start, *player.Summary)
		want   string
	}{
		{func(s *choreograph.Start, _ *player.Summary) { s.Volume, s.Most = 4e-6, 2 }, `With fluid.volume = "4 mL" 2 of 3 come out`},
		{func(*choreograph.Start, *player.Summary) {}, "No pool that was tried gives more"},
		{func(_ *choreograph.Start, o *player.Summary) { o.Touch = d.Limits.Touch + 1 }, "keep hands off"},
		{func(_ *choreograph.Start, o *player.Summary) { o.Hottest = d.Limits.Board + 1 }, "do not play it"},
		{func(s *choreograph.Start, _ *player.Summary) { s.Confirmed = 2 }, "2 of 3 pixels at least half full"},
		{func(*choreograph.Start, *player.Summary) {}, "1 of 3, by the tank with 8 cells a pitch"},
		{func(s *choreograph.Start, _ *player.Summary) { s.Lifts, s.Came = nil, 0 }, "0 of 3, by the tank"},
	} {
		own, once, s := st, player.Summary{Hottest: 310, Touch: 305}, Section{Key: "carry", Title: "Carried"}
		c.change(&own, &once)
		own.Once = once
		StartCarried(&s, d, own)
		var b strings.Builder
		if err := (Document{Kind: "carry", Sections: []Section{s}, Width: 300}).WriteText(&b, false); err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(b.String(), c.want) {
			t.Errorf("%q is missing:\n%s", c.want, b.String())
		}
	}
}

// A start that leaves drops in the pool, loses some or gets too hot is a problem; one that does
// none of these is not.
func TestStartIsJudged(t *testing.T) {
	d := design.Demo()
	for _, c := range []struct {
		change func(*choreograph.Start)
		want   []string
	}{
		{func(*choreograph.Start) {}, nil},
		{func(s *choreograph.Start) { s.Confirmed = 2 }, nil},
		{func(s *choreograph.Start) { s.Confirmed = 1 }, []string{"the tank has 1 on their pixels"}},
		{func(s *choreograph.Start) { s.Once.Hottest = d.Limits.Board + 1 }, []string{"over limits.board"}},
		{func(s *choreograph.Start) { s.Came, s.Confirmed = 1, 0 }, []string{"Of 1 drop that the pool gives", "Of the 2 drops that the pictures want 1 come out"}},
	} {
		s := choreograph.Start{Drops: 2, Came: 2, Confirmed: -1, Lifts: make([]choreograph.Lift, 2), Once: player.Summary{Hottest: 310}}
		c.change(&s)
		doc := Document{Cure: "All of it is mended."}
		doc.JudgeStart(d, s)
		if len(doc.Problems) != len(c.want) || (doc.Cure == "") != (len(c.want) > 0) {
			t.Errorf("%+v, want %q", doc.Problems, c.want)
			continue
		}
		for k, p := range doc.Problems {
			if !strings.Contains(p.What, c.want[k]) {
				t.Errorf("%q, want %q", p.What, c.want[k])
			}
		}
	}
}

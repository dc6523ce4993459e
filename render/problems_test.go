package render

import (
	"bytes"
	"errors"
	"math"
	"strings"
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
	"lodegrid/array/handover"
	"lodegrid/array/heat"
	"lodegrid/scenes/player"
	"lodegrid/scenes/shown"
	"lodegrid/scenes/verdict"
)

// set is a remedy that sets one key.
func set(value float64, left []verdict.Limit, pairs ...string) verdict.Remedy {
	r := verdict.Remedy{Value: value, Left: left}
	for i := 0; i < len(pairs); i += 2 {
		r.Set = append(r.Set, design.Change{Key: pairs[i], Value: pairs[i+1]})
	}
	return r
}

// Problems and cautions for programs: no null, what has no end as a word, the remedies
// with what each leaves.
func TestProblemsForPrograms(t *testing.T) {
	p := verdict.Problem{Limit: verdict.Board, Value: math.Inf(1), Bound: 403.15, Pixel: 3, Frame: 1, Count: 2,
		Remedies: []verdict.Remedy{set(330, []verdict.Limit{verdict.Holding}, "drive.max_duty", "5 %", "drive.hold_duty", "4 %"), set(math.Inf(1), nil, "heat.air_speed", "2 m/s")}}
	var doc Document
	doc.Judge(trial.Lit(), &verdict.Verdict{Problems: []verdict.Problem{p}, Cautions: []verdict.Caution{{Kind: verdict.HotSurface, Value: 330, Limit: 324}, {Kind: verdict.Pinching}, {Kind: verdict.Implants, Value: 0.1, Limit: 5e-4}}})
	var b bytes.Buffer
	if err := doc.WriteJSON(&b); err != nil || strings.Contains(b.String(), "null") {
		t.Fatalf("%v, %s", err, b.String())
	}
	got := decodeOne(t, b.Bytes())
	one := got["problems"].([]any)[0].(map[string]any)
	remedies := one["remedies"].([]any)
	first, second := remedies[0].(map[string]any), remedies[1].(map[string]any)
	if one["value_k"] != "infinite" || one["bound_k"] != 403.15 || one["pixel"] != 3.0 || one["frame"] != 2.0 || one["count"] != 2.0 ||
		first["set"].(map[string]any)["drive.hold_duty"] != "4 %" || first["still_broken"].([]any)[0] != "limits.hold" || len(second["still_broken"].([]any)) != 0 || second["value_k"] != "infinite" {
		t.Errorf("%v", one)
	}
	if c := got["cautions"].([]any); len(c) != 3 || c[0].(map[string]any)["value_k"] != 330.0 || c[0].(map[string]any)["limit_k"] != 324.0 || c[1].(map[string]any)["what"] == "" || c[2].(map[string]any)["distance_m"] != 0.1 || c[2].(map[string]any)["limit_t"] != 5e-4 {
		t.Errorf("%v", c)
	}
}

// Every limit's words carry its numbers, its place and what each remedy was found to do.
func TestProblemsInWords(t *testing.T) {
	d := trial.Lit()
	board := verdict.Problem{Limit: verdict.Board, Value: 410, Bound: 403.15, Pixel: 17, Frame: 3}
	touch := verdict.Problem{Limit: verdict.Touch, Value: 325.15, Bound: 324.15, Pixel: -1, Frame: -1}
	with := func(p verdict.Problem, r ...verdict.Remedy) verdict.Problem { p.Remedies = r; return p }
	hold := verdict.Problem{Limit: verdict.Holding, Value: 1.1, Bound: 1.2, Pixel: 4, Frame: 6, Count: 2, Of: 30}
	for _, c := range []struct {
		name string
		p    verdict.Problem
		v    verdict.Verdict
		says []string
	}{
		{"board", board, verdict.Verdict{HeatDuty: 0.1157, HoldDuty: 0.1021}, []string{"136.9 °C", "row 2, column 2", "130.0 °C", "11.5 %", "breaks another limit"}},
		{"board, and the drops need more", board, verdict.Verdict{HeatDuty: 0.1, HoldDuty: 0.1021}, []string{"10 %", "10.3 % to hold"}}, // 10.21 % rounded up
		{"shown", verdict.Problem{Limit: verdict.Shown, Value: 0.1, Bound: 0.9, Pixel: -1, Frame: -1}, verdict.Verdict{Seen: &shown.Record{}}, []string{"report --carry"}},
		{"shown, carried", verdict.Problem{Limit: verdict.Shown, Value: 0.37, Bound: 0.9, Pixel: -1, Frame: -1}, verdict.Verdict{Seen: &shown.Record{}, Carried: true}, []string{"carry --tank"}},
		{"shown, a stiff drop fails", verdict.Problem{Limit: verdict.Shown, Value: 1, Bound: 0.9, Pixel: 4, Frame: 1, Count: 2, Of: 5}, verdict.Verdict{Seen: &shown.Record{Asked: 5, Failing: []shown.Hop{{Frame: 1, From: 3, To: 4, End: handover.Lost}, {}}}},
			[]string{"100 %", "14 %", "2 of the 5 hops", "frame 2", "from row 1, column 4 to row 1, column 5 (it falls away)", "report --fluid"}},
		{"shown, drops pass too near", verdict.Problem{Limit: verdict.Shown, Value: 1, Bound: 0.9, Pixel: -1, Frame: 3}, verdict.Verdict{Seen: &shown.Record{Passing: &shown.Passing{Gap: 2.267e-3, Share: 0.61, Frame: 3}}},
			[]string{"100 %", "2.27 mm", "61 %", "asked is 90 %", "frame 4", "report --fluid"}},
		{"no duty", touch, verdict.Verdict{}, []string{"52.0 °C", "51.0 °C", "No practical duty"}},
		{"faster PWM", with(touch, set(320.15, nil, "drive.frequency", "63 kHz")), verdict.Verdict{}, []string{`drive.frequency = "63 kHz"`, "47.0 °C then", "no limit is broken", "not counted"}},
		{"kick", with(touch, set(320.15, []verdict.Limit{verdict.Power}, "drive.max_duty", "6.5 %", "drive.hold_duty", "13 %")), verdict.Verdict{},
			[]string{`drive.max_duty = "6.5 %" with drive.hold_duty = "13 %"`, "supply.power still broken"}},
		{"magnets", verdict.Problem{Limit: verdict.Magnets, Value: 354, Bound: 353}, verdict.Verdict{HeatDuty: 0.2}, []string{"80.9 °C", "79.9 °C"}},
		{"supply", with(verdict.Problem{Limit: verdict.Power, Value: 17.28, Bound: 14.4, Frame: 51}, set(17.28, nil, "supply.power", "25 W")), verdict.Verdict{},
			[]string{"Frame 52", "17.28 W", "18 W", "14.4 W", "80 %", `supply.power = "25 W"`, "it needs 17.28 W then"}},
		{"lit", verdict.Problem{Limit: verdict.MostLit, Value: 30, Bound: 20}, verdict.Verdict{Summary: player.Summary{MostLit: 30, MostLitFrame: 2}}, []string{"Frame 3 lights 30", "at most", "fewer pixels"}},
		{"hold", with(hold, set(1.25, nil, "drive.max_duty", "17 %")), verdict.Verdict{}, []string{"2 of 30", "1.1", "1.2", "frame 7", "row 1, column 5", "1.25 of the need then"}},
		{"hold, too hot", hold, verdict.Verdict{HeatDuty: 0.1, HoldDuty: 0.2}, []string{"need a duty of 20 %, heat allows 10 %"}},
		{"hold, never", hold, verdict.Verdict{HeatDuty: 0.1, HoldDuty: math.Inf(1)}, []string{"Full duty is not enough"}},
		{"hold, at another's cost", hold, verdict.Verdict{HeatDuty: 1, HoldDuty: 0.2}, []string{"20 %", "breaks another limit"}},
		{"false on", verdict.Problem{Limit: verdict.Releases, Value: 0.7, Bound: 0.5, Count: 3}, verdict.Verdict{}, []string{"3 times", "0.7", "0.5", "row 1, column 1", "larger pitch"}},
		{"false on where a drop needs nothing", verdict.Problem{Limit: verdict.Releases, Value: math.Inf(1), Bound: 0.5, Count: 3}, verdict.Verdict{}, []string{"3 times", "needs nothing to stay", "any pull keeps it", "row 1, column 1"}},
		{"holds then", with(hold, set(math.Inf(1), nil, "drive.max_duty", "17 %")), verdict.Verdict{}, []string{"a drop needs nothing to stay then"}},
		{"runaway", verdict.Problem{Limit: verdict.Board, Value: math.Inf(1), Bound: 403.15}, verdict.Verdict{Unrest: &heat.RunawayError{Row: 3, Col: 6, Temperature: 950, Ceiling: 700, Steady: true}},
			[]string{"no steady state", "row 4, column 7", "676.9 °C", "426.9 °C"}},
		{"too little fluid", with(verdict.Problem{Limit: verdict.Filled, Value: 2e-6, Bound: 3e-6}, set(3e-6, nil, "fluid.volume", "3 mL")), verdict.Verdict{}, []string{"has 2 mL", "needs 3 mL", "3 mL then"}},
		{"no room", with(verdict.Problem{Limit: verdict.Room, Value: 0.06, Bound: 0.05}, set(0.06, nil, "tank.room", "7 %")), verdict.Verdict{}, []string{"grow by 6 %", "room for 5 %", "they grow by 6 % then"}},
		{"runaway without end", verdict.Problem{Limit: verdict.Board, Value: math.Inf(1)}, verdict.Verdict{Unrest: &heat.RunawayError{Ceiling: 700}}, []string{"without end"}},
		{"unsettled", verdict.Problem{Limit: verdict.Board, Value: math.Inf(1)}, verdict.Verdict{Unrest: errors.New("it swings")}, []string{"could not be found: it swings"}},
	} {
		c.v.Problems = []verdict.Problem{c.p}
		var doc Document
		doc.Judge(d, &c.v)
		if len(doc.Problems) != 1 {
			t.Fatalf("%s: %d problems", c.name, len(doc.Problems))
		}
		p := doc.Problems[0]
		text := p.What + " " + strings.Join(p.Advice, " ")
		if p.Key != string(c.p.Limit) || p.What == "" || len(p.Advice) == 0 || strings.Contains(text, "%!") || strings.Contains(text, "NaN") || strings.Contains(text, "Inf") {
			t.Errorf("%s: %+v", c.name, p)
		}
		for _, want := range c.says {
			if !strings.Contains(text, want) {
				t.Errorf("%s: %q is missing in %q", c.name, want, text)
			}
		}
	}
}

// A verdict without problems says so; one of several with a cure names it.
func TestJudgedDocument(t *testing.T) {
	var doc Document
	doc.Judge(trial.Lit(), &verdict.Verdict{})
	if doc.Problems == nil || len(doc.Problems) != 0 || doc.Cure != "" {
		t.Errorf("nothing broken: %+v", doc)
	}
	two := []verdict.Problem{{Limit: verdict.Touch, Value: 330, Bound: 324}, {Limit: verdict.Power, Value: 20, Bound: 14}}
	doc = Document{}
	doc.Judge(trial.Lit(), &verdict.Verdict{Problems: two, Cure: []design.Change{{Key: "drive.frequency", Value: "63 kHz"}}})
	if !strings.Contains(doc.Cure, `drive.frequency = "63 kHz"`) {
		t.Errorf("the cure is %q", doc.Cure)
	}
}

// Every kind of caution has words, with its numbers where it has any.
func TestCautionsInWords(t *testing.T) {
	for _, c := range []struct {
		c    verdict.Caution
		want []string
	}{
		{verdict.Caution{Kind: verdict.NeverCools}, []string{"Do not build it"}},
		{verdict.Caution{Kind: verdict.HotSurface, Value: 273.15 + 44}, []string{"44.0 °C", "Hot surface"}},
		{verdict.Caution{Kind: verdict.BoardBurns, Value: 410, Limit: 403.15}, []string{"136.9 °C", "130.0 °C", "cut-out"}},
		{verdict.Caution{Kind: verdict.BoardNear, Value: 390, Limit: 403.15}, []string{"116.9 °C", "within 20 K"}},
		{verdict.Caution{Kind: verdict.Implants, Value: 0.01, Limit: verdict.ImplantLimit}, []string{"0.5 mT", "nearer than 10 mm"}},
		{verdict.Caution{Kind: verdict.Implants, Value: 0.3, Limit: verdict.ImplantLimit, Beyond: true}, []string{"up to 300 mm"}},
		{verdict.Caution{Kind: verdict.Pinching}, []string{"pinch"}},
		{verdict.Caution{Kind: verdict.MetalBoard}, []string{"shorted turn", "eddy currents under one coil alone", "Measure a coil's inductance"}},
		{verdict.Caution{Kind: verdict.MetalBoard, Value: 0.098}, []string{"9.8 % of the inductance off"}},
		{verdict.Caution{Kind: verdict.Still}, []string{"no drop has to move", "scene.duration"}},
		{verdict.Caution{Kind: verdict.SupplyWork, Text: "Fuse it."}, []string{"Fuse it."}},
		{verdict.Caution{Kind: verdict.Uncertified}, []string{"not certified", "--doubt"}},
	} {
		got := caution(c.c)
		if got.Key != string(c.c.Kind) {
			t.Errorf("%q: key %q", c.c.Kind, got.Key)
		}
		for _, w := range c.want {
			if !strings.Contains(got.Text, w) {
				t.Errorf("%s: %q is missing in %q", c.c.Kind, w, got.Text)
			}
		}
	}
}

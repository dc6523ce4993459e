package render

import (
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
	"lodegrid/array/grid"
	"lodegrid/array/handover"
	"lodegrid/scenes/verdict"
)

// What a board must do to work is every way that its drive hands drops on, by the ratio that
// this drive has, and its slopes; ways with nothing to overcome ask nothing.
func TestMovesAreThoseOfTheDrive(t *testing.T) {
	page := func(factor float64) Document {
		table := Table{Key: "passages", Columns: []Column{{"way", "way"}, {"scheme", "scheme"}, {"ratio", "least force ratio"}}}
		for i, way := range []string{"right", "up", "left", "down"} {
			for k := range handover.Schemes {
				r := ratio(factor * float64(1+int(k)) * []float64{2, 0.5, 3, 0}[i])
				if way == "down" {
					r = ratio(math.Inf(1))
				}
				table.Rows = append(table.Rows, []Cell{Say(way), Say(k.String()), r})
			}
		}
		return Document{Sections: []Section{{Key: "handover", Tables: []Table{table}}}}
	}
	doc, moved := page(1), page(1.1)
	slopes := []map[string]float64{moved.ByPath()}
	d := design.Demo()
	for mode, want := range map[design.DriveMode][]float64{design.DriveDirect: {2, 0.5, 3}, design.DriveKick: {6, 1.5, 9}} {
		d.Drive.Mode = mode
		got, worst := moves(d, &doc, slopes)
		if len(got) != 3 || !strings.HasPrefix(worst, "up, ") {
			t.Fatalf("%s: %v, worst %q", mode, got, worst)
		}
		for i, m := range got {
			if m.Value != want[i] || m.Bound != 1 || len(m.Slopes) != 1 || math.Abs(m.Slopes[0]-math.Log(1.1)) > 1e-9 {
				t.Errorf("%s: %+v, want %g", mode, m, want[i])
			}
		}
	}
	stuck := page(0)
	if got, _ := moves(d, &stuck, slopes); len(got) != 3 || got[1].Value != 0 || got[1].Bound != 1 {
		t.Errorf("nothing drives the drops: %v", got)
	}
	d.Drive.Mode = design.DriveKick // whose rows are the third of each way
	delete(slopes[0], "handover.passages[up, 3].ratio")
	if got, _ := moves(d, &doc, slopes); got != nil {
		t.Errorf("a display tried has no hand-over: %v", got)
	}
}

// Of a limit from above and one from below, that pull at each other along one doubt, the normal
// distribution's shares keep each and both.
func TestKeepsIsNormal(t *testing.T) {
	at := func(low, high float64) []verdict.Margin {
		return []verdict.Margin{{Limit: verdict.Holding, Value: low, Bound: 1, AtLeast: true}, {Limit: verdict.Touch, Value: high, Bound: 10}}
	}
	margins := at(2, 8)
	all, table := keeps(margins, []Moved{{Margins: at(3, 10)}})
	below := func(z float64) float64 { return (1 + math.Erf(z/math.Sqrt2)) / 2 }
	for i, want := range []float64{below(1), below(1)} { // 1 of 1 and 2 of 2 standard deviations
		if got := table.Rows[i][4].Value.(float64); math.Abs(got-want) > 0.01 {
			t.Errorf("limit %d is kept by %.4f, want %.4f", i, got, want)
		}
	}
	if want := below(1) - below(-1); math.Abs(all-want) > 0.01 {
		t.Errorf("both are kept by %.4f, want %.4f", all, want)
	}
}

// To first order the doubt of every figure of a coil and its field is that of 400 displays
// drawn from a seed, within what so many tell (4 %) and what bends (10 %); and so is the share
// of displays that keep a limit. Two of the doubts go together.
func TestDoubtIsThatOfDrawnDisplays(t *testing.T) {
	d := trial.Design(t)
	d.Stated = []design.Doubt{{Key: "board.outer_made", Sd: 0.05}, {Key: "coil.etch", Sd: 4e-6, With: []float64{-0.7}}, {Key: "fluid.relaxation"}}
	list := design.Picked(d.Doubts(), func(o design.Doubt) bool { return o.Key != "bench.probe" && o.Key[:4] != "heat" })
	hold := 0.0
	page := func(d design.Design) (doc Document, margins []verdict.Margin) {
		g, err := grid.New(t.Context(), d, 0)
		if err != nil {
			t.Fatal(err)
		}
		doc.Sections = []Section{coilSection(t, d, g.Pixel), FieldSection(g)}
		for _, f := range doc.Sections[1].Facts {
			if f.Key == "lone_hold" {
				margins = []verdict.Margin{{Limit: verdict.Holding, Value: f.Value.(float64), Bound: hold, AtLeast: true}}
			}
		}
		return doc, margins
	}
	_, margins := page(d)
	hold = 0.88 * margins[0].Value
	base, margins := page(d)
	var moved []Moved
	for k := range list {
		by := make([]float64, len(list))
		by[k] = 1
		doc, m := page(d.Shifted(list, by))
		moved = append(moved, Moved{doc.ByPath(), m})
	}
	base.Doubt(d, list, margins, moved, false)
	told := map[string]float64{}
	section := base.Sections[len(base.Sections)-1]
	for _, row := range section.Tables[2].Rows {
		told[row[0].Value.(string)] = row[2].Value.(float64)
	}
	rng := rand.New(rand.NewPCG(7, 7))
	const n = 400
	sum, square, kept := map[string]float64{}, map[string]float64{}, 0
	for range n {
		by := make([]float64, len(list))
		for k := range by {
			by[k] = rng.NormFloat64()
		}
		doc, m := page(d.Shifted(list, by))
		for _, f := range doc.figures() {
			sum[f.path] += f.value
			square[f.path] += f.value * f.value
		}
		if m[0].Value >= hold {
			kept++
		}
	}
	checked := 0
	for _, path := range []string{"coil.resistance_20c_ohm", "coil.full_current_a", "field.coil_t", "field.pull_n", "field.lone_hold", "coil.full_power_w", "field.pressure_pa"} {
		mean := sum[path] / n
		sd := math.Sqrt(square[path]/n - mean*mean)
		if got := told[path]; !(math.Abs(got/sd-1) < 0.14) {
			t.Errorf("%s: ± %.4g to first order, %.4g of those drawn (mean %.4g)", path, got, sd, mean)
		}
		checked++
	}
	share := section.Facts[0].Value.(float64)
	if drawn := float64(kept) / n; checked != 7 || math.Abs(share-drawn) > 0.06 || drawn < 0.3 || drawn > 0.97 {
		t.Errorf("%.3f keep the limit to first order, %.3f of those drawn", share, drawn)
	}
}

// A display beside the one that a document is of differs from it by as much as short documents of
// both do; what they leave out stays as it is, and of what both lack nothing is told.
func TestBeside(t *testing.T) {
	page := func(heat, coil float64) Document {
		doc := Document{Sections: []Section{{Key: "heat", Facts: []Fact{{Key: "k", Value: heat}}}}}
		if coil != 0 {
			doc.Sections = append(doc.Sections, Section{Key: "coil", Facts: []Fact{{Key: "ohm", Value: coil}}})
		}
		return doc
	}
	own := page(300, 2)
	own.Sections = append(own.Sections, Section{Key: "shown", Facts: []Fact{{Key: "share", Value: 0.9}}})
	at := func(v float64) []verdict.Margin {
		return []verdict.Margin{{Limit: verdict.Touch, Value: v, Bound: 330}}
	}
	base, warm, thick := page(301, 2.5), page(304, 0), page(301, 3)
	got := own.Beside(at(320), Moved{base.ByPath(), at(321)}, []Moved{{warm.ByPath(), at(325)}, {thick.ByPath(), at(321)}})
	for k, want := range []map[string]float64{{"heat.k": 303, "coil.ohm": 2}, {"heat.k": 300, "coil.ohm": 2.5}} {
		if !maps.Equal(got[k].Figures, want) {
			t.Errorf("%v, want %v", got[k].Figures, want)
		}
		if m := got[k].Margins; len(m) != 1 || m[0].Value != []float64{324, 320}[k] || m[0].Bound != 330 {
			t.Errorf("margins %v", m)
		}
	}
}

// A ± stands behind the number that it is of, with its unit, in the middle of a sentence, too.
func TestPlusMinusAtItsFigure(t *testing.T) {
	for _, c := range []struct {
		key   string
		value float64
		text  string
		want  string
	}{
		{"ohm", 1.8196, "1.82 Ω", "1.82 Ω ± x"},
		{"w", 24.43, "24.4 W, frame 629", "24.4 W ± x, frame 629"},
		{"hottest_k", 326.95, "53.8 °C, row 7, column 14", "53.8 °C ± x, row 7, column 14"},
		{"hold", 617.2, "617 × what the drop needs", "617 × what the drop needs ± x"},
		{"t", 18.03e-3, "18.03 mT (× 2.728), 15.2 mT per ampere", "18.03 mT ± x (× 2.728), 15.2 mT per ampere"},
		{"track", 0.2032e-3, "0.203 mm (8 mil) and 0.203 mm (8 mil)", "0.203 mm ± x (8 mil) and 0.203 mm (8 mil)"},
		{"closed_tank_pa", 135.8e3, "135.8 kPa, 1.34 times the air's outside, at 42.3 °C", "135.8 kPa ± x, 1.34 times the air's outside, at 42.3 °C"},
		{"pressed", 1.3412, "pressed to 1.34 times the air's", "pressed to 1.34 ± x times the air's"},
		{"grow", 0.00977, "by 0.977 % of the tank from 20.0 °C", "by 0.977 % ± x of the tank from 20.0 °C"},
		{"after_s", 618.2, "after 10.3 min", "after 10.3 min ± x"},
		{"v", 0.0182, "18.2 mPa·s", "18.2 mPa·s ± x"}, {"v", 3.5, "3.5 kg/m³", "3.5 kg/m³ ± x"}, {"v", 11.2e-3, "11.2 mT/√W", "11.2 mT/√W ± x"},
		{"v", -0.82e-3, "-0.82 mT", "-0.82 mT ± x"}, {"load", 0.8243, "82 % of it", "82 % ± x of it"},
		{"v", 13.1, "anywhere from 11.9 K/W to 21.3 K/W", "anywhere from 11.9 K/W to 21.3 K/W, ± x"},
		{"v", 5, "half", "half, ± x"},
	} {
		if got := (shownFigure{value: c.value, text: &c.text, key: c.key}).with("± x"); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}

// What is doubtful is told in words that are on the page, each once: rows that begin alike by
// their second cell, too; what is printed as 0 has no ±.
func TestDoubtInWords(t *testing.T) {
	page := func(factor float64) Document {
		row := func(way, scheme string, v float64, text string) []Cell {
			return []Cell{Say(way), Say(scheme), {v, text}}
		}
		return Document{Glance: &Glance{}, Sections: []Section{
			{Key: "passing", Title: "Hand-over; of drops", Tables: []Table{{Key: "ways", Columns: []Column{{"way", "way"}, {"scheme", "scheme"}, {"ratio", "force ratio"}}, Rows: [][]Cell{
				row("up", "off", 2*factor, "2"), row("up", "on", 1e-17*factor, "0 N"), row("down", "off", 4*factor, "4, or so"),
			}}}},
			{Key: "shown", Title: "What shows, by the drop model", Facts: []Fact{{Key: "share", Label: "shown", Value: 0.5 * factor, Text: "half"}}},
			{Key: "scene", Title: "Scene", Facts: []Fact{{Key: "hidden", Value: 3 * factor}},
				Tables: []Table{{Key: "frames", Columns: []Column{{"frame", "frame"}, {"w", "power"}}, Rows: [][]Cell{{{7, "7"}, {5 * factor, "5 W"}}}}}},
		}}
	}
	d := design.Demo()
	list := d.Doubts()[:2]
	doc, half, twice := page(1), page(1.5), page(3)
	moved := []Moved{{Figures: half.ByPath()}, {Figures: twice.ByPath()}}
	for _, m := range moved {
		delete(m.Figures, "shown.share")
	}
	delete(moved[0].Figures, "passing.ways[up].ratio")
	margins := []verdict.Margin{{Limit: verdict.Touch, Value: 300, Bound: 330}}
	for k := range moved {
		moved[k].Margins = margins
	}
	doc.Doubt(d, list, margins, moved, true)
	s := doc.Sections[3]
	told := map[string][]string{}
	for _, row := range s.Tables[2].Rows {
		told[row[0].Text] = []string{row[0].Value.(string), row[1].Text, row[2].Text}
	}
	const most = "± as much as it is, or more"
	want := map[string][]string{
		"Hand-over: up, off, force ratio": {"passing.ways[up].ratio", "2", most},
		"Hand-over: down, force ratio":    {"passing.ways[down].ratio", "4", most},
		"Scene: frame 7, power":           {"scene.frames[7].w", "5 W", most},
		"scene.hidden":                    {"scene.hidden", "", most},
	}
	if !maps.EqualFunc(told, want, slices.Equal) {
		t.Errorf("told %q, want %q", told, want)
	}
	if f := s.Facts[1]; !strings.HasPrefix(f.Text, "What shows: ") || f.Value != 1 {
		t.Errorf("without ±: %+v", f)
	}
	if got := doc.Sections[0].Tables[0].Rows[1][2].Text; got != "0 N" {
		t.Errorf("%q has a ±", got)
	}
	var b strings.Builder
	doc.Problems = []Problem{{What: "It is hot."}}
	if err := doc.WriteText(&b, false); err != nil || !strings.Contains(b.String(), "It is hot.\n\nOf 100 displays built to this design 100 keep these limits: limits.touch.\n") {
		t.Errorf("how many keep the limits is not told by itself: %v, %s", err, b.String())
	}
}

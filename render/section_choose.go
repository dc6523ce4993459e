package render

import (
	"cmp"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"lodegrid/array/design"
	"lodegrid/field/quantity"
	"lodegrid/scenes/choose"
	"lodegrid/scenes/verdict"
)

// ChooseSections tell what a search found; problems where nothing keeps the goal.
func ChooseSections(d design.Design, r *choose.Result) (list []Section, problems []Problem) {
	s := Section{Key: "chosen", Title: "The best that is on offer"}
	s.Facts = append(s.Facts,
		Fact{Key: "candidates", Label: "candidates", Value: r.Tried, Text: fmt.Sprintf("%d, of which %d were worked out in full", r.Tried, len(r.Front)+len(r.Failed))},
		Number("move_s", "a drop may take to its neighbour", r.Move, quantity.Time))
	if len(r.Front)+len(r.Failed) > 0 {
		e := r.Errors
		s.Facts = append(s.Facts, Fact{Key: "quick_error", Label: "quick figures were off by", Value: e[0],
			Text: fmt.Sprintf("up to %s in force, %s in heat, %s in the surface's rise, %s in time", percent(e[0]), percent(e[1]), percent(e[2]), percent(e[3]))})
	}
	if len(r.Front) == 0 {
		problems = append(problems, nothing(d, r))
	} else {
		s.Tables = append(s.Tables, figuresOf("front", fmt.Sprintf("None of these beats another; by %s, the first is chosen", r.Offer.Best), numbered(r.Front)), builtTable("built", "How they are built", numbered(r.Front)))
		chart := AxisChart(numbered(r.Front))
		s.Figures = []Figure{{Caption: chart.Title, Chart: &chart}}
		s.Notes = append(s.Notes, "Each was worked out in full and played with the scene. Force: on a lone drop, along the pane. Hold: the least of the scene. Heat: of a lit pixel's coil, cold. Time: the slower of a kick up and one sideways.")
	}
	list = append(list, s, losers(r))
	if len(r.Front) > 0 {
		list = append(list, costSection(r.Front[0]))
	}
	return list, problems
}

// numbered numbers designs in their order.
func numbered(list []*choose.Choice) (out []choose.Compared) {
	for i, c := range list {
		out = append(out, choose.Compared{Choice: c, Number: i + 1})
	}
	return out
}

// broken names the limits that a design breaks.
func broken(c *choose.Choice) (keys, names []string) {
	add := func(l choose.Limit) { keys, names = append(keys, string(l)), append(names, limitCell(l).Text) }
	for _, p := range c.Verdict.Problems {
		add(choose.Limit(p.Limit))
	}
	for _, l := range [...]choose.Limit{choose.Move, choose.Bought} {
		if c.Misses(l) {
			add(l)
		}
	}
	return keys, names
}

// brokenCell tells them in a table.
func brokenCell(c *choose.Choice) Cell {
	keys, names := broken(c)
	if keys == nil {
		return Cell{None, "nothing"}
	}
	return Cell{strings.Join(keys, ", "), strings.Join(names, ", ")}
}

// limitCell tells a limit by its key in the design file, or in words where it has none there.
func limitCell(l choose.Limit) Cell {
	if l == choose.Move {
		return Cell{string(l), stops[l]}
	}
	return Say(string(l))
}

// figuresOf is a table of designs' figures.
func figuresOf(key, title string, designs []choose.Compared) Table {
	t := Table{Key: key, Title: title, Columns: []Column{
		{"design", "no."}, {"price", "price"}, {"force_n", "force"}, {"pull_n", "pull"}, {"field_t", "field"}, {"hold", "hold"}, {"heat_w", "heat"}, {"turn_k", "turn"}, {"touch_k", "touch"}, {"time_s", "time"}, {"broken", "breaks"},
	}}
	for _, c := range designs {
		t.Rows = append(t.Rows, []Cell{
			{c.Number, fmt.Sprint(c.Number)}, priceCell(c.Price), In(c.Force, quantity.Force), In(c.Pull, quantity.Force), In(c.Field, quantity.FluxDensity),
			{finite(c.Ratio, Infinite), quantity.Figure(c.Ratio, 3)}, In(c.Heat, quantity.Power), {finite(c.Turn, Infinite), celsius(c.Turn)}, {finite(c.Touch, Infinite), celsius(c.Touch)},
			{finite(c.Time, Infinite), timeText(c.Time)}, brokenCell(c.Choice),
		})
	}
	return t
}

func timeText(v float64) string {
	if math.IsInf(v, 1) {
		return "never"
	}
	return quantity.Format(v, quantity.Time)
}

// builtTable is a table of how designs are built.
func builtTable(key, title string, designs []choose.Compared) Table {
	t := Table{Key: key, Title: title, Columns: []Column{
		{"design", "no."}, {"copper_m", "copper"}, {"layers", "layers"}, {"thickness_m", "board"}, {"outer_m", "coil"}, {"turns", "turns"}, {"track_m", "track/gap"}, {"sheet_m", "sheet"}, {"core_m", "pin"}, {"supply_v", "supply"}, {"duty", "duty"},
	}}
	for _, c := range designs {
		d := c.Design
		layers := fmt.Sprint(d.Board.Layers)
		if d.Coil.Layers < d.Board.Layers {
			layers = fmt.Sprintf("%d of %d", d.Coil.Layers, d.Board.Layers)
		}
		if d.Coil.ParallelGroups > 1 {
			layers += fmt.Sprintf(", %d ∥", d.Coil.ParallelGroups)
		}
		sheet, core := Cell{None, "none"}, Cell{None, "none"}
		if d.Iron.Model != design.IronNone {
			sheet = In(d.Iron.Thickness, quantity.Length)
			if d.Iron.CoreRadius > 0 {
				core = Cell{d.Iron.CoreRadius, "⌀ " + quantity.Format(2*d.Iron.CoreRadius, quantity.Length)}
			}
		}
		duty := d.Drive.MaxDuty
		if d.Drive.Mode == design.DriveKick {
			duty = d.Drive.HoldDuty
		}
		t.Rows = append(t.Rows, []Cell{
			{c.Number, fmt.Sprint(c.Number)}, {d.Board.CopperOuter, quantity.FormatIn(d.Board.CopperOuter, quantity.CopperWeight, "oz")}, {d.Coil.Layers, layers}, In(d.Board.Thickness, quantity.Length), In(d.Coil.Outer, quantity.Length),
			{d.Coil.Turns, fmt.Sprint(d.Coil.Turns)}, {d.Coil.Track, fmt.Sprintf("%s/%s mil", quantity.Figure(d.Coil.Track/25.4e-6, 3), quantity.Figure(d.Coil.Gap/25.4e-6, 3))}, sheet, core,
			{d.Supply.Voltage, fmt.Sprintf("%s, %s", quantity.Format(d.Supply.Voltage, quantity.Voltage), quantity.Format(d.Supply.Power, quantity.Power))}, {duty, percent(duty)},
		})
	}
	return t
}

// stops are what stops a candidate, in short.
var stops = map[choose.Limit]string{
	choose.Made: "not made", verdict.Wiring: "no way out", verdict.Holding: "hold", verdict.Releases: "dark hold",
	verdict.Board: "board hot", verdict.Touch: "touch", choose.Bought: "supply", choose.Move: "move", choose.Beaten: "beaten",
}

// losers tell why the others lose.
func losers(r *choose.Result) Section {
	s := Section{Key: "losers", Title: "Why the others lose"}
	t := Table{Key: "families", Title: "Candidates by the first limit that stops them", Columns: []Column{{"copper_m", "copper"}, {"layers", "layers"}, {"candidates", "tried"}}}
	for _, l := range choose.Limits {
		t.Columns = append(t.Columns, Column{strings.NewReplacer(".", "_").Replace("stopped_" + string(l)), stops[l]})
	}
	for _, f := range r.Families {
		row := []Cell{{f.Copper, quantity.FormatIn(f.Copper, quantity.CopperWeight, "oz")}, {f.Layers, fmt.Sprint(f.Layers)}, {f.Tried, fmt.Sprint(f.Tried)}}
		for _, l := range choose.Limits {
			row = append(row, Cell{f.Stopped[l], fmt.Sprint(f.Stopped[l])})
		}
		t.Rows = append(t.Rows, row)
	}
	s.Tables = []Table{t}
	beaten := `"beaten" keeps every limit and is as good as another in nothing, or too like it to be worked out.`
	if len(r.Front) == 0 {
		beaten = `"beaten" keeps every limit by them and was not worked out.`
	}
	s.Notes = append(s.Notes, "Counted with the quick figures, put right by the designs worked out. "+beaten)
	for _, c := range r.Failed {
		s.Notes = append(s.Notes, fmt.Sprintf("Worked out and lost: %s on %d layers, %s, %s: %s.", quantity.FormatIn(c.Design.Board.CopperOuter, quantity.CopperWeight, "oz"), c.Design.Coil.Layers,
			quantity.Format(c.Design.Supply.Voltage, quantity.Voltage), fmt.Sprintf("hold %s, touch %s, %s to the neighbour", quantity.Figure(c.Ratio, 3), celsius(c.Touch), timeText(c.Time)), listed(c.Broken)))
	}
	for i, why := range r.Refused {
		if i == 3 {
			break // more of the same
		}
		s.Notes = append(s.Notes, "Could not be worked out: "+why)
	}
	return s
}

// nothing is the problem of an empty front.
func nothing(d design.Design, r *choose.Result) Problem {
	p := Problem{Key: "goal", What: fmt.Sprintf("Nothing on offer keeps every limit: %d candidates were tried.", r.Tried)}
	count := func(l choose.Limit) (n int) {
		for _, f := range r.Families {
			n += f.Stopped[l]
		}
		return n
	}
	if open, worked := count(choose.Beaten), len(r.Failed)+len(r.Refused); open > 0 {
		p.What = fmt.Sprintf("Nothing that was worked out keeps every limit; by the quick figures %d of %d candidates still may.", open, r.Tried)
		p.Advice = append(p.Advice, fmt.Sprintf("--exact %d works out more of them", 2*max(worked, 1)))
	}
	for _, o := range r.Openings {
		best := map[choose.Limit]string{
			verdict.Holding:  fmt.Sprintf("the firmest holds %s, asked is %s", quantity.Figure(o.Best, 3), quantity.Figure(d.Limits.Hold, 3)),
			verdict.Releases: fmt.Sprintf("the least keeps a dark drop with %s, allowed is %s", quantity.Figure(o.Best, 3), quantity.Figure(d.Limits.FalseOn, 3)),
			verdict.Board:    coolest(o.Best, d.Limits.Board),
			verdict.Touch:    coolest(o.Best, d.Limits.Touch),
			choose.Bought:    fmt.Sprintf("the least draws %s", quantity.Format(o.Best, quantity.Power)),
			choose.Move:      quickest(o.Best, r.Move),
			verdict.Wiring:   "their connections find no way out",
		}[o.Limit]
		how := "quick figures"
		if o.Exact {
			how = "worked out"
		}
		p.Advice = append(p.Advice, fmt.Sprintf("%s keeps out %d candidates by itself: %s (%s)", o.Limit, o.Alone, best, how))
	}
	if p.Advice == nil {
		most := slices.MaxFunc(choose.Limits, func(a, b choose.Limit) int { return cmp.Compare(count(a), count(b)) })
		p.Advice = []string{fmt.Sprintf("every one breaks two limits or more; most are stopped by %s first (%s, %d of %d)", most, stops[most], count(most), r.Tried)}
	}
	return p
}

// coolest tells them apart however near they are.
func coolest(best, allowed float64) string {
	if celsius(best) == celsius(allowed) {
		return fmt.Sprintf("the coolest is %s K above the %s allowed", quantity.Figure(best-allowed, 2), celsius(allowed))
	}
	return fmt.Sprintf("the coolest reaches %s, allowed are %s", celsius(best), celsius(allowed))
}

func quickest(best, allowed float64) string {
	if math.IsInf(best, 1) {
		return "none of them brings a drop to its neighbour"
	}
	return fmt.Sprintf("the quickest takes %s, allowed are %s", timeText(best), timeText(allowed))
}

// costSection is what a design costs in all.
func costSection(c *choose.Choice) Section {
	s := Section{Key: "cost", Title: "What it costs in all"}
	t := Table{Key: "items", Title: "By the offer's prices", Columns: []Column{{"item", "item"}, {"count", "pieces or m²"}, {"each", "each"}, {"sum", "sum"}}}
	for _, i := range append(c.Cost, choose.Item{Name: "in all", Count: 1, Each: c.Price}) {
		t.Rows = append(t.Rows, []Cell{Say(i.Name), {i.Count, quantity.Figure(i.Count, 4)}, {i.Each, quantity.Figure(i.Each, 4)}, {i.Sum(), fmt.Sprintf("%.2f", i.Sum())}})
	}
	s.Tables = []Table{t}
	s.Notes = append(s.Notes, "Prices are those of the offer; the usual offer's are invented. Tank, liquids, wires, shipping and work are left out.")
	return s
}

func priceCell(v float64) Cell {
	if math.IsInf(v, 1) {
		return Cell{None, "none"}
	}
	return Cell{v, fmt.Sprintf("%.2f", v)}
}

var manyDigits = regexp.MustCompile(`\d+\.\d{5,}`)

// SixDigits is a text with its numbers of more decimals rounded to six digits.
func SixDigits(text string) string {
	return manyDigits.ReplaceAllStringFunc(text, func(v string) string {
		x, _ := strconv.ParseFloat(v, 64) // matched
		return quantity.Figure(x, 6)
	})
}

// CompareSection is designs beside each other, in their order by the goal; the problems are
// those of the first, which break limits only where all do.
func CompareSection(list []choose.Compared, best choose.Goal) (s Section, problems []Problem) {
	s = Section{Key: "compared", Title: "Side by side"}
	given := slices.Clone(list)
	slices.SortFunc(given, func(a, b choose.Compared) int { return a.Number - b.Number })
	t := Table{Key: "differences", Title: "Where they differ (* from the first)", Columns: []Column{{"key", "key"}}}
	var designs []design.Design
	for _, c := range given {
		s.Facts = append(s.Facts, Words(fmt.Sprintf("name_%d", c.Number), fmt.Sprintf("no. %d", c.Number), c.Name))
		t.Columns = append(t.Columns, Column{fmt.Sprintf("design_%d", c.Number), fmt.Sprintf("no. %d", c.Number)})
		designs = append(designs, c.Design)
	}
	for _, diff := range design.Differences(designs...) {
		row := []Cell{Say(diff.Key)}
		for _, v := range diff.Values {
			text := SixDigits(v)
			if first := diff.Values[0]; v != first {
				if text == SixDigits(first) {
					text = v
				}
				text += " *"
			}
			row = append(row, Cell{v, text})
		}
		t.Rows = append(t.Rows, row)
	}
	s.Tables = []Table{figuresOf("ranked", fmt.Sprintf("Those that break nothing first, then by %s", best), list), t}
	s.Notes = append(s.Notes, "Each was worked out in full and played with its scene. Force: on a lone drop, along the pane. Hold: the least of the scene. Heat: of a lit pixel's coil, cold. Time: the slower of a kick up and one sideways. Price: by the offer.")
	chart := AxisChart(given)
	s.Figures = []Figure{{Caption: chart.Title, Chart: &chart}}
	doc := Document{}
	doc.Judge(list[0].Design, list[0].Verdict)
	if list[0].Misses(choose.Move) {
		doc.Problems = append(doc.Problems, Problem{Key: string(choose.Move), What: fmt.Sprintf("A drop takes %s to its neighbour, longer than a picture stands.", timeText(list[0].Time)), Advice: []string{"A stronger kick (supply.voltage, lower resistance) or a slower scene (scene.speed)."}})
	}
	for i := range doc.Problems {
		doc.Problems[i].What = fmt.Sprintf("No. %d, the best of them: %s", list[0].Number, doc.Problems[i].What)
	}
	for _, c := range list[1:] {
		if keys, names := broken(c.Choice); keys != nil {
			doc.Problems = append(doc.Problems, Problem{Key: keys[0], What: fmt.Sprintf("No. %d breaks %s.", c.Number, listed(names)), Advice: []string{"lodegrid report on it tells where, and what mends it."}})
		}
	}
	return s, doc.Problems
}

// AxisChart draws the field on the axis against height, a curve per design.
func AxisChart(list []choose.Compared) Chart {
	out := Chart{Title: "Field on the axis of one pixel at full level", X: "height above the board, mm", Y: "Bz, mT"}
	for _, c := range list {
		lines := heightLines(c.Grid)
		line := lines[len(lines)-1]
		line.Label = fmt.Sprintf("no. %d", c.Number)
		out.Lines = append(out.Lines, line)
	}
	return out
}

// ExplainSections are the standing questions with their answers.
func ExplainSections(list []choose.Answer) (out []Section) {
	for _, a := range list {
		t := Table{Key: "ways", Title: "Cold, steady current", Columns: []Column{{"way", "way"}}}
		type column struct {
			key, head string
			of        func(choose.Row) float64
			text      func(float64) string
		}
		columns := []column{
			{"turns", "turns", func(r choose.Row) float64 { return r.Turns }, func(v float64) string { return quantity.Figure(v, 4) }},
			{"resistance_ohm", "resistance", func(r choose.Row) float64 { return r.Resistance }, as(quantity.Resistance)},
			{"current_a", "current", func(r choose.Row) float64 { return r.Current }, as(quantity.Current)},
			{"power_w", "heat", func(r choose.Row) float64 { return r.Power }, as(quantity.Power)},
			{"field_t", "field", func(r choose.Row) float64 { return r.Field }, as(quantity.FluxDensity)},
			{"field_t_per_sqrt_w", "field per √W", func(r choose.Row) float64 { return r.PerRootWatt }, func(v float64) string { return fmt.Sprintf("%s mT/√W", quantity.Figure(v*1e3, 3)) }},
			{"price", "price", func(r choose.Row) float64 { return r.Price }, func(v float64) string { return fmt.Sprintf("%.2f", v) }},
			{"held_w", "heat held", func(r choose.Row) float64 { return r.Heat }, as(quantity.Power)},
			{"lit_n", "lit", func(r choose.Row) float64 { return r.Force }, as(quantity.Force)},
			{"dark_n", "dark", func(r choose.Row) float64 { return r.Dark }, as(quantity.Force)},
		}
		columns = slices.DeleteFunc(columns, func(c column) bool {
			return !slices.ContainsFunc(a.Rows, func(r choose.Row) bool { return r.Refused == "" && !math.IsNaN(c.of(r)) })
		})
		for _, c := range columns {
			t.Columns = append(t.Columns, Column{c.key, c.head})
		}
		s := Section{Key: a.Key, Title: a.Question}
		for _, r := range a.Rows {
			row := []Cell{Say(r.Name)}
			for _, c := range columns {
				if v := c.of(r); r.Refused != "" || math.IsNaN(v) {
					row = append(row, Cell{None, "–"})
				} else {
					row = append(row, Cell{v, c.text(v)})
				}
			}
			t.Rows = append(t.Rows, row)
			if r.Refused != "" {
				s.Notes = append(s.Notes, r.Name+": "+r.Refused)
			}
		}
		s.Tables, s.Notes = []Table{t}, append(s.Notes, a.Says)
		out = append(out, s)
	}
	return out
}

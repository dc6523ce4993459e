package render

import (
	"bytes"
	"encoding/xml"
	"io"
	"math"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"lodegrid/array/design/trial"
	"lodegrid/array/grid"
	"lodegrid/scenes/player"
)

// sample is a document with every part, its texts full of characters that HTML
// reads as its own.
func sample() Document {
	chart := Chart{
		Title: `Power & "heat" <b>`, X: "time, s", Y: "power, W", FromZero: true,
		Lines:  []Line{{Label: "<i>a</i>", X: []float64{0, 1, 2}, Y: []float64{1, 4, 2}}, {Label: "b", X: []float64{0, 2}, Y: []float64{3, 3}}},
		Levels: []Level{{Label: "limit > 5", Y: 5}},
	}
	m := Map{Title: `<script>alert("m")</script>`, Unit: "mT", Values: []float64{0, 1, 2, 3, 4, 5}, Rows: 2, Cols: 3, Width: 0.03, Colors: Strength}
	return Document{
		Kind: "report", Design: `Café <script>alert(1)</script> & "sign"`, Source: "name = \"</pre><img src=x>\"\n",
		Sections: []Section{{
			Key: "coil", Title: `Coil </section>`,
			Facts:   []Fact{{Key: "a_m", Label: "<label>", Value: 1.0, Text: "1 mm", Why: "a < b & c > d"}},
			Tables:  []Table{{Key: "t", Title: "T", Columns: []Column{{"x", "x"}, {"y", "y"}}, Rows: [][]Cell{{{1.5, "1.5"}, Say("<td>")}}}},
			Notes:   []string{"<li>"},
			Figures: []Figure{{Caption: chart.Title, Chart: &chart}, {Caption: m.Title, Map: &m}},
		}},
		Problems: []Problem{{Key: "limits.board", What: "The board gets <hot>.", Advice: []string{"cool & calm"}}},
		Cautions: []Caution{{Text: `Watch "out" <img src="https://example.org/x.png">`}},
	}
}

func TestHTMLEscapesAndIsWhole(t *testing.T) {
	var b bytes.Buffer
	if err := sample().WriteHTML(&b); err != nil {
		t.Fatal(err)
	}
	text := b.String()
	for _, bad := range []string{"<script", "<img", "<hot>", "</pre><", "<i>a", "<label>", "ZgotmplZ"} {
		if strings.Contains(text, bad) {
			t.Errorf("the page holds %q unescaped", bad)
		}
	}
	for _, want := range []string{"One problem", "cool &amp; calm", "limits.board", "a &lt; b &amp; c &gt; d", "&lt;i&gt;a&lt;/i&gt;", `<td class="n">1.5</td>`, "data:image/png;base64,", "prefers-color-scheme: dark", "@media print"} {
		if !strings.Contains(text, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	if strings.Index(text, "One problem") > strings.Index(text, `id="coil"`) {
		t.Error("problems stand after a section")
	}
	var again bytes.Buffer
	if err := sample().WriteHTML(&again); err != nil {
		t.Fatal(err)
	}
	if again.String() != text {
		t.Error("the same document gave other bytes")
	}
}

// Nothing in the page may ask for anything from outside: every reference is a data
// URL or a place in the page. Namespace names are no requests.
func TestHTMLAsksForNothing(t *testing.T) {
	var b bytes.Buffer
	if err := sample().WriteHTML(&b); err != nil {
		t.Fatal(err)
	}
	for _, m := range regexp.MustCompile(`(?:href|src|srcset|action|data|poster)="([^"]*)"`).FindAllStringSubmatch(b.String(), -1) {
		if !strings.HasPrefix(m[1], "data:image/png;base64,") && !strings.HasPrefix(m[1], "#") {
			t.Errorf("reference to %q", m[1])
		}
	}
	if m := regexp.MustCompile(`url\(|@import|<link|<iframe`).FindString(b.String()); m != "" {
		t.Errorf("the page holds %q", m)
	}
}

// Tags must nest: the page is read as XML in the lax mode that HTML needs.
func TestHTMLNests(t *testing.T) {
	var b bytes.Buffer
	if err := sample().WriteHTML(&b); err != nil {
		t.Fatal(err)
	}
	d := xml.NewDecoder(&b)
	d.Strict, d.AutoClose, d.Entity = false, []string{"meta"}, xml.HTMLEntity
	elements := 0
	for {
		token, err := d.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatalf("after %d elements: %v", elements, err)
		}
		if _, ok := token.(xml.StartElement); ok {
			elements++
		}
	}
	if elements < 60 {
		t.Errorf("only %d elements", elements)
	}
}

// Curves and letters must take the page's colours, or they vanish on a dark page.
func TestInlineChartFollowsThePage(t *testing.T) {
	c := Chart{Title: "t", X: "x", Y: "y", Levels: []Level{{Label: "limit", Y: 1}}}
	for range len(lineColors) + 1 {
		c.Lines = append(c.Lines, Line{Label: "l", X: []float64{0, 1}, Y: []float64{0, float64(len(c.Lines))}})
	}
	html, err := c.inline()
	if err != nil {
		t.Fatal(err)
	}
	if m := regexp.MustCompile(`#[0-9A-Fa-f]{6}`).FindString(string(html)); m != "" {
		t.Errorf("fixed colour %s", m)
	}
	for _, want := range []string{"var(--line1)", "var(--line5)", "currentColor", "var(--bad)", "var(--grid)", "stroke-dasharray"} {
		if !strings.Contains(string(html), want) {
			t.Errorf("no %s", want)
		}
	}
	if strings.Contains(string(html), "Liberation") {
		t.Error("the chart names a font that the reader may lack")
	}
}

func TestNoProblemIsSaid(t *testing.T) {
	for _, c := range []struct {
		problems []Problem
		want     bool
	}{{[]Problem{}, true}, {nil, false}} {
		var b bytes.Buffer
		if err := (Document{Kind: "k", Design: "d", Problems: c.problems}).WriteHTML(&b); err != nil {
			t.Fatal(err)
		}
		if got := strings.Contains(b.String(), "No limit is broken"); got != c.want {
			t.Errorf("problems %v: said so %v, want %v", c.problems, got, c.want)
		}
	}
}

func TestMapWithWrongSizeIsRefused(t *testing.T) {
	d := sample()
	d.Sections[0].Figures[1].Map.Rows = 7
	if err := d.WriteHTML(io.Discard); err == nil || !strings.Contains(err.Error(), "6 values for 7 × 3 samples") {
		t.Errorf("error %v", err)
	}
}

func TestRoundTicks(t *testing.T) {
	for _, r := range [][2]float64{{0, 2.3}, {25, 63}, {0.3, 15}, {0, 60}, {-1, 1}, {1e-9, 4e-9}, {0, 123456}, {51, 135}} {
		list := (roundTicks{}).Ticks(r[0], r[1])
		if len(list) < 3 || len(list) > 9 {
			t.Errorf("%v: %d ticks", r, len(list))
		}
		for i, k := range list {
			if k.Value < r[0]-1e-6*(r[1]-r[0]) || k.Value > r[1]+1e-6*(r[1]-r[0]) {
				t.Errorf("%v: tick %g outside", r, k.Value)
			}
			if i > 0 && k.Label == list[i-1].Label {
				t.Errorf("%v: label %q twice", r, k.Label)
			}
		}
	}
	if got := (roundTicks{}).Ticks(0, math.Inf(1)); got != nil {
		t.Errorf("an endless range gave %v", got)
	}
}

// A long scene's chart keeps its greatest values.
func TestOverTimeKeepsThePeak(t *testing.T) {
	entries := make([]player.Entry, 5000)
	for i := range entries {
		entries[i] = player.Entry{Start: 10 + float64(i)*0.1, Duration: 0.1, SupplyPower: 1}
	}
	entries[3210].SupplyPower = 9
	l := overTime("p", entries, func(e player.Entry) float64 { return e.SupplyPower })
	if len(l.X) > 2*chartPoints || len(l.X) != len(l.Y) {
		t.Fatalf("%d points", len(l.X))
	}
	high := 0.0
	for i, y := range l.Y {
		high = max(high, y)
		if y == 9 && math.Abs(l.X[i]-321) > 1 {
			t.Errorf("peak at %g s, want 321 s", l.X[i])
		}
	}
	if high != 9 || l.X[0] != 0 || math.Abs(l.X[len(l.X)-1]-500) > 1e-9 {
		t.Errorf("peak %g, from %g to %g s", high, l.X[0], l.X[len(l.X)-1])
	}
	d := trial.Lit()
	if c := PowerChart(d, &player.Ledger{Entries: entries}); len(c.Levels) != 1 || math.Abs(c.Levels[0].Y-14.4) > 1e-9 {
		t.Errorf("levels %v, want the demo's 18 W at 80 %%", c.Levels)
	}
	if c := HeatChart(d, &player.Ledger{Entries: entries}); len(c.Levels) != 2 {
		t.Errorf("levels %v", c.Levels)
	}
	for k := range entries {
		entries[k].Hottest, entries[k].Touch = 300, 295
	}
	d.Limits.Touch, d.Limits.Board = 305, 305+3.01*(305-295)
	if c := HeatChart(d, &player.Ledger{Entries: entries}); len(c.Levels) != 1 || !strings.HasSuffix(c.Title, "far above") {
		t.Errorf("%s, levels %v", c.Title, c.Levels)
	}
}

func BenchmarkHTML(b *testing.B) {
	g, err := grid.New(b.Context(), trial.Lit(), 0)
	if err != nil {
		b.Fatal(err)
	}
	m := WorstPatternMap(g)
	d := sample()
	d.Sections[0].Figures[1].Map = &m
	for b.Loop() {
		if err := d.WriteHTML(io.Discard); err != nil {
			b.Fatal(err)
		}
	}
}

// TestPageCallsNoMethod holds the page's template to fields and functions: the browser's program
// is linked without the methods that are called by their names alone.
func TestPageCallsNoMethod(t *testing.T) {
	methods, seen := map[string]bool{}, map[reflect.Type]bool{}
	var walk func(reflect.Type)
	walk = func(v reflect.Type) {
		if seen[v] {
			return
		}
		seen[v] = true
		for _, v := range []reflect.Type{v, reflect.PointerTo(v)} {
			for i := range v.NumMethod() {
				methods[v.Method(i).Name] = true
			}
		}
		switch v.Kind() {
		case reflect.Pointer, reflect.Slice, reflect.Array:
			walk(v.Elem())
		case reflect.Struct:
			for i := range v.NumField() {
				walk(v.Field(i).Type)
			}
		}
	}
	walk(reflect.TypeFor[Document]())
	walk(reflect.TypeFor[pageMap]())
	if !methods["Shown"] || !methods["Dx"] {
		t.Fatal("the walk over a document's types does not find their methods")
	}
	for _, m := range regexp.MustCompile(`\{\{[^}]*\}\}`).FindAllString(pageText, -1) {
		for _, name := range regexp.MustCompile(`\.([A-Z]\w*)`).FindAllStringSubmatch(m, -1) {
			if methods[name[1]] {
				t.Errorf("%s calls the method %s", m, name[1])
			}
		}
	}
}

// A flag stays in one piece where the page breaks its lines, a value beside its unit; all else is escaped as ever.
func TestFlagsKeptWhole(t *testing.T) {
	for text, want := range map[string]string{
		"report --doubt tells <b>":                `report <span class="flag">--doubt</span> tells &lt;b&gt;`,
		"(--field-vti) a--b -- 3":                 `(<span class="flag">--field-vti</span>) a--b -- 3`,
		`--html "x" & more`:                       `<span class="flag">--html</span> &#34;x&#34; &amp; more`,
		"--<script>alert(1)</script>-":            "--&lt;script&gt;alert(1)&lt;/script&gt;-",
		"104.3 °C ± 3 K, 3 kg/m³ in 12 different": "104.3\u00a0°C ±\u00a03\u00a0K, 3\u00a0kg/m³ in 12 different",
	} {
		if got := string(flags(text)); got != want {
			t.Errorf("%s\n%s, want\n%s", text, got, want)
		}
	}
}

// A cell of a few words and a number keeps to one line, one of a sentence does not: it would
// push the columns beside it off the page.
func TestLongCellsBreak(t *testing.T) {
	doc := sample()
	doc.Sections[0].Tables[0].Rows = [][]Cell{{{1.5, "0.997 × what the drop needs ± 16 %"}, {2.5, "11.46 W ± 5.7 %"}}}
	var b bytes.Buffer
	if err := doc.WriteHTML(&b); err != nil {
		t.Fatal(err)
	}
	if text := b.String(); !strings.Contains(text, "<td>0.997\u00a0×") || !strings.Contains(text, "<td class=\"n\">11.46\u00a0W") {
		t.Error("cells break where they should not, or do not where they should")
	}
}

// In a chart no limit looks like a dashed curve, and the curve told first lies on top.
func TestChartsTellApart(t *testing.T) {
	curve := func(label string) Line { return Line{Label: label, X: []float64{0, 1}, Y: []float64{0, 1}} }
	c := Chart{Title: "t", X: "x", Y: "share, %", Share: true, Lines: []Line{curve("first"), curve("second")}, Levels: []Level{{Label: "a", Y: 0.5}, {Label: "b", Y: 0.7}}}
	for i := range c.Levels {
		for _, curve := range dashes {
			if slices.Equal(levelDashes(i), curve) {
				t.Errorf("level %d is dashed as a curve is", i)
			}
		}
	}
	text, err := c.inline()
	if err != nil {
		t.Fatal(err)
	}
	svg := string(text[strings.Index(string(text), "</ul>"):])
	first, second := strings.LastIndex(svg, "var(--line1)"), strings.LastIndex(svg, "var(--line2)")
	if second < 0 || first < second {
		t.Errorf("the first curve is drawn at %d, the second at %d", first, second)
	}
	if !strings.Contains(svg, ">100<") || !strings.Contains(svg, ">20<") {
		t.Error("a share is not marked in per cent")
	}
}

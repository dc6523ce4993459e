package render

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"testing"
	"unicode/utf8"

	"lodegrid/field/quantity"
)

// full is a document with everything a document may hold, awkward values included.
func full() Document {
	long := strings.TrimSpace(strings.Repeat("ferrofluid behind a pane, µ and Ω included, ", 12))
	return Document{
		Kind: "report", Design: "Tide sign", Problems: []Problem{{Key: "limits.touch", What: "It gets 55 °C hot. " + long, Advice: []string{"less duty; " + long}}, {Key: "limits.hold", What: "It does not hold."}},
		Cautions: []Caution{{Key: "hot_surface", Text: "Hot surface. " + long}},
		Sections: []Section{
			{Key: "coil", Title: "Coil", Facts: []Fact{
				Number("resistance_ohm", "resistance", 11.94, quantity.Resistance).Because("ρ ℓ/(w t) " + long),
				Words("shape", "shape", "round"),
				{Key: "endless", Label: "a label of some length", Value: math.Inf(1), Text: "∞"},
				{Key: "unknown", Label: "unknown", Value: math.NaN(), Text: "–"},
				{Key: "below", Label: "below", Value: math.Inf(-1), Text: "−∞"},
				{Key: "far", Label: "far", Value: Undecided, Text: "past 60 V"},
				{Key: "quiet", Value: None, Text: "for programs"},
				{Key: "count", Label: "count", Value: 3, Text: "3 " + long},
			}, Notes: []string{"A note. " + long}},
			{Key: "scene", Title: "Scene", Tables: []Table{
				{Key: "frames", Title: "Frames", Columns: []Column{{"frame", "frame"}, {"power_w", "power"}, {"note", "note"}}, Rows: [][]Cell{
					{{1, "1"}, In(16.25, quantity.Power), Say(`a "quoted", comma`)},
					{{2, "2"}, {math.Inf(1), "∞"}, Say("two\nlines")},
					{{3, "3"}, {math.NaN(), "–"}, Say("")},
				}},
				{Key: "empty", Title: "Nothing", Columns: []Column{{"row", "row"}}},
			}},
		},
	}
}

func TestJSONDocument(t *testing.T) {
	var b bytes.Buffer
	if err := full().WriteJSON(&b); err != nil {
		t.Fatal(err)
	}
	got := decodeOne(t, b.Bytes())
	if got["schema_version"] != float64(SchemaVersion) || got["kind"] != "report" || got["design"] != "Tide sign" {
		t.Errorf("head %v, %v, %v", got["schema_version"], got["kind"], got["design"])
	}
	coil := got["coil"].(map[string]any)
	if coil["resistance_ohm"] != 11.94 || coil["shape"] != "round" || coil["count"] != 3.0 {
		t.Errorf("coil is %v", coil)
	}
	for key, want := range map[string]string{"endless": "infinite", "unknown": "none", "below": "-infinite", "far": "undecided", "quiet": "none"} {
		if coil[key] != want {
			t.Errorf("%s is %v, want %s", key, coil[key], want)
		}
	}
	rows := got["scene"].(map[string]any)["frames"].([]any)
	if len(rows) != 3 || rows[0].(map[string]any)["power_w"] != 16.25 || rows[1].(map[string]any)["power_w"] != "infinite" || rows[1].(map[string]any)["note"] != "two\nlines" {
		t.Errorf("frames are %v", rows)
	}
	if list, ok := got["scene"].(map[string]any)["empty"].([]any); !ok || len(list) != 0 {
		t.Error("a table without rows is no empty list")
	}
	problems := got["problems"].([]any)
	if len(problems) != 2 || problems[0].(map[string]any)["limit"] != "limits.touch" || len(problems[1].(map[string]any)["advice"].([]any)) != 0 {
		t.Errorf("problems are %v", problems)
	}
	// In the document's own order.
	if text := b.String(); strings.Index(text, `"resistance_ohm"`) > strings.Index(text, `"shape"`) || strings.Index(text, `"coil"`) > strings.Index(text, `"scene"`) {
		t.Error("the keys are not in the document's order")
	}
	clean := Document{Kind: "coil", Problems: []Problem{}}
	b.Reset()
	if err := clean.WriteJSON(&b); err != nil {
		t.Fatal(err)
	}
	if list, ok := decodeOne(t, b.Bytes())["problems"].([]any); !ok || len(list) != 0 {
		t.Error("no problem is not an empty list")
	}
}

// decodeOne reads exactly one JSON object, in which no key stands twice.
func decodeOne(t *testing.T, data []byte) map[string]any {
	t.Helper()
	if err := noTwins(json.NewDecoder(bytes.NewReader(data))); err != nil {
		t.Fatal(err)
	}
	var got map[string]any
	d := json.NewDecoder(bytes.NewReader(data))
	if err := d.Decode(&got); err != nil {
		t.Fatal(err)
	}
	if _, err := d.Token(); err != io.EOF {
		t.Fatalf("something follows the document: %v", err)
	}
	return got
}

func noTwins(d *json.Decoder) error {
	t, err := d.Token()
	if err != nil {
		return err
	}
	delim, ok := t.(json.Delim)
	if !ok {
		return nil
	}
	seen := map[string]bool{}
	for d.More() {
		if delim == '{' {
			k, err := d.Token()
			if err != nil {
				return err
			}
			if seen[k.(string)] {
				return fmt.Errorf("key %q stands twice", k)
			}
			seen[k.(string)] = true
		}
		if err := noTwins(d); err != nil {
			return err
		}
	}
	_, err = d.Token()
	return err
}

// CSV by RFC 4180: records end in CR LF, each has as many fields as the header, quotes
// are doubled inside quotes. Tables are parted by one empty line.
func TestCSVDocument(t *testing.T) {
	var b bytes.Buffer
	if err := full().WriteCSV(&b); err != nil {
		t.Fatal(err)
	}
	if text := b.String(); strings.Count(text, "\n") != strings.Count(text, "\r\n") || !strings.HasSuffix(text, "\r\n") {
		t.Error("a line does not end in CR LF")
	}
	tables := strings.Split(b.String(), "\r\n\r\n")
	if len(tables) != 2 {
		t.Fatalf("%d tables, want 2", len(tables))
	}
	r := csv.NewReader(strings.NewReader(tables[0]))
	records, err := r.ReadAll() // equal numbers of fields is what it asks for
	if err != nil {
		t.Fatal(err)
	}
	want := [][]string{{"frame", "power_w", "note"}, {"1", "16.25", `a "quoted", comma`}, {"2", "infinite", "two\nlines"}, {"3", "none", ""}}
	if fmt.Sprint(records) != fmt.Sprint(want) {
		t.Errorf("records %q, want %q", records, want)
	}
	if strings.TrimSpace(tables[1]) != "row" {
		t.Errorf("the empty table is %q", tables[1])
	}
	err = Document{Kind: "design", Sections: []Section{{Key: "coil"}}}.WriteCSV(&b)
	if err == nil || !strings.Contains(err.Error(), "no table") {
		t.Errorf("a document without tables: %v", err)
	}
}

// Text is broken at 96 characters, at spaces, and loses no word.
func TestTextDocument(t *testing.T) {
	for _, why := range []bool{false, true} {
		var b bytes.Buffer
		d := full()
		if err := d.WriteText(&b, why); err != nil {
			t.Fatal(err)
		}
		text := b.String()
		if !utf8.ValidString(text) {
			t.Error("the text is not UTF-8")
		}
		for i, line := range strings.Split(text, "\n") {
			if n := utf8.RuneCountInString(line); n > 96 {
				t.Errorf("line %d has %d characters: %s", i+1, n, line)
			}
			if strings.TrimRight(line, " ") != line {
				t.Errorf("line %d ends in spaces: %q", i+1, line)
			}
		}
		words := strings.Join(strings.Fields(text), " ")
		for _, want := range []string{"2 PROBLEMS", "CAUTIONS", d.Cautions[0].Text, d.Problems[0].What, d.Problems[0].Advice[0], d.Sections[0].Notes[0], d.Sections[0].Facts[7].Text, "11.94 Ω"} {
			if !strings.Contains(words, strings.Join(strings.Fields(want), " ")) {
				t.Errorf("the text lacks %.60q", want)
			}
		}
		if strings.Contains(text, "for programs") {
			t.Error("a fact without label is shown to people")
		}
		if got := strings.Contains(text, "= ρ ℓ/(w t)"); got != why {
			t.Errorf("asked for formulas: %v, shown: %v", why, got)
		}
	}
	for n, want := range map[int]string{0: "NO LIMIT IS BROKEN", 1: "ONE PROBLEM"} {
		var b bytes.Buffer
		if err := (Document{Problems: append([]Problem{}, full().Problems[:n]...)}).WriteText(&b, false); err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(b.String(), want) {
			t.Errorf("%d problems: %s", n, b.String())
		}
	}
	var empty bytes.Buffer
	bare := Document{Sections: []Section{{Title: "Pixels", Tables: []Table{{Key: "none", Title: "Its neighbours", Columns: []Column{{"way", "way"}}}}}}}
	if err := bare.WriteText(&empty, false); err != nil || strings.Contains(empty.String(), "neighbours") {
		t.Errorf("a table without rows is shown, %v: %s", err, empty.String())
	}
	var b bytes.Buffer
	if err := (Document{Kind: "coil"}).WriteText(&b, false); err != nil || strings.Contains(b.String(), "LIMIT") {
		t.Errorf("a document that looked at no limits says %q, %v", b.String(), err)
	}
}

// Columns stand under their heads.
func TestTextTableLinesUp(t *testing.T) {
	var b bytes.Buffer
	d := Document{Sections: []Section{{Title: "T", Tables: []Table{{Columns: []Column{{"a", "first"}, {"b", "second"}}, Rows: [][]Cell{
		{Say("µΩ"), Say("x")}, {Say("a longer cell"), Say("y")},
	}}}}}}
	if err := d.WriteText(&b, false); err != nil {
		t.Fatal(err)
	}
	column := -1
	for _, line := range strings.Split(b.String(), "\n") {
		for _, mark := range []string{"second", "x", "y"} {
			if i := strings.Index(line, mark); i >= 0 && strings.HasPrefix(line, "    ") {
				at := utf8.RuneCountInString(line[:i])
				if column >= 0 && at != column {
					t.Errorf("%q stands at %d, want %d:\n%s", mark, at, column, b.String())
				}
				column = at
			}
		}
	}
	if column < 10 {
		t.Errorf("no table in %s", b.String())
	}
}

func TestDocumentTellsWriteErrors(t *testing.T) {
	for name, write := range map[string]func(io.Writer) error{
		"text": func(w io.Writer) error { return full().WriteText(w, true) },
		"JSON": func(w io.Writer) error { return full().WriteJSON(w) },
		"CSV":  func(w io.Writer) error { return full().WriteCSV(w) },
		"HTML": func(w io.Writer) error { return full().WriteHTML(w) },
	} {
		if err := write(&brokenWriter{left: 20}); !errors.Is(err, errFull) {
			t.Errorf("%s on a full disk: %v", name, err)
		}
	}
}

func TestChartErrors(t *testing.T) {
	line := Line{Label: "l", X: []float64{1, 2}, Y: []float64{3, 4}}
	for _, c := range []struct {
		name, format, want string
		chart              Chart
	}{
		{"lengths", "svg", "2 x and 1 y", Chart{Lines: []Line{{X: []float64{1, 2}, Y: []float64{3}}}}},
		{"nothing", "svg", "no point", Chart{}},
		{"nothing finite", "png", "no point", Chart{Lines: []Line{{X: []float64{1, 2}, Y: []float64{math.NaN(), math.Inf(1)}}}}},
		{"nothing positive on a log axis", "svg", "no point", Chart{LogX: true, Lines: []Line{{X: []float64{0, -1}, Y: []float64{1, 2}}}}},
		{"format", "bmp2", "bmp2", Chart{Lines: []Line{line}}},
	} {
		if err := c.chart.Write(io.Discard, c.format, 300, 200); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q in it", c.name, err, c.want)
		}
	}
	var b bytes.Buffer
	good := Chart{Title: "Field", X: "mm", Y: "mT", Lines: []Line{line, {Label: "gaps", X: []float64{1, 2, 3}, Y: []float64{1, math.NaN(), 2}}}, Levels: []Level{{"limit", 3.5}}}
	if err := good.Write(&b, "svg", 300, 200); err != nil || !strings.Contains(b.String(), "<svg") || !strings.Contains(b.String(), "Field") || strings.Contains(b.String(), "NaN") {
		t.Errorf("%v, %.200s", err, b.String())
	}
	b.Reset()
	if err := good.Write(&b, "png", 300, 200); err != nil || !strings.HasPrefix(b.String(), "\x89PNG") {
		t.Errorf("%v: no PNG", err)
	}
	if err := good.Write(&brokenWriter{left: 10}, "svg", 300, 200); !errors.Is(err, errFull) {
		t.Errorf("on a full disk: %v", err)
	}
}

// A table that does not fit is folded: cells are broken between words, and columns that have no
// room beside the others stand below, with the first before them again.
func TestTablesAreFolded(t *testing.T) {
	table := Table{Key: "t", Columns: []Column{{"a", "part"}, {"b", "what it does when it fails"}, {"c", "rating"}, {"d", "a long word: incomprehensibilities"}}, Rows: [][]Cell{
		{Say("fuse"), Say("opens the feeder within a second"), Say("3 A"), Say("characteristically")},
	}}
	doc := Document{Design: "d", Kind: "k", Sections: []Section{{Key: "s", Title: "s", Tables: []Table{table}}}, Width: 40}
	var b strings.Builder
	if err := doc.WriteText(&b, false); err != nil {
		t.Fatal(err)
	}
	_, got, _ := strings.Cut(b.String(), "-\n")
	want := `    part  what it does when it    rating
          fails
    fuse  opens the feeder        3 A
          within a second

    part  a long word:
          incomprehensibilities
    fuse  characteristically

Limits were not judged; lodegrid report judges them.
`
	if got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

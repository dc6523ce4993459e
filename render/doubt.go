package render

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"sort"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"lodegrid/array/design"
	"lodegrid/array/handover"
	"lodegrid/field"
	"lodegrid/scenes/verdict"
	"lodegrid/scenes/yield"
)

// Moved is what a document says, and where the limits stand, of the display with one of its
// doubts off by a standard deviation.
type Moved struct {
	Figures map[string]float64 // as Document.ByPath tells them
	Margins []verdict.Margin
}

// ByPath are all numbers of a document by their paths, section.key or section.table[row].column.
func (doc *Document) ByPath() map[string]float64 {
	out := map[string]float64{}
	for _, f := range doc.figures() {
		out[f.path] = f.value
	}
	return out
}

// sectionOf is the section that a figure's path begins with.
func sectionOf(path string) string {
	section, _, _ := strings.Cut(path, ".")
	return section
}

// Beside are displays with one doubt after the other off, told by short documents of each, near,
// and by base, the same of the display that a document and its margins are of: they differ from
// these by as much. A section that near leaves out is taken to be as it was; of a figure that
// base leaves out nothing is told.
func (doc *Document) Beside(margins []verdict.Margin, base Moved, near []Moved) []Moved {
	out := make([]Moved, len(near))
	own := doc.ByPath()
	for k, m := range near {
		out[k].Figures = map[string]float64{}
		sections := map[string]bool{}
		for path := range m.Figures {
			sections[sectionOf(path)] = true
		}
		for path, v := range own {
			before, told := base.Figures[path]
			after, found := m.Figures[path]
			switch {
			case !told:
			case found:
				out[k].Figures[path] = v + after - before
			case !sections[sectionOf(path)]:
				out[k].Figures[path] = v
			}
		}
		at := func(list []verdict.Margin, l verdict.Limit) int {
			return slices.IndexFunc(list, func(x verdict.Margin) bool { return x.Limit == l })
		}
		for _, x := range margins {
			if a, b := at(m.Margins, x.Limit), at(base.Margins, x.Limit); a >= 0 && b >= 0 {
				x.Value += m.Margins[a].Value - base.Margins[b].Value
				out[k].Margins = append(out[k].Margins, x)
			}
		}
	}
	return out
}

// shownFigure is one number of a document.
type shownFigure struct {
	path  string // section.key, or section.table[row].column
	value float64
	text  *string
	key   string
	words string // as a person finds it
}

// figures are all numbers of a document by their paths, but for places, which jump. The rows
// of a table go by their first cells, since their order may change.
func (doc *Document) figures() (list []shownFigure) {
	number := func(path, key, words string, value any, text *string) {
		if v, ok := value.(float64); ok && key != "at" && !math.IsInf(v, 0) && !math.IsNaN(v) {
			list = append(list, shownFigure{path, v, text, key, words})
		}
	}
	for i := range doc.Sections {
		s := &doc.Sections[i]
		for k := range s.Facts {
			f := &s.Facts[k]
			words := s.brief() + ": " + f.Label
			if f.Label == "" {
				words = s.Key + "." + f.Key
			}
			number(s.Key+"."+f.Key, f.Key, words, f.Value, &f.Text)
		}
		for _, t := range s.Tables {
			seen := map[string]int{}
			for r, row := range t.Rows {
				name, words := fmt.Sprint(row[0].Value), s.brief()+": "+t.rowName(r)
				if _, ok := row[0].Value.(float64); ok {
					name = fmt.Sprint(r + 1) // a figure itself
					number(fmt.Sprintf("%s.%s[%s].%s", s.Key, t.Key, name, t.Columns[0].Key), t.Columns[0].Key, words, row[0].Value, &row[0].Text)
				}
				if seen[name]++; seen[name] > 1 {
					name = fmt.Sprintf("%s, %d", name, seen[name])
				}
				for c := 1; c < len(row); c++ {
					key := t.Columns[c].Key
					if t.Columns[0].Key == "quantity" {
						key = name
					}
					number(fmt.Sprintf("%s.%s[%s].%s", s.Key, t.Key, name, t.Columns[c].Key), key, words+", "+t.Columns[c].Head, row[c].Value, &row[c].Text)
				}
			}
		}
	}
	return list
}

// brief is the section's title up to the first comma or semicolon in it.
func (s *Section) brief() string { return firstPart(s.Title, ",", ";") }

// firstPart is a text up to the first of some marks in it.
func firstPart(text string, marks ...string) string {
	for _, m := range marks {
		text, _, _ = strings.Cut(text, m)
	}
	return text
}

// rowName is a row of a table in words: its first cell, and its second, too, where rows begin
// alike.
func (t Table) rowName(r int) string {
	row := t.Rows[r]
	name := row[0].Text
	if _, ok := row[0].Value.(string); !ok {
		name = t.Columns[0].Head + " " + name
	}
	alike := func(other []Cell) bool { return other[0].Text == row[0].Text }
	if at := slices.IndexFunc(t.Rows, alike); len(row) > 2 && (at < r || slices.ContainsFunc(t.Rows[r+1:], alike)) {
		name += ", " + row[1].Text
	}
	return name
}

// varies is the variance of a figure by its values in displays each off by one doubt, the
// most that one of them makes and which, and how many have no such figure.
func (f shownFigure) varies(moved []map[string]float64) (sum, most float64, by, missing int) {
	for k := range moved {
		v, ok := moved[k][f.path]
		if !ok {
			missing++
			continue
		}
		if sq := (v - f.value) * (v - f.value); sq > 0 {
			if sum += sq; sq > most {
				most, by = sq, k
			}
		}
	}
	return sum, most, by, missing
}

// numbers are those in a text, each with its unit where one follows.
var numbers = regexp.MustCompile(`([-−]?\d+(?:\.\d+)?(?:e[-+]?\d+)?)(?: ?%| °C| (?:[pnµmkMG]?(?:m|s|g|A|V|W|Ω|T|N|Pa|J|H|F|K|Hz|L)|Pa·s|mPa·s|dB|min|h|d|days?|mil|oz)(?:[²³]|/[[:alpha:]√]+[²³]?)?| × what the drop needs)?(?:[^[:alnum:]/·]|$)`)

// with is the figure's text with a ± behind the number in it that is the figure's, or at the
// end where none is told to be.
func (f shownFigure) with(text string) string {
	printed := []float64{f.value} // but for a power of ten
	switch {
	case strings.HasSuffix(f.key, "_k"):
		printed = append(printed, f.value-field.ZeroCelsius)
	case strings.HasSuffix(f.key, "_s"):
		printed = append(printed, f.value/60, f.value/3600, f.value/86400)
	}
	for _, at := range numbers.FindAllStringSubmatchIndex(*f.text, -1) {
		number := strings.Replace((*f.text)[at[2]:at[3]], "−", "-", 1)
		v, err := strconv.ParseFloat(number, 64)
		_, decimals, _ := strings.Cut(number, ".")
		rounded := min(max(0.51*math.Pow(10, -float64(len(decimals)))/math.Abs(v), 0.006), 0.06) // to three digits, or those printed
		for _, own := range printed {
			scale := math.Pow(10, math.Round(math.Log10(math.Abs(v/own))))
			if err == nil && v != 0 && own != 0 && math.Abs(v/own/scale-1) < rounded {
				end := at[1]
				if last, size := utf8.DecodeLastRuneInString((*f.text)[:end]); end > at[3] && !strings.ContainsRune("%²³", last) && !unicode.IsLetter(last) && !unicode.IsDigit(last) {
					end -= size
				}
				return (*f.text)[:end] + " " + text + (*f.text)[end:]
			}
		}
	}
	return *f.text + ", " + text
}

// nought tells that a figure is 0, or printed as 0: a ± of it tells nothing.
func (f shownFigure) nought() bool {
	return f.value == 0 || strings.Contains(*f.text, "0") && !strings.ContainsAny(*f.text, "123456789")
}

// told is from which share of a figure on its doubt is printed.
const told = 5e-4

// Doubt adds to every figure of a document how far it may be off, by one standard deviation,
// and a section on it: which limits are kept in how many of the displays that come out, and
// which doubt counts most. To first order: moved is the document of a display with one doubt
// after the other off by one standard deviation, either way, independent of each other as design.Shifted
// has them. near tells that moved are of Beside.
func (doc *Document) Doubt(d design.Design, list []design.Doubt, margins []verdict.Margin, moved []Moved, near bool) {
	slopes := make([]map[string]float64, len(moved))
	for k, m := range moved {
		slopes[k] = m.Figures
	}
	table := Table{Key: "figures", Title: "The most doubtful figures, the doubts that count most in them", Columns: []Column{{"figure", "figure"}, {"value", "value"}, {"sd", "±"}, {"most", "most by"}, {"share", "its share"}}, Brief: 12}
	lost := 0
	var left []string
	for _, f := range doc.figures() {
		sum, most, by, missing := f.varies(slopes)
		if 2*missing > len(slopes) {
			lost++
			at := slices.IndexFunc(doc.Sections, func(s Section) bool { return s.Key == sectionOf(f.path) })
			if title := doc.Sections[at].brief(); !slices.Contains(left, title) {
				left = append(left, title)
			}
			continue
		}
		sd := math.Sqrt(sum)
		if sd <= told*math.Abs(f.value) || sd == 0 || f.nought() {
			continue
		}
		text := plusMinus(f, sd)
		if missing > 0 && !strings.HasSuffix(text, " or more") {
			text += " or more"
		}
		table.Rows = append(table.Rows, []Cell{{f.path, f.words}, {f.value, firstPart(*f.text, ", ", " (")}, {sd, text}, Say(list[by].Key), {most / sum, percent(most / sum)}})
		if *f.text != "" {
			*f.text = f.with(text)
		}
	}
	sort.SliceStable(table.Rows, func(i, k int) bool {
		return ratioOf(table.Rows[i]) > ratioOf(table.Rows[k])
	})
	s := Section{Key: "doubt", Title: "How far the figures may be off"}
	kept, limits := keeps(margins, moved)
	s.Facts = []Fact{
		{Key: "kept_displays", Label: "displays that keep these limits", Value: kept, Text: fmt.Sprintf("%.0f of 100 built to this design", 100*kept)},
		{Key: "untold_figures", Label: "figures without ±", Value: lost, Text: "none"},
	}
	switch where := strings.Join(left, ", "); {
	case lost == 0:
	case near:
		s.Facts[1].Text = where + ": they ask for the whole scene anew. lodegrid report --doubt plays it for each doubt and prints their ±"
	default:
		s.Facts[1].Text = "some in " + where + ", which most of the displays tried do not have"
	}
	if len(margins) == 0 {
		s.Facts[0] = Fact{Key: "kept_displays", Label: "displays that keep these limits", Value: None, Text: "not told: the scene has no steady state"}
	} else {
		doc.Kept = fmt.Sprintf("Of 100 displays built to this design %.0f keep these limits: %s.", 100*kept, limited(margins))
		if doc.Glance != nil {
			doc.Glance.Facts = append(doc.Glance.Facts, Fact{Label: "displays built to this design keep the limits of heat, supply and hold (usual tolerances, or those stated)", Text: fmt.Sprintf("%.0f of 100", 100*kept)})
		}
	}
	const boards = 1000
	n := d.Grid
	lone, ok := merit("field.lone_hold", d.Limits.Hold, doc, slopes)
	if ok {
		r := yield.Draw(list, n.Rows, n.Cols, boards, 1, lone)
		s.Facts = append(s.Facts,
			Fact{Key: "pixels_hold", Label: "pixels that hold, lit alone", Value: r.Pixels, Text: percent(r.Pixels) + fmt.Sprintf(" of those on %d boards whose pixels differ", boards)},
			Fact{Key: "boards_whole", Label: "boards on which all of them do", Value: r.Whole, Text: fmt.Sprintf("%.0f of 100", 100*r.Whole)},
			Fact{Key: "boards_one_bad", Label: "… or all but one", Value: r.OneBad, Text: fmt.Sprintf("%.0f of 100; a pixel that does not hold leaves %s of the places bare", 100*r.OneBad, percent(1/float64(n.Rows*n.Cols)))},
			Fact{Key: "uneven", Label: "hold of the most unlike neighbours", Value: r.Uneven, Text: fmt.Sprintf("× %.2f of each other, on one board in 20 more than × %.2f", r.Uneven, r.Uneven5)})
	} else {
		s.Facts = append(s.Facts, absent("pixels_hold", "boards_whole", "boards_one_bad", "uneven")...)
	}
	if ways, worst := moves(d, doc, slopes); ok && ways != nil {
		r := yield.Draw(list, n.Rows, n.Cols, boards, 1, append(ways, lone)...)
		s.Facts = append(s.Facts,
			Fact{Key: "pixels_work", Label: "pixels that hold and are handed drops", Value: r.Pixels, Text: percent(r.Pixels) + " by the least force ratio from every side; the least sure: " + worst},
			Fact{Key: "boards_work", Label: "boards on which all of them do", Value: r.Whole, Text: fmt.Sprintf("%.0f of 100, all but one on %.0f; one that is handed none bars the ways through it", 100*r.Whole, 100*r.OneBad)})
	} else {
		s.Facts = append(s.Facts, absent("pixels_work", "boards_work")...)
	}
	causes := Table{Key: "causes", Title: "What is in doubt, by one standard deviation", Columns: []Column{{"key", "key"}, {"value", "value"}, {"sd", "±"}, {"spread", "of which within a board"}, {"stated", "by"}}}
	for _, t := range list {
		v, by := d.ValueOf(t.Key), "common practice"
		if slices.ContainsFunc(d.Stated, func(o design.Doubt) bool { return o.Key == t.Key }) {
			by = "the design"
		}
		causes.Rows = append(causes.Rows, []Cell{Say(t.Key), {v, design.Show(t.Key, v, t.Sd)}, {t.Sd, design.ShowSd(t.Key, t.Sd)}, {t.Spread, percent(t.Spread)}, Say(by)})
	}
	if limits.Rows != nil {
		s.Tables = append(s.Tables, limits)
	}
	s.Tables = append(s.Tables, causes, table)
	s.Notes = []string{"± is one standard deviation of displays built to this design, all pixels of a display alike, to first order: a figure that jumps, such as a pick from a ladder, is told by its jump. What the model itself may be wrong by is not in it. The share of a doubt's variance by which pixels of one board differ is the spread of its [[doubt]] (usual ones: common practice, no source). lodegrid fit makes it smaller by readings.",
		fmt.Sprintf("Shares are counted among %d displays and %d boards drawn at random, which leaves them off by %.1f and %.1f of 100 at most (one standard deviation).", draws, boards, 50/math.Sqrt(draws), 50/math.Sqrt(boards)),
		"Counts, places, choices from a ladder and sizes that are as drawn have no ±: none of these doubts moves them by half a thousandth."}
	if near {
		s.Notes = append(s.Notes, "The scene was not played anew: its figures go by the frames that they are of, at the temperatures of its mean heat. --doubt, which plays it, finds the ± of nine figures in ten within a twentieth of these; those of worst instants and of the air that rises, and what jumps, within a factor of 2.5.")
	}
	doc.Sections = append(doc.Sections, s)
}

// limited are the limits that margins are of, in words.
func limited(margins []verdict.Margin) string {
	var list []string
	for _, m := range margins {
		list = append(list, string(m.Limit))
	}
	return strings.Join(list, ", ")
}

// merit is a figure of the document with the slopes of its logarithm; false where it has none.
func merit(path string, bound float64, doc *Document, moved []map[string]float64) (m yield.Merit, ok bool) {
	for _, f := range doc.figures() {
		if f.path == path && f.value > 0 {
			m, ok = yield.Merit{Value: f.value, Bound: bound}, true
		}
	}
	for _, at := range moved {
		v := at[path]
		if !ok || !(v > 0) {
			return m, false
		}
		m.Slopes = append(m.Slopes, math.Log(v/m.Value))
	}
	return m, ok
}

// moves are the least force ratios of a drop that is handed on each way, as the design's drive
// does it, and the least of them in words: a drop comes where it is 1 or more, and goes by the
// pixel that it comes to. nil where the document does not tell them, or a display tried has none.
func moves(d design.Design, doc *Document, moved []map[string]float64) (list []yield.Merit, worst string) {
	scheme, least := handover.Switch, math.Inf(1)
	if d.Drive.Mode == design.DriveKick {
		scheme = handover.Kick
	}
	at := slices.IndexFunc(doc.Sections, func(s Section) bool { return s.Key == "handover" })
	if at < 0 {
		return nil, ""
	}
	t, seen := doc.Sections[at].Tables[0], map[string]int{}
	for _, row := range t.Rows {
		name, v := row[0].Value.(string), row[2].Value.(float64)
		if seen[name]++; seen[name] > 1 {
			name = fmt.Sprintf("%s, %d", name, seen[name])
		}
		if row[1].Value != scheme.String() || math.IsInf(v, 1) { // nothing to overcome
			continue
		}
		m, ok := merit(fmt.Sprintf("handover.%s[%s].ratio", t.Key, name), 1, doc, moved)
		if v == 0 {
			m = yield.Merit{Bound: 1} // nothing drives it, whatever comes out
		} else if !ok {
			return nil, ""
		}
		if list = append(list, m); v < least {
			least, worst = v, fmt.Sprintf("%s, %s", row[0].Value, row[2].Text)
		}
	}
	return list, worst
}

// ratioOf is the doubt of a row over its figure; a temperature counts from freezing.
func ratioOf(row []Cell) float64 {
	v, path := row[1].Value.(float64), row[0].Value.(string)
	if strings.HasSuffix(path, "_k") && v > 200 {
		v -= field.ZeroCelsius
	}
	return row[2].Value.(float64) / math.Abs(v)
}

// plusMinus words a standard deviation: of temperatures in kelvin, of levels in decibels, of
// shares in points, of all else as a share of it.
func plusMinus(f shownFigure, sd float64) string {
	switch {
	case sd >= math.Abs(f.value):
		return "± as much as it is, or more"
	case strings.HasSuffix(f.key, "_k") || f.key == "k":
		return fmt.Sprintf("± %.2g K", sd)
	case f.key == "db":
		return fmt.Sprintf("± %.2g dB", sd)
	case strings.Contains(*f.text, "%") && math.Abs(f.value) <= 1:
		return fmt.Sprintf("± %.2g points", 100*sd)
	}
	return fmt.Sprintf("± %.2g %%", 100*sd/math.Abs(f.value))
}

// draws is how many displays are drawn to tell how many keep the limits.
const draws = 20000

// keeps tells the share of displays that keeps all limits and each of them.
func keeps(margins []verdict.Margin, moved []Moved) (all float64, t Table) {
	t = Table{Key: "limits", Title: "Limits, and how many of 100 displays keep them", Columns: []Column{{"limit", "limit"}, {"value", "figure"}, {"sd", "±"}, {"bound", "bound"}, {"kept", "kept by"}}}
	list, unsure := make([]yield.Bounded, len(margins)), make([]bool, len(margins))
	for i, m := range margins {
		list[i] = yield.Bounded{Value: m.Value, Bound: m.Bound, AtLeast: m.AtLeast, Slopes: make([]float64, len(moved))}
		for k, o := range moved {
			at := slices.IndexFunc(o.Margins, func(x verdict.Margin) bool { return x.Limit == m.Limit })
			if unsure[i] = unsure[i] || at < 0; at >= 0 {
				list[i].Slopes[k] = o.Margins[at].Value - m.Value
			}
		}
	}
	all, kept := yield.Keep(list, len(moved), draws, 1)
	for i, m := range margins {
		sd, share := list[i].Deviation(), kept[i]
		text := fmt.Sprintf("%.0f of 100", 100*share)
		if unsure[i] {
			text += ", or fewer: some displays have no steady state"
		}
		show, spread := limitWords[m.Limit].figure, fmt.Sprintf("%.2g", sd)
		switch {
		case m.Limit.Thermal():
			spread += " K"
		case show == nil:
			show = func(v float64) string { return fmt.Sprintf("%.3g", v) }
		default:
			spread = plusMinus(shownFigure{value: m.Value, text: new(string)}, sd)[len("± "):]
		}
		t.Rows = append(t.Rows, []Cell{Say(string(m.Limit)), {m.Value, show(m.Value)}, {sd, spread}, {m.Bound, show(m.Bound)}, {share, text}})
	}
	return all, t
}

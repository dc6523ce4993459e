package render

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"strings"
	"unicode/utf8"
)

// textWidth is where running text is broken in a document that has no width of its own.
const textWidth = 96

// WriteText prints the document for a terminal. With why, every fact that knows
// its formula shows it. Within the document's Width text and tables are broken, words and
// the columns' least widths permitting.
func (d Document) WriteText(w io.Writer, why bool) error {
	p := &printer{w: w, width: d.Width}
	p.line("%s: %s", d.Design, d.Kind)
	p.line("%s", strings.Repeat("=", utf8.RuneCountInString(d.Design)+2+len(d.Kind)))
	for _, s := range d.Sections {
		p.section(s, why)
	}
	if d.Problems != nil {
		p.line("")
		switch len(d.Problems) {
		case 0:
			p.line("NO LIMIT IS BROKEN")
		case 1:
			p.line("ONE PROBLEM")
		default:
			p.line("%d PROBLEMS", len(d.Problems))
		}
		for i, b := range d.Problems {
			p.wrap(fmt.Sprintf("%2d. ", i+1), b.What)
			for _, a := range b.Advice {
				p.wrap("    → ", a)
			}
		}
		if d.Cure != "" {
			p.wrap("    ", d.Cure)
		}
		if d.Kept != "" {
			p.line("")
			p.wrap("", d.Kept)
		}
	}
	if len(d.Cautions) > 0 {
		p.line("")
		p.line("CAUTIONS")
		for _, c := range d.Cautions {
			p.wrap("  ! ", c.Text)
		}
	}
	if !d.Judged() {
		p.line("\n%s", NotJudged)
	}
	return p.err
}

// printer keeps the first write error.
type printer struct {
	w     io.Writer
	width int // 0: running text has its own, tables as much as they need
	err   error
}

func (p *printer) line(format string, args ...any) {
	if p.err == nil {
		_, p.err = fmt.Fprintf(p.w, format+"\n", args...)
	}
}

func (p *printer) section(s Section, why bool) {
	p.line("")
	p.line("%s", s.Title)
	p.line("%s", strings.Repeat("-", utf8.RuneCountInString(s.Title)))
	label := 0
	for _, f := range s.Facts {
		label = max(label, utf8.RuneCountInString(f.Label))
	}
	for _, f := range s.Facts {
		if f.Label == "" {
			continue
		}
		p.wrap("  "+f.Label+strings.Repeat(" ", label-utf8.RuneCountInString(f.Label)+2), f.Text)
		if why && f.Why != "" {
			p.wrap(strings.Repeat(" ", label+6), "= "+f.Why)
		}
	}
	for _, t := range s.Tables {
		if len(t.Rows) > 0 {
			p.table(t)
		}
	}
	for _, n := range s.Notes {
		p.wrap("  · ", n)
	}
}

func (p *printer) table(t Table) {
	if t.Title != "" {
		p.line("")
		p.wrap("  ", t.Title)
	}
	natural, least := make([]int, len(t.Columns)), make([]int, len(t.Columns))
	measure := func(i int, text string) {
		natural[i] = max(natural[i], utf8.RuneCountInString(text))
		for _, word := range strings.Fields(text) {
			least[i] = max(least[i], utf8.RuneCountInString(word))
		}
	}
	for i, c := range t.Columns {
		measure(i, c.Head)
		for _, r := range t.Shown() {
			measure(i, r[i].Text)
		}
	}
	for n, part := range p.parts(natural, least) {
		if n > 0 {
			p.line("")
		}
		width := p.fit(part, natural, least)
		p.row(part, width, func(i int) string { return t.Columns[i].Head })
		for _, r := range t.Shown() {
			p.row(part, width, func(i int) string { return r[i].Text })
		}
	}
	if n := t.Left(); n > 0 {
		p.line("    … and %d more with --json or --csv", n)
	}
}

// parts are the columns of a table that stand side by side, in turn: where not all have room, each
// part begins with the first, which names the rows.
func (p *printer) parts(natural, least []int) (list [][]int) {
	room := cmp.Or(p.width, math.MaxInt)
	used := math.MaxInt
	for i, n := range least {
		// A short one is not broken to let another in beside it.
		if natural[i] <= 16 {
			n = natural[i]
			least[i] = n
		}
		if used > room-n-2 {
			list, used = append(list, nil), 2
			if i > 0 {
				list[len(list)-1], used = append(list[len(list)-1], 0), 2+least[0]+2
			}
		}
		list[len(list)-1] = append(list[len(list)-1], i)
		used += n + 2
	}
	return list
}

// fit is how wide the columns of a part are: the widest are narrowed until all fit.
func (p *printer) fit(part, natural, least []int) map[int]int {
	width, total := map[int]int{}, 2
	for _, i := range part {
		width[i] = natural[i]
		total += 2 + natural[i]
	}
	for ; p.width > 0 && total > p.width; total-- {
		widest := -1
		for _, i := range part {
			if width[i] > least[i] && (widest < 0 || width[i] > width[widest]) {
				widest = i
			}
		}
		if widest < 0 {
			break
		}
		width[widest]--
	}
	return width
}

// row prints a row of a table, in several lines where its texts are broken.
func (p *printer) row(part []int, width map[int]int, get func(i int) string) {
	cells, deep := map[int][]string{}, 1
	for _, i := range part {
		text := get(i)
		if utf8.RuneCountInString(text) > width[i] {
			cells[i] = lines(text, width[i])
		} else {
			cells[i] = []string{text}
		}
		deep = max(deep, len(cells[i]))
	}
	for n := range deep {
		b := "  "
		for _, i := range part {
			s := ""
			if n < len(cells[i]) {
				s = cells[i][n]
			}
			b += "  " + s + strings.Repeat(" ", max(width[i]-utf8.RuneCountInString(s), 0))
		}
		p.line("%s", strings.TrimRight(b, " "))
	}
}

// wrap prints text after a lead, broken at the document's width and indented under itself.
func (p *printer) wrap(lead, text string) {
	width := cmp.Or(p.width, textWidth)
	indent := utf8.RuneCountInString(lead)
	for _, line := range lines(text, max(width-indent, 1)) {
		p.line("%s", strings.TrimRight(lead+line, " "))
		lead = strings.Repeat(" ", indent)
	}
}

// Broken is a line of talk broken between words at a width in letters; 0 leaves it whole.
func Broken(text string, width int) string {
	if width == 0 {
		return text
	}
	return strings.Join(lines(text, width), "\n")
}

// lines breaks text between words so that each line has at most so many letters, but for words
// that are longer.
func lines(text string, width int) (list []string) {
	line, used := "", 0
	for i, word := range strings.Fields(text) {
		n := utf8.RuneCountInString(word)
		switch {
		case i == 0:
			line, used = word, n
		case used+1+n > width:
			list = append(list, line)
			line, used = word, n
		default:
			line, used = line+" "+word, used+1+n
		}
	}
	return append(list, line)
}

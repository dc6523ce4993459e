package render

import (
	"fmt"
	"io"
	"strings"
	"unicode/utf8"
)

// textWidth is the width that running text is broken at.
const textWidth = 96

// WriteText prints the document for a terminal. With why, every fact that knows
// its formula shows it.
func (d Document) WriteText(w io.Writer, why bool) error {
	p := &printer{w: w}
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
	w   io.Writer
	err error
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
		p.table(t)
	}
	for _, n := range s.Notes {
		p.wrap("  · ", n)
	}
}

func (p *printer) table(t Table) {
	if t.Title != "" {
		p.line("")
		p.line("  %s", t.Title)
	}
	width := make([]int, len(t.Columns))
	for i, c := range t.Columns {
		width[i] = utf8.RuneCountInString(c.Head)
		for _, r := range t.Shown() {
			width[i] = max(width[i], utf8.RuneCountInString(r[i].Text))
		}
	}
	row := func(get func(i int) string) {
		var b strings.Builder
		for i := range t.Columns {
			s := get(i)
			b.WriteString("  ")
			b.WriteString(s)
			b.WriteString(strings.Repeat(" ", width[i]-utf8.RuneCountInString(s)))
		}
		p.line("  %s", strings.TrimRight(b.String(), " "))
	}
	row(func(i int) string { return t.Columns[i].Head })
	for _, r := range t.Shown() {
		row(func(i int) string { return r[i].Text })
	}
	if n := t.Left(); n > 0 {
		p.line("    … and %d more with --json or --csv", n)
	}
}

// wrap prints text after a lead, broken at textWidth and indented under itself.
func (p *printer) wrap(lead, text string) {
	indent := strings.Repeat(" ", utf8.RuneCountInString(lead))
	line, used := lead, utf8.RuneCountInString(lead)
	start := true
	for _, word := range strings.Fields(text) {
		n := utf8.RuneCountInString(word)
		if !start && used+1+n > textWidth {
			p.line("%s", line)
			line, used, start = indent, len(indent), true
		}
		if !start {
			line += " "
			used++
		}
		line += word
		used += n
		start = false
	}
	p.line("%s", strings.TrimRight(line, " "))
}

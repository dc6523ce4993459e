package render

import (
	_ "embed"
	"fmt"
	"html/template"
	"image/color"
	"io"
	"regexp"
	"strings"
	"sync"
	"unicode/utf8"
)

//go:embed document.html
var pageText string

// page is the HTML form of a document. html/template escapes every text in it. It calls
// functions of this list and no method: the browser's program is linked without methods
// that are called by name alone (cmd/lodegrid/webslim.go).
var page = sync.OnceValues(func() (*template.Template, error) {
	return template.New("document").Funcs(template.FuncMap{
		"whole":     whole,
		"chart":     func(c *Chart) (template.HTML, error) { return c.inline() },
		"map":       func(m *Map) (pageMap, error) { return m.layout() },
		"judged":    Document.Judged,
		"notJudged": func() string { return NotJudged },
		"shown":     Table.Shown,
		"url":       dataURL,
		"flags":     flags,
		"hex":       func(c color.RGBA) template.CSS { return template.CSS(hex(c)) },
	}).Parse(pageText)
})

// aFlag is a command's flag in a text, which a browser would break at its hyphens.
var aFlag = regexp.MustCompile(`(^|[\s(])(--[a-z][a-z-]*)`)

// aValue is the end of a number with its unit, or another short word, which go together.
var aValue = regexp.MustCompile(`([0-9]) (\S{1,5}(?:\s|$))`)

// flags is a text as HTML with its flags, and its values with their units, kept in one piece.
func flags(text string) template.HTML {
	text = aValue.ReplaceAllString(strings.ReplaceAll(text, "± ", "±\u00a0"), "$1\u00a0$2")
	return template.HTML(aFlag.ReplaceAllString(template.HTMLEscapeString(text), `$1<span class="flag">$2</span>`))
}

// WriteHTML writes the document as one HTML page that asks for nothing from
// outside: style, charts and maps are inside it. Problems come first. The same
// document gives the same bytes.
func (d Document) WriteHTML(w io.Writer) error {
	t, err := page()
	if err != nil {
		return fmt.Errorf("reading the page's built-in template: %w", err)
	}
	if err := t.Execute(w, d); err != nil {
		return fmt.Errorf("writing the %s as HTML: %w", d.Kind, err)
	}
	return nil
}

// Judged tells whether limits were looked at, so that their silence means something.
func (d Document) Judged() bool { return d.Problems != nil }

// NotJudged says in text and page that they were not.
const NotJudged = "Limits were not judged; lodegrid report judges them."

// whole tells whether a cell is a number that a table keeps on one line: with more words it
// would push the columns beside it off the page.
func whole(c Cell) bool {
	switch c.Value.(type) {
	case float64, int, Word:
		return utf8.RuneCountInString(c.Text) <= 20
	}
	return false
}

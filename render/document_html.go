package render

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"sync"
)

//go:embed document.html
var pageText string

// page is the HTML form of a document. html/template escapes every text in it. It is
// parsed when it is first asked for, so that a program which writes no page, as the
// one in the browser, need not carry it.
var page = sync.OnceValues(func() (*template.Template, error) {
	return template.New("document").Funcs(template.FuncMap{
		"number": isNumber,
		"chart":  func(c *Chart) (template.HTML, error) { return c.inline() },
		"map":    func(m *Map) (pageMap, error) { return m.layout() },
	}).Parse(pageText)
})

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

// NotJudged gives the page those words.
func (d Document) NotJudged() string { return NotJudged }

// isNumber tells whether a cell's value is a number, which a table sets flush right.
func isNumber(v any) bool {
	switch v.(type) {
	case float64, int, Word:
		return true
	}
	return false
}

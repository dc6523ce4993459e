package quantity

import (
	"fmt"
	"strconv"
	"strings"
)

// Error tells why a text is not a quantity of the dimension asked for.
type Error struct {
	Text      string // the text as given
	Dimension Dimension
	Problem   string // what is wrong with it
	Accept    string // what would be accepted
}

// Error returns the problem and what would be accepted, in one line.
func (e *Error) Error() string {
	return fmt.Sprintf("%s; accepted: %s", e.Problem, e.Accept)
}

// refuse builds an Error; an empty accept lists the units.
func (d Dimension) refuse(text, problem, accept string) error {
	if accept == "" {
		accept = fmt.Sprintf("a %s in %s", d.Name(), d.listUnits())
	}
	return &Error{Text: text, Dimension: d, Problem: problem, Accept: accept}
}

// like says what a quantity of the dimension looks like, with the number given if
// there is one.
func (d Dimension) like(num string) string {
	if d.d == nil {
		return "nothing"
	}
	if num == "" {
		num = "1"
		if d == Temperature {
			num = "25"
		}
	}
	if x, err := strconv.ParseFloat(num, 64); d == Ratio && err == nil && x > 0 && x <= 1 {
		num = strconv.FormatFloat(100*x, 'g', 4, 64) // 0.8 was meant as 80 %
	}
	usual := d.Usual()
	accept := fmt.Sprintf("\"%s %s\"", num, usual)
	if units := d.Units(); len(units) > 1 {
		accept += " or with " + strings.Join(units[1:], ", ")
	}
	return accept
}

func (d Dimension) listUnits() string { return strings.Join(d.Units(), ", ") }

// unknown builds the error for a unit the dimension does not have.
func (d Dimension) unknown(text, name string) error {
	problem := fmt.Sprintf("unknown unit %q", name)
	for _, other := range all {
		if u := other.find(name); u != nil {
			problem = fmt.Sprintf("%q is a unit of %s, not of %s", name, other.Name(), d.Name())
			break
		}
	}
	accept := d.listUnits()
	if near := d.nearest(name); near != "" {
		accept += fmt.Sprintf(" (did you mean %q?)", near)
	}
	return &Error{Text: text, Dimension: d, Problem: problem, Accept: accept}
}

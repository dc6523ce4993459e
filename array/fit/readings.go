package fit

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"lodegrid/array/design"
	"lodegrid/field"
	"lodegrid/field/quantity"
	"lodegrid/field/quantity/spelling"
	"lodegrid/field/regularfile"
)

// Kind is what a reading is of.
type Kind string

// The kinds.
const (
	Ohms    Kind = "resistance"
	Henries Kind = "inductance"
	Tesla   Kind = "field"       // on the coil's axis
	Kelvin  Kind = "temperature" // after a time at a voltage, the others dark
	Moves   Kind = "moves"       // volts at which a drop beside the coil starts on a level pane
	Slides  Kind = "slides"      // tilt at which the drop on the coil's axis slides down
)

// Places of temperatures.
const (
	Coil  = "coil"  // mean of its copper, as its resistance tells
	Front = "front" // of the board
	Back  = "back"
)

// Setup is what a reading is taken with; zero for what its row does not tell.
type Setup struct {
	Set       string  // changes to the design, "KEY=VALUE; KEY=VALUE"
	Air       float64 // K
	Voltage   float64 // V, across the coil
	Current   float64 // A
	Height    float64 // m, of the probe's face over the board
	Time      float64 // s, from when the voltage came on; 0 for as long as it takes
	Frequency float64 // Hz, of the meter; 0 for slow changes
	Place     string
}

// Reading is one number from the bench.
type Reading struct {
	Setup
	Line  int
	Kind  Kind
	Value float64 // SI, a tilt in radians
	Error float64 // one standard deviation
}

// column is what a column of the table may be.
type column struct {
	name string
	dim  quantity.Dimension
	unit string // of what has no dimension
	at   func(*Setup) *float64
	kind Kind
	// usual is the error of a reading where none is told: a share of it and an amount.
	share, amount float64
}

// columns are all that have a number. The errors are those of plain bench instruments: common
// practice, no source.
var columns = []column{
	{name: "air", dim: quantity.Temperature, at: func(s *Setup) *float64 { return &s.Air }},
	{name: "voltage", dim: quantity.Voltage, at: func(s *Setup) *float64 { return &s.Voltage }},
	{name: "current", dim: quantity.Current, at: func(s *Setup) *float64 { return &s.Current }},
	{name: "height", dim: quantity.Length, at: func(s *Setup) *float64 { return &s.Height }},
	{name: "time", dim: quantity.Time, at: func(s *Setup) *float64 { return &s.Time }},
	{name: "frequency", dim: quantity.Frequency, at: func(s *Setup) *float64 { return &s.Frequency }},
	{name: string(Ohms), dim: quantity.Resistance, kind: Ohms, share: 0.005, amount: 0.01},
	{name: string(Henries), dim: quantity.Inductance, kind: Henries, share: 0.01, amount: 0.2e-6},
	{name: string(Tesla), dim: quantity.FluxDensity, kind: Tesla, share: 0.02, amount: 0.02e-3},
	{name: string(Kelvin), dim: quantity.Temperature, kind: Kelvin, amount: 1},
	{name: string(Moves), dim: quantity.Voltage, kind: Moves, share: 0.05},
	{name: string(Slides), unit: "deg", kind: Slides, amount: math.Pi / 180},
}

// Bounds of a table of readings.
const (
	MaxBytes    = 1 << 20
	MaxReadings = 2000
)

// ReadFile reads a table of readings from a regular file.
func ReadFile(path string) ([]Reading, error) {
	f, err := regularfile.Open(path)
	if err != nil {
		return nil, fmt.Errorf("opening readings: %w", err)
	}
	defer f.Close()
	return Read(path, f)
}

// Mistake is what is wrong with a table of readings.
type Mistake struct {
	File    string
	Line    int
	Problem string
	Accept  string
}

func (m *Mistake) Error() string {
	text := fmt.Sprintf("%s:%d: %s", m.File, m.Line, m.Problem)
	if m.Accept != "" {
		text += "; accepted: " + m.Accept
	}
	return text
}

// heads are the headings as they are accepted.
func heads() string {
	list := []string{"set", "place"}
	for _, c := range columns {
		list = append(list, c.name+" ["+c.units()[0]+"]")
	}
	return strings.Join(list, ", ") + `, and "± NAME [UNIT]" after a reading for its standard deviation`
}

func (c column) units() []string {
	if c.unit != "" {
		return []string{c.unit, "rad"}
	}
	return c.dim.Units()
}

// parse reads a cell in a unit. A difference of temperatures has no zero.
func (c column) parse(text, unit string, difference bool) (float64, error) {
	if c.unit != "" || difference && c.dim == quantity.Temperature {
		v, err := strconv.ParseFloat(text, 64)
		if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
			return 0, fmt.Errorf("%q is no number", text)
		}
		switch unit {
		case "deg":
			v *= math.Pi / 180
		case "°F", "degF":
			v /= 1.8
		}
		return v, nil
	}
	return quantity.Parse(text+" "+unit, c.dim)
}

// place is what a column of a table holds.
type place struct {
	column
	text  string // set or place
	unit  string
	error bool
}

// Read reads a table of readings: CSV by RFC 4180, a first row of headings with units, "#"
// before remarks. A row is one setup with one reading or several; what was not read stays
// empty. The error is a *Mistake.
func Read(name string, r io.Reader) ([]Reading, error) {
	in := csv.NewReader(io.LimitReader(r, MaxBytes+1))
	in.Comment, in.TrimLeadingSpace, in.FieldsPerRecord = '#', true, -1
	line := func() int {
		l, _ := in.FieldPos(0)
		return l
	}
	fail := func(l int, accept, format string, args ...any) ([]Reading, error) {
		return nil, &Mistake{name, l, fmt.Sprintf(format, args...), accept}
	}
	head, err := in.Read()
	if errors.Is(err, io.EOF) {
		return fail(1, heads(), "the table is empty")
	}
	if err != nil {
		return fail(1, "CSV", "%v", err)
	}
	var places []place
	for _, h := range head {
		p, problem, accept := heading(h)
		if problem != "" {
			return fail(line(), accept, "%s", problem)
		}
		for _, q := range places {
			if q.name == p.name && q.text == p.text && q.error == p.error {
				return fail(line(), heads(), "the column %q stands twice", h)
			}
		}
		places = append(places, p)
	}
	for _, p := range places {
		if p.error && !hasReading(places, p.name) {
			return fail(line(), heads(), "± %s without %s", p.name, p.name)
		}
	}
	var list []Reading
	for {
		row, err := in.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if in.InputOffset() > MaxBytes {
			return fail(1, fmt.Sprintf("up to %d bytes", MaxBytes), "the table is too long")
		}
		if err != nil {
			var parse *csv.ParseError
			if errors.As(err, &parse) {
				return fail(parse.Line, "CSV", "%v", parse.Err)
			}
			return nil, fmt.Errorf("reading %s: %w", name, err)
		}
		if len(row) != len(places) {
			return fail(line(), fmt.Sprint(len(places)), "%d cells in a table of %d columns", len(row), len(places))
		}
		found, m := readRow(places, row)
		if m != nil {
			m.File, m.Line = name, line()
			return nil, m
		}
		for i := range found {
			found[i].Line = line()
		}
		if list = append(list, found...); len(list) > MaxReadings {
			return fail(line(), fmt.Sprintf("up to %d", MaxReadings), "too many readings")
		}
	}
	if len(list) == 0 {
		return fail(1, heads(), "no readings: every cell of a reading is empty")
	}
	return list, nil
}

func hasReading(places []place, name string) bool {
	for _, q := range places {
		if q.name == name && !q.error {
			return true
		}
	}
	return false
}

// heading understands one.
func heading(text string) (p place, problem, accept string) {
	text = strings.TrimSpace(text)
	if text == "set" || text == "place" {
		return place{text: text}, "", ""
	}
	name, unit, hasUnit := strings.Cut(text, "[")
	name, unit = strings.TrimSpace(name), strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(unit), "]"))
	if rest, ok := strings.CutPrefix(name, "±"); ok {
		name, p.error = strings.TrimSpace(rest), true
	}
	var names []string
	for _, c := range columns {
		names = append(names, c.name)
		if c.name != name || p.error && c.kind == "" {
			continue
		}
		p.column, p.unit = c, unit
		if !hasUnit || unit == "" {
			return p, fmt.Sprintf("the column %q has no unit", text), fmt.Sprintf("%s [%s] or with %s", name, c.units()[0], strings.Join(c.units()[1:], ", "))
		}
		if _, err := c.parse("300", unit, p.error); err != nil || c.unit != "" && unit != "deg" && unit != "rad" {
			return p, fmt.Sprintf("the column %q: unknown unit %q", text, unit), strings.Join(c.units(), ", ")
		}
		return p, "", ""
	}
	accept = heads()
	if near := spelling.Nearest(name, names); near != "" {
		accept += fmt.Sprintf(" (did you mean %q?)", near)
	}
	return p, fmt.Sprintf("unknown column %q", text), accept
}

func readRow(places []place, row []string) (list []Reading, m *Mistake) {
	s := Setup{Air: field.RoomTemperature, Place: Coil}
	given := map[string]bool{}
	errs := map[Kind]float64{}
	for i, p := range places {
		cell := strings.TrimSpace(row[i])
		if cell == "" || cell == "?" {
			continue
		}
		given[p.name+p.text] = true
		switch {
		case p.text == "set":
			s.Set = cell
		case p.text == "place":
			if s.Place = cell; cell != Coil && cell != Front && cell != Back {
				return nil, &Mistake{Problem: fmt.Sprintf("place %q", cell), Accept: "coil (its copper's mean, by its resistance), front, back"}
			}
		default:
			v, err := p.parse(cell, p.unit, p.error)
			if err != nil {
				return nil, &Mistake{Problem: fmt.Sprintf("%s: %v", p.name, err), Accept: "a number in " + p.unit}
			}
			switch {
			case p.error && !(v > 0):
				return nil, &Mistake{Problem: fmt.Sprintf("± %s of %g", p.name, v), Accept: "more than 0"}
			case p.error:
				errs[p.kind] = v
			case p.kind != "":
				list = append(list, Reading{Kind: p.kind, Value: v, Error: p.kind.usual(v)})
			case p.name != "air" && v < 0:
				return nil, &Mistake{Problem: fmt.Sprintf("a %s of %g", p.name, v), Accept: "0 or more"}
			default:
				*p.at(&s) = v
			}
		}
	}
	for i := range list {
		r := &list[i]
		r.Setup = s
		if e := errs[r.Kind]; e > 0 {
			r.Error = e
		}
		if problem, accept := r.check(given); problem != "" {
			return nil, &Mistake{Problem: problem, Accept: accept}
		}
	}
	return list, nil
}

// check tells what a reading lacks.
func (r *Reading) check(given map[string]bool) (problem, accept string) {
	lack := func(what string) (string, string) {
		return fmt.Sprintf("a %s without %s", r.Kind, what), "a value in that column"
	}
	positive := r.Kind != Kelvin && r.Kind != Tesla
	switch {
	case positive && !(r.Value > 0):
		return fmt.Sprintf("a %s of %g", r.Kind, r.Value), "more than 0"
	case r.Kind == Tesla && !given["height"]:
		return lack("height")
	case r.Kind == Tesla && !(r.Current > 0) && !(r.Voltage > 0):
		return lack("current or voltage")
	case r.Kind == Tesla && r.Height > 1:
		return fmt.Sprintf("a height of %g m", r.Height), "up to 1 m"
	case r.Kind == Kelvin && !(r.Voltage > 0):
		return lack("voltage")
	case r.Voltage > 1e3 || r.Current > 1e3:
		return fmt.Sprintf("%g V, %g A", r.Voltage, r.Current), "up to 1000 of each"
	case r.Kind == Kelvin && r.Time > 1e6:
		return fmt.Sprintf("a time of %g s", r.Time), "up to 1e6 s; empty for as long as it takes"
	case r.Kind == Slides && !(r.Value < math.Pi/2):
		return fmt.Sprintf("a tilt of %.3g°", r.Value*180/math.Pi), "less than 90°"
	case !(r.Air >= 150 && r.Air <= 400):
		return fmt.Sprintf("air of %.4g K", r.Air), "150 K to 400 K"
	}
	return "", ""
}

// changes are those of the setup.
func (s Setup) changes() ([]design.Change, error) {
	var list []design.Change
	for _, text := range strings.Split(strings.TrimRight(s.Set, "; "), ";") {
		if s.Set == "" {
			break
		}
		c, err := design.ParseChange(text)
		if err != nil {
			return nil, err
		}
		list = append(list, c)
	}
	return list, nil
}

// WriteHead writes the headings of a table of readings, each in its usual unit.
func WriteHead(w io.Writer) error {
	head := []string{"set", "place"}
	for _, c := range columns {
		head = append(head, fmt.Sprintf("%s [%s]", c.name, c.units()[0]))
		if c.kind != "" {
			head = append(head, fmt.Sprintf("± %s [%s]", c.name, c.units()[0]))
		}
	}
	_, err := fmt.Fprintf(w, "# A row is one setup with what was read in it; leave empty, or ?, what was not. set: changes to the design, KEY=VALUE; KEY=VALUE.\n# place of a temperature: coil (mean of its copper, by its resistance), front, back. ± is one standard deviation.\n%s\n", strings.Join(head, ","))
	return err
}

// Text is a value of a kind as people read it; a difference of two has no zero.
func (k Kind) Text(v float64, difference bool) string {
	for _, c := range columns {
		switch {
		case c.kind != k:
		case c.unit != "":
			return fmt.Sprintf("%.3g°", v*180/math.Pi)
		case c.dim == quantity.Temperature && difference:
			return fmt.Sprintf("%.2g K", v)
		default:
			return quantity.Format(v, c.dim)
		}
	}
	return fmt.Sprint(v)
}

// String is the setup of a reading in a few words.
func (r Reading) String() string {
	var parts []string
	if r.Set != "" {
		parts = append(parts, r.Set)
	}
	for _, c := range columns {
		if c.at == nil || c.name == "air" {
			continue
		}
		if v := *c.at(&r.Setup); v != 0 {
			parts = append(parts, c.name+" "+quantity.Format(v, c.dim))
		}
	}
	if r.Kind == Kelvin {
		parts = append(parts, r.Place)
	}
	return strings.Join(parts, ", ")
}

package render

import "lodegrid/field/quantity"

// SchemaVersion is in every JSON document. Keys may be added within a version;
// none changes its meaning.
const SchemaVersion = 1

// Document is a result for people and programs alike: text, JSON, CSV and HTML
// are made from the same values, each declared once with its key, unit and label.
type Document struct {
	Kind     string // what was asked: report, coil, …
	Design   string // the design's name
	Sections []Section
	Problems []Problem
	Cautions []string
	// Source is the design file with every key spelled out, so that the HTML form
	// says by itself what it was computed from; "" leaves it out.
	Source string
}

// Section is one part of a document.
type Section struct {
	Key, Title string
	Facts      []Fact
	Tables     []Table
	Notes      []string
	Figures    []Figure // in the HTML form alone
}

// Figure is a picture of a section: a chart or a map.
type Figure struct {
	Caption string
	Chart   *Chart
	Map     *Map
}

// Fact is one named value.
type Fact struct {
	Key   string // for programs, ends in the SI unit: "resistance_ohm"
	Label string // for people
	Value any    // SI
	Text  string // as shown, with its unit
	Why   string // the formula and the numbers that went in, if asked for
}

// Table has one row per item.
type Table struct {
	Key, Title string
	Columns    []Column
	Rows       [][]Cell
	// Brief is how many rows people are shown; 0 shows all. Programs get them all.
	Brief int
}

// Shown returns the rows that people are shown, Left how many they are not.
func (t Table) Shown() [][]Cell { return t.Rows[:len(t.Rows)-t.Left()] }

// Left returns how many rows are left to programs.
func (t Table) Left() int {
	if t.Brief == 0 {
		return 0
	}
	return max(0, len(t.Rows)-t.Brief)
}

// Column heads a table's column.
type Column struct {
	Key  string // for programs, ends in the SI unit
	Head string // for people
}

// Cell is a value twice: as computed, and as shown.
type Cell struct {
	Value any
	Text  string
}

// Problem is a limit that the design breaks.
type Problem struct {
	Key    string // which limit
	What   string // one sentence with both numbers
	Advice string // what would mend it, with the value that would
}

// Number makes a fact of a quantity.
func Number(key, label string, v float64, d quantity.Dimension) Fact {
	return Fact{Key: key, Label: label, Value: v, Text: quantity.Format(v, d)}
}

// Words makes a fact of a text.
func Words(key, label, s string) Fact { return Fact{Key: key, Label: label, Value: s, Text: s} }

// Because adds the formula and the numbers that went in.
func (f Fact) Because(why string) Fact {
	f.Why = why
	return f
}

// In makes a cell of a quantity.
func In(v float64, d quantity.Dimension) Cell { return Cell{v, quantity.Format(v, d)} }

// Say makes a cell of a text.
func Say(s string) Cell { return Cell{s, s} }

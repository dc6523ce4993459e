package render

import (
	"math"

	"lodegrid/field/quantity"
	"lodegrid/scenes/verdict"
)

// SchemaVersion is in every JSON document. Keys may be added within a version;
// none changes its meaning. Since version 2 no value is null or empty: what is no
// number is a Word.
const SchemaVersion = 5

// Word stands in JSON and CSV where a quantity has no number. The same fact or column
// may hold a number in one document and a word in another.
type Word string

// The words.
const (
	Infinite  Word = "infinite"  // no bound: as much, or as long, as one likes
	None      Word = "none"      // there is no such value here
	Undecided Word = "undecided" // beyond what was looked at; the text says how far that is
)

// SchemaNote tells programs and people how to read values.
const SchemaNote = `every key ends in its SI unit; a value is never null: "infinite" is without bound, "none" does not exist here, "undecided" lies beyond what was looked at`

// Document is a result for people and programs alike: text, JSON, CSV and HTML
// are made from the same values, each declared once with its key, unit and label.
type Document struct {
	Kind     string // what was asked: report, coil, …
	Design   string // the design's name
	Sections []Section
	Problems []Problem
	// Kept says how many displays built to the design keep the limits; "" where that was not told.
	Kept string
	// Cure says which settings mend all problems together; "" for none.
	Cure     string
	Cautions []Caution
	// Width is how many letters a line of the text has at most; 0 lets tables be as wide as they
	// are.
	Width int
	// Glance is what the HTML form shows first, nil for none.
	Glance *Glance
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

// Figure is a picture of a section: a chart, a map or the display itself.
type Figure struct {
	Caption string
	Chart   *Chart
	Map     *Map
	Still   *Still
}

// Fact is one named value.
type Fact struct {
	Key   string // for programs, ends in the SI unit: "resistance_ohm"
	Label string // for people; "" leaves it to programs
	Value any    // SI, or a Word
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

// Cell is a value twice: as computed, and as shown. Where the rows of a table are
// unlike quantities, the value of a row's first cell is its key, with the SI unit.
type Cell struct {
	Value any
	Text  string
}

// Problem is a limit that the design breaks.
type Problem struct {
	Key    string   // which limit
	What   string   // one sentence with both numbers
	Advice []string // what would mend it, with the value that would
	// Found is what the words are made from; nil for a problem of the command's own.
	Found *verdict.Problem
}

// Caution is a warning that the display earns.
type Caution struct {
	Key   string // what it warns of
	Text  string
	Found verdict.Caution
}

// Number makes a fact of a quantity.
func Number(key, label string, v float64, d quantity.Dimension) Fact {
	return Fact{Key: key, Label: label, Value: v, Text: quantity.Format(v, d)}
}

// By makes a fact of a quantity that brings its derivation.
func By(key, label string, v quantity.Derived, d quantity.Dimension) Fact {
	return Number(key, label, v.Value, d).Because(v.Why)
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

// absent are facts that this run has no value for, for programs.
func absent(keys ...string) []Fact {
	list := make([]Fact, len(keys))
	for i, k := range keys {
		list[i] = Fact{Key: k, Value: None}
	}
	return list
}

// finite is a number, or the word that stands for it where it is infinite.
func finite(v float64, word Word) any {
	if math.IsInf(v, 0) || math.IsNaN(v) {
		return word
	}
	return v
}

// Say makes a cell of a text.
func Say(s string) Cell { return Cell{s, s} }

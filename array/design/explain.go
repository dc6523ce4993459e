package design

import (
	"strings"

	"lodegrid/field/coil"
)

// Entry explains one key of the design file.
type Entry struct {
	Key      string // board.thickness
	Measure  string // dimension of a quantity, or number, whole number, choice, text
	Unit     string // the usual unit of a quantity; empty otherwise
	Default  string // as it would stand in the file, or what it follows
	Sentence string // what it is
	Accepts  string // what may be written
}

// Explain lists every key, in the order of the file.
func Explain() []Entry {
	var list []Entry
	for _, s := range settings {
		list = append(list, explain(s))
		if s.key == boardSettings[len(boardSettings)-1].key {
			for _, r := range ruleSettings {
				e := explain(r)
				var values []string
				for _, t := range coil.DefaultRules().Tracks {
					values = append(values, encode(r.hold(&t)))
				}
				e.Default = strings.Join(values, ", ")
				list = append(list, e)
			}
		}
	}
	return list
}

func explain[T any](s setting[T]) Entry {
	e := Entry{Key: s.key, Measure: s.kind.measure, Default: s.source, Sentence: s.sentence, Accepts: s.kind.accepts}
	if s.kind.dim != nil {
		e.Unit = s.kind.dim.Usual()
	}
	if s.source == "" {
		var t T
		if f := s.read(&t, s.kind.value(s.preset)); f == nil {
			e.Default = encode(s.hold(&t))
		}
	}
	return e
}

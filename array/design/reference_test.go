package design

import "lodegrid/field/tomlplace"

// Default returns the design of an empty file: every key at its default.
func Default() Design { return resolve(nil).design }

// ExplainKey explains one key; false when there is none of that name.
func ExplainKey(key string) (Entry, bool) {
	for _, e := range Explain() {
		if e.Key == key {
			return e, true
		}
	}
	return Entry{}, false
}

// Check reports what is wrong with a design whose fields were set by hand, as
// Errors; nil when it could have come from a file.
func (d Design) Check() error {
	r := &resolver{design: d, given: map[string]bool{}, bad: map[string]bool{}}
	for _, s := range settings {
		if f := s.check(&r.design); f != nil {
			r.fail(s.key, f.problem, f.accept)
		}
	}
	for i := range r.design.Board.Rules.Tracks {
		for _, s := range ruleSettings {
			if f := s.check(&r.design.Board.Rules.Tracks[i]); f != nil {
				r.fail(tomlplace.Join(tomlplace.Element(ruleKey, i+1), s.name()), f.problem, f.accept)
				r.bad[ruleKey] = true
			}
		}
	}
	r.check()
	var list Errors
	for _, f := range r.faults {
		list = append(list, &Error{Key: f.path, Problem: f.problem, Accept: f.accept})
	}
	return list.err()
}

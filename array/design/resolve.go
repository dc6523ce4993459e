package design

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"lodegrid/field/coil"
	"lodegrid/field/param"
	"lodegrid/field/quantity/spelling"
	"lodegrid/field/tomlplace"
)

// resolver turns what was given into a Design.
type resolver struct {
	design Design
	given  map[string]bool // keys that were given
	bad    map[string]bool // keys whose value is not to be relied on
	faults []keyed
}

// keyed is a fault and the path of the key it belongs to.
type keyed struct {
	path string
	fault
	atKey bool // the key itself is the mistake, not its value
}

// maxFaults bounds what a file full of mistakes costs.
const maxFaults = 200

func (r *resolver) fail(path, problem, accept string) {
	r.bad[path] = true
	if len(r.faults) < maxFaults {
		r.faults = append(r.faults, keyed{path: path, fault: fault{problem, accept}})
	}
}

// resolve sets every key from values, a TOML document as nested maps, from its
// default or from what it is derived from, and checks the whole.
func resolve(values map[string]any) *resolver {
	r := &resolver{given: map[string]bool{}, bad: map[string]bool{}}
	for _, s := range settings {
		if s.source == "" {
			preset(s, &r.design)
		}
	}
	r.design.Board.Rules.Tracks = coil.DefaultRules().Tracks
	r.take(values)
	var follow []keyed // derived values out of bounds, because of what they follow
	for _, s := range settings {
		if s.derive != nil && !r.given[s.key] {
			s.derive(&r.design)
			if f := s.check(&r.design); f != nil {
				r.bad[s.key] = true
				follow = append(follow, keyed{path: s.key, fault: *f})
			}
		}
		if s.source != "" && r.given[s.key] {
			r.design.own = append(r.design.own, s.key)
		}
	}
	r.check()
	if len(r.faults) == 0 { // else what they follow has been reported
		r.faults = follow
	}
	return r
}

// preset sets a key to its default.
func preset(s setting[Design], d *Design) {
	if f := s.read(d, s.kind.value(s.preset)); f != nil {
		panic(fmt.Sprintf("design: default of %s: %s", s.key, f.problem)) // a slip in the table; any test run finds it
	}
}

// take reads what was given.
func (r *resolver) take(values map[string]any) {
	for key, v := range values {
		if key == doubtKey {
			r.readDoubts(v)
			continue
		}
		if s, ok := find(settings, tomlplace.Join("", key)); ok {
			r.set(s, v)
			continue
		}
		if !slices.ContainsFunc(sections, func(s section) bool { return s.name == key }) {
			r.unknown("", key)
			continue
		}
		table, ok := v.(map[string]any)
		if !ok {
			r.fail(key, "this is "+tomlplace.Describe(v), fmt.Sprintf("a section: [%s] with %s", key, strings.Join(keysOf(key), ", ")))
			continue
		}
		for name, v := range table {
			path := tomlplace.Join(key, name)
			s, ok := find(settings, path)
			switch {
			case ok:
				r.set(s, v)
			case path == ruleKey:
				r.rules(v)
			default:
				r.unknown(key, name)
			}
		}
	}
}

func (r *resolver) set(s setting[Design], v any) {
	r.given[s.key] = true
	if f := s.read(&r.design, v); f != nil {
		r.fail(s.key, f.problem, f.accept)
	}
}

// rules reads the board house's table of tracks.
func (r *resolver) rules(v any) {
	r.given[ruleKey] = true
	want := "one [[board.rule]] per copper thickness, each with copper, track and gap"
	list, ok := v.([]any)
	if !ok || len(list) == 0 {
		if ok {
			r.fail(ruleKey, "the list is empty", want)
		} else {
			r.fail(ruleKey, "this is "+tomlplace.Describe(v), want)
		}
		return
	}
	if len(list) > maxRules {
		r.fail(ruleKey, fmt.Sprintf("%d rules", len(list)), fmt.Sprintf("up to %d", maxRules))
		return
	}
	tracks := make([]coil.TrackRule, len(list))
	for i, item := range list {
		path := tomlplace.Element(ruleKey, i+1)
		table, ok := item.(map[string]any)
		if !ok {
			r.fail(path, "this is "+tomlplace.Describe(item), want)
			r.bad[ruleKey] = true
			continue
		}
		for name, v := range table {
			if _, ok := find(ruleSettings, tomlplace.Join(ruleKey, name)); !ok {
				r.unknown(path, name)
			} else if f := readRule(&tracks[i], name, v); f != nil {
				r.fail(tomlplace.Join(path, name), f.problem, f.accept)
				r.bad[ruleKey] = true
			}
		}
		for _, s := range ruleSettings {
			if _, ok := table[s.name()]; !ok {
				r.fail(path, s.name()+" is missing", want)
				r.bad[ruleKey] = true
			}
		}
	}
	r.design.Board.Rules.Tracks = tracks
}

// maxRules is far more rows than a board house's table has.
const maxRules = 100

func readRule(t *coil.TrackRule, name string, v any) *fault {
	s, _ := find(ruleSettings, tomlplace.Join(ruleKey, name))
	return s.read(t, v)
}

// unknown reports a key that is not in the table, with the one it may stand for.
func (r *resolver) unknown(section, name string) {
	if len(r.faults) >= maxFaults {
		return // before the search for the nearest name
	}
	table := section
	if table != "" && table[len(table)-1] == ']' {
		table = ruleKey
	}
	names := keysOf(table)
	near := spelling.Nearest(name, names)
	if near == "" { // right name, wrong section
		for _, s := range settings {
			if s.name() == name {
				near = s.key
				break
			}
		}
	}
	kind := "unknown key"
	if section == "" {
		kind = "unknown section or key"
	}
	r.fail(tomlplace.Join(section, name), kind, strings.Join(names, ", ")+did(near))
	r.faults[len(r.faults)-1].atKey = true
}

// coilFault turns an error of package coil into a fault at the key it names.
func (r *resolver) coilFault(err error, section string) {
	var spec *param.Error
	if !errors.As(err, &spec) {
		r.fail(section, err.Error(), "")
		return
	}
	r.fail(tomlplace.Join(section, spec.Key), spec.Problem, spec.Accept)
}

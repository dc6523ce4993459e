package design

import (
	"fmt"
	"slices"
	"strings"

	"lodegrid/field/quantity/spelling"
)

// Change sets one key to a value written as in the design file, without quotes:
// {"coil.track", "5 mil"}.
type Change struct{ Key, Value string }

func (c Change) String() string { return c.Key + " = " + c.Value }

// ParseChange reads "coil.track=5 mil", or its value in quotes. The error is an *Error.
func ParseChange(text string) (Change, error) {
	key, value, ok := strings.Cut(text, "=")
	key, value = strings.TrimSpace(key), strings.TrimSpace(value)
	if !ok || key == "" {
		return Change{}, &Error{Problem: fmt.Sprintf("%q is no change", text), Accept: `a key and a value such as "coil.track=5 mil"`}
	}
	// As the design file and the advice write it.
	if n := len(value); n >= 2 && value[0] == '"' && value[n-1] == '"' {
		value = value[1 : n-1]
	}
	return Change{key, value}, nil
}

// With returns the design with changes made, worked out and checked anew: what
// depends on a changed key and was not set itself follows it. Setting coil.inner in
// a coil given by its turns lets the turns follow; setting fluid.height in a tank given
// by its rear pane, or that pane in one given by the height, lets the other follow. The
// error is Errors.
func (d Design) With(changes ...Change) (Design, error) {
	given := map[string]any{}
	var list Errors
	for _, c := range changes {
		s, ok := find(settings, c.Key)
		if !ok {
			list = append(list, &Error{Key: c.Key, Problem: "unknown key", Accept: "a key that `lodegrid design --explain` lists" + did(nearestKey(c.Key))})
			continue
		}
		put(given, s.key, s.kind.value(c.Value))
	}
	r := resolve(d.under(given))
	for _, f := range r.faults {
		list = append(list, &Error{Key: f.path, Problem: f.problem, Accept: f.accept})
	}
	if err := list.err(); err != nil {
		return Design{}, err
	}
	r.design.Folder = d.Folder
	return r.design, nil
}

// Says is the value of a key as a Change has it; ok is false for a key that no Change sets.
func (d Design) Says(key string) (value string, ok bool) {
	s, ok := find(settings, key)
	if !ok {
		return "", false
	}
	if text, is := s.hold(&d).(string); is {
		return text, true
	}
	return encode(s.hold(&d)), true
}

// under is the design's values, those given laid over them.
func (d Design) under(given map[string]any) map[string]any {
	values := d.values()
	set := func(key string) bool {
		section, name, _ := strings.Cut(key, ".")
		table, _ := given[section].(map[string]any)
		_, ok := table[name]
		return ok
	}
	for key, v := range given {
		table, ok := v.(map[string]any)
		if _, known := values[key].(map[string]any); !ok || !known {
			values[key] = v
			continue
		}
		for name, v := range table {
			put(values, key+"."+name, v)
		}
	}
	if set("coil.inner") && !set("coil.turns") && !slices.Contains(d.own, "coil.inner") {
		delete(values["coil"].(map[string]any), "turns")
	}
	if set("fluid.height") && !set("tank.rear") {
		delete(values["tank"].(map[string]any), "rear")
	}
	if set("tank.rear") && !set("fluid.height") {
		delete(values["fluid"].(map[string]any), "height")
	}
	return values
}

// nearestKey returns the key a mistyped one may stand for: by its whole, or by its
// name without the section.
func nearestKey(typed string) string {
	var keys []string
	for _, s := range settings {
		keys = append(keys, s.key)
	}
	if near := spelling.Nearest(typed, keys); near != "" {
		return near
	}
	for _, s := range settings {
		if s.name() == typed[strings.LastIndexByte(typed, '.')+1:] {
			return s.key
		}
	}
	return ""
}

// values returns the design as the nested maps of a file that holds all keys but
// those that follow others.
func (d Design) values() map[string]any {
	values := map[string]any{}
	for _, s := range settings {
		if d.states(s) {
			put(values, s.key, s.hold(&d))
		}
	}
	var rules []any
	for i := range d.Board.Rules.Tracks {
		rule := map[string]any{}
		for _, s := range ruleSettings {
			rule[s.name()] = s.hold(&d.Board.Rules.Tracks[i])
		}
		rules = append(rules, rule)
	}
	if rules != nil {
		put(values, ruleKey, rules)
	}
	if rows := d.doubtRows(); rows != nil {
		put(values, doubtKey, rows)
	}
	return values
}

func put(values map[string]any, key string, v any) {
	section, name, ok := strings.Cut(key, ".")
	if !ok {
		values[key] = v
		return
	}
	table, ok := values[section].(map[string]any)
	if !ok {
		table = map[string]any{}
		values[section] = table
	}
	table[name] = v
}

// Difference is a key that some designs do not have in common, with its value in each as a
// file has it.
type Difference struct {
	Key    string
	Values []string
}

// Differences lists the keys whose values are not the same in all of the designs, what
// follows others included, in the order of the file.
func Differences(designs ...Design) (list []Difference) {
	add := func(key string, value func(d *Design) string) {
		row := Difference{Key: key}
		for i := range designs {
			row.Values = append(row.Values, value(&designs[i]))
		}
		if slices.ContainsFunc(row.Values, func(v string) bool { return v != row.Values[0] }) {
			list = append(list, row)
		}
	}
	for _, s := range settings {
		add(s.key, func(d *Design) string { return fmt.Sprint(s.hold(d)) })
	}
	for _, s := range ruleSettings {
		add(s.key, func(d *Design) string {
			var values []string
			for i := range d.Board.Rules.Tracks {
				values = append(values, fmt.Sprint(s.hold(&d.Board.Rules.Tracks[i])))
			}
			return strings.Join(values, ", ")
		})
	}
	return list
}

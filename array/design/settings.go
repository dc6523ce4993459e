package design

import (
	"reflect"
	"slices"
	"strings"
	"unicode"

	"lodegrid/field/coil"
)

// setting is one key of the design file: declared once, it is read, checked,
// explained, written and hashed from this declaration.
type setting[T any] struct {
	key      string // board.thickness
	kind     kind
	at       func(*T) any // where its value stands
	sentence string       // what it is, for the explanation and as comment in a written file

	// A key that is not given takes preset, written as on a command line; or, where
	// another setting decides, what derive works out, of which source tells.
	preset string
	source string
	derive func(*T)
}

func given(key string, k kind, preset, sentence string) of {
	return of{key: key, kind: k, at: place[Design](key), sentence: sentence, preset: preset}
}

func follows(key string, k kind, source, sentence string, derive func(*Design)) of {
	return of{key: key, kind: k, at: place[Design](key), sentence: sentence, source: source, derive: derive}
}

func ofTrack(key string, k kind, sentence string) ofRule {
	return ofRule{key: key, kind: k, at: place[coil.TrackRule](key), sentence: sentence}
}

func (s setting[T]) read(t *T, v any) *fault { return s.kind.read(s.at(t), v) }
func (s setting[T]) check(t *T) *fault       { return s.kind.check(s.at(t)) }
func (s setting[T]) hold(t *T) any           { return s.kind.hold(s.at(t)) }

// elsewhere are the fields that are not called as their keys are, and both ends of spans.
var elsewhere = map[string][]string{
	"board.via_drill": {"Board.Rules.ViaDrill"}, "board.via_ring": {"Board.Rules.ViaRing"}, "board.layers_on_offer": {"Board.Rules.Layers"},
	"board.rule.copper": {"CopperUpTo"}, "board.rule.track": {"Track"}, "board.rule.gap": {"Gap"},
	"fluid.contact_line": {"Fluid.ContactLine", "Fluid.ContactLineMost"}, "heat.ambient": {"Heat.AmbientLow", "Heat.Ambient"},
}

// place finds the field of a key: a key fluid.tank_gap stands in the field Fluid.TankGap. A
// slip in the table of settings panics; any test run finds it.
func place[T any](key string) func(*T) any {
	paths := elsewhere[key]
	if paths == nil {
		begins := true // a word of the name
		paths = []string{strings.Map(func(r rune) rune {
			switch {
			case begins:
				begins = false
				return unicode.ToUpper(r)
			case r == '_' || r == '.':
				begins = true
			}
			if r == '_' {
				return -1
			}
			return r
		}, key)}
	}
	fields := make([][]int, len(paths))
	for i, path := range paths {
		at := reflect.TypeFor[T]()
		for _, name := range strings.Split(path, ".") {
			f, ok := at.FieldByName(name)
			if !ok {
				panic("design: no field " + path + " for the key " + key)
			}
			at, fields[i] = f.Type, append(fields[i], f.Index...)
		}
	}
	field := func(t *T, i int) any { return reflect.ValueOf(t).Elem().FieldByIndex(fields[i]).Addr().Interface() }
	if len(fields) == 2 {
		return func(t *T) any { return [2]*float64{field(t, 0).(*float64), field(t, 1).(*float64)} }
	}
	return func(t *T) any { return field(t, 0) }
}

// name returns the key without its section.
func (s setting[T]) name() string { return s.key[strings.LastIndexByte(s.key, '.')+1:] }

// section returns the part of the key before its name.
func (s setting[T]) section() string {
	return s.key[:max(0, strings.LastIndexByte(s.key, '.'))]
}

// section is one [section] of the file.
type section struct{ name, sentence string }

var sections = []section{
	{"board", "The bare board, and what the board house can make."},
	{"coil", "The flat coil of one pixel."},
	{"iron", "Steel behind the board: it returns the flux and strengthens the field in front."},
	{"magnet", "A bias magnet behind the board, magnetised along the line of sight."},
	{"grid", "The lattice of pixels."},
	{"drive", "The switching stage of one pixel."},
	{"supply", "The supply on hand."},
	{"tank", "The panes that the fluid is between."},
	{"fluid", "The ferrofluid and the tank in front of the board."},
	{"heat", "The cooling."},
	{"limits", "What the report measures against."},
	{"order", "The board as it is ordered: outline, wires and screws."},
	{"scene", "What is played when the command line names no scene."},
	{"bench", "What readings for lodegrid fit are taken with."},
}

// settings are all keys except those of the board rules, in the order of the file.
// A derived setting stands after what it is derived from.
var settings = slices.Concat(
	[]of{
		given("name", textOf(80), "unnamed", "Name of the display, for titles."),
	},
	boardSettings, coilSettings, ironSettings, magnetSettings, gridSettings,
	driveSettings, supplySettings, tankSettings, fluidSettings, heatSettings, limitSettings, orderSettings, sceneSettings, benchSettings,
)

// ruleKey is the list of track rules, one [[board.rule]] each.
const ruleKey = "board.rule"

// find returns the declaration of a key.
func find[T any](list []setting[T], key string) (setting[T], bool) {
	i := slices.IndexFunc(list, func(s setting[T]) bool { return s.key == key })
	if i < 0 {
		return setting[T]{}, false
	}
	return list[i], true
}

// keysOf returns the names of the keys of a section.
func keysOf(name string) []string {
	var names []string
	for _, s := range settings {
		if s.section() == name {
			names = append(names, s.name())
		}
	}
	switch name {
	case "":
		for _, s := range sections {
			names = append(names, s.name)
		}
		names = append(names, doubtKey, baseKey)
	case "board":
		names = append(names, "rule")
	case ruleKey:
		for _, s := range ruleSettings {
			names = append(names, s.name())
		}
	}
	return names
}

// ofRule marks declarations of a track rule.
type ofRule = setting[coil.TrackRule]

// of marks declarations of a design.
type of = setting[Design]

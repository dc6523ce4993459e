package design

import (
	"slices"
	"strings"

	"lodegrid/field/coil"
)

// setting is one key of the design file: declared once, it is read, checked,
// explained, written and hashed from this declaration.
type setting[T any] struct {
	key      string // board.thickness
	kind     kind[T]
	sentence string // what it is, for the explanation and as comment in a written file

	// A key that is not given takes preset, written as on a command line; or, where
	// another setting decides, what derive works out, of which source tells.
	preset string
	source string
	derive func(*T)
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
	[]setting[Design]{{
		key: "name", kind: textOf(func(d *Design) *string { return &d.Name }, 80),
		preset: "unnamed", sentence: "Name of the display, for titles.",
	}},
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

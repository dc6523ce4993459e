package design

import (
	"bytes"
	_ "embed"
	"slices"
)

//go:embed demo.toml
var demo []byte

// DemoTOML returns the design file of the demo: a tide sign for a harbour café.
func DemoTOML() []byte { return slices.Clone(demo) }

// Demo returns the demo design.
func Demo() Design {
	d, err := Read("demo.toml", bytes.NewReader(demo))
	if err != nil {
		panic(err) // the file is part of the program; any test run finds it
	}
	return d
}

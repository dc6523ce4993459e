package design

import (
	"slices"

	"lodegrid/field/coil"
)

// states reports whether a file of this design must state a key. It need not when
// the key follows others: it was not set on purpose, and leaving it out gives the
// same value.
func (d Design) states(s setting[Design]) bool {
	switch {
	case s.source == "" || slices.Contains(d.own, s.key):
		return true
	case s.key == "coil.turns":
		return !d.turnsFollow()
	case s.key == "coil.inner":
		return false // the turns decide, stated or not
	}
	derived := d
	s.derive(&derived)
	return encode(s.hold(&derived)) != encode(s.hold(&d))
}

// turnsFollow reports whether the inner size alone, set or by default, gives the
// coil its turns.
func (d Design) turnsFollow() bool {
	c := d
	c.Coil.Turns = 0
	if !slices.Contains(d.own, "coil.inner") {
		inner, _ := find(coilSettings, "coil.inner")
		inner.derive(&c)
	}
	wound, err := coil.New(c.CoilSpec(), c.Board.Rules)
	return err == nil && wound.Spec().Turns == d.Coil.Turns
}

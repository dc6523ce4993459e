package design

import (
	"errors"
	"fmt"
)

// bounds are the least and the greatest value of a setting, as texts in its unit.
type bounds struct {
	low, high string
	open      bool // low itself is not accepted
}

// above accepts values greater than low, up to high.
func above(low, high string) bounds { return bounds{low, high, true} }

// within accepts values from low to high.
func within(low, high string) bounds { return bounds{low, high, false} }

// parsed are the bounds as numbers. A slip in the table of settings panics; any test run finds it.
func (b bounds) parsed(parse func(string) (float64, error)) (low, high float64) {
	low, err := parse(b.low)
	high, err2 := parse(b.high)
	if err := errors.Join(err, err2); err != nil {
		panic(err)
	}
	return low, high
}

func (b bounds) String() string {
	if b.open {
		return fmt.Sprintf("more than %s, up to %s", b.low, b.high)
	}
	return fmt.Sprintf("%s to %s", b.low, b.high)
}

// nothing is the share of open bounds' range up to which a value counts as their lower end: the
// products of such values may be none that a computer can hold.
const nothing = 1e-12

// check holds a value against the bounds, given as numbers; shown is the value as
// the user reads it.
func (b bounds) check(v, low, high float64, shown func() string) *fault {
	switch {
	case v != v:
		return &fault{"not a number", b.String()}
	case v < low, b.open && v == low:
		return &fault{shown() + " is too small", b.String()}
	case b.open && v-low < (high-low)*nothing:
		return &fault{shown() + " is as good as " + b.low, b.String()}
	case v > high:
		return &fault{shown() + " is too large", b.String()}
	}
	return nil
}

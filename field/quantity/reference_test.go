package quantity

import (
	"math"
	"slices"
)

// In returns a value given in SI units as a number of the unit named, or NaN when
// the dimension does not have that unit.
func In(v float64, d Dimension, unit string) float64 {
	u := d.find(unit)
	if u == nil {
		return math.NaN()
	}
	return u.of(v)
}

// Dimensions returns every dimension of the package.
func Dimensions() []Dimension { return slices.Clone(all) }

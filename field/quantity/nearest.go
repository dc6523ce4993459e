package quantity

import (
	"strings"

	"lodegrid/field/quantity/spelling"
)

// nearest returns the accepted unit closest to a mistyped one; empty when none is
// close.
func (d Dimension) nearest(name string) string {
	if d.d == nil {
		return ""
	}
	typed := normal(name)
	best, bestDistance := "", 2
	if len([]rune(typed)) > 3 {
		bestDistance = 3
	}
	for _, u := range d.d.units {
		for _, s := range append([]string{u.symbol}, u.also...) {
			known := normal(s)
			distance := spelling.Edits(typed, known)
			if strings.EqualFold(typed, known) {
				distance = 0
			}
			// A degree sign left out is the usual slip with temperatures.
			if strings.EqualFold("°"+typed, known) {
				distance = 0
			}
			// A single letter is one edit away from every other: no hint.
			if len([]rune(typed)) == 1 && len([]rune(known)) == 1 && distance > 0 {
				continue
			}
			if distance < bestDistance {
				best, bestDistance = u.symbol, distance
			}
		}
	}
	return best
}

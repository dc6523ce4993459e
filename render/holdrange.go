package render

import (
	"context"
	"fmt"
	"slices"

	"lodegrid/array/grid"
	"lodegrid/array/hold"
	"lodegrid/field/quantity"
)

// addHoldRange adds, after the fact of a hold, what it is at the ends of the fluid's
// relaxation where that is a guess and matters.
func (s *Section) addHoldRange(g *grid.Grid, key string, told float64, levels []float64) {
	keys := [2]string{key + "_slow", key + "_quick"}
	r, err := hold.RangeOf(context.Background(), g, levels)
	at := slices.IndexFunc(s.Facts, func(f Fact) bool { return f.Key == key }) + 1
	if err != nil || !r.Matters() {
		s.Facts = slices.Insert(s.Facts, at, absent(keys[:]...)...)
		return
	}
	for i, end := range [2]struct{ hold, seconds float64 }{{r.Slow, r.Longest}, {r.Quick, r.Least}} {
		v := told * end.hold / r.Told
		s.Facts = slices.Insert(s.Facts, at+i, Fact{Key: keys[i], Label: fmt.Sprintf("… of a fluid that follows in %s", quantity.Format(end.seconds, quantity.Time)), Value: v, Text: needed(v)})
	}
	if limit := g.Design.Limits.Hold; told >= limit && told*r.Slow/r.Told < limit {
		s.Notes = append(s.Notes, fmt.Sprintf("A fluid at the slow end would hold less than the limit of %s: fluid.relaxation is a guess, so choose a higher PWM frequency or more duty, or measure.", quantity.Figure(limit, 3)))
	}
}

// AddHoldRange adds the range of a scene's least hold, found with cold coils in the frame
// where it is least.
func (s *Section) AddHoldRange(g *grid.Grid, hold float64, levels []float64) {
	s.addHoldRange(g, "least_hold", hold, levels)
}

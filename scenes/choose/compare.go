package choose

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"lodegrid/array/design"
	"lodegrid/scenes"
)

// Compared is a design beside others, with its place in the order given.
type Compared struct {
	*Choice
	Name   string
	Number int // from 1
}

// Compare works out designs in full, each with its scene, and ranks them: those that break
// nothing first, then by the goal. Prices are those of the offer, +Inf where it has none.
func Compare(ctx context.Context, names []string, designs []design.Design, played []scenes.Scene, o Offer, step func()) ([]Compared, error) {
	var list []Compared
	for i, d := range designs {
		move := o.Move
		if move == 0 {
			move = math.Inf(1) // not asked
		}
		c, err := Judge(ctx, d, played[i], move, nil)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", names[i], err)
		}
		c.Price = math.Inf(1)
		if items, ok := o.Priced(d, c.Grid.Pixel.Coil); ok {
			c.Cost, c.Price = items, total(items)
		}
		list = append(list, Compared{c, names[i], i + 1})
		step()
	}
	breaks := func(c Compared) int { return min(len(c.Broken)+len(c.Verdict.Problems), 1) }
	slices.SortStableFunc(list, func(a, b Compared) int {
		return cmp.Or(cmp.Compare(breaks(a), breaks(b)), a.before(b.Choice, o.Best))
	})
	return list, nil
}

package verdict

import (
	"fmt"
	"math"

	"lodegrid/array/design"
	"lodegrid/array/hold"
)

// spacers is the key of the spacers between the panes.
const spacers = "tank.spacers"

// bowed is the least hold ratio of the scene's lit pixels if the weakest stands where the
// panes' bow weakens it most, with the tank of a design.
func (x *played) bowed(d design.Design) float64 {
	if x.summary.LeastHoldPixel < 0 {
		return math.Inf(1)
	}
	return hold.BowOf(x.player.Grid(), d).Hold(x.summary.LeastHold)
}

// bowTold is the share of the hold from which the panes' bow is to blame for what is missing:
// less is below what the hold itself is good for.
const bowTold = 0.01

// thickest is the thickest front pane that is proposed, m.
const thickest = 20e-3

// stiffer are settings of the tank with which the panes' bow leaves enough hold: the
// thinnest front pane, in half millimetres, and the widest spacing of spacers, in pitches.
func (x *played) stiffer() [][]design.Change {
	var sets [][]design.Change
	d := x.player.Grid().Design
	try := d
	for n := math.Floor(d.Tank.Front*2e3) + 1; n <= thickest*2e3; n++ {
		try.Tank.Front = n / 2e3
		if x.bowed(try) >= d.Limits.Hold {
			sets = append(sets, []design.Change{{Key: string(Bow), Value: fmt.Sprintf("%g mm", n/2)}})
			break
		}
	}
	try = d
	for n := max(d.Grid.Cols, d.Grid.Rows); n >= 1; n-- {
		try.Tank.Spacers = float64(n) * d.Grid.Pitch
		if x.bowed(try) >= d.Limits.Hold {
			return append(sets, []design.Change{{Key: spacers, Value: fmt.Sprintf("%.6g mm", try.Tank.Spacers*1e3)}})
		}
	}
	return sets
}

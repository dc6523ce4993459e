package player

import (
	"math"
	"slices"

	"lodegrid/array/design"
	"lodegrid/scenes"
)

// seen is what the player's plane, holds and rails were worked out for.
type seen struct {
	valid        bool
	what         asked
	levels, ohms []float64
}

// asked is what is worked out of a frame besides currents and heat.
type asked int

const (
	fluid asked = iota // the field while the frame lasts
	holds              // field and hold
	rails              // those and the rails' worst instants
)

// sameOhms is by how much of itself a coil's resistance may have changed, a fortieth of a
// kelvin's worth, before field and rails of unchanged levels are worked out anew. What
// they tell is off by about as much.
const sameOhms = 1e-4

// stands tells whether what is asked is what it was. A kick is never like the frame before
// it.
func (p *Player) stands(levels []float64, what asked) bool {
	s := &p.seen
	if !s.valid || what > s.what || p.grid.Design.Drive.Mode == design.DriveKick || !slices.Equal(levels, s.levels) {
		return false
	}
	for i, r := range p.resistance {
		if math.Abs(r-s.ohms[i]) > sameOhms*s.ohms[i] {
			return false
		}
	}
	return true
}

// keep notes what was worked out.
func (p *Player) keep(levels []float64, what asked) {
	p.seen = seen{true, what, append(p.seen.levels[:0], levels...), append(p.seen.ohms[:0], p.resistance...)}
}

// longestJoined is the longest that frames of the same levels are heated through in one
// step, s.
const longestJoined = 0.1

// joined are frames for their heat alone: shorter ones of the same levels in one.
func joined(frames []scenes.Frame) []scenes.Frame {
	var list []scenes.Frame
	for _, f := range frames {
		if n := len(list); n > 0 && list[n-1].Duration+f.Duration <= longestJoined && slices.Equal(f.Levels, list[n-1].Levels) {
			list[n-1].Duration += f.Duration
			continue
		}
		list = append(list, f)
	}
	return list
}

// firstLike is the index of the first frame with a joined one's levels, where an error of
// them is at home.
func firstLike(frames []scenes.Frame, f scenes.Frame) int {
	return slices.IndexFunc(frames, func(o scenes.Frame) bool { return slices.Equal(o.Levels, f.Levels) })
}

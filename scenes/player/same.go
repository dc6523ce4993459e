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

// sameOhms is by how much of itself a coil's resistance may have changed, a thirteenth of a
// kelvin's worth, before field and rails of unchanged levels are worked out anew. Currents are
// off by as much, holds by twice as much.
const sameOhms = 3e-4

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

// Frames of the same levels are played through in one step as long as no coil's resistance
// changes by more than joinedOhms of itself meanwhile, a quarter of a kelvin's worth, going by
// the step before: temperatures within such a step are told within 0.2 K, those at its end
// exactly, holds within 0.3 %. Whatever coils do, a step may last shortestJoined, s; for heat
// alone, which frames of any length are stepped through as exactly, longestJoined.
const (
	joinedOhms     = 1e-3
	shortestJoined = 0.1
	longestJoined  = 0.5
)

// alike is the first of frames and those after it that are played with it in one step: of
// the same levels, which are those before it, so that no current changes, and without a
// kick, which stands at its frame's beginning.
func (p *Player) alike(frames []scenes.Frame) []scenes.Frame {
	first := frames[0]
	for i, v := range first.Levels {
		if s := p.pixels[i]; s.Level != v || p.drive.KickLeft(s, v) > 0 {
			return frames[:1]
		}
	}
	moved := 0.0
	for i, t := range p.net.Coils() {
		moved = max(moved, math.Abs(p.ohms(i, t)/p.resistance[i]-1))
	}
	longest := min(max(p.lasts*joinedOhms/moved, shortestJoined), longestJoined)
	return frames[:sameLevels(frames, longest)]
}

// sameLevels is how many of the first frames are joined with the first of them, to last for
// longest, s.
func sameLevels(frames []scenes.Frame, longest float64) int {
	lasts := frames[0].Duration
	for n, f := range frames[1:] {
		if lasts += f.Duration; lasts > longest || !f.Alike(frames[0]) {
			return n + 1
		}
	}
	return len(frames)
}

// joined are frames for their heat alone: shorter ones of the same levels in one.
func joined(frames []scenes.Frame) []scenes.Frame {
	var list []scenes.Frame
	for len(frames) > 0 {
		n := sameLevels(frames, longestJoined)
		list = append(list, scenes.Frame{Levels: frames[0].Levels, Duration: total(frames[:n])})
		frames = frames[n:]
	}
	return list
}

// total is how long frames last, s.
func total(frames []scenes.Frame) (sum float64) {
	for _, f := range frames {
		sum += f.Duration
	}
	return sum
}

// firstLike is the index of the first frame with a joined one's levels, where an error of
// them is at home.
func firstLike(frames []scenes.Frame, f scenes.Frame) int {
	return slices.IndexFunc(frames, func(o scenes.Frame) bool { return slices.Equal(o.Levels, f.Levels) })
}

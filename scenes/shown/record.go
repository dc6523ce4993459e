package shown

import (
	"cmp"
	"math"
	"slices"
)

// Model is what moved the fluid.
type Model string

// The models.
const (
	Drops Model = "drop model"
	Tank  Model = "tank"
)

// DropsOff is by how much the share of the wanted pixels that the drop model shows is off from the
// tank's on average, and DropsHigh by how much it is too high at worst: where drops hop as fast as
// they just can (TestAgreement).
const (
	DropsOff  = 0.06
	DropsHigh = 0.44
)

// Full is the share of a pixel's place from which it counts as full of fluid, and Crowd
// how many reference drops in a pixel's square from which they count as run together.
const (
	Full  = 0.5
	Crowd = 1.5
)

// Sight is what one frame of the wanted scene shows at its end.
type Sight struct {
	Frame  int     // index in the scene
	End    float64 // s since the scene began
	Start  bool    // still the first picture
	Wanted int     // pixels lit
	Shown  int     // of them at least half full
	Mean   float64 // how full the wanted places are, 0…1; 1 when none is wanted
	// Overlap is the area that wanted discs and fluid have in common over that of both
	// together, on the area of the pixels; 1 when nothing is wanted and nothing is there.
	Overlap float64
	// Stray is the fluid in the squares of dark pixels, in reference drops.
	Stray float64
	// Running is the share of wanted pixels at least half full, averaged over the time
	// since the frame began, and over the pixels.
	Running float64
}

// Fate is what became of a drop.
type Fate string

// The fates.
const (
	Starved Fate = "starved" // a wanted pixel that is less than half full
	Lost    Fate = "lost"    // of these, those that were wanted and full a frame before
	Fused   Fate = "fused"   // a pixel's square holds one and a half drops or more
)

// Event is a fate at a frame's end.
type Event struct {
	Fate  Fate
	Pixel int
	Frame int
}

// Delay is how long a new picture takes until enough of it shows.
type Delay struct {
	Frame   int     // the first of the picture
	Seconds float64 // since it was asked for; +Inf when the next picture came before
}

// Record is what became of a scene's pictures. The first picture's delay is not counted.
type Record struct {
	Model Model
	Time  int // that the scene is played, from 2: it begins where the time before left its drops; 0 for the first
	// Played is how often it was played to judge its loop, 0 for once; Closes tells that the last time went
	// on as the one before, so that all others do.
	Played int
	Closes bool
	Sights []Sight
	Events []Event
	Delays []Delay
	Asked  int // hops that a scene of just switched pixels asks for, see Hops
	// Failing are those of them that a drop which keeps its shape does not make, or not in time, or is
	// not known to after the steps that a grid's drops are given.
	Failing []Hop
	Passing *Passing // drops that pass too near to each other; nil where they do not, or more is wrong
}

// Judged are the sights that a display is judged by: those after the first picture; all
// of a scene that has no other.
func (r *Record) Judged() []Sight {
	for i, s := range r.Sights {
		if !s.Start {
			return r.Sights[i:]
		}
	}
	return r.Sights
}

// Start is the share of the first picture's pixels that are at least half full at its
// frames' ends.
func (r *Record) Start() float64 {
	n := cmp.Or(len(r.Sights)-len(r.Judged()), len(r.Sights))
	if r.Time > 0 && len(r.Delays) > 1 {
		n = r.Delays[1].Frame
	}
	share, _ := shares(r.Sights[:n])
	return share
}

// Share is the share of the wanted pixels that are at least half full at the frames' ends
// of what is judged, and stray the fluid at dark pixels there over that wanted. The share
// is 1 where nothing is wanted; stray fluid counts by the drop then.
func (r *Record) Share() (share, stray float64) { return shares(r.Judged()) }

func shares(list []Sight) (share, stray float64) {
	wanted, full := 0, 0
	for _, s := range list {
		wanted += s.Wanted
		full += s.Shown
		stray += s.Stray
	}
	if wanted == 0 {
		return 1, stray
	}
	return float64(full) / float64(wanted), stray / float64(wanted)
}

// Keeps tells whether enough is shown, with no more stray fluid than allowed; 1 allows any. Where any
// is asked for no hop may fail, and no drops pass each other too near.
func (r *Record) Keeps(enough, allowed float64) bool {
	share, stray := r.Share()
	return (enough <= 0 || len(r.Failing) == 0 && r.Passing == nil) && share >= enough-rounding && (allowed >= 1 || stray <= allowed+rounding)
}

// rounding is what shares of pixels may lack by the computer's arithmetic.
const rounding = 1e-9

// Running is the share of wanted pixels at least half full over the time of what is
// judged, and overlap the mean of the frames' Overlap.
func (r *Record) Running() (running, overlap float64) {
	list, wanted, time := r.Judged(), 0.0, 0.0
	began := 0.0
	if n := len(r.Sights) - len(list); n > 0 {
		began = r.Sights[n-1].End
	}
	for _, s := range list {
		d := s.End - began
		began = s.End
		running += s.Running * float64(s.Wanted) * d
		wanted += float64(s.Wanted) * d
		overlap += s.Overlap * d
		time += d
	}
	if wanted > 0 {
		running /= wanted
	} else {
		running = 1
	}
	if time > 0 {
		overlap /= time
	}
	return running, overlap
}

// Worst is the index of the judged sight of which the least is shown, the first of equals;
// −1 without one that wants something.
func (r *Record) Worst() int {
	if list := r.Least(1); len(list) > 0 {
		return list[0].Frame
	}
	return -1
}

// Least lists up to n judged sights that want something, those of which the least shows
// first, equal ones in order.
func (r *Record) Least(n int) []Sight {
	list := slices.DeleteFunc(slices.Clone(r.Judged()), func(s Sight) bool { return s.Wanted == 0 })
	slices.SortStableFunc(list, func(a, b Sight) int { return a.compare(b) })
	return list[:min(n, len(list))]
}

// compare tells by the share shown which of two sights that want something is the worse.
func (s Sight) compare(o Sight) int { return cmp.Compare(s.Shown*o.Wanted, o.Shown*s.Wanted) }

// Worse tells whether less of a sight shows than of another, or as little and emptier.
func (s Sight) Worse(o Sight) bool {
	if c := s.compare(o); c != 0 {
		return c < 0
	}
	return s.Mean < o.Mean-rounding
}

// Count is how many events of a fate there are at the frames' ends of what is judged.
func (r *Record) Count(f Fate) (n int) {
	list := r.Judged()
	for _, e := range r.Events {
		if e.Fate == f && len(list) > 0 && e.Frame >= list[0].Frame {
			n++
		}
	}
	return n
}

// Late is how many of the pictures after the first never show enough of themselves before
// the next comes, and the mean delay of the others in s.
func (r *Record) Late() (never int, mean float64) {
	for _, d := range r.Delays {
		if math.IsInf(d.Seconds, 1) {
			never++
		} else {
			mean += d.Seconds
		}
	}
	if n := len(r.Delays) - never; n > 0 {
		mean /= float64(n)
	}
	return never, mean
}

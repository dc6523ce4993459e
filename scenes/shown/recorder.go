package shown

import (
	"fmt"
	"math"
	"slices"

	"lodegrid/array/drops"
	"lodegrid/array/grid"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
)

// Fluid is fluid in front of a grid.
type Fluid interface {
	// FillFor puts in what a scene starts with and returns its volume, m³.
	FillFor(s scenes.Scene) (float64, error)
	// Step moves it for dt seconds in the magnetic pressure of a plane.
	Step(dt float64, p *grid.Plane) error
	// Cover tells how full of fluid the pixels' places are, 0…1, and how many reference
	// drops are in each square of a pitch round a pixel; cell may be nil.
	Cover(place, cell []float64)
}

// every is how often the picture is looked at between the frames' ends, s: delays are
// known to that.
const every = 0.1

// together is how long frames of the same picture may last that are looked at once, as the
// last of them ends, s: what they show is told as it is by so much later at most, which is a
// step of the drop model.
const together = drops.DefaultStep

// Recorder moves fluid along with a played scene and measures what shows. It is not safe
// for concurrent use.
type Recorder struct {
	// Closed, if not nil, is told each frame of the wanted scene as it ends and the pixels that
	// it lights.
	Closed func(s Sight, lit []int)

	fluid  Fluid
	grid   *grid.Grid
	wanted scenes.Scene
	enough float64 // share of the wanted pixels that a picture shows enough with

	asked float64 // wanted pixels summed over the frames after the first picture
	bare  float64 // of these, starved so far

	record      Record
	at          float64 // s since the scene began
	frame       int     // of the wanted scene
	ends        float64 // s, of that frame
	lit         []int   // that it wants
	picture     float64 // s, when the picture was asked for
	arrived     bool    // enough of it has shown
	sum, looked float64 // ∫ of the share shown, s
	share       float64 // shown when last looked

	place, cell []float64
	full, was   []bool // wanted and full at the end of this frame and the one before

	home  []float64 // cell as the first picture ended, nil before
	there []bool    // and which places were full
}

// Begin begins a record: of a fluid in front of a grid, filled for the scene that is played,
// and judged by the frames of the wanted one; what is played for it may be other frames,
// such as kicks and guards. enough is the share of the wanted pixels at which a picture
// counts as there.
func Begin(m Model, f Fluid, g *grid.Grid, played, wanted scenes.Scene, enough float64) (*Recorder, error) {
	n := g.Design.Pixels()
	if wanted.Rows*wanted.Cols != n || len(wanted.Frames) == 0 {
		return nil, fmt.Errorf("measuring scene %q: %d × %d pixels and %d frames on a grid of %d pixels", wanted.Name, wanted.Cols, wanted.Rows, len(wanted.Frames), n)
	}
	if _, err := f.FillFor(played); err != nil {
		return nil, err
	}
	r := &Recorder{
		fluid: f, grid: g, wanted: wanted, enough: enough, arrived: true,
		place: make([]float64, n), cell: make([]float64, n), full: make([]bool, n), was: make([]bool, n),
	}
	r.record.Model = m
	r.lit = player.Wanted(g, wanted.Frames[0].Levels, nil)
	r.ends = wanted.Frames[0].Duration
	var next []int
	changed := false
	for _, f := range wanted.Frames {
		next = player.Wanted(g, f.Levels, next[:0])
		if changed = changed || !slices.Equal(next, r.lit); changed {
			r.asked += float64(len(next))
		}
	}
	return r, nil
}

// Move moves the fluid for dt seconds in the magnetic pressure of a plane.
func (r *Recorder) Move(dt float64, plane *grid.Plane) error {
	rests := false // in this plane, and looked at since the frame began
	for end := r.at + dt; end-r.at > 0; {
		next := end
		if r.frame < len(r.wanted.Frames) {
			next = min(end, max(r.alike(end), r.at))
			if !rests {
				next = min(next, r.at+every)
			}
			if end-next < scenes.SameInstant {
				next = end
			}
		}
		if err := r.fluid.Step(next-r.at, plane); err != nil {
			return fmt.Errorf("moving the fluid after %.4g s: %w", r.at, err)
		}
		before := r.frame
		r.look(next)
		if f, ok := r.fluid.(interface{ Resting() bool }); ok {
			rests = f.Resting() && r.frame == before
		}
	}
	return nil
}

// alike is the end of the frame that stands, or of the last of those of the same picture that
// are looked at with it, all over by a time.
func (r *Recorder) alike(by float64) float64 {
	ends := r.ends
	for k := r.frame + 1; k < len(r.wanted.Frames); k++ {
		f := r.wanted.Frames[k]
		if next := ends + f.Duration; next-min(r.at+together, by) < scenes.SameInstant && f.Alike(r.wanted.Frames[r.frame]) {
			ends = next
		} else {
			break
		}
	}
	return ends
}

// look takes the picture in at a time.
func (r *Recorder) look(at float64) {
	dt := at - r.at
	r.at = at
	if r.frame >= len(r.wanted.Frames) {
		return
	}
	last := r.ends-at <= scenes.SameInstant
	cell := r.cell
	if !last {
		cell = nil
	}
	r.fluid.Cover(r.place, cell)
	shown := 0
	for _, k := range r.lit {
		if r.place[k] >= Full {
			shown++
		}
	}
	r.share = 1
	if len(r.lit) > 0 {
		r.share = float64(shown) / float64(len(r.lit))
	}
	r.sum += r.share * dt
	r.looked += dt
	if !r.arrived && r.share >= r.enough {
		r.arrived = true
		r.record.Delays[len(r.record.Delays)-1].Seconds = at - r.picture
	}
	for last {
		r.close(shown)
		last = r.frame < len(r.wanted.Frames) && r.ends-at <= scenes.SameInstant
	}
}

// close writes down a frame at its end and goes on to the next.
func (r *Recorder) close(shown int) {
	s := Sight{Frame: r.frame, End: r.ends, Start: len(r.record.Delays) == 0, Wanted: len(r.lit), Shown: shown, Mean: 1, Running: r.share}
	if r.looked > 0 {
		s.Running = r.sum / r.looked
	}
	r.sum, r.looked = 0, 0
	r.was, r.full = r.full, r.was
	clear(r.full)
	common, all := 0.0, float64(len(r.lit))
	for _, k := range r.lit {
		common += r.place[k]
		r.full[k] = r.place[k] >= Full
		if !r.full[k] {
			r.record.Events = append(r.record.Events, Event{Starved, k, r.frame})
			if r.was[k] {
				r.record.Events = append(r.record.Events, Event{Lost, k, r.frame})
			}
		}
	}
	lit := 0
	for k, v := range r.cell {
		all += v
		if lit < len(r.lit) && r.lit[lit] == k {
			lit++
		} else {
			s.Stray += v
		}
		if v >= Crowd {
			r.record.Events = append(r.record.Events, Event{Fused, k, r.frame})
		}
	}
	s.Overlap = 1
	if all -= common; all > 0 {
		s.Overlap = common / all
	}
	if len(r.lit) > 0 {
		s.Mean = common / float64(len(r.lit))
	}
	r.record.Sights = append(r.record.Sights, s)
	if r.Closed != nil {
		r.Closed(s, r.lit)
	}
	if !s.Start {
		r.bare += float64(s.Wanted - s.Shown)
	}
	if r.frame++; r.frame == len(r.wanted.Frames) {
		return
	}
	f := r.wanted.Frames[r.frame]
	next := player.Wanted(r.grid, f.Levels, nil)
	if !slices.Equal(next, r.lit) {
		if s.Start {
			r.home, r.there = slices.Clone(r.cell), r.filled()
		}
		r.record.Delays = append(r.record.Delays, Delay{r.frame, math.Inf(1)})
		r.picture, r.arrived = r.ends, false
	}
	r.lit, r.ends = next, r.ends+f.Duration
}

// filled tells which places are full.
func (r *Recorder) filled() []bool {
	list := make([]bool, len(r.place))
	for k, v := range r.place {
		list[k] = v >= Full
	}
	return list
}

// Hopeless tells whether so much has stayed bare that the scene as a whole cannot show
// enough any more.
func (r *Recorder) Hopeless() bool {
	return r.bare > (1-r.enough)*r.asked*(1+1e-9)
}

// Record is what was seen so far; it may be kept. A picture that still stands and has not come yet
// has no delay in it.
func (r *Recorder) Record() *Record {
	out := r.record
	if !r.arrived && r.frame < len(r.wanted.Frames) {
		out.Delays = out.Delays[:len(out.Delays)-1]
	}
	return &out
}

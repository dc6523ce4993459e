package hold

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/array/neighbours"
	"lodegrid/field/root"
)

// lastStep is the step before one of provenSteps.
func lastStep(step float64) float64 {
	return provenSteps[max(0, slices.Index(provenSteps, step)-1)]
}

// DriveLimit is the largest duty at level 1 at which no pixel told to be dark keeps a
// drop, in the worst patterns found.
type DriveLimit struct {
	Duty    float64 // 0…1; 0 when no duty will do
	Ratio   float64 // greatest dark hold ratio at that duty
	Over    float64 // one too great at the smallest duty found that is too much; +Inf without one
	Place   [2]int  // row and column where it is
	Limited bool    // false: even full duty is not too much
	// Proven is the largest duty at which branch and bound shows that no pattern is too
	// much, to a step of provenSteps from Duty down; 0 where it shows so of none. What the
	// search does not find below Duty it may have missed, above Proven alone.
	Proven float64
}

// provenSteps are the shares of the duty that a search finds that are tried to be proven,
// pitchSteps those of which the pitch is the inverse.
var (
	provenSteps = []float64{1, 0.9, 0.5, 0.25, 0.12, 0.06}
	pitchSteps  = []float64{1, 0.97, 0.9, 0.75, 0.5}
)

// dutyGrid is how many duties are looked at before the boundary is narrowed down, and
// limitTolerance the width it is narrowed to, of the value itself.
const (
	dutyGrid       = 24
	limitTolerance = 1e-3
)

// LargestDrive looks for the largest duty without a false-on pixel at places. The
// answer is solved: at Duty the search finds none, at most a thousandth above it does.
// Duties are looked at from full downwards, since with bias magnets too little drive
// can be wrong as well. The field per ampere is kept (steel that the coil alone drives
// into its bend would need a new one).
func LargestDrive(ctx context.Context, g *grid.Grid, s Search, places [][2]int) (DriveLimit, error) {
	known := map[[2]int][]float64{}
	l := DriveLimit{Over: math.Inf(1)}
	limit := g.Design.Limits.FalseOn
	at := func(duty float64, quick bool) (float64, error) {
		h := atDuty(g, duty)
		ratio, place, err := falseOn(ctx, h, s, places, known, quick)
		if ratio > limit || !l.Limited {
			l.Place = place
		}
		return ratio, err
	}
	high := 0.0 // the smallest duty known to be too much
	for k := dutyGrid; k >= 1; k-- {
		duty := float64(k) / dutyGrid
		ratio, err := passes(at, duty, limit)
		if err != nil {
			return l, err
		}
		if ratio <= limit {
			l.Duty, l.Ratio = duty, ratio
			break
		}
		l.Limited, l.Over, high = true, ratio, duty
	}
	prove := func() (err error) {
		for _, step := range provenSteps {
			// The design's own duty is one that is worth knowing of.
			duty := l.Duty * step
			if own := g.Design.Drive.MaxDuty; step < 1 && duty < own && own < l.Duty*lastStep(step) {
				duty = own
			}
			h := atDuty(g, duty)
			ok, err := provenDark(ctx, h, s, places, known)
			if err != nil {
				return err
			}
			if ok {
				l.Proven = duty
				break
			}
		}
		return nil
	}
	if !l.Limited {
		return l, prove()
	}
	if l.Duty == 0 {
		return l, nil
	}
	var err error
	if l.Duty, l.Ratio, l.Over, err = narrow(ctx, at, limit, l.Duty, l.Ratio, high, l.Over); err != nil {
		return l, err
	}
	return l, prove()
}

// passes is the ratio at a value, by the patterns known first, and where these are not too
// much by a whole search.
func passes(at func(v float64, quick bool) (float64, error), v, limit float64) (float64, error) {
	ratio, err := at(v, true)
	if err == nil && ratio <= limit {
		return at(v, false)
	}
	return ratio, err
}

// narrow moves a value that passes towards one that does not, each with its ratio, until a
// share of limitTolerance is between them. Patterns known are what it goes by; where it ends
// a whole search has found none that is too much.
func narrow(ctx context.Context, at func(v float64, quick bool) (float64, error), limit, good, least, bad, over float64) (float64, float64, float64, error) {
	for {
		v, ratio := good, least
		_, _, err := root.Edge(ctx, func(log float64) (bool, error) { // in its logarithm the tolerance is a share
			r, err := at(math.Exp(log), true)
			if r <= limit {
				v, ratio = math.Exp(log), r
			} else {
				over = r
			}
			return r <= limit, err
		}, math.Log(good), math.Log(bad), limitTolerance)
		if err != nil || v == good {
			return good, ratio, over, err
		}
		if ratio, err = at(v, false); err != nil || ratio <= limit {
			return v, ratio, over, err
		}
		bad, over = v, ratio
	}
}

// atDuty is the grid driven with another duty at level 1; in mode kick what holds goes along.
func atDuty(g *grid.Grid, duty float64) *grid.Grid {
	d := g.Design
	if d.Drive.Mode == design.DriveKick {
		d.Drive.HoldDuty = min(d.Drive.HoldDuty*duty/d.Drive.MaxDuty, 1)
	}
	d.Drive.MaxDuty = duty
	return g.With(d)
}

// provenDark tells whether branch and bound shows that no pattern makes a dark pixel at one
// of the places hold more than the limit, starting from patterns that are bad for them.
func provenDark(ctx context.Context, g *grid.Grid, s Search, places [][2]int, known map[[2]int][]float64) (bool, error) {
	w := newDisturbance(g, s)
	for _, p := range places {
		w.aim(p[0], p[1])
		levels := known[p]
		if levels == nil {
			levels = make([]float64, g.Design.Pixels())
		}
		ok, worse, err := w.within(ctx, g.Design.Limits.FalseOn, levels)
		if err != nil || !ok {
			if worse != nil {
				known[p] = worse
			}
			return false, err
		}
	}
	return true, nil
}

// falseOn is the greatest hold ratio of a dark pixel at places, or the first that is over
// the limit. Patterns known to be bad for a place are tried first, and those found kept
// among them: where a limit is narrowed down, most of what breaks it has been seen before.
// Quick, the search starts from these alone, at places where there are any.
func falseOn(ctx context.Context, g *grid.Grid, s Search, places [][2]int, known map[[2]int][]float64, quick bool) (worst float64, place [2]int, err error) {
	w := newDisturbance(g, s)
	limit := g.Design.Limits.FalseOn
	for _, p := range places {
		levels := known[p]
		if levels == nil {
			continue
		}
		if err := ctx.Err(); err != nil {
			return 0, p, fmt.Errorf("searching for the worst pattern: %w", err)
		}
		w.aim(p[0], p[1])
		w.set(levels)
		if _, ratio := w.score(); ratio > limit {
			return ratio, p, nil
		}
	}
	place = places[0]
	for _, p := range places {
		w.aim(p[0], p[1])
		starts := [][]float64{known[p]}
		if !quick || known[p] == nil {
			starts = append(w.starts(0), starts[:min(1, len(known[p]))]...)
		}
		levels, ratio, _, err := w.from(ctx, starts)
		if err != nil {
			return 0, place, err
		}
		known[p] = levels
		if ratio > worst {
			worst, place = ratio, p
		}
		if ratio > limit {
			break
		}
	}
	return worst, place, nil
}

// PitchLimit is the smallest pitch at which no pixel told to be dark keeps a drop.
type PitchLimit struct {
	Pitch float64 // m; +Inf when none up to the largest tried will do
	Ratio float64 // greatest dark hold ratio at that pitch
	Under float64 // one too great at the largest pitch found that is too small; +Inf without one
	Floor float64 // m, the smallest pitch the coils, magnets and discs leave room for
	Most  float64 // m, the largest tried
	// Proven is the smallest pitch at which branch and bound shows that no pattern is too
	// much, to a step of pitchSteps from Pitch up; +Inf where it shows so of none up to Most.
	Proven float64
}

// SmallestPitch looks for the smallest pitch without a false-on pixel at the typical
// places, all else as in the design: coils, drop and magnets keep their sizes, a sheet
// that is as large as the grid grows with it. The answer is solved: at Pitch the search
// finds none, a thousandth below it does, or it is Floor.
func SmallestPitch(ctx context.Context, g *grid.Grid, s Search) (PitchLimit, error) {
	d := g.Design
	l := PitchLimit{Floor: pitchFloor(d), Most: 4 * max(d.Grid.Pitch, pitchFloor(d)), Pitch: math.Inf(1), Under: math.Inf(1), Proven: math.Inf(1)}
	known := map[[2]int][]float64{}
	at := func(pitch float64, quick bool) (float64, error) {
		h, err := atPitch(ctx, g, pitch)
		if h == nil {
			return math.Inf(1), err // a trial that cannot be computed is not one that passes
		}
		ratio, _, err := falseOn(ctx, h, s, TypicalPlaces(h), known, quick)
		return ratio, err
	}
	limit := d.Limits.FalseOn
	low := 0.0 // the largest pitch known to be too small
	for pitch := l.Floor; pitch <= l.Most; pitch *= 1.08 {
		ratio, err := passes(at, pitch, limit)
		if err != nil {
			return l, err
		}
		if ratio <= limit {
			l.Pitch, l.Ratio = pitch, ratio
			break
		}
		low, l.Under = pitch, ratio
	}
	prove := func() error {
		for _, step := range pitchSteps {
			pitch := l.Pitch / step
			if pitch > l.Most {
				break
			}
			h, err := atPitch(ctx, g, pitch)
			if err != nil {
				return err
			}
			if h == nil {
				continue
			}
			ok, err := provenDark(ctx, h, s, TypicalPlaces(h), known)
			if err != nil {
				return err
			}
			if ok {
				l.Proven = pitch
				break
			}
		}
		return nil
	}
	if math.IsInf(l.Pitch, 1) {
		return l, nil
	}
	if low == 0 {
		return l, prove()
	}
	var err error
	if l.Pitch, l.Ratio, l.Under, err = narrow(ctx, at, limit, l.Pitch, l.Ratio, low, l.Under); err != nil {
		return l, err
	}
	return l, prove()
}

// pitchFloor is the smallest pitch at which nothing on the board overlaps.
func pitchFloor(d design.Design) float64 {
	floor := max(d.Coil.Outer+d.Coil.Gap, d.Fluid.DropDiameter)
	if d.Iron.Model != design.IronNone {
		floor = max(floor, 2*d.Iron.Radius)
	}
	if d.Magnet.Kind == design.MagnetPerPixel {
		floor = max(floor, d.Magnet.Diameter)
	}
	return floor
}

// atPitch is the grid with another pitch, its pixel unchanged; nil where the answers of the
// neighbours' steel find no end.
func atPitch(ctx context.Context, g *grid.Grid, pitch float64) (*grid.Grid, error) {
	d := g.Design
	width, height := d.Size()
	grow := pitch / d.Grid.Pitch
	d.Grid.Pitch = pitch
	if d.Magnet.Kind == design.MagnetSheet && math.Abs(d.Magnet.Width-width) < 1e-9 && math.Abs(d.Magnet.Height-height) < 1e-9 {
		d.Magnet.Width, d.Magnet.Height = width*grow, height*grow
	}
	h, err := g.Trial(ctx, d)
	if errors.Is(err, neighbours.ErrUnsettled) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("trying a pitch of %.4g mm: %w", pitch*1e3, err)
	}
	return h, nil
}

package generate

import (
	"context"
	"fmt"
	"math"
	"strings"

	"lodegrid/array/extent"
	"lodegrid/scenes"
)

// Params are what the generators are told. Each kind uses some of them, as Kinds
// lists, and ignores the others. Defaults fills in usual values; Scene takes
// every value as it stands, so 0 means 0.
type Params struct {
	Rows, Cols int
	Duration   float64 // s, of the whole scene; 0 for ticker, walk and hand-over: one pass
	FrameTime  float64 // s
	Seed       uint64  // of everything random

	Text       string  // ticker: what it says
	Speed      float64 // ticker: columns per second; clock: seconds of clock time per second
	Period     float64 // s; tide: low water to low water; checker, gauge, plasma: one cycle
	Low, High  float64 // 0…1 of the grid's height (tide) or length (gauge): the extremes
	WaveHeight float64 // tide: crest above trough, in pixels
	Wavelength float64 // tide, plasma: in pixels
	WavePeriod float64 // tide: s from crest to crest at one place
	Fade       float64 // 0…1, tide: brightness lost at a depth of the grid's height
	Band       float64 // tide: lit depth below the surface, in pixels; 0 = down to the bottom
	Cell       int     // checker: side of a square, in pixels
	TimeOfDay  float64 // clock: s since midnight at the scene's start
	Order      string  // walk: "rows", "serpentine" or "random"; hand-over: "ring" or "serpentine"
	Overlap    float64 // 0…1, hand-over: share of a step with both pixels on
	Axis       string  // gauge: "vertical" (fills from the bottom) or "horizontal" (from the left)

	limits scenes.Limits
}

// Kind describes one generator.
type Kind struct {
	Name  string
	About string
	Uses  []string // the parameters it looks at besides the grid, as a scene file spells them
}

type generator struct {
	Kind
	defaults func(p *Params) // given the grid
	generate func(ctx context.Context, p Params) (scenes.Scene, error)
}

// generators is the registry, in the order it is shown.
var generators = []generator{
	{
		Kind: Kind{"tide", "a water level rises and falls, a wave runs along it",
			[]string{"duration", "frame_time", "seed", "period", "low", "high", "wave_height", "wavelength", "wave_period", "fade", "band"}},
		defaults: tideDefaults, generate: tide,
	},
	{
		Kind: Kind{"ticker", "a line of text runs from right to left",
			[]string{"duration", "frame_time", "text", "speed"}},
		defaults: tickerDefaults, generate: ticker,
	},
	{
		Kind: Kind{"clock", "the time of day in digits, hours and minutes",
			[]string{"duration", "frame_time", "time_of_day", "speed"}},
		defaults: clockDefaults, generate: clock,
	},
	{
		Kind: Kind{"checker", "squares that swap with their gaps",
			[]string{"duration", "period", "cell"}},
		defaults: checkerDefaults, generate: checker,
	},
	{
		Kind: Kind{"walk", "one lit pixel visits every place",
			[]string{"duration", "frame_time", "seed", "order"}},
		defaults: walkDefaults, generate: walk,
	},
	{
		Kind: Kind{"hand-over", "one drop is carried from pixel to neighbouring pixel",
			[]string{"duration", "frame_time", "order", "overlap"}},
		defaults: handOverDefaults, generate: handOver,
	},
	{
		Kind: Kind{"all-on", "every pixel lit: the greatest load",
			[]string{"duration"}},
		defaults: allOnDefaults, generate: allOn,
	},
	{
		Kind: Kind{"gauge", "a bar that fills and empties",
			[]string{"duration", "frame_time", "period", "low", "high", "axis"}},
		defaults: gaugeDefaults, generate: gauge,
	},
	{
		Kind: Kind{"plasma", "slow waves from several sides, mixed",
			[]string{"duration", "frame_time", "seed", "period", "wavelength"}},
		defaults: plasmaDefaults, generate: plasma,
	},
}

// Kinds lists the generators.
func Kinds() []Kind {
	out := make([]Kind, len(generators))
	for i, g := range generators {
		out[i] = g.Kind
		out[i].Uses = append([]string(nil), g.Uses...)
	}
	return out
}

func findGenerator(kind string) (generator, error) {
	var names []string
	for _, g := range generators {
		if g.Name == kind {
			return g, nil
		}
		names = append(names, g.Name)
	}
	return generator{}, fmt.Errorf("scene kind %q: want one of %s", kind, strings.Join(names, ", "))
}

// Find returns a generator; without it the error lists those there are.
func Find(name string) (Kind, error) {
	g, err := findGenerator(name)
	return g.Kind, err
}

// Defaults returns usual parameters of a kind on a grid.
func Defaults(kind string, rows, cols int) (Params, error) {
	g, err := findGenerator(kind)
	if err != nil {
		return Params{}, err
	}
	if err := extent.Check(rows, cols); err != nil {
		return Params{}, fmt.Errorf("scene %s: %w", kind, err)
	}
	p := Params{Rows: rows, Cols: cols, FrameTime: 0.05, Seed: 1}
	g.defaults(&p)
	return p, nil
}

// Scene computes a scene of brightness levels 0…1; a Mapping turns them into
// drive. The same parameters give the same scene. An unknown kind is an error
// that lists the kinds there are; a parameter out of its range is one that says
// what would be accepted.
func Scene(ctx context.Context, kind string, p Params) (scenes.Scene, error) {
	return SceneWithin(ctx, kind, p, scenes.DefaultLimits())
}

// SceneWithin is Scene with other limits.
func SceneWithin(ctx context.Context, kind string, p Params, lim scenes.Limits) (scenes.Scene, error) {
	g, err := findGenerator(kind)
	if err != nil {
		return scenes.Scene{}, err
	}
	if err := extent.Check(p.Rows, p.Cols); err != nil {
		return scenes.Scene{}, fmt.Errorf("scene %s: %w", kind, err)
	}
	p.limits = lim
	s, err := g.generate(ctx, p)
	if err != nil {
		return scenes.Scene{}, fmt.Errorf("scene %s: %w", kind, err)
	}
	s.Name = kind
	if err := s.ValidateWithin(lim); err != nil {
		return scenes.Scene{}, err
	}
	return s, nil
}

// timed returns a scene of frames, each step seconds long but for the last, which
// ends at duration. draw gets the number and the levels of one dark frame after the
// other.
func (p Params) timed(ctx context.Context, duration, step float64, draw func(i int, levels []float64)) (scenes.Scene, error) {
	if err := positive("duration", duration, "s"); err != nil {
		return scenes.Scene{}, err
	}
	if err := positive("frame time", step, "s"); err != nil {
		return scenes.Scene{}, err
	}
	n := math.Max(1, math.Ceil(duration/step-1e-6))
	if n > math.MaxInt32 {
		return scenes.Scene{}, fmt.Errorf("%g s in frames of %g s: too many frames", duration, step)
	}
	if err := p.limits.CheckFrames(int(n), p.Rows*p.Cols); err != nil {
		return scenes.Scene{}, fmt.Errorf("%g s in frames of %g s: %w", duration, step, err)
	}
	s := scenes.New("", p.Rows, p.Cols, int(n), step)
	s.Frames[len(s.Frames)-1].Duration = duration - (n-1)*step
	for i, f := range s.Frames {
		if err := ctx.Err(); err != nil {
			return scenes.Scene{}, fmt.Errorf("after %d of %d frames: %w", i, len(s.Frames), err)
		}
		draw(i, f.Levels)
	}
	return s, nil
}

// step is 1 for lit.
func step(on bool) float64 {
	if on {
		return 1
	}
	return 0
}

func positive(what string, v float64, unit string) error {
	if !(v > 0) || math.IsInf(v, 0) {
		return fmt.Errorf("%s %g %s: want more than 0", what, v, unit)
	}
	return nil
}

func within(what string, v, low, high float64) error {
	if !(v >= low && v <= high) {
		return fmt.Errorf("%s %g: want %g…%g", what, v, low, high)
	}
	return nil
}

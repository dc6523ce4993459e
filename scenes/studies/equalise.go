package studies

import (
	"context"
	"fmt"
	"math"

	"lodegrid/array/equalise"
	"lodegrid/array/grid"
	"lodegrid/field/root"
	"lodegrid/scenes"
)

// EqualisedFrame is one frame of Equalised.
type EqualisedFrame struct {
	Frame                   int // in the scene, from 0
	Before, After           equalise.Result
	PowerBefore, PowerAfter float64 // W, heat of cold coils
}

// Equalised is what correcting the levels of a scene for crosstalk brings, at the
// brightness at which it can be done.
type Equalised struct {
	// Brightness is the largest, 0…1 of a pixel's own field at full level, to a
	// thousandth, at which every frame looked at is met.
	Brightness float64
	Frames     []EqualisedFrame
	// The means over the frames of the miss at pixel centres (root mean square, T), the
	// greatest misses (T), and the means of the heat of cold coils (W).
	Before, After           float64
	WorstBefore, WorstAfter float64
	PowerBefore, PowerAfter float64
	// Converged tells that the solver reached its goal in every frame, and Gap is the
	// worst duality gap, as a share of the picture's square sum.
	Converged bool
	Gap       float64
}

// equalisedFrames is how many frames of a scene are looked at, spread over it, and
// equalisedMiss how near, in a pixel's own field, every pixel of them has to come.
const (
	equalisedFrames = 24
	equalisedMiss   = 0.01
)

// Equalise corrects levels so that every pixel's axial field is its own level's share of
// one pixel's field, however its neighbours stand. Neighbours take field away, so full
// level has nothing left to correct with: the picture is taken at the largest brightness
// that every frame bears.
func Equalise(ctx context.Context, g *grid.Grid, s scenes.Scene) (Equalised, error) {
	var out Equalised
	if d := g.Design.Grid; s.Rows != d.Rows || s.Cols != d.Cols || len(s.Frames) == 0 {
		return out, fmt.Errorf("equalising scene %q: %d frames of %d × %d pixels for a grid of %d × %d", s.Name, len(s.Frames), s.Cols, s.Rows, d.Cols, d.Rows)
	}
	solver, err := equalise.OnGrid(ctx, g)
	if err != nil {
		return out, err
	}
	spread, err := g.BiasSpread(ctx)
	if err != nil {
		return out, err
	}
	count := min(equalisedFrames, len(s.Frames))
	at := func(n int) int { return n * len(s.Frames) / count }
	target, scaled := make([]float64, g.Design.Pixels()), make([]float64, g.Design.Pixels())
	aim := func(n int) {
		for k, level := range s.Frames[at(n)].Levels {
			scaled[k] = out.Brightness * level
			target[k] = spread.At[k].Z + equalise.OwnField(g, scaled[k])
		}
	}
	var start []float64
	met := func(bright float64) (bool, error) {
		out.Brightness = bright
		for n := range count {
			aim(n)
			r, err := solver.Solve(ctx, target, start)
			if err != nil || r.Worst > equalisedMiss*math.Abs(equalise.OwnField(g, 1)) {
				return false, err
			}
			start = r.Levels
		}
		return true, nil
	}
	if out.Brightness, err = brightest(ctx, met); err != nil {
		return out, err
	}
	out.Converged = true
	share := 1 / float64(count)
	for n := range count {
		aim(n)
		f := EqualisedFrame{Frame: at(n)}
		f.Before = solver.Judge(scaled, target)
		if f.After, err = solver.Solve(ctx, target, start); err != nil {
			return out, err
		}
		start = f.After.Levels
		if f.PowerBefore, err = g.HeldHeat(scaled); err != nil {
			return out, err
		}
		if f.PowerAfter, err = g.HeldHeat(f.After.Levels); err != nil {
			return out, err
		}
		out.Converged, out.Gap = out.Converged && f.After.Converged, max(out.Gap, f.After.Gap)
		out.Before, out.After = out.Before+share*f.Before.RMS, out.After+share*f.After.RMS
		out.WorstBefore, out.WorstAfter = max(out.WorstBefore, f.Before.Worst), max(out.WorstAfter, f.After.Worst)
		out.PowerBefore, out.PowerAfter = out.PowerBefore+share*f.PowerBefore, out.PowerAfter+share*f.PowerAfter
		out.Frames = append(out.Frames, f)
	}
	return out, nil
}

// brightest is the largest brightness, to a thousandth, for which ok holds, ok being true
// below it and false above; 1 when it always holds, the smallest tried when it never does.
func brightest(ctx context.Context, ok func(float64) (bool, error)) (float64, error) {
	low, high := 1e-3, 1.0
	if good, err := ok(high); err != nil || good {
		return high, err
	}
	low, _, err := root.Edge(ctx, ok, low, high, 1e-3)
	return low, err
}

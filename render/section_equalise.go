package render

import (
	"context"
	"fmt"
	"math"

	"lodegrid/array"
	"lodegrid/array/equalise"
	"lodegrid/field/quantity"
	"lodegrid/scenes"
)

// EqualiseSection is what equalising a scene's frames would bring: levels corrected so
// that every pixel's axial field is its own level's share of one pixel's field, however
// its neighbours stand. Neighbours take field away, so full level has nothing left to
// correct with: the picture is taken at the largest brightness, solved for, at which
// every frame looked at is met to a hundredth of a pixel's own field. It looks at up to
// 24 frames spread over the scene.
func EqualiseSection(ctx context.Context, g *array.Grid, s scenes.Scene, weight float64) (Section, error) {
	out := Section{Key: "equalise", Title: fmt.Sprintf("Equalising scene %q", s.Name)}
	if s.Rows != g.Design.Grid.Rows || s.Cols != g.Design.Grid.Cols || len(s.Frames) == 0 {
		return out, fmt.Errorf("equalising scene %q: %d frames of %d × %d pixels for a grid of %d × %d", s.Name, len(s.Frames), s.Cols, s.Rows, g.Design.Grid.Cols, g.Design.Grid.Rows)
	}
	solver, err := g.Equaliser(ctx, equalise.Axial, weight)
	if err != nil {
		return out, err
	}
	spread, err := g.BiasSpread(ctx)
	if err != nil {
		return out, err
	}
	t := Table{Key: "frames", Title: "Axial field at pixel centres against the picture's", Columns: []Column{
		{"frame", "frame"}, {"rms_before_t", "miss before, rms"}, {"rms_after_t", "after"}, {"worst_before_t", "worst before"}, {"worst_after_t", "after"},
		{"power_before_w", "power before"}, {"power_after_w", "after"}, {"at_limits", "at limits"},
	}}
	var before, after, worstBefore, worstAfter, powerBefore, powerAfter float64
	var start []float64
	converged := true
	gap := 0.0
	const most = 24
	count := min(most, len(s.Frames))
	frame := func(n int) scenes.Frame { return s.Frames[n*len(s.Frames)/count] }
	target, scaled := make([]float64, g.Design.Pixels()), make([]float64, g.Design.Pixels())
	aim := func(n int, bright float64) {
		for k, level := range frame(n).Levels {
			scaled[k] = bright * level
			target[k] = spread.At[k].Z + g.OwnField(scaled[k])
		}
	}
	bright, err := brightest(func(bright float64) (bool, error) {
		for n := range count {
			aim(n, bright)
			r, err := solver.Solve(ctx, target, start)
			if err != nil || r.Worst > 0.01*math.Abs(g.OwnField(1)) {
				return false, err
			}
			start = r.Levels
		}
		return true, nil
	})
	if err != nil {
		return out, err
	}
	for n := range count {
		aim(n, bright)
		plain, err := solver.Judge(scaled, target)
		if err != nil {
			return out, err
		}
		r, err := solver.Solve(ctx, target, start)
		if err != nil {
			return out, err
		}
		start = r.Levels
		a, err := g.HeldHeat(scaled)
		if err != nil {
			return out, err
		}
		b, err := g.HeldHeat(r.Levels)
		if err != nil {
			return out, err
		}
		converged, gap = converged && r.Converged, math.Max(gap, r.Gap)
		before, after = before+plain.RMS/float64(count), after+r.RMS/float64(count)
		worstBefore, worstAfter = math.Max(worstBefore, plain.Worst), math.Max(worstAfter, r.Worst)
		powerBefore, powerAfter = powerBefore+a/float64(count), powerAfter+b/float64(count)
		t.Rows = append(t.Rows, []Cell{
			{n*len(s.Frames)/count + 1, fmt.Sprint(n*len(s.Frames)/count + 1)}, In(plain.RMS, quantity.FluxDensity), In(r.RMS, quantity.FluxDensity),
			In(plain.Worst, quantity.FluxDensity), In(r.Worst, quantity.FluxDensity), In(a, quantity.Power), In(b, quantity.Power),
			{r.AtLow + r.AtHigh, fmt.Sprint(r.AtLow + r.AtHigh)},
		})
	}
	saving := "costs"
	if powerAfter < powerBefore {
		saving = "saves"
	}
	out.Tables = []Table{t}
	out.Facts = []Fact{
		{Key: "brightness", Label: "brightness that every pixel can reach", Value: bright, Text: fmt.Sprintf("%.1f %% of a pixel's own field at full level, solved for; the figures below are at that", math.Floor(bright*1000)/10)},
		{Key: "rms_before_t", Label: "miss at pixel centres before", Value: before, Text: fmt.Sprintf("%s rms, %s at worst", quantity.Format(before, quantity.FluxDensity), quantity.Format(worstBefore, quantity.FluxDensity))},
		{Key: "rms_after_t", Label: "equalised", Value: after, Text: fmt.Sprintf("%s rms, %s at worst", quantity.Format(after, quantity.FluxDensity), quantity.Format(worstAfter, quantity.FluxDensity))},
		{Key: "power_change_w", Label: "power in the coils", Value: powerAfter - powerBefore, Text: fmt.Sprintf("%s to %s: %s %s (cold coils)", quantity.Format(powerBefore, quantity.Power), quantity.Format(powerAfter, quantity.Power), saving, quantity.Format(math.Abs(powerAfter-powerBefore), quantity.Power))},
	}
	if converged {
		out.Notes = []string{fmt.Sprintf("No other levels within the driver's limits come nearer than a share of %.1g of the picture's square sum: the duality gap of the worst frame.", gap)}
	} else {
		out.Notes = []string{fmt.Sprintf("The solver stopped before its goal in at least one frame; the levels are within a duality gap of %.1g of the picture's square sum.", gap)}
	}
	return out, nil
}

// brightest is the largest brightness, to a thousandth, for which ok holds, ok being true
// below it and false above; 1 when it always holds, the smallest tried when it never does.
func brightest(ok func(float64) (bool, error)) (float64, error) {
	low, high := 1e-3, 1.0
	if good, err := ok(high); err != nil || good {
		return high, err
	}
	for high-low > 1e-3 {
		mid := (low + high) / 2
		good, err := ok(mid)
		if err != nil {
			return 0, err
		}
		if good {
			low = mid
		} else {
			high = mid
		}
	}
	return low, nil
}

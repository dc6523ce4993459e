package studies

import (
	"context"
	"fmt"
	"math"

	"lodegrid/array/design"
	"lodegrid/array/drive"
	"lodegrid/array/grid"
	"lodegrid/array/supply"
	"lodegrid/scenes"
)

// ModeDraw is what one frame takes in one drive mode, from rest with cold coils, all
// else as in the design.
type ModeDraw struct {
	Mode  design.DriveMode
	Load  drive.Load
	Power float64 // W, of both rails, the mean over the frame
	// Current is the mean of the lit coils' currents, A, which the field of steel goes
	// with; Effective its RMS over the times a fluid follows (the rows' turns, kick and
	// hold), which the pull goes with.
	Current, Effective float64
	// Pull is the pull against mode direct, which goes with the square of Effective.
	Pull float64
	Coil float64 // W, heat in the coils
	// Rung is the supply for the main rail, Boost that of a kick rail of its own, Count
	// 0 without one.
	Rung, Boost supply.Rung
}

// CompareModes drives a frame in each mode.
func CompareModes(ctx context.Context, g *grid.Grid, f scenes.Frame) ([]ModeDraw, error) {
	var list []ModeDraw
	for _, mode := range []design.DriveMode{design.DriveDirect, design.DriveStagger, design.DriveScan, design.DriveKick} {
		if mode == design.DriveScan && g.Design.Coils() > 1 {
			continue // a scan's lines are shared, so that no coils are in series
		}
		m, err := modeDraw(ctx, g, mode, f)
		if err != nil {
			return nil, fmt.Errorf("trying drive mode %s: %w", mode, err)
		}
		list = append(list, m)
		if direct := list[0].Effective; direct > 0 {
			list[len(list)-1].Pull = (m.Effective / direct) * (m.Effective / direct)
		}
	}
	return list, nil
}

func modeDraw(ctx context.Context, g *grid.Grid, mode design.DriveMode, f scenes.Frame) (ModeDraw, error) {
	m := ModeDraw{Mode: mode}
	d := g.Design
	d.Drive.Mode = mode
	other := g.With(d)
	q, err := newCold(other)
	if err != nil {
		return m, err
	}
	if m.Load, err = q.meter.FrameLoad(ctx, q.pixels, f.Levels, q.resistance, f.Duration); err != nil {
		return m, err
	}
	if err := q.drive.FrameFor(q.pixels, f.Levels, q.resistance, f.Duration); err != nil {
		return m, err
	}
	lit := 0.0
	for i, s := range q.pixels {
		m.Power += s.Power
		m.Coil += s.Copper
		if f.Levels[i] != 0 {
			m.Current += math.Abs(s.Average)
			lit++
		}
	}
	m.Current /= max(lit, 1)
	m.Effective = m.Current
	m.Effective *= math.Sqrt(float64(other.Design.Turns())) // in mode scan on for one turn, so many times as much
	main, err := q.draw(ctx, supply.Frame, f, pictureRail)
	if err != nil {
		return m, err
	}
	if m.Rung = parameters(other.Design).Rate(main.Average); !ownKickRail(d) {
		return m, nil
	}
	kick, err := q.draw(ctx, supply.Frame, f, kickRail)
	if err != nil {
		return m, err
	}
	m.Boost = kickParameters(d).Rate(kick.Average)
	return m, nil
}

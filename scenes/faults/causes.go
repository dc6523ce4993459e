package faults

import (
	"context"
	"math"
	"slices"

	"lodegrid/array/design"
	"lodegrid/array/drive"
	"lodegrid/scenes/player"
)

// stuck are pixels that stay switched on: one for good, one in its kick, one row in its turn.
func (x *study) stuck(ctx context.Context) ([]Fault, error) {
	d := x.grid.Design
	on := x.onCurrent()
	duty := d.Drive.MaxDuty
	pulsed := x.pwm(x.warmOhms(), duty)
	full := x.curve(x.alwaysOn)
	list := []Fault{{Kind: SwitchStuck, Coil: on, Asked: on / x.coils()}}
	switch d.Drive.Mode {
	case design.DriveKick:
		list = append(list, Fault{Kind: KickStuck, Coil: pulsed.Average, Asked: pulsed.RailAverage})
	case design.DriveScan: // whose switches are of whole lines, see lines
		list[0].Kind = PixelHung
		list = append(list, Fault{Kind: RowStuck, Coil: pulsed.Average, Asked: pulsed.RailAverage})
	}
	for i := range list {
		f := &list[i]
		own, faulty := full, x.string
		if i > 0 {
			own = x.curve(func(ohms float64) float64 { s := x.pwm(ohms, duty); return s.Copper + s.OnBoard })
		}
		f.Pixel = x.string[0]
		if f.Kind == RowStuck {
			f.Pixel, faulty = -1, slices.DeleteFunc(x.all(), func(k int) bool { return x.grid.TurnOf(k) != x.grid.TurnOf(x.pixel) })
		}
		f.Count = len(faulty)
		f.Kicked = x.kicked
		f.Asked *= float64(len(faulty))
		if !f.Kicked {
			f.Asked += max(x.mean-x.drawn(faulty), 0)
		}
		f.Current = f.Asked
		f.Lost = Lost{On: f.Count, Time: 1 - x.litTime(x.pixel), Pull: 1}
		if err := x.heated(ctx, f, faulty, own); err != nil {
			return nil, err
		}
	}
	return list, nil
}

// pwm is the settled current of the struck pixel on its highest rail.
func (x *study) pwm(ohms, duty float64) drive.PixelState {
	c := x.circuit
	c.Resistance = ohms
	return c.PWM(duty, 1/x.grid.Design.Drive.Frequency)
}

// losses are faults by which pixels are lost and nothing gets hotter.
func (x *study) losses(context.Context) ([]Fault, error) {
	lit, coils := x.litTime(x.pixel), len(x.string)
	list := []Fault{
		{Kind: CoilOpen, Pixel: x.string[0], Count: coils, Lost: Lost{Dark: coils, Time: lit}},
		{Kind: DriverDead, Pixel: x.string[0], Count: coils, Lost: Lost{Dark: coils, Time: lit}},
	}
	if n := min(x.grid.Design.Drive.Channels*coils, x.grid.Design.Pixels()); n > coils {
		list[1].Pixel, list[1].Count, list[1].Lost = -1, n, Lost{Dark: n, Time: 1}
	}
	for i := range list {
		list[i].Asked = max(x.mean-x.drawn(x.string), 0)
		if n := list[i].Count; n > coils { // any chip's pixels: their share on the average
			list[i].Asked = x.mean * (1 - float64(n)/float64(x.grid.Design.Pixels()))
		}
		list[i].Current = list[i].Asked
	}
	return list, nil
}

// hung are all pixels on, as far as the supply gives it and on one that gives all.
func (x *study) hung(ctx context.Context) ([]Fault, error) {
	n := x.grid.Design.Pixels()
	levels, resistance := x.player.Uniform(1), make([]float64, n)
	states := make([]drive.PixelState, n)
	for i := range resistance {
		resistance[i] = x.warmOhms() * x.led[i]
	}
	if err := x.drive.Steady(states, levels, resistance); err != nil {
		return nil, err
	}
	lit, on := 0.0, 0.0
	for i, s := range states {
		lit += s.RailAverage + s.BoostAverage
		c := x.circuit
		c.Resistance = resistance[i]
		on += c.FinalCurrent() / x.coils()
	}
	var list []Fault
	for _, c := range []struct {
		kind   Kind
		kicked bool
		own    curve
		asked  float64 // A, of the rail
		coils  float64 // A
	}{
		{HungLit, false, x.lit(), lit, math.Abs(states[x.pixel].Average)},
		{HungOn, x.kicked, x.curve(x.alwaysOn), on, x.onCurrent()},
	} {
		for _, strong := range []bool{false, true} {
			f := Fault{Kind: c.kind, Kicked: c.kicked, Strong: strong, Pixel: -1, Count: n, Asked: c.asked, Coil: c.coils, Lost: Lost{On: n, Time: 1, Pull: 1}}
			f.Current = f.Asked
			if err := x.heated(ctx, &f, x.all(), c.own); err != nil {
				return nil, err
			}
			if strong && len(list) > 0 && list[len(list)-1].Kind == c.kind && !list[len(list)-1].Held {
				continue // the supply carries it as it is
			}
			list = append(list, f)
		}
	}
	return list, nil
}

// surroundings are the faults of what is around the pixels: fan, supply, feeders.
func (x *study) surroundings(ctx context.Context) ([]Fault, error) {
	d := x.grid.Design
	var list []Fault
	if d.Heat.AirSpeed > 0 {
		back := d.Heat.Back
		if back == design.BackFan {
			back = design.BackFree
			if d.Heat.AirFlow > 0 {
				back = design.BackWall
			}
		}
		q, err := x.player.Hung(back, 0)
		if err != nil {
			return nil, err
		}
		f := Fault{Kind: FanStopped, Pixel: -1, Count: d.Pixels(), Asked: x.mean, Current: x.mean, Heats: true, Lost: Lost{Pull: 1}}
		if f.Course, err = x.follow(ctx, q, &load{base: x.watts, most: math.Inf(1)}, x.parts.Place); err != nil {
			return nil, err
		}
		list = append(list, f)
	}
	high, err := x.supplyHigh(ctx)
	if err != nil {
		return nil, err
	}
	list = append(list, high)

	// A loose joint of resistance r takes I² r of the load's V²/R; that is most, V I/4, where
	// it has the load's own resistance (matched source, textbook), and the current is halved.
	loose := Fault{Kind: FeederLoose, Pixel: -1, Count: d.Pixels(), Asked: x.peak, Current: x.peak / 2, Spot: x.grid.Design.Rail() * x.peak / 4, Lost: Lost{Time: 1, Pull: 0.25}}
	row := Fault{Kind: RowLoose, Pixel: -1, Count: d.Grid.Cols, Asked: x.mean, Current: x.mean, Lost: Lost{Dark: d.Grid.Cols, Time: 1}}
	if d.Drive.FeederEnds == 2 {
		row.Lost = Lost{Time: 1, Pull: 1}
	}
	return append(list, loose, row), nil
}

// supplyHigh is the scene on a rail over its voltage.
func (x *study) supplyHigh(ctx context.Context) (Fault, error) {
	f := Fault{Kind: SupplyHigh, Pixel: -1, Count: x.grid.Design.Pixels(), Asked: High * x.mean, Current: High * x.mean, Heats: true, Lost: Lost{Time: 1, Pull: High * High}}
	q, err := x.player.With(func(d *design.Design) {
		d.Supply.Voltage *= High
		d.Drive.KickVoltage *= High
	})
	if err != nil {
		return f, err
	}
	l := &load{most: math.Inf(1)}
	r, err := q.Mean(ctx, x.scene)
	switch {
	case err == nil:
		l.base = r.Watts
	case player.Restless(err): // its heat as the scene's temperatures have it
		for _, w := range x.watts {
			l.base = append(l.base, High*High*w)
		}
	default:
		return f, err
	}
	f.Course, err = x.follow(ctx, x.player, l, x.parts.Place)
	return f, err
}

package faults

import (
	"context"
	"slices"

	"lodegrid/array/design"
	"lodegrid/array/drive"
	"lodegrid/field"
)

// shorted is what is left of a coil with a short across a part of one of its groups: its
// resistance as a share of the sound coil's, and the ampere-turns per ampere as a share of
// the sound one's. lost is the part's resistance over its group's.
//
//	R'/R = g/(g − 1 + 1/(1 − s)),  (N I)'/(N I) = R'/R · (g − 1 + (1 − n)/(1 − s))/g
//
// for g equal groups in parallel and a part with the share s of its group's resistance and
// n of its turns (Ohm's law).
func shorted(groups int, resistance, turns float64) (ohms, ampereTurns float64) {
	g := float64(groups)
	ohms = g / (g - 1 + 1/(1-resistance))
	return ohms, ohms * (g - 1 + (1-turns)/(1-resistance)) / g
}

// induced is the most heat that the ripple drives in the shorted part, W: it is a secondary
// winding, whose voltage is no more than its share of the coil's. Of that only the
// alternating part induces, with a mean square of D (1 − D) V², so that for the share s of
// the resistance R of a group's part
//
//	P ≤ s D (1 − D) V²/R
//
// with the whole flux in common and no inductance to hold the current back (half of it in
// ngspice; see the tests).
func induced(resistance, group, volts, duty float64) float64 {
	return resistance * duty * (1 - duty) * volts * volts / group
}

// shorts are the shorts within a coil and across it.
func (x *study) shorts(ctx context.Context) ([]Fault, error) {
	c := x.grid.Pixel.Coil
	s := c.Spec()
	groups := max(s.ParallelGroups, 1)
	layers := float64(len(s.Layers) / groups)
	layer := c.LayerResistance(0, field.RoomTemperature) / (c.Resistance(field.RoomTemperature) * float64(groups))
	outer := s.Outer/2 - s.Track/2
	mean := outer - (s.Track+s.Gap)*(s.Turns-1)/2
	var list []Fault
	for _, part := range []struct {
		kind              Kind
		resistance, turns float64 // of the group's
	}{
		{TurnShorted, layer * outer / (mean * s.Turns), 1 / (s.Turns * layers)},
		{LayerShorted, layer, 1 / layers},
	} {
		if part.resistance > 0.99 { // all there is
			continue
		}
		f, err := x.partShorted(ctx, part.kind, groups, part.resistance, part.turns)
		if err != nil {
			return nil, err
		}
		list = append(list, f)
	}
	f, err := x.coilShorted(ctx)
	return append(list, f), err
}

// sound is the struck pixel as the scene holds it at full level, and its duty.
func (x *study) sound() (drive.Circuit, float64) {
	d := x.grid.Design
	if d.Drive.Mode == design.DriveKick {
		return x.drive.Circuit(x.pixel, 1, x.warmOhms()), d.Drive.HoldDuty
	}
	c := x.circuit
	c.Resistance = x.warmOhms()
	return c, d.Drive.MaxDuty
}

// partShorted is a pixel that goes on playing the scene with a part of its coil shorted.
func (x *study) partShorted(ctx context.Context, kind Kind, groups int, resistance, turns float64) (Fault, error) {
	f := Fault{Kind: kind, Pixel: x.pixel, Count: 1}
	share, ampereTurns := shorted(groups, resistance, turns)
	sound, duty := x.sound()
	worse, n := sound, x.coils() // of a string one coil is shorted
	worse.Resistance *= (n - 1 + share) / n
	worse.Inductance *= (n - 1 + ampereTurns*ampereTurns) / n
	period := 1 / x.grid.Design.Drive.Frequency
	before, after := sound.PWM(duty, period), worse.PWM(duty, period)
	ratio, beside := 1.0, 1.0
	if before.Copper > 0 {
		beside = (after.RMS / before.RMS) * (after.RMS / before.RMS)
		ratio = (after.RMS*after.RMS*sound.Resistance*share + after.Steel + after.OnBoard + induced(resistance, sound.Resistance*float64(groups), sound.Voltage, duty)) / (before.Copper + before.OnBoard)
		pull := after.Average * ampereTurns / before.Average
		f.Lost = Lost{Pull: pull * pull, Time: x.litTime(x.pixel)}
	} else {
		f.Lost.Pull = 1
	}
	f.Coil = after.Average
	if before.RailAverage > 0 {
		f.Asked = x.mean + x.drawn(x.string)*(after.RailAverage/before.RailAverage-1)
	}
	f.Current = f.Asked
	// Its heat in the scene at its temperature, by the law of a settled voltage.
	own, warm := x.watts[x.pixel]*ratio, x.warmOhms()
	rest := (n-1)*warm + n*worse.OnResistance
	heat := x.curve(func(ohms float64) float64 { return own * hotter(share*warm, share*ohms, rest) })
	return f, x.heatedBeside(ctx, &f, []int{x.pixel}, heat, x.beside(beside))
}

// hotter is how many times the heat of a resistance before it is after, Ω each, in series with
// the rest on one voltage.
func hotter(before, after, rest float64) float64 {
	i := (before + rest) / (after + rest)
	return i * i * after / before
}

// beside is the scene's heat, W, with that of the string times a factor.
func (x *study) beside(factor float64) []float64 {
	watts := slices.Clone(x.watts)
	for _, k := range x.string {
		watts[k] *= factor
	}
	return watts
}

// coilShorted is a short across a coil's terminals: all is left to the driver and the
// supply's own limit, in a string to its other coils. The coil makes no heat any more.
func (x *study) coilShorted(ctx context.Context) (Fault, error) {
	f := Fault{Kind: CoilShorted, Kicked: x.kicked, Pixel: x.pixel, Count: 1, Lost: Lost{Dark: 1, Time: x.litTime(x.pixel)}}
	d := x.grid.Design
	if n := x.coils(); n > 1 { // their heat as of a settled voltage, of the warmest of them
		others, most := []int{}, 0.0
		for _, k := range x.string {
			if k != x.pixel {
				others, most = append(others, k), max(most, x.watts[k])
			}
		}
		warm, on := x.warmOhms(), n*x.circuit.OnResistance
		before := n*warm + on
		f.Kicked = false
		sound, duty := x.sound()
		f.Coil = sound.PWM(duty, 1/d.Drive.Frequency).Average * before / (before - warm)
		f.Asked = x.mean + x.drawn(x.string)*(before/(before-warm)-1)
		f.Current = f.Asked
		return f, x.heatedBeside(ctx, &f, others, x.curve(func(ohms float64) float64 {
			i := before / ((n-1)*ohms + on)
			return most * i * i * ohms / warm
		}), x.without())
	}
	duty := d.Drive.MaxDuty / float64(d.Turns())
	const least = 1e-3 // Ω, of switch and tracks together where the design gives none
	f.Coil = max(0, x.rail-x.circuit.PathDrop) / max(x.circuit.OnResistance, least)
	f.Asked = duty * f.Coil
	if !f.Kicked {
		f.Asked += max(x.mean-x.drawn([]int{x.pixel}), 0)
	}
	f.Current = f.Asked
	f.Spot = duty * x.rail * f.Coil
	if rail := x.parts.of(&f); f.Asked > rail.Limit {
		f.Current, f.Held = rail.Limit, true
		f.Spot = min(f.Spot, f.Current*rail.Voltage)
	}
	return f, nil
}

// without is the scene's heat, W, but for the struck pixel's.
func (x *study) without() []float64 {
	watts := slices.Clone(x.watts)
	watts[x.pixel] = 0
	return watts
}

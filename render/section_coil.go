package render

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array"
	"lodegrid/array/design"
	"lodegrid/array/drive"
	"lodegrid/field"
	"lodegrid/field/coil"
	"lodegrid/field/quantity"
	"lodegrid/scenes/player"
)

const zeroCelsius = 273.15 // K

// CoilSection is the coil by itself: geometry, resistance cold and hot, inductance.
func CoilSection(d design.Design, p array.Pixel) Section {
	c, s := p.Coil, p.Coil.Spec()
	cold, hot := c.Resistance(zeroCelsius+20), c.Resistance(d.Limits.Board)
	l := c.Inductance()
	innerTrack := s.Layers[0].Copper
	for _, y := range s.Layers {
		innerTrack = min(innerTrack, y.Copper)
	}
	area := s.Track * innerTrack
	current := p.FullCurrent / float64(max(s.ParallelGroups, 1))
	out := Section{Key: "coil", Title: "Coil", Facts: []Fact{
		Words("shape", "shape", string(s.Shape)),
		Number("outer_m", "outside", s.Outer, quantity.Length),
		Number("inner_m", "inside", s.Inner, quantity.Length),
		{Key: "turns_per_layer", Label: "turns", Value: s.Turns, Text: fmt.Sprintf("%.4g per layer × %d layers = %.4g in all", s.Turns, len(s.Layers), c.TotalTurns())},
		{Key: "parallel_groups", Label: "wiring", Value: s.ParallelGroups, Text: wiring(s.ParallelGroups)},
		{Key: "track_m", Label: "track and gap", Value: s.Track, Text: fmt.Sprintf("%s and %s, copper %s", mil(s.Track), mil(s.Gap), quantity.FormatIn(innerTrack, quantity.CopperWeight, "oz"))},
		Number("length_m", "track length", c.Length(), quantity.Length),
		Number("resistance_20c_ohm", "resistance at 20 °C", cold, quantity.Resistance).Because(fmt.Sprintf("ρ20 ℓ/(w t) over all layers and vias, ρ20 = 1/58 Ω·mm²/m (IEC 60028), ℓ = %.4g m", c.Length())),
		Number("resistance_hot_ohm", fmt.Sprintf("resistance at %s", celsius(d.Limits.Board)), hot, quantity.Resistance).Because("R20 [1 + 0.00393/K (T − 20 °C)] (IEC 60028)"),
		Number("inductance_h", "inductance", l, quantity.Inductance).Because("sum of self and mutual inductances of all turns"),
		Number("time_constant_s", "time constant L/R", l/(cold+d.Drive.OnResistance), quantity.Time),
		Number("full_current_a", "current at full level, cold", p.FullCurrent, quantity.Current).Because(fmt.Sprintf("duty %.3g × %.4g V / (%.4g Ω + %.3g Ω)", d.Drive.MaxDuty, d.Supply.Voltage, cold, d.Drive.OnResistance)),
		{Key: "track_rise_k", Label: "a lone track of this size", Value: coil.TrackRise(current, area, true),
			Text: fmt.Sprintf("would warm by %.2g K inside a board at %s (IPC-2221 fit, plausibility only: a coil is many tracks side by side, see Heat)", coil.TrackRise(current, area, true), quantity.Format(current, quantity.Current))},
	}}
	out.addHeld(d, p, cold)
	if d.Iron.Model != design.IronNone {
		out.Notes = append(out.Notes, "The drive counts with the inductance in air. Steel raises it for slow changes (lodegrid coil tells by how much), which would lessen ripple and its heat; at PWM frequencies eddy currents in solid steel, not modelled, work against that. Measure the ripple on one pixel.")
	}
	return out
}

// addHeld adds what a cold pixel draws while its level is held, with the ripple that
// its driver leaves: the heat goes with the square of the current, so it is more
// than the mean current tells.
func (s *Section) addHeld(d design.Design, p array.Pixel, resistance float64) {
	one := d
	one.Grid.Cols = 1 // the rows share the supply in mode scan
	states, levels, ohms := make([]drive.PixelState, d.Grid.Rows), make([]float64, d.Grid.Rows), make([]float64, d.Grid.Rows)
	for i := range ohms {
		ohms[i] = resistance
	}
	levels[0] = 1
	drv, err := player.Drive(&array.Grid{Design: one, Pixel: p}, d.Scene.FrameTime)
	if err == nil {
		err = drv.Steady(states, levels, ohms)
	}
	if err != nil {
		s.Facts = append(s.Facts, absent("full_rms_a", "full_power_w", "full_supply_w")...)
		s.Notes = append(s.Notes, "What a held pixel draws cannot be told: "+err.Error()+".")
		return
	}
	st := states[0]
	s.Facts = slices.Insert(s.Facts, len(s.Facts)-1,
		Number("full_rms_a", "its RMS, ripple included", st.RMS, quantity.Current).Because(fmt.Sprintf("settled current, drive %s, %s, L/R against the PWM period", d.Drive.Mode, quantity.Format(d.Drive.Frequency, quantity.Frequency))),
		Number("full_power_w", "heat in the coil at full level, cold", st.Copper, quantity.Power).Because(fmt.Sprintf("I_rms² R = (%.4g A)² × %.4g Ω", st.RMS, resistance)),
		Number("full_supply_w", "drawn from the supply, cold", st.Power, quantity.Power).Because("copper, switches and diode"))
	if math.Abs(st.Average-p.FullCurrent) > 0.005*p.FullCurrent {
		s.Notes = append(s.Notes, fmt.Sprintf("With this drive (%s, %s) a held pixel has a mean current of %s, not the %s that field and crosstalk of one pixel are told at: the scene is played with the real one.",
			d.Drive.Mode, d.Drive.Bridge, quantity.Format(st.Average, quantity.Current), quantity.Format(p.FullCurrent, quantity.Current)))
	}
}

func wiring(groups int) string {
	if groups <= 1 {
		return "all layers in series"
	}
	return fmt.Sprintf("%d equal groups of layers in parallel", groups)
}

func mil(v float64) string {
	return fmt.Sprintf("%s (%s)", quantity.FormatIn(v, quantity.Length, "mm"), quantity.FormatIn(v, quantity.Length, "mil"))
}

func celsius(k float64) string { return fmt.Sprintf("%.1f °C", k-zeroCelsius) }

// FieldSection is one pixel's field on the fluid plane, with and without its steel
// and magnet, and what it does to a drop.
func FieldSection(g *array.Grid) Section {
	d, p := g.Design, g.Pixel
	at := r3.Vec{Z: d.Fluid.Height}
	i := p.FullCurrent
	perAmpere := p.CoilField().B(at).Z
	air, steel := p.Air.B(at).Z*i, perAmpere*i
	s := Section{Key: "field", Title: "Field of one pixel", Facts: []Fact{
		Number("fluid_height_m", "fluid plane above the board", d.Fluid.Height, quantity.Length),
		Number("air_t", "coil alone, full level", air, quantity.FluxDensity),
		{Key: "coil_t", Label: "coil with its steel", Value: steel, Text: fmt.Sprintf("%s (× %.3f), %s per ampere", quantity.Format(steel, quantity.FluxDensity), perAmpere/p.Air.B(at).Z, quantity.Format(perAmpere, quantity.FluxDensity))},
	}}
	total := r3.Vec{Z: steel}
	if m := p.MagnetField(); m != nil {
		b := m.B(at)
		total = r3.Add(total, b)
		s.Facts = append(s.Facts,
			Number("magnet_t", "the pixel's own magnet", b.Z, quantity.FluxDensity),
			Number("total_t", "coil, steel and magnet together", total.Z, quantity.FluxDensity))
	}
	drop := g.Drop()
	s.Facts = append(s.Facts,
		Number("pressure_pa", "magnetic pressure in the fluid", g.Fluid.Pi(r3.Norm(total)), quantity.Pressure).Because("µ0 ∫ M dH with Langevin's M, the drop's own poles included"),
		Number("pull_n", "reference drop pressed to the rear pane", pull(g, sourceAt(p, i), drop), quantity.Force).Because("∫ [Π(rear pane) − Π(front pane)] over the drop's area: the volume integral of ∂Π/∂z"),
	)
	if d.Heat.Orientation == design.Vertical {
		s.Facts = append(s.Facts, Number("weight_n", "the drop's weight along the pane", drop.Weight, quantity.Force).Because(
			fmt.Sprintf("%.4g kg/m³ × 9.807 m/s² × %.3g m³", math.Abs(d.Fluid.DensityDifference), drop.Volume)))
	}
	if drop.Pinning > 0 {
		s.Facts = append(s.Facts, Number("pinning_n", "held back by the contact line", drop.Pinning, quantity.Force).Because(
			fmt.Sprintf("%.3g N/m, both panes together, × %.3g m", d.Fluid.ContactLine, drop.Diameter)))
	}
	if lone, err := loneHold(g); err != nil {
		s.Facts = append(s.Facts, absent("lone_hold")...)
	} else {
		s.Facts = append(s.Facts, Fact{Key: "lone_hold", Label: "hold of a lone lit pixel", Value: lone, Text: needed(lone)})
	}
	s.Facts = append(s.Facts, Words("iron_model", "steel model", string(p.Iron.Model)))
	if f := p.Iron.CoilSolution; f != nil {
		s.Facts = append(s.Facts, Number("steel_peak_t", "highest flux density in the steel", f.Peak, quantity.FluxDensity))
		if share := f.Above(1.5); share > 0.01 {
			s.Notes = append(s.Notes, fmt.Sprintf("%.0f %% of the steel is above 1.5 T, where low-carbon steel begins to saturate (from memory).", share*100))
		}
	}
	s.Notes = append(s.Notes, "Steel: "+p.Iron.Note+".")
	if drop.Pinning >= drop.Weight && drop.Pinning > 0 && d.Heat.Orientation == design.Vertical {
		s.Notes = append(s.Notes, "The contact line alone holds the drop: it stays wherever it is, in dark pixels too.")
	}
	return s
}

// pull is the force in newtons that presses the reference drop to the rear pane.
func pull(g *array.Grid, s field.Source, drop array.Drop) float64 {
	f := g.Design.Fluid
	// A product rule over the disc: Gauss–Legendre in r², equal steps around.
	const rings, steps = 8, 16
	x, w := make([]float64, rings), make([]float64, rings)
	quad.Legendre{}.FixedLocations(x, w, 0, drop.Diameter*drop.Diameter/4)
	var sum float64
	for k := range rings {
		for a := range steps {
			sin, cos := math.Sincos(2 * math.Pi * (float64(a) + 0.5) / steps)
			p := r3.Vec{X: math.Sqrt(x[k]) * cos, Y: math.Sqrt(x[k]) * sin, Z: f.Height - f.TankGap/2}
			rear := g.Fluid.Pi(r3.Norm(s.B(p)))
			p.Z += f.TankGap
			sum += w[k] * math.Pi / steps * (rear - g.Fluid.Pi(r3.Norm(s.B(p))))
		}
	}
	return sum
}

// needed words a hold ratio.
func needed(hold float64) string {
	if math.IsInf(hold, 1) {
		return "a drop needs nothing to stay"
	}
	return fmt.Sprintf("%.3g × what the drop needs", hold)
}

// loneHold is the hold ratio of the middle pixel lit alone, with a cold coil.
func loneHold(g *array.Grid) (float64, error) {
	grid := g.Design.Grid
	row, col := grid.Rows/2, grid.Cols/2
	currents, states := make([]float64, g.Design.Pixels()), make([]array.State, g.Design.Pixels())
	currents[g.Design.Pixel(row, col)], states[g.Design.Pixel(row, col)] = g.Pixel.FullCurrent, array.Lit
	plane := array.NewPlane(g.Raster)
	if err := g.FieldInto(plane, currents); err != nil {
		return 0, err
	}
	ratio, _ := array.NewHold(g).RatioAt(row, col, plane, states)
	return ratio, nil
}

// sourceAt is everything a pixel makes at a current, in front of its steel.
func sourceAt(p array.Pixel, current float64) atCurrent { return atCurrent{p, current} }

type atCurrent struct {
	p       array.Pixel
	current float64
}

// B implements field.Source.
func (a atCurrent) B(at r3.Vec) r3.Vec {
	b := r3.Scale(a.current, a.p.CoilField().B(at))
	if m := a.p.MagnetField(); m != nil {
		b = r3.Add(b, m.B(at))
	}
	return b
}

package render

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/array/hold"
	"lodegrid/array/pixel"
	"lodegrid/field"
	"lodegrid/field/coil"
	"lodegrid/field/material"
	"lodegrid/field/quantity"
)

// inductanceError tells what the model may be wrong by, beside how displays differ.
func inductanceError(p pixel.Pixel, with float64) string {
	text := fmt.Sprintf("What the model may be wrong by, beside any ±: %s %% of the inductance in air", quantity.Figure(100*p.InductanceError(p.Coil.Inductance()), 2))
	if with != p.Coil.Inductance() {
		text += fmt.Sprintf(", %s %% of that with what steel or metal do", quantity.Figure(100*p.InductanceError(with), 2))
	}
	return text + " (tests against Neumann's integrals, images and finite elements)."
}

// CoilSection is the coil by itself: geometry, resistance cold and hot, inductance.
func CoilSection(d design.Design, p pixel.Pixel) Section {
	c, s := p.Coil, p.Coil.Spec()
	l := c.Inductance()
	innerTrack := s.Layers[0].Copper
	for _, y := range s.Layers {
		innerTrack = min(innerTrack, y.Copper)
	}
	rise, amps := c.LoneTrack(p.Full.On.Average)
	warms := quantity.Figure(rise, 2) + " K"
	if rise > coil.ChartEnds {
		warms = fmt.Sprintf("more than the %d K that the fit is for", coil.ChartEnds)
	}
	constant := p.TimeConstant(d, field.RoomTemperature, l)
	out := Section{Key: "coil", Title: "Coil", Facts: []Fact{
		Words("shape", "shape", string(s.Shape)),
		Number("outer_m", "outside", s.Outer, quantity.Length),
		Number("inner_m", "inside", s.Inner, quantity.Length),
		{Key: "turns_per_layer", Label: "turns", Value: s.Turns, Text: fmt.Sprintf("%s per layer × %d layers = %s in all", quantity.Figure(s.Turns, 4), len(s.Layers), quantity.Figure(c.TotalTurns(), 4))},
		{Key: "parallel_groups", Label: "wiring", Value: s.ParallelGroups, Text: wiring(s.ParallelGroups)},
		{Key: "track_m", Label: "track and gap", Value: s.Track, Text: fmt.Sprintf("%s and %s, copper %s", mil(s.Track), mil(s.Gap), quantity.FormatIn(innerTrack, quantity.CopperWeight, "oz"))},
		Number("length_m", "track length", c.Length(), quantity.Length),
		By("resistance_20c_ohm", "resistance at 20 °C", c.Cold(), quantity.Resistance),
		By("resistance_hot_ohm", fmt.Sprintf("resistance at %s", celsius(d.Limits.Board)), c.Warm(d.Limits.Board), quantity.Resistance),
		Number("inductance_h", "inductance in air", l, quantity.Inductance).Because("sum of self and mutual inductances of all turns"),
		By("time_constant_s", "time constant L/R, cold", constant, quantity.Time),
		Number("full_current_a", "current "+atFull(d)+", cold", p.Full.On.Average, quantity.Current).Because(p.OnWhy),
		{Key: "track_rise_k", Label: "a lone track of this size", Value: rise,
			Text: fmt.Sprintf("would warm by %s inside a board at %s (IPC-2221 fit, plausibility only: a coil is many tracks side by side, see Heat)", warms, quantity.Format(amps, quantity.Current))},
	}}
	out.addCourse(d, p)
	out.addHeld(d, p)
	if n := d.Coils(); n > 1 {
		air := p.Coil.Inductance()
		beside := p.InString(d, air)
		out.Notes = append(out.Notes, fmt.Sprintf("%d coils in series on an output: currents are of each coil, what the supply gives of each coil's part. Time constant, ripple and kick count with the other coils of the string beside it, which take %s %% off the inductance (in air). Hold and hand-over are of a drop by itself.", n, quantity.Figure(100*(1-beside/air), 2)))
	}
	under, steel := p.UnderPWM(d)
	if p.Eddy == nil {
		under = l
	}
	out.Notes = append(out.Notes, inductanceError(p, under))
	if d.Iron.Model == design.IronNone && p.Eddy == nil {
		return out
	}
	if p.Eddy == nil {
		out.Facts = append(out.Facts, absent("pwm_inductance_h", "steel_resistance_ohm")...)
		out.Notes = append(out.Notes, "The drive counts with the inductance in air: eddy currents in the steel are solved for round coils. Steel raises it for slow changes (lodegrid coil tells by how much), which would lessen ripple and its heat. Measure the ripple on one pixel.")
		return out
	}
	held := ""
	if d.Drive.Mode == design.DriveKick {
		held = " in the hold"
	}
	out.Facts = append(out.Facts,
		Number("pwm_inductance_h", "inductance that the drive counts with"+held, under, quantity.Inductance).Because(fmt.Sprintf("leaves the ripple of a ladder fitted to the inductance and loss with eddy currents in the %s by harmonic finite elements; the ladder meets them within %s of the impedance", p.Eddy.Of, quantity.Figure(p.Eddy.Ladder.Error, 1))),
		Number("steel_resistance_ohm", "by which the ripple heats the "+p.Eddy.Of+held, steel, quantity.Resistance).Because("Σ R(nf) I_n² / Σ I_n² over the ripple's harmonics"))
	out.Notes = append(out.Notes, "The ripple's heat in the "+p.Eddy.Of+" is counted as heat of the coil, which lies on it; steel is taken as linear. lodegrid coil lists inductance, loss and field by frequency.")
	if p.Eddy.Alike > 0 {
		out.Notes = append(out.Notes, fmt.Sprintf("Eddy currents are solved for a round coil of the same area, brought to what a perfect conductor takes from this one: what they leave of inductance and field, and the resistance by them, may be off by %s %%.", quantity.Figure(100*p.Eddy.Alike, 2)))
	}
	if d.Iron.Model != design.IronNone && !strings.Contains(p.Eddy.Of, "steel") {
		out.Notes = append(out.Notes, "The inductance that the drive counts with leaves out the steel behind the board's metal: eddy currents in steel are solved for round coils. The metal keeps fast changes from it.")
	}
	return out
}

// atFull says what full level means in the design's drive mode.
func atFull(d design.Design) string {
	switch d.Drive.Mode {
	case design.DriveKick:
		return "at full level, held"
	case design.DriveScan:
		return "at full level, while its row is on"
	}
	return "at full level"
}

// addCourse adds what full level means beside its settled current: the kick before it,
// or the mean over the rows' turns.
func (s *Section) addCourse(d design.Design, p pixel.Pixel) {
	at := slices.IndexFunc(s.Facts, func(f Fact) bool { return f.Key == "full_current_a" }) + 1
	switch d.Drive.Mode {
	case design.DriveKick:
		k := p.Full.Kick
		s.Facts = slices.Insert(s.Facts, at, Number("kick_current_a", "current while kicked, cold", k.Average, quantity.Current).Because(
			fmt.Sprintf("mean over the kick's %s from rest, %s at a duty of %s", quantity.Format(k.Seconds, quantity.Time), quantity.Format(d.Drive.KickVoltage, quantity.Voltage), percent(d.Drive.MaxDuty))))
	case design.DriveScan:
		s.Facts = slices.Insert(s.Facts, at, Number("mean_current_a", "its mean over the rows' turns", p.FullCurrent, quantity.Current).Because(
			fmt.Sprintf("%s A × %s of the time", quantity.Figure(p.Full.On.Average, 5), quantity.Figure(p.Full.Share, 5))))
	}
}

// addHeld adds what a cold pixel draws while its level is held.
func (s *Section) addHeld(d design.Design, p pixel.Pixel) {
	h := p.Held(d)
	while := ""
	if d.Drive.Mode == design.DriveScan {
		while = ", over a scan"
	}
	s.Facts = slices.Insert(s.Facts, len(s.Facts)-1,
		By("full_rms_a", "RMS current, ripple included"+while, h.RMS, quantity.Current),
		By("full_power_w", "heat in the coil at full level, cold"+while, h.Copper, quantity.Power),
		By("full_supply_w", "drawn from the supply, cold"+while, h.Power, quantity.Power))
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

func celsius(k float64) string { return fmt.Sprintf("%.1f °C", k-field.ZeroCelsius) }

// FieldSection is one pixel's field on the fluid plane, with and without its steel
// and magnet, and what it does to a drop.
func FieldSection(g *grid.Grid) Section {
	d, s := g.Design, FieldFigures(g)
	var notes []string
	if gain := hold.DiscGain(g); !math.IsInf(hold.LoneHold(g), 0) && math.Abs(gain-1) > 0.02 {
		side := "safe"
		if gain < 1 {
			side = "unsafe"
		}
		notes = append(notes, fmt.Sprintf("Hold counts the pressure from place to place midway between the panes. A drop that keeps its shape is pulled along the pane over its whole depth of %s by up to %.2f times that, within some 14 %%: for lit pixels to the %s side.", quantity.Format(d.Fluid.TankGap, quantity.Length), gain, side))
	}
	if bound := hold.ImageBound(g); bound > 0 {
		notes = append(notes, fmt.Sprintf("The drop's own image in the steel is left out: it adds at most %s %% to the pull, by steel of endless permeability all over from its foremost part on.", quantity.Figure(100*bound, 2)))
	}
	s.Notes = append(notes, s.Notes...)
	return s
}

// FieldFigures is FieldSection without what only its notes tell.
func FieldFigures(g *grid.Grid) Section {
	d, p := g.Design, g.Pixel
	f := p.Axis(d.Fluid.Height)[0]
	s := Section{Key: "field", Title: "Field of one pixel", Facts: []Fact{
		Number("fluid_height_m", "fluid plane above the board", d.Fluid.Height, quantity.Length),
		Number("air_t", "coil alone, "+atFull(d), f.Alone, quantity.FluxDensity),
		{Key: "coil_t", Label: "coil with its steel", Value: f.Coil, Text: fmt.Sprintf("%s (× %.3f), %s per ampere", quantity.Format(f.Coil, quantity.FluxDensity), f.Gain, quantity.Format(g.Kernel.At(0, 0).Z, quantity.FluxDensity))},
	}}
	if p.Magnet != nil {
		s.Facts = append(s.Facts,
			Number("magnet_t", "the pixel's own magnet", f.Magnet, quantity.FluxDensity),
			Number("total_t", "coil, steel and magnet together", f.Total, quantity.FluxDensity))
	}
	drop, pull := g.Drop(), hold.PullOf(g)
	s.Facts = append(s.Facts, relaxed(d), Fact{Key: "ripple_followed", Label: "ripple that the fluid follows", Value: g.RippleFollowed(), Text: percent(g.RippleFollowed()) + " of its mean square"},
		Number("pressure_pa", "magnetic pressure in the fluid", pull.Pressure, quantity.Pressure).Because("µ0 ∫ M dH with Langevin's M, the drop's own poles included"),
		By("pull_n", "reference drop pressed to the rear pane", pull.Whole, quantity.Force),
	)
	if d.Heat.Orientation == design.Vertical {
		s.Facts = append(s.Facts, By("weight_n", "the drop's weight along the pane", g.Weight(), quantity.Force))
	}
	if drop.Pinning > 0 {
		s.Facts = append(s.Facts, By("pinning_n", "held back by the contact line", g.Pinning(), quantity.Force))
	}
	lone := hold.LoneHold(g)
	s.Facts = append(s.Facts, Fact{Key: "lone_hold", Label: "hold of a lone lit pixel", Value: lone, Text: needed(lone)})
	s.addHoldRange(g, "lone_hold", lone, hold.Alone(g))
	s.Facts = append(s.Facts, steelModel("iron_model", "steel model", p.Iron.Model))
	if f := p.Iron.CoilSolution; f != nil {
		s.Facts = append(s.Facts, Number("steel_peak_t", "highest flux density in the steel", f.Peak, quantity.FluxDensity))
		if share := f.Above(material.SaturationBegins); share > material.SaturationTold {
			s.Notes = append(s.Notes, fmt.Sprintf("%.0f %% of the steel is above %s T, where low-carbon steel begins to saturate (from memory).", share*100, quantity.Figure(material.SaturationBegins, 3)))
		}
	}
	s.Notes = append(s.Notes, "Steel: "+p.Iron.Note+".")
	if drop.Pinning >= drop.Weight && drop.Pinning > 0 && d.Heat.Orientation == design.Vertical {
		s.Notes = append(s.Notes, "The contact line alone holds the drop: it stays wherever it is, in dark pixels too.")
	}
	return s
}

// relaxed is the fluid's relaxation, and that it is a guess where it is one.
func relaxed(d design.Design) Fact {
	f := Number("relaxation_s", "relaxation of the fluid", d.Fluid.Relaxation, quantity.Time)
	if least, most := d.Fluid.RelaxationRange(); least < most {
		f.Text += fmt.Sprintf(", a guess by its class: from %s to %s", quantity.Format(least, quantity.Time), quantity.Format(most, quantity.Time))
		return f.Because("3Vη/(kT) of a grain with its surfactant, shorter by the drop's poles: fluid.relaxation sets it")
	}
	return f
}

// needed words a hold ratio.
func needed(hold float64) string {
	if math.IsInf(hold, 1) {
		return "a drop needs nothing to stay"
	}
	return fmt.Sprintf("%s × what the drop needs", quantity.Figure(hold, 3))
}

package render

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array"
	"lodegrid/array/design"
	"lodegrid/array/drive"
	"lodegrid/field/coil"
	"lodegrid/field/ferrofluid"
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
	air, steel := p.Air.B(at).Z*i, p.CoilField().B(at).Z*i
	s := Section{Key: "field", Title: "Field of one pixel", Facts: []Fact{
		Number("fluid_height_m", "fluid plane above the board", d.Fluid.Height, quantity.Length),
		Number("air_t", "coil alone, full level", air, quantity.FluxDensity),
		{Key: "coil_t", Label: "coil with its steel", Value: steel, Text: fmt.Sprintf("%s (× %.3f), %s per ampere", quantity.Format(steel, quantity.FluxDensity), steel/air, quantity.Format(steel/i, quantity.FluxDensity))},
	}}
	total := r3.Vec{Z: steel}
	if m := p.MagnetField(); m != nil {
		b := m.B(at)
		total = r3.Add(total, b)
		s.Facts = append(s.Facts, Number("magnet_t", "the pixel's own magnet", b.Z, quantity.FluxDensity))
	}
	all := sourceAt(p, i)
	drop := g.Drop()
	pull := ferrofluid.PullSmall(g.Fluid, all, at, drop.Volume, 1e-4)
	s.Facts = append(s.Facts,
		Number("total_t", "coil, steel and magnet together", total.Z, quantity.FluxDensity),
		Number("pressure_pa", "magnetic pressure in the fluid", g.Fluid.Pi(r3.Norm(total)), quantity.Pressure).Because("µ0 ∫ M dH with Langevin's M, the drop's own poles included"),
		Number("pull_n", "pull on the reference drop, towards the board", -pull.Z, quantity.Force).Because("volume × M × ∂|B|/∂z"),
		Number("need_n", "force that has to hold the drop", drop.Need, quantity.Force).Because(needWhy(d, drop)),
		Words("iron_model", "steel model", string(p.Iron.Model)),
	)
	if f := p.Iron.CoilSolution; f != nil {
		s.Facts = append(s.Facts,
			Number("steel_peak_t", "highest flux density in the steel", f.Peak, quantity.FluxDensity),
			Number("steel_mean_t", "mean flux density in the steel", f.Mean, quantity.FluxDensity))
		if share := f.Above(1.5); share > 0.01 {
			s.Notes = append(s.Notes, fmt.Sprintf("%.0f %% of the steel is above 1.5 T, where low-carbon steel begins to saturate (from memory).", share*100))
		}
	}
	s.Notes = append(s.Notes, "Steel: "+p.Iron.Note+".")
	s.Notes = append(s.Notes, fmt.Sprintf("Stored field of one pixel is within %.0e of its peak everywhere.", math.Max(g.Kernel.Error, 1e-15)))
	return s
}

func needWhy(d design.Design, drop array.Drop) string {
	line := fmt.Sprintf("contact line %.3g N/m × %.3g m", d.Fluid.ContactLine, drop.Diameter)
	if d.Heat.Orientation != design.Vertical {
		return line
	}
	return fmt.Sprintf("%.4g kg/m³ × 9.807 m/s² × %.3g m³ + %s", math.Abs(d.Fluid.DensityDifference), drop.Volume, line)
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

package render

import (
	"fmt"
	"math"

	"lodegrid/array/design"
	"lodegrid/array/drive"
	"lodegrid/array/supply"
	"lodegrid/field/quantity"
	"lodegrid/scenes/studies"
	"lodegrid/scenes/verdict"
)

// ModesSection compares the drive modes for one frame from rest with cold coils.
func ModesSection(d design.Design, what string, modes []studies.ModeDraw) Section {
	s := Section{Key: "modes", Title: "Drive modes"}
	t := Table{Key: "modes", Title: "The same picture in each mode: " + what + ", coils cold", Columns: []Column{
		{"mode", "mode"}, {"rail_v", "rail"}, {"average_a", "average"}, {"rms_a", "RMS"}, {"peak_a", "peak"}, {"power_w", "power"}, {"coil_a", "coil's mean"}, {"pull_share", "pull"}, {"rating_w", "supply"},
	}}
	for _, m := range modes {
		name := string(m.Mode)
		if m.Mode == d.Drive.Mode {
			name += " (the design's)"
		}
		main := m.Load.Supply
		if main.Peak == 0 && m.Load.Boost.Peak > 0 {
			main = m.Load.Boost
		}
		rating := rung(m.Rung)
		row := []Cell{
			{string(m.Mode), name}, In(main.Voltage, quantity.Voltage), In(main.Average, quantity.Current), In(main.RMS, quantity.Current), In(main.Peak, quantity.Current),
			In(m.Power, quantity.Power), In(m.Current, quantity.Current), {m.Pull, fmt.Sprintf("%s %%", quantity.Figure(100*m.Pull, 3))}, {m.Rung.Total(), rating},
		}
		t.Rows = append(t.Rows, row)
		if m.Mode == design.DriveKick && m.Load.Boost.Peak > 0 {
			k := m.Load.Boost
			t.Rows = append(t.Rows, []Cell{
				{"kick rail", "and its kick rail"}, In(k.Voltage, quantity.Voltage), In(k.Average, quantity.Current), In(k.RMS, quantity.Current), In(k.Peak, quantity.Current),
				{None, ""}, {None, ""}, {None, ""}, {m.Boost.Total(), rung(m.Boost)},
			})
		}
	}
	s.Tables = []Table{t}
	scan := d
	scan.Drive.Mode = design.DriveScan
	rows := scan.Turns()
	if d.Coils() == 1 { // a scan's lines have no strings
		s.Notes = append(s.Notes, fmt.Sprintf("Scan: each row is on for 1/%d of the time, so its mean current is 1/%d of the direct one on the same rail. The pull is told with the square of the current, averaged over the rows' turns; equal pull asks for a drive.kick_voltage of about √%d × %s = %s and equal mean field for %d × as much.",
			rows, rows, rows, quantity.Format(d.Supply.Voltage, quantity.Voltage), quantity.Format(math.Sqrt(float64(rows))*d.Supply.Voltage, quantity.Voltage), rows))
	}
	s.Notes = append(s.Notes,
		fmt.Sprintf("Kick: every lit pixel starts from rest, %s at %s and %s %% duty, then %s %%; mean current and pull are those of the whole frame.",
			quantity.Format(d.Drive.KickTime, quantity.Time), quantity.Format(d.Drive.KickVoltage, quantity.Voltage), quantity.Figure(100*d.Drive.MaxDuty, 3), quantity.Figure(100*d.Drive.HoldDuty, 3)),
		fmt.Sprintf("Supply: the usual rating whose %s %% carries the mean power, feeders' drop and supply.tolerance included, in mode kick that of the kick: it outlasts the time a supply takes to follow.", quantity.Figure(100*d.UsableShare(), 3)))
	return s
}

func rung(r supply.Rung) string {
	text := quantity.Format(r.Power, quantity.Power)
	if r.Count > 1 {
		text = fmt.Sprintf("%d × %s", r.Count, text)
	}
	return text
}

// StaggerTable is what spreading the periods gains, per picture.
func StaggerTable(names []string, spreads []drive.Spread) Table {
	t := Table{Key: "stagger", Title: "Peak current by how the PWM periods start", Columns: []Column{
		{"picture", "picture"}, {"in_phase_a", "all together"}, {"uniform_a", "evenly spread"}, {"best_a", "chosen for it"}, {"floor_a", "no less is possible"}, {"gain", "gain"},
	}}
	for i, s := range spreads {
		gain := 1.0
		if s.Best > 0 {
			gain = s.InPhase / s.Best
		}
		t.Rows = append(t.Rows, []Cell{Say(names[i]), In(s.InPhase, quantity.Current), In(s.Uniform, quantity.Current), In(s.Best, quantity.Current), In(s.Floor, quantity.Current), {gain, fmt.Sprintf("%s ×", quantity.Figure(gain, 3))}})
	}
	return t
}

// DriverSection is what the pixels' drivers carry and how hot they make themselves.
func DriverSection(d design.Design, names []string, list []studies.Drivers) Section {
	t := Table{Key: "drivers", Columns: []Column{
		{"picture", "picture"}, {"lit", "lit"}, {"average_a", "mean, most of a pixel"}, {"rms_a", "RMS"}, {"peak_a", "peak"}, {"switch_w", "heat in its switches"}, {"diode_w", "in its diodes"}, {"drivers_w", "drivers and diodes"}, {"drivers_share", "of the power"},
	}}
	for i, x := range list {
		heat, share := x.Switches+x.Diodes, 0.0
		if x.Rails > 0 {
			share = heat / x.Rails
		}
		t.Rows = append(t.Rows, []Cell{
			Say(names[i]), {x.Lit, fmt.Sprint(x.Lit)}, In(x.Average, quantity.Current), In(x.RMS, quantity.Current), In(x.Peak, quantity.Current),
			In(x.Switch, quantity.Power), In(x.Diode, quantity.Power), In(heat, quantity.Power), {share, fmt.Sprintf("%s %%", quantity.Figure(100*share, 3))},
		})
	}
	s := Section{Key: "drivers", Title: "Drivers", Tables: []Table{t}, Notes: []string{
		fmt.Sprintf("Coils cold, which draw most; %s Ω of switches in a pixel's path. Losses while switching, from drive.edge_loss at %s, are in the chip's heat above, not in the table.", quantity.Figure(d.Drive.OnResistance, 3), quantity.Format(d.Drive.Frequency, quantity.Frequency)),
	}}
	if v := d.PathDrop(); v > 0 {
		s.Notes = append(s.Notes, fmt.Sprintf("A pixel's diodes: the freewheel diode, and the one at its coil that parts the lines (drive.scan_diode, %s), which takes that from the coil and heats the board there, counted as the coil's heat. The current that is left after a row's turn is taken to die out through both.", quantity.Format(v, quantity.Voltage)))
	}
	for i, x := range list {
		if x.Discontinued > 0 {
			s.Notes = append(s.Notes, fmt.Sprintf("In the picture %q the current of %s dies out within a period (L/R is short against the off-time).", names[i], quantity.Count(x.Discontinued, "pixel")))
		}
	}
	return s
}

// switched is what a driver's channel switches.
func switched(d design.Design) string {
	if d.Coils() > 1 {
		return "string"
	}
	return "pixel"
}

// DriverParts are the facts of the driver chips that a design asks for.
func DriverParts(d design.Design, x studies.DriverParts) []Fact {
	limit := Fact{Key: "channel_limit_a", Label: "a channel bears", Value: None, Text: "no drive.driver_current is chosen"}
	if x.Limit > 0 {
		limit = Number("channel_limit_a", "a channel bears", x.Limit, quantity.Current)
	}
	hot := Fact{Key: "chip_k", Label: "a chip with all of them on", Value: None, Text: quantity.Format(x.Chip, quantity.Power) + "; how hot, drive.driver_resistance would tell"}
	if x.Temperature > 0 {
		hot = Fact{Key: "chip_k", Label: "a chip with all of them on", Value: x.Temperature, Text: fmt.Sprintf("%s, %s in still air of %s", quantity.Format(x.Chip, quantity.Power), celsius(x.Temperature), celsius(d.Heat.Ambient)),
			Why: fmt.Sprintf("T + Rth P = %s K + %s K/W × %s W", quantity.Figure(d.Heat.Ambient, 4), quantity.Figure(d.Drive.DriverResistance, 4), quantity.Figure(x.Chip, 4))}
	}
	return []Fact{
		{Key: "chips", Label: "driver chips", Value: x.Chips, Text: fmt.Sprintf("%d, %s each", x.Chips, quantity.Count(x.Channels, switched(d)))},
		Number("channel_peak_a", "a channel at full level, at any instant", x.Peak, quantity.Current),
		limit,
		Number("channel_w", "heat of a channel held at full level", x.Conduction+x.Switching, quantity.Power).Because(fmt.Sprintf("conducting %s W + 2 E f = 2 × %s J × %s Hz", quantity.Figure(x.Conduction, 4), quantity.Figure(d.Drive.EdgeLoss, 4), quantity.Figure(d.Drive.Frequency, 4))),
		Number("chip_w", "", x.Chip, quantity.Power),
		hot,
	}
}

// WiringSection is what the copper between terminals and pixels costs.
func WiringSection(d design.Design, names []string, list []studies.WireDrops) Section {
	t := Table{Key: "wiring", Columns: []Column{
		{"picture", "picture"}, {"total_a", "current in"}, {"drop_v", "worst drop"}, {"pixel", "at"}, {"far_v", "left at the far corner"}, {"current_share", "its current"}, {"pull_share", "its pull"}, {"loss_w", "heat in the copper"}, {"loss_share", "of the power"},
	}}
	for i, w := range list {
		t.Rows = append(t.Rows, []Cell{
			Say(names[i]), In(w.Total, quantity.Current), In(w.WorstDrop, quantity.Voltage), {w.Worst, place(d, w.Worst)},
			In(w.Drops.Voltage[w.FarCorner], quantity.Voltage), {w.Current, fmt.Sprintf("%s %%", quantity.Figure(100*w.Current, 3))}, {w.Pull, fmt.Sprintf("%s %%", quantity.Figure(100*w.Pull, 3))},
			In(w.Loss, quantity.Power), {w.LossShare(), fmt.Sprintf("%s %%", quantity.Figure(100*w.LossShare(), 2))},
		})
	}
	ends := "one end, left and top"
	if d.Drive.FeederEnds == 2 {
		ends = "both ends"
	}
	s := Section{Key: "wiring", Title: "Wiring on the board", Tables: []Table{t}}
	s.Facts = append(s.Facts, By("feeder_ohm", "a feeder, per pitch", list[0].Feeder, quantity.Resistance))
	if list[0].Bus.Value > 0 {
		s.Facts = append(s.Facts, By("bus_ohm", "a bus, per pitch", list[0].Bus, quantity.Resistance))
	}
	s.Notes = append(s.Notes, fmt.Sprintf("A feeder along each row brings the current and one along each column takes it back, joined by a bus at %s; the board's terminals stand at the top left corner. Capacitors along the feeders are taken to carry the PWM's ripple; the cable to the board is not in these figures.", ends))
	switch d.Drive.Mode {
	case design.DriveScan:
		s.Notes = append(s.Notes, "Mode scan: the turn of the rows that drops most; its heat is the mean over all turns.")
	case design.DriveKick:
		s.Notes = append(s.Notes, "Mode kick: all lit pixels kicked at once.")
	}
	return s
}

// SmallerTable is what the supplies below the proposed one bear.
func SmallerTable(v *verdict.Verdict, list []studies.Smaller) Table {
	t := Table{Key: "smaller_supplies", Title: "A smaller supply dims the picture", Columns: []Column{
		{"rating_w", "rating"}, {"scale", "levels"}, {"max_duty", "the same as drive.max_duty"}, {"holds", "drops hold"},
	}}
	for _, x := range list {
		holds := "yes"
		if !v.Holds(x.Duty) {
			holds = "no"
		}
		t.Rows = append(t.Rows, []Cell{In(x.Power, quantity.Power), {x.Scale, fmt.Sprintf("× %.3f", floor(x.Scale))}, {x.Duty, percent(floor(x.Duty))}, Say(holds)})
	}
	return t
}

// ZonesSection is a display cut into zones with a supply each.
func ZonesSection(x *studies.Zoned) Section {
	lines := "rows"
	if x.Columns {
		lines = "columns"
	}
	t := Table{Key: "zones", Columns: []Column{
		{"zone", lines}, {"frame", "draws most in frame"}, {"power_w", "needs"}, {"rating_w", "supply"}, {"fuse_a", "fuse"}, {"feeder_m2", "feeder"}, {"pairs", "pairs"}, {"capacitors_f", "capacitors"}, {"return_a", "through a joint of the grounds"},
	}}
	for _, z := range x.Zones {
		t.Rows = append(t.Rows, []Cell{
			Say(fmt.Sprintf("%d to %d", z.From+1, z.To)), {z.Frame + 1, fmt.Sprint(z.Frame + 1)}, In(z.Need(), quantity.Power), In(z.Power.Value, quantity.Power), In(z.Fuse.Value, quantity.Current),
			In(z.Area.Value, quantity.Area), {z.Runs.Value, fmt.Sprintf("%.0f", z.Runs.Value)}, In(z.Capacitor.Value, quantity.Capacitance), In(z.Return, quantity.Current),
		})
	}
	const title = "Zones, each with its supply and fuse"
	if len(x.Zones) == 0 {
		return Section{Key: "zones", Title: title, Notes: []string{"Even one of the " + lines + " is too much for any supply of this kind and voltage: less duty, a higher voltage with it, or a driver and a supply for parts of a line."}}
	}
	return Section{Key: "zones", Title: title, Tables: []Table{t}, Notes: []string{
		"Each zone is sized for the frame of the scene that lights it most, the others dark: the fewest equal zones that one supply each carries.",
		"Cut the positive feeder between zones, never join two outputs. Join the negative leads at one place, near the supplies: joined at the board, too, the others' leads carry up to what is told of a zone that is lit alone (equal leads, a joint without resistance), so a fuse never stands in a negative lead.",
		"Switch all zones on and off together: a driver whose rail is off may be fed through its inputs. Choose contacts that bear the fuse: supply.contact_current tells how many.",
	}}
}

// SparingTable is what other capacitors a supply needs with other settings.
func SparingTable(list []studies.Sparing) Table {
	t := Table{Key: "capacitors", Title: "Other settings, and the capacitors that they ask for", Columns: []Column{
		{"set", "with"}, {"capacitors_f", "capacitors"}, {"energy_j", "energy"}, {"limiter_ohm", "inrush limiter"}, {"inrush_a", "inrush without"}, {"soft_start_s", "soft start over"},
	}}
	figure := func(f supply.Figure, d quantity.Dimension) Cell {
		if f.Value == 0 {
			return Cell{None, "–"}
		}
		return In(f.Value, d)
	}
	for _, x := range list {
		set := Cell{None, "the design as it is"}
		if x.Set != nil {
			set = Say(settings(x.Set))
		}
		t.Rows = append(t.Rows, []Cell{set, figure(x.Capacitor, quantity.Capacitance), figure(x.CapEnergy, quantity.Energy), figure(x.Limiter, quantity.Resistance), figure(x.InrushPeak, quantity.Current), figure(x.InrushTime, quantity.Time)})
	}
	return t
}

// WaveformChart draws the rails' current over the stretch in which it repeats. together
// is the same picture with all periods starting together, nil to leave it out.
func WaveformChart(d design.Design, what string, w studies.Waveform, together *studies.Waveform) Chart {
	unit, factor := "µs", 1e6
	if w.Time[len(w.Time)-1] > 2e-3 {
		unit, factor = "ms", 1e3
	}
	scaled := func(t []float64) []float64 {
		out := make([]float64, len(t))
		for i, v := range t {
			out[i] = v * factor
		}
		return out
	}
	c := Chart{X: "time, " + unit, Y: "current of the rails, A", FromZero: true}
	switch d.Drive.Mode {
	case design.DriveScan:
		c.Title = "Supply current over one scan: " + what
	case design.DriveKick:
		c.Title = "Supply current from the start of a frame: " + what
	default:
		c.Title = "Supply current over one PWM period: " + what
	}
	if w.Mean == nil {
		c.Lines = []Line{{Label: string(d.Drive.Mode), X: scaled(w.Time), Y: w.Highest}}
		if together != nil {
			c.Lines = append(c.Lines, Line{Label: "all together", X: scaled(together.Time), Y: together.Highest})
		}
		return c
	}
	c.Lines = []Line{{Label: "highest in a period", X: scaled(w.Time), Y: w.Highest}, {Label: "mean of a period", X: scaled(w.Time), Y: w.Mean}}
	return c
}

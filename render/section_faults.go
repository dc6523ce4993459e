package render

import (
	"fmt"
	"math"

	"lodegrid/array/design"
	"lodegrid/array/supply"
	"lodegrid/field/quantity"
	"lodegrid/scenes/faults"
)

// faultNames are the faults in a maker's words.
var faultNames = map[faults.Kind]string{
	faults.TurnShorted: "one turn shorted", faults.LayerShorted: "one layer shorted", faults.CoilShorted: "a coil shorted at its terminals",
	faults.SwitchStuck: "one switch stuck on", faults.CoilOpen: "one coil open", faults.DriverDead: "one driver dead",
	faults.HungLit: "firmware hung, all at full level", faults.HungOn: "firmware hung, all switched on",
	faults.KickStuck: "a kick that never ends", faults.RowStuck: "the scan stops in a row", faults.FanStopped: "fan stopped",
	faults.PixelHung: "firmware leaves one pixel on", faults.DiodeShorted: "a coil's diode shorted", faults.RowShorted: "a row's line on the rail for good", faults.ColumnShorted: "a column's line on the return for good",
	faults.RowsTouch: "two rows' lines touch", faults.ColumnsTouch: "two columns' lines touch", faults.LinesTouch: "a row's line touches a column's",
	faults.SupplyHigh: "supply 10 % high", faults.FeederLoose: "supply's feeder loose", faults.RowLoose: "one row's feeder loose",
}

func faultName(f *faults.Fault) string {
	name := faultNames[f.Kind]
	if f.Strong {
		name += ", strong supply"
	}
	return name
}

// FaultsBrief is what each fault does in one table, for the sections of other commands.
func FaultsBrief(d design.Design, x *faults.Study) Section {
	s := Section{Key: "faults", Title: "One thing goes wrong", Tables: []Table{heatTable(d, x), catchTable(x)}}
	s.Facts = []Fact{GuaranteeFact(x)}
	s.Notes = append(s.Notes, inTime, "From the scene's mean heat on; lodegrid faults tells currents, fuse and picture, and sizes the parts.")
	return s
}

// FaultsSections is all about the faults: what they do, what catches them, and what the
// parts are sized by.
func FaultsSections(d design.Design, x *faults.Study) []Section {
	does := Section{Key: "faults", Title: "One thing goes wrong", Tables: []Table{heatTable(d, x), currentTable(x), pictureTable(d, x)}, Notes: []string{
		"From the steady state of the scene's mean heat on, the other pixels going on with that heat; times within 1 % of the model's own.",
		fmt.Sprintf("A supply's own limit is taken as %s times its rating: usual ones limit at 1.1 to 1.5 times (common practice, no source). Held there it may give its whole power, by which the coils are heated here, or its current at a lower voltage, by which the fuse is judged. Strong supply: one that gives all that is asked for.", quantity.Figure(supply.Overload, 3)),
		fmt.Sprintf("Fuse: time-lag, %s, within the limits of IEC 60127-2 sheet 3 (from memory); quick-acting ones in the pixels' leads by its sheet 2, as quoted by a secondary source. Between the standard's currents the bounds of the next ones hold.", quantity.Format(x.Parts.Main.Fuse, quantity.Current)),
		"One turn or layer shorted: the heat is taken as even over the coil; what is left of the winding is hotter by the lost share.",
	}}
	if d.Drive.Mode == design.DriveScan {
		does.Notes = append(does.Notes, "A scan's lines and diodes: coil by coil and turn by turn, each turn by itself, the columns' periods starting together. Past a shorted diode, or from a row's line to a column's, current of the other rows finds a way back through coils that should be dark. In its coil: while its row is on.")
	}
	if most := max(x.Parts.Main.Fuse, x.Parts.Kick.Fuse); most > supply.MostMiniature {
		does.Notes = append(does.Notes, fmt.Sprintf("No miniature fuse is made for %s: others have curves of their own, mostly slower near their rating, so take the times here for a guess.", quantity.Format(most, quantity.Current)))
	}
	return []Section{does, partsSection(d, x)}
}

func heatTable(d design.Design, x *faults.Study) Table {
	t := Table{Key: "heat", Title: "How hot, and how soon", Columns: []Column{
		{"fault", "fault"}, {"hottest_k", "hottest turn"}, {"touch_k", "surface"}, {"to_board_s", "board over " + celsius(d.Limits.Board)}, {"to_touch_s", "surface over " + celsius(d.Limits.Touch)}, {"spot_w", "heat in one spot"},
	}}
	board, touch := x.Sound() // of what heats no more
	for i := range x.Faults {
		f := &x.Faults[i]
		row := []Cell{{string(f.Kind), faultName(f)}, {None, "as before"}, {None, "as before"}, soon(board), soon(touch), {None, "–"}}
		if f.Heats {
			c := f.Course
			row[1], row[2], row[3], row[4] = ends(c.Hottest), ends(c.Touch), soon(c.ToBoard), soon(c.ToTouch)
		}
		if f.Spot > 0 {
			row[5] = In(f.Spot, quantity.Power)
			switch f.Kind {
			case faults.CoilShorted:
				row[5].Text += " in its driver"
			case faults.LinesTouch:
				row[5].Text += " in both lines' switches"
			case faults.FeederLoose:
				row[5].Text += " in the joint, at worst"
			}
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// ends is a temperature that is reached in the end.
func ends(kelvin float64) Cell {
	if math.IsInf(kelvin, 1) {
		return Cell{Infinite, "no end in sight"}
	}
	return Cell{kelvin, celsius(kelvin)}
}

// soon is a time until a limit is passed.
func soon(seconds float64) Cell {
	switch {
	case math.IsInf(seconds, 1):
		return Cell{Infinite, "never"}
	case seconds == 0:
		return Cell{0.0, "without a fault too"}
	}
	return Cell{seconds, "after " + lasting(seconds)}
}

// lasting words a time with a long one in minutes or hours.
func lasting(seconds float64) string {
	switch {
	case seconds >= 7200:
		return fmt.Sprintf("%s h", quantity.Figure(seconds/3600, 3))
	case seconds >= 120:
		return fmt.Sprintf("%s min", quantity.Figure(seconds/60, 3))
	}
	return quantity.Format(seconds, quantity.Time)
}

func currentTable(x *faults.Study) Table {
	t := Table{Key: "current", Title: "Which current flows", Columns: []Column{
		{"fault", "fault"}, {"coil_a", "in its coil"}, {"asked_a", "asked of the supply"}, {"flows_a", "it gives"}, {"fuse_ratio", "of the fuse's rating"}, {"opens_s", "the fuse opens"},
	}}
	for i := range x.Faults {
		f := &x.Faults[i]
		row := []Cell{{string(f.Kind), faultName(f)}, {None, "–"}, In(f.Asked, quantity.Current), In(f.Current, quantity.Current), {f.Ratio, quantity.Figure(f.Ratio, 3)}, opening(f)}
		if f.Coil > 0 {
			row[1] = In(f.Coil, quantity.Current)
		}
		if f.Held {
			row[3].Text += ", its limit"
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// opening words when a fuse opens.
func opening(f *faults.Fault) Cell {
	switch opens := f.Opens(); {
	case opens == faults.Never:
		return Cell{Infinite, "no"}
	case opens == faults.Perhaps:
		return Cell{Infinite, "perhaps"}
	case f.Earliest == 0:
		return Cell{f.Latest, "within " + lasting(f.Latest)}
	}
	return Cell{f.Latest, fmt.Sprintf("after %s to %s", lasting(f.Earliest), lasting(f.Latest))}
}

func pictureTable(d design.Design, x *faults.Study) Table {
	t := Table{Key: "picture", Title: "What the picture loses", Columns: []Column{
		{"fault", "fault"}, {"pixel", "strikes"}, {"dark", "pixels dark"}, {"on", "pixels that never let go"}, {"pull_share", "pull of a struck pixel"}, {"time_share", "of the time it shows"},
	}}
	for i := range x.Faults {
		f := &x.Faults[i]
		if f.Strong {
			continue
		}
		strikes := Cell{None, quantity.Count(f.Count, "pixel")}
		if f.Pixel >= 0 {
			strikes = Cell{f.Pixel, place(d, f.Pixel)}
			if f.Count > 1 { // coils in series
				strikes.Text += fmt.Sprintf(" to %d", f.Pixel%d.Grid.Cols+f.Count)
			}
		}
		t.Rows = append(t.Rows, []Cell{
			{string(f.Kind), faultName(f)}, strikes, {f.Lost.Dark, fmt.Sprint(f.Lost.Dark)}, {f.Lost.On, fmt.Sprint(f.Lost.On)},
			{f.Lost.Pull, fmt.Sprintf("%s %%", quantity.Figure(100*f.Lost.Pull, 3))}, {f.Lost.Time, fmt.Sprintf("%s %%", quantity.Figure(100*f.Lost.Time, 3))},
		})
	}
	return t
}

func catchTable(x *faults.Study) Table {
	t := Table{Key: "catches", Title: "What catches it in time", Columns: []Column{
		{"fault", "fault"}, {"part", "part"}, {"works", "in time"}, {"size", "size"}, {"others", "and what does not"},
	}}
	for i := range x.Faults {
		f := &x.Faults[i]
		row := []Cell{{string(f.Kind), faultName(f)}, {None, "nothing"}, {false, "no"}, {None, "–"}, {None, "–"}}
		switch harm := f.Harm(); {
		case math.IsInf(harm, 1):
			row[1].Text, row[2] = "nothing is needed", Cell{None, "–"}
		case harm == 0:
			row[1].Text = "nothing: without the fault, too, the board passes its limit"
		}
		caught := f.Caught()
		if caught != nil {
			row[1] = Cell{string(caught.Part), partName(caught)}
			row[2] = Cell{true, "yes"}
			row[3] = Cell{finite(caught.Size, Infinite), partSize(caught)}
		}
		others := ""
		for k := range f.Catches {
			if c := &f.Catches[k]; !c.Works {
				if others != "" {
					others += ", "
				}
				others += partName(c)
			}
		}
		if others != "" {
			row[4] = Say(others)
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

func partName(c *faults.Catch) string {
	switch c.Part {
	case faults.FeederFuse:
		return "the feeder's fuse"
	case faults.PixelFuse:
		return "a fuse in its lead"
	case faults.DriverLimit:
		return "its driver's current limit"
	case faults.CutOut:
		return "a thermal cut-out"
	case faults.Watchdog:
		return "a watchdog that switches the rail off"
	case faults.RailCheck:
		return "a look at the rail's current"
	case faults.UnderVoltage:
		return "an under-voltage switch at the board"
	case faults.FanSensor:
		return "the fan's speed sensor"
	}
	return string(c.Part)
}

func partSize(c *faults.Catch) string {
	switch c.Part {
	case faults.FeederFuse, faults.PixelFuse, faults.DriverLimit:
		return quantity.Format(c.Size, quantity.Current)
	case faults.CutOut:
		return celsius(c.Size)
	case faults.UnderVoltage:
		return "off below " + quantity.Format(c.Size, quantity.Voltage)
	case faults.RailCheck:
		return "every " + lasting(c.Size)
	}
	return "after " + lasting(c.Size)
}

// GuaranteeFact is what the firmware must guarantee so that no fault but its own does harm.
func GuaranteeFact(x *faults.Study) Fact {
	f := Words("firmware", "firmware must guarantee", x.Guarantee.String())
	if t := x.Guarantee.Start; t > 0 {
		f.Text += fmt.Sprintf("; the fullest frame is on %s after switching on within it", lasting(t))
	}
	f.Why = "lit, kicked: what the supply gives for long over what a pixel draws cold; fully on: half the time to a limit of a stuck switch; watchdog: half the shortest time to a limit of any firmware fault, a second at most. It heads the table that lodegrid frames writes"
	return f
}

// partsSection sizes the parts.
func partsSection(d design.Design, x *faults.Study) Section {
	p := x.Parts
	s := Section{Key: "parts", Title: "What catches faults", Tables: []Table{catchTable(x)}}
	rail := func(prefix, of string, r faults.Rail) []Fact {
		return []Fact{
			Number(prefix+"limit_a", "own limit of "+of, r.Limit, quantity.Current).Because(fmt.Sprintf("%s × %s W / %s V", quantity.Figure(supply.Overload, 3), quantity.Figure(r.Rating, 4), quantity.Figure(r.Voltage, 4))),
			Number(prefix+"fuse_a", "fuse of its feeder, time-lag", r.Fuse, quantity.Current).Because("see lodegrid supply"),
		}
	}
	s.Facts = rail("supply_", "the supply", p.Main)
	if p.Kick.Voltage > 0 {
		s.Facts = append(s.Facts, rail("kick_", "the kick rail's supply", p.Kick)...)
	} else {
		s.Facts = append(s.Facts, absent("kick_limit_a", "kick_fuse_a")...)
	}
	fuse := Fact{Key: "pixel_fuse_a", Label: "fuse in a pixel's lead", Value: None, Text: "none of its size"}
	if p.PixelFuse > 0 {
		fuse = Number("pixel_fuse_a", "fuse in a pixel's lead, quick-acting", p.PixelFuse, quantity.Current).Because(fmt.Sprintf("next usual rating from %s × %s A RMS (common practice, no source)", quantity.Figure(supply.FuseMargin, 3), quantity.Figure(p.PixelRMS, 4)))
	}
	s.Facts = append(s.Facts,
		fuse,
		Number("driver_limit_a", "current limit of a driver", p.DriverLimit, quantity.Current).Because(fmt.Sprintf("1.3 × the highest peak of a sound pixel, %s A, cold (common practice, no source)", quantity.Figure(p.PixelPeak, 4))),
		Fact{Key: "cut_out_k", Label: "thermal cut-out", Value: p.CutOut, Text: fmt.Sprintf("%s, on the board behind %s", celsius(p.CutOut), place(d, p.Place)),
			Why: fmt.Sprintf("next 5 K from 15 K over the board's %s K there in the scene (common practice, no source)", quantity.Figure(p.Usual, 4))},
		Number("least_rail_v", "under-voltage switch", p.LeastRail, quantity.Voltage).Because("supply.voltage − supply.droop"),
		GuaranteeFact(x),
	)
	s.Notes = []string{
		inTime,
		"Cut-out, watchdog, current check and under-voltage switch act on one switch in the rail, which no firmware may hold on.",
		"A stuck switch is told for the scene's hottest pixel; a cut-out has to see it from half the board away, as a corner is from the middle.",
		"A look at the rail's current compares it with what the picture should draw: half a pixel more or less is a fault. Take it while the picture is dark or still.",
		"Fit a cut-out that stays off until someone looks, and one more than you need where a fault can burn: any part here can fail too.",
	}
	return s
}

// FaultCautions are the warnings that the faults earn.
func FaultCautions(x *faults.Study) []Caution {
	var list []Caution
	for i := range x.Faults {
		f := &x.Faults[i]
		switch {
		case f.Kind == faults.HungLit && f.Held:
			list = append(list, Caution{Key: "fault_hung", Text: fmt.Sprintf("If the firmware hangs with everything lit, %s are asked of a supply that gives %s at most: its rail collapses, and the feeder's fuse %s. Fit a watchdog in hardware that switches the rail off.",
				quantity.Format(f.Asked, quantity.Current), quantity.Format(f.Current, quantity.Current), fuseWords(f))})
		case f.Strong && f.Harms() && f.Kind == faults.HungOn:
			list = append(list, Caution{Key: "fault_strong_supply", Text: fmt.Sprintf("Do not fit a stronger supply than is needed: with every switch on and %s to be had, %s.", quantity.Format(f.Asked, quantity.Current), harmed(f))})
		case (f.Kind == faults.SwitchStuck || f.Kind == faults.PixelHung) && f.Harms():
			text := fmt.Sprintf("Fire, burns: %s draws only %s, and %s; the feeder's fuse %s.", map[faults.Kind]string{faults.SwitchStuck: "one switch stuck on", faults.PixelHung: "one pixel left on"}[f.Kind], quantity.Format(f.Coil, quantity.Current), harmed(f), fuseWords(f))
			if c := f.Caught(); c != nil {
				text += fmt.Sprintf(" What catches it in time: %s, %s.", partName(c), partSize(c))
			}
			list = append(list, Caution{Key: "fault_stuck", Text: text})
		case f.Kind == faults.CoilShorted && f.Heats: // of a string
			list = append(list, Caution{Key: "fault_short", Text: fmt.Sprintf("A coil shorted at its terminals leaves its string's voltage to the others, which carry %s then; the feeder's fuse %s.", quantity.Format(f.Coil, quantity.Current), fuseWords(f))})
		case f.Kind == faults.CoilShorted:
			list = append(list, Caution{Key: "fault_short", Text: fmt.Sprintf("A coil shorted at its terminals puts up to %s into its driver and the supply's limit may hide it from the fuse: take drivers that limit their own current, near %s.", quantity.Format(f.Spot, quantity.Power), quantity.Format(x.Parts.DriverLimit, quantity.Current))})
		case f.Kind == faults.FeederLoose:
			list = append(list, Caution{Key: "fault_loose", Text: fmt.Sprintf("A loose joint in the feeder may take up to %s, enough to char it, and no fuse opens: crimp and screw, and check it warm.", quantity.Format(f.Spot, quantity.Power))})
		}
		if f.Harms() && f.Caught() == nil {
			list = append(list, Caution{Key: "fault_uncaught", Text: fmt.Sprintf("Nothing of the usual parts catches in time: %s (%s).", faultName(f), harmed(f))})
		}
	}
	return list
}

// harmed words which harm a fault does, and when.
func harmed(f *faults.Fault) string {
	if harm := f.Harm(); harm < f.Course.ToBoard {
		return fmt.Sprintf("a surface has been over its limit for a minute after %s", lasting(harm))
	}
	return fmt.Sprintf("the board is over its limit after %s", lasting(f.Course.ToBoard))
}

// inTime is what a part that catches a fault comes before.
const inTime = "In time: before the board is over its limit, or a surface within reach has been over its own for a minute (ISO 13732-1 goes by how long it is touched; from memory)."

func fuseWords(f *faults.Fault) string {
	switch f.Opens() {
	case faults.Never:
		return "does not open"
	case faults.Perhaps:
		return "may not open"
	}
	return "opens within " + lasting(f.Latest)
}

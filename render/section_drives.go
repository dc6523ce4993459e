package render

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"lodegrid/array/design"
	"lodegrid/field/quantity"
	"lodegrid/scenes/choose"
	"lodegrid/scenes/verdict"
)

// DrivesSections tell which drives there are at equal pull and equal time of a move; problems
// where none is.
func DrivesSections(d design.Design, a *choose.Advice, by choose.Goal) (list []Section, problems []Problem) {
	s := Section{Key: "drives", Title: "How to drive it"}
	wanted := Number("hold_n", "wanted force on a lone drop", a.Hold, quantity.Force)
	if !a.Force {
		wanted = Fact{Key: "hold", Label: "wanted hold of a lone lit pixel", Value: a.Hold, Text: fmt.Sprintf("%s × what the drop needs", quantity.Figure(a.Hold, 3))}
	}
	s.Facts = append(s.Facts, wanted, Number("move_s", "a drop may take to its neighbour", a.Move, quantity.Time),
		Fact{Key: "tried", Label: "tried", Value: a.Tried, Text: fmt.Sprintf("%d, of which %d were worked out in full and played", a.Tried, len(a.Drives))})
	t := Table{Key: "ranked", Title: fmt.Sprintf("Those that break nothing first, then by %s", by), Columns: []Column{
		{"drive", "no."}, {"broken", "breaks"}, {"mode", "mode"}, {"scan_rows", "rows at once"}, {"in_series", "in series"}, {"bridge", "bridge"}, {"rail_v", "rail"}, {"kick_v", "kick rail"}, {"frequency_hz", "PWM"}, {"duty", "duty"}, {"hold_duty", "held"}, {"hold", "hold"}, {"time_s", "move"},
		{"power_w", "mean power"}, {"edges_w", "of it edges"}, {"touch_k", "touch"}, {"ripple", "ripple"}, {"need_w", "needed"}, {"rating_w", "supplies"}, {"parts", "parts"}, {"price", "price"},
	}}
	for i, x := range a.Drives {
		drive := x.Design.Drive
		kick, held := Cell{None, "–"}, Cell{None, "–"}
		if drive.Mode == design.DriveKick {
			kick, held = In(drive.KickVoltage, quantity.Voltage), Cell{drive.HoldDuty, percent(drive.HoldDuty)}
		} else if s := x.Design.Scene; s.Carry {
			held = Cell{drive.MaxDuty * s.HoldLevel, percent(drive.MaxDuty * s.HoldLevel)}
		}
		hold := Cell{x.Lone, quantity.Figure(x.Lone, 3)}
		if a.Force {
			hold = In(x.Lone, quantity.Force)
		}
		need, total, ratings := 0.0, 0.0, []string{}
		for i, s := range x.Supplies {
			need, total = need+x.Needs[i], total+s.Power
			if s.Power == 0 {
				ratings = append(ratings, "none on offer")
			} else {
				ratings = append(ratings, quantity.Format(s.Power, quantity.Power))
			}
		}
		t.Rows = append(t.Rows, []Cell{
			{i + 1, fmt.Sprint(i + 1)}, brokenCell(x.Choice), Say(string(x.Mode)), scanRows(x.Way), coilsCell(x.Way), Say(string(x.Bridge)), In(x.Main, quantity.Voltage), kick, In(drive.Frequency, quantity.Frequency), {drive.MaxDuty, percent(drive.MaxDuty)}, held, hold,
			{finite(x.Time, Infinite), timeText(x.Time)}, powered(x.Power), In(x.Edges, quantity.Power), ends(x.Touch), {x.Ripple, percent(x.Ripple)},
			asked(need, x.Needs), {total, strings.Join(ratings, " + ")}, {x.Parts, fmt.Sprint(x.Parts)}, priceCell(x.Price),
		})
	}
	if len(a.Drives) > 0 {
		s.Tables = append(s.Tables, t)
		if len(a.Drives) > 1 {
			s.Tables = append(s.Tables, takeTable(a.Drives))
		}
		if near, note := nearestTable(a); note != "" {
			if near.Rows != nil {
				s.Tables = append(s.Tables, near)
			}
			s.Notes = append(s.Notes, note)
		}
		s.Facts = append(s.Facts, takeIt(a.Drives[0]))
		s.Notes = append(append(s.Notes, driveCautions(d, a.Drives)...), "Hold: of a lone lit pixel, cold. Move: the slower of up and sideways, as the drive does it by itself: switched at its full level, or kicked. Duty: of full level, in mode kick of the kick; held: after it. Ripple: RMS of a held coil's current over its mean. Parts: driver chips, diodes beside them and at a scan's coils, supplies. Price: of chips and supplies, by the offer.",
			fmt.Sprintf("The lowest frequency within %s of the coolest is taken; where the move asks for more than the hold, its duty is found to about %s. The switches in a pixel's path are taken as %s Ω in a full bridge and on the low side alike (drive.on_resistance).", percent(choose.SameHeat-1), percent(choose.DutyStep-1), quantity.Figure(d.Drive.OnResistance, 3)))
	} else {
		problems = append(problems, Problem{Key: string(choose.Bought), What: "No supply on offer drives the coils as is wanted.", Advice: []string{"See in the last column of the table which voltage would; or want less hold or a slower move (--hold, --move)."}})
	}
	s.Notes = append(s.Notes, seriesNote(d, a))
	if len(a.Stopped) > 0 {
		t, notes := stoppedTable(a)
		s.Tables, s.Notes = append(s.Tables, t), append(s.Notes, notes...)
	}
	return []Section{s}, problems
}

// seriesNote says what coils in series are for, and why they were tried or not.
func seriesNote(d design.Design, a *choose.Advice) string {
	s := "Coils in series on one output (drive.in_series) light together and share its voltage: fewer outputs, and a higher rail without short pulses. "
	switch at := a.Apart; {
	case len(a.Coils) > 0:
		s += fmt.Sprintf("Here neighbours in a row may be up to %d, in modes direct, stagger and kick; in mode scan none can be: rows and columns share their lines, with a diode for each coil, and no output is a string's own. A coil that opens darkens its string.", a.Coils[len(a.Coils)-1])
		if d.Drive.Place == design.PlaceEdge {
			s += " Their joints are not drawn for drivers at the edge: with drive.place = \"second-board\" a second board carries them."
		}
		return s
	case at != nil:
		return s + fmt.Sprintf("None were tried: frame %d wants %s and %s apart.", at.Frame+1, place(d, at.First), place(d, at.Pixel))
	case d.Scene.Carry:
		return s + "None were tried: drops that are carried take a driver for each pixel."
	}
	return s + "None were tried: the rows have no whole strings of them."
}

// coilsCell is how many coils a drive has in series.
func coilsCell(w choose.Way) Cell {
	if w.Coils < 2 {
		return Cell{None, "–"}
	}
	return Cell{w.Coils, fmt.Sprint(w.Coils)}
}

// scanRows is how many rows of a scan are on at once.
func scanRows(w choose.Way) Cell {
	if w.Mode != design.DriveScan {
		return Cell{None, "–"}
	}
	return Cell{w.Rows, fmt.Sprint(w.Rows)}
}

// powered is the mean power, where there is a state to tell it of.
func powered(watts float64) Cell {
	if math.IsInf(watts, 1) {
		return Cell{None, "–"}
	}
	return In(watts, quantity.Power)
}

// asked is what all supplies must give, W, and each.
func asked(sum float64, each []float64) Cell {
	var list []string
	for _, w := range each {
		list = append(list, quantity.Format(w, quantity.Power))
	}
	if list == nil {
		return Cell{None, "–"}
	}
	return Cell{sum, strings.Join(list, " + ")}
}

// typed are the settings of a drive as they are typed.
func typed(x choose.Driven) string {
	var list []string
	for _, c := range x.Changes {
		list = append(list, fmt.Sprintf("--set %s=%q", c.Key, c.Value))
	}
	return strings.Join(list, " ")
}

// takeTable is the settings of every drive.
func takeTable(list []choose.Driven) Table {
	t := Table{Key: "taken", Title: "To take one of them", Columns: []Column{{"drive", "no."}, {"settings", "settings"}}}
	for i, x := range list {
		t.Rows = append(t.Rows, []Cell{{i + 1, fmt.Sprint(i + 1)}, Say(typed(x))})
	}
	return t
}

// nearestTable tells, where every drive breaks some limit, how near any comes to those that all of
// them break; note is "" where one breaks none.
func nearestTable(a *choose.Advice) (t Table, note string) {
	t = Table{Key: "nearest", Title: "How near they come to what none of them keeps", Columns: []Column{{"limit", "limit"}, {"drive", "nearest is no."}, {"value", "with"}, {"bound", "limit"}}}
	all, fewest := map[verdict.Limit]int{}, 0
	least, _ := broken(a.Drives[0].Choice)
	for i, x := range a.Drives {
		keys, _ := broken(x.Choice)
		if keys == nil {
			return t, ""
		}
		if len(keys) < len(least) {
			least, fewest = keys, i
		}
		for _, p := range x.Verdict.Problems {
			all[p.Limit]++
		}
	}
	for _, p := range a.Drives[0].Verdict.Problems {
		if all[p.Limit] < len(a.Drives) {
			continue
		}
		best, at := p, 0
		for i, x := range a.Drives {
			for _, q := range x.Verdict.Problems {
				if q.Limit == p.Limit && farther(best, q) {
					best, at = q, i
				}
			}
		}
		with := bare(p.Limit, best.Value)
		if stiff(best) {
			with += fmt.Sprintf(", but %d of %d hops fail with a stiff drop", best.Count, best.Of)
		}
		t.Rows = append(t.Rows, []Cell{Say(string(p.Limit)), {at + 1, fmt.Sprint(at + 1)}, {finite(best.Value, Infinite), with}, {best.Bound, bare(p.Limit, best.Bound)}})
	}
	return t, fmt.Sprintf("None of these drives keeps every limit; no. %d breaks the fewest, %s. With less hold or a slower move (--hold, --move) the coils take less; what else would mend a limit lodegrid report tells of the drive as taken.", fewest+1, listed(least))
}

// stiff tells that enough shows, and that a drop which keeps its shape fails on hops.
func stiff(p verdict.Problem) bool { return p.Limit == verdict.Shown && p.Value >= p.Bound }

// farther tells whether a breaks its limit by more than b does the same.
func farther(a, b verdict.Problem) bool {
	if stiff(a) || stiff(b) {
		return stiff(b) && (!stiff(a) || b.Count < a.Count)
	}
	return math.Abs(b.Value-b.Bound) < math.Abs(a.Value-a.Bound)
}

// bare is a limit's figure by itself.
func bare(l verdict.Limit, v float64) string {
	switch {
	case math.IsInf(v, 1) && l.Thermal():
		return "no end in sight"
	case l.Thermal():
		return celsius(v)
	case l == verdict.Power:
		return quantity.Format(v, quantity.Power)
	case l == verdict.Driver:
		return quantity.Format(v, quantity.Current)
	case l == verdict.Filled:
		return quantity.Format(v, quantity.Volume)
	case l == verdict.Turned:
		return quantity.Format(v, quantity.Density)
	case l == verdict.Shown, l == verdict.Stray, l == verdict.Room:
		return percent(v)
	}
	return quantity.Figure(v, 3)
}

// takeIt is the settings of the first drive.
func takeIt(x choose.Driven) Fact {
	label := "to take the first"
	if keys, _ := broken(x.Choice); keys != nil {
		label = "the first, not fit for use"
	}
	return Words("settings", label, typed(x))
}

// hearing is up to where a frequency is heard, Hz (common practice, no source).
const hearing = 20e3

// driveCautions are what ranked drives have to be watched for.
func driveCautions(d design.Design, list []choose.Driven) (notes []string) {
	which := func(has func(x choose.Driven) bool) string {
		var n []string
		for i, x := range list {
			if has(x) {
				n = append(n, fmt.Sprint(i+1))
			}
		}
		return listed(n)
	}
	say := func(has func(x choose.Driven) bool, format string) {
		if n := which(has); n != "" {
			notes = append(notes, "No. "+n+": "+format)
		}
	}
	say(func(x choose.Driven) bool { return x.Design.Drive.Frequency < hearing }, "below 20 kHz coils and steel can be heard.")
	say(func(x choose.Driven) bool { return x.Mode == design.DriveScan }, fmt.Sprintf("the rows take turns at %s, which may be heard; an output of a row carries the whole row. Where more are on at once each column's line is cut into as many, every piece with its own output.", quantity.Format(1/d.Drive.ScanTime, quantity.Frequency)))
	say(func(x choose.Driven) bool { return x.Ripple > 0.5 }, "the ripple is more than half the mean: it heats by its square, and how much of it pulls hangs on fluid.relaxation.")
	say(func(x choose.Driven) bool { return x.Edges > 0.1*x.Power }, "a tenth of the power or more is lost while switching.")
	say(func(x choose.Driven) bool {
		return x.Mode == design.DriveKick && x.Design.Drive.KickVoltage > x.Design.Supply.Voltage
	}, "a kick that never ends heats fast: see lodegrid faults, and fit what it sizes.")
	if t := d.Drive.EdgeTime; t > 0 {
		notes = append(notes, fmt.Sprintf("Edges of %s carry strength up to about 1/(π t) = %s (spectrum of a trapezoid, from memory): keep each coil's two leads together, and the loops of chips and capacitors small.", quantity.Format(t, quantity.Time), quantity.Format(1/(math.Pi*t), quantity.Frequency)))
	} else {
		notes = append(notes, "drive.edge_time is not told: faster edges radiate more, slower ones heat the driver; which frequency is too high for them is not judged.")
	}
	if d.Drive.EdgeLoss == 0 {
		notes = append(notes, "drive.edge_loss is not told: what switching loses is not in these figures, and speaks for the lower frequency.")
	}
	return notes
}

// stoppedTable tells the ways that are no drive here, and what would make them one.
func stoppedTable(a *choose.Advice) (t Table, notes []string) {
	t = Table{Key: "stopped", Title: "What does not do", Columns: []Column{{"mode", "mode"}, {"scan_rows", "rows at once"}, {"in_series", "in series"}, {"bridge", "bridge"}, {"rail_v", "rail"}, {"kick_v", "kick rail"}, {"limit", "stops at"}, {"volts_v", "at full duty it would take"}}}
	for _, x := range a.Stopped {
		kick, would := Cell{None, "–"}, Cell{None, "–"}
		if x.Mode == design.DriveKick {
			kick = In(x.Kick, quantity.Voltage)
		}
		why := limitCell(x.Limit)
		switch x.Limit {
		case verdict.Holding, choose.Move:
			if would = (Cell{None, "no voltage on offer does"}); x.Volts > 0 {
				would = In(x.Volts, quantity.Voltage)
			}
		case "":
			why = Cell{x.Why, "see below"}
			if note := x.Why + "."; !slices.Contains(notes, note) {
				notes = append(notes, note)
			}
		}
		t.Rows = append(t.Rows, []Cell{Say(string(x.Mode)), scanRows(x.Way), coilsCell(x.Way), Say(string(x.Bridge)), In(x.Main, quantity.Voltage), kick, why, would})
	}
	return t, notes
}

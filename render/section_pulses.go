package render

import (
	"cmp"
	"context"
	"fmt"
	"math"

	"lodegrid/array/design"
	"lodegrid/array/heat"
	"lodegrid/field"
	"lodegrid/field/quantity"
	"lodegrid/scenes/studies"
)

// PulseSection is how long a pixel may be on at a constant voltage and how often, and
// what it can take continuously.
func PulseSection(ctx context.Context, d design.Design, t *studies.Pulses, starts, volts []float64, width float64) (Section, error) {
	s := Section{Key: "pulses", Title: "Pulses"}
	pulses, repeats, err := t.Table(ctx, starts, volts, width)
	if err != nil {
		return s, err
	}
	holds, err := t.Continuous(ctx)
	if err != nil {
		return s, err
	}
	single := Table{Key: "single", Title: fmt.Sprintf("Longest single pulse: full on until the coil is at %s", celsius(d.Limits.Board)), Columns: []Column{
		{"company", "pixels"}, {"voltage_v", "voltage"}, {"start_k", "board before"}, {"longest_s", "longest"}, {"cool_down_s", "cools again in"}, {"energy_j", "heat per coil"},
	}}
	for _, p := range pulses {
		row := []Cell{Say(string(p.Company)), In(p.Voltage, quantity.Voltage), {p.Start, celsius(p.Start)}, In(p.Longest, quantity.Time), In(p.CoolDown, quantity.Time), In(p.Heat, quantity.Energy)}
		if math.IsInf(p.Longest, 1) {
			row[3], row[4], row[5] = Cell{Infinite, "no limit"}, Cell{None, "–"}, Cell{None, "–"}
		} else if math.IsInf(p.CoolDown, 1) {
			row[4] = Cell{Undecided, "more than a day"}
		}
		single.Rows = append(single.Rows, row)
	}
	again := Table{Key: "repeated", Title: fmt.Sprintf("Pulses of %s repeated continuously", quantity.Format(width, quantity.Time)), Columns: []Column{
		{"company", "pixels"}, {"voltage_v", "voltage"}, {"period_s", "one every"}, {"rate_hz", "highest rate"}, {"duty", "largest duty, fast PWM"},
	}}
	for _, r := range repeats {
		row := []Cell{Say(string(r.Company)), In(r.Voltage, quantity.Voltage), In(r.Period, quantity.Time), {1 / r.Period, fmt.Sprintf("%s per s", quantity.Figure(1/r.Period, 3))}, {r.Duty, fmt.Sprintf("%s %%", quantity.Figure(100*r.Duty, 3))}}
		switch {
		case r.Period <= r.Width:
			row[2].Text, row[3].Text = "may stay on", "–"
		case math.IsInf(r.Period, 1):
			row[2], row[3] = Cell{None, "never: too long"}, Cell{None, "–"}
		}
		again.Rows = append(again.Rows, row)
	}
	ever := Table{Key: "continuous", Title: "Continuously on", Columns: []Column{
		{"company", "pixels"}, {"voltage_v", "highest voltage within the limit"}, {"runaway_v", "no steady state from"}, {"current_a", "highest regulated current"}, {"runaway_a", "no steady state from"},
	}}
	feeds := false
	for _, h := range holds {
		row := []Cell{Say(string(h.Company)), In(h.Voltage, quantity.Voltage), In(h.Runaway, quantity.Voltage), In(h.Current, quantity.Current), In(h.RunawayCurrent, quantity.Current)}
		if !h.Held {
			row[1] = Cell{Undecided, "any up to " + row[1].Text}
		}
		row[2] = endOf(row[2], h.Feeds, h.Ceiling, quantity.Format(t.Top(), quantity.Voltage))
		row[4] = endOf(row[4], h.FeedsCurrent, h.Ceiling, "what that voltage drives cold")
		feeds = feeds || h.Feeds
		ever.Rows = append(ever.Rows, row)
	}
	s.Facts = []Fact{{Key: "tried_v", Value: t.Top()}}
	s.Tables = []Table{single, again, ever}
	law := "At a fixed voltage a coil's heat falls as it warms, so nothing runs away."
	if feeds {
		law = "With more resistance in the switches than in the coil, heat grows with temperature even at a fixed voltage."
	}
	s.Notes = append(s.Notes,
		"Alone: all other pixels off, in the middle of the board. Together: all others alike, of which a board can take less.",
		fmt.Sprintf("Times are within %s of those by steps a tenth as long.", quantity.Format(heat.UntilError, quantity.Ratio)),
		law+" A driver that regulates the current heats more the hotter the coil is, and can run away: the last two columns.",
		"The limit is the coil's copper against limits.board; a surface within reach may pass its own limit before: see the scene.")
	return s, nil
}

// endOf words the level from which there is no steady state.
func endOf(level Cell, feeds bool, ceiling float64, top string) Cell {
	switch {
	case level.Value == math.Inf(1):
		return Cell{Undecided, "none below " + top}
	case feeds:
		level.Text += " (runs away)"
	default:
		level.Text += fmt.Sprintf(" (past %s)", celsius(ceiling))
	}
	return level
}

// SafeAreaChart draws the longest on-time against the voltage.
func SafeAreaChart(d design.Design, curves []studies.Curve) Chart {
	c := Chart{
		Title: fmt.Sprintf("Safe operation up to %.0f °C of the coil", d.Limits.Board-field.ZeroCelsius),
		X:     "on-time, s", Y: "voltage at the pixel, V", LogX: true, FromZero: true,
		Levels: []Level{{Label: fmt.Sprintf("supply, %s V", quantity.Figure(d.Supply.Voltage, 3)), Y: d.Supply.Voltage}},
	}
	if v := d.Drive.KickVoltage; v != d.Supply.Voltage {
		c.Levels = append(c.Levels, Level{Label: fmt.Sprintf("kick or scan rail, %s V", quantity.Figure(v, 3)), Y: v})
	}
	colors := map[float64]int{}
	for _, k := range curves {
		colors[k.Start] = cmp.Or(colors[k.Start], len(colors)+1)
		c.Lines = append(c.Lines, Line{
			Label: fmt.Sprintf("%s, from %.0f °C", k.Company, k.Start-field.ZeroCelsius), X: k.Seconds, Y: k.Volts,
			Color: colors[k.Start], Dashed: k.Company == studies.Together,
		})
	}
	return c
}

package render

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"lodegrid/array/design"
	"lodegrid/field/quantity"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
	"lodegrid/scenes/studies"
	"lodegrid/scenes/verdict"
)

// ThermalBudgetSection is where a looped scene's heat goes: the hottest pixels, the
// headroom, the frames that cost most, and the duties and the voltage that heat and hold
// allow; v may be nil.
func ThermalBudgetSection(d design.Design, s scenes.Scene, b *verdict.Verdict, v *studies.VoltageLimit) Section {
	l, z := b.Ledger, b.Summary
	order := make([]int, len(l.PixelPeak))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, c int) bool { return l.PixelPeak[order[a]] > l.PixelPeak[order[c]] })
	t := Table{Key: "hottest_pixels", Title: "Hottest pixels", Columns: []Column{
		{"pixel", "pixel"}, {"peak_k", "peak"}, {"mean_k", "mean"}, {"energy_j", "heat per loop"}, {"headroom_k", "headroom"}, {"over_touch_s", "over the touch limit"},
	}, Brief: 5}
	for _, i := range order {
		t.Rows = append(t.Rows, []Cell{
			{i, place(d, i)}, {l.PixelPeak[i], celsius(l.PixelPeak[i])}, {l.PixelMean[i], celsius(l.PixelMean[i])},
			{l.PixelEnergy[i], fmt.Sprintf("%s J", quantity.Figure(l.PixelEnergy[i], 3))}, {d.Limits.Board - l.PixelPeak[i], fmt.Sprintf("%.1f K", d.Limits.Board-l.PixelPeak[i])},
			overTouch(l.PixelOverTouch[i], z.Duration),
		})
	}
	const planned = "the moves are made for one kick: scene.speed spreads their heat"
	hold, largest, least := "no lit pixel asks for any", any(b.HeatDuty), finite(b.HoldDuty, None)
	brightness := b.Brightness(d)
	heat, levels := fmt.Sprintf("%.1f %% (now %.1f %%), solved for", math.Floor(b.HeatDuty*1000)/10, d.Drive.MaxDuty*100), fmt.Sprintf("levels × %.3f or less at the duty as it is", math.Floor(brightness*1000)/1000)
	dimmed := any(brightness)
	if d.Drive.Mode == design.DriveKick {
		heat += ", drive.hold_duty in proportion"
	}
	switch {
	case b.Carried:
		heat, levels, hold, largest, dimmed, least = planned, planned, planned, None, None, None
	case math.IsInf(b.HoldDuty, 1):
		hold = "more than full duty"
	case z.LeastHoldPixel >= 0:
		hold = fmt.Sprintf("%.1f %%", math.Ceil(b.HoldDuty*1000)/10)
		if d.Drive.Mode == design.DriveKick {
			hold += ", drive.hold_duty in proportion"
		}
	}
	out := Section{Key: "thermal_budget", Title: fmt.Sprintf("Scene %q in a loop", s.Name), Tables: []Table{t, costlyFrames(l)}, Facts: []Fact{
		{Key: "hottest_k", Label: "hottest coil", Value: z.Hottest, Text: fmt.Sprintf("%s, %s; board limit %s", celsius(z.Hottest), place(d, z.HottestPixel), celsius(d.Limits.Board))},
		{Key: "touch_k", Label: "hottest surface within reach", Value: z.Touch, Text: fmt.Sprintf("%s; touch limit %s", celsius(z.Touch), celsius(d.Limits.Touch))},
		{Key: "heat_duty", Label: "largest duty that heat allows", Value: largest, Text: heat, Why: b.HeatWhy},
		{Key: "brightness", Label: "largest brightness", Value: dimmed, Text: levels},
		{Key: "hold_duty", Label: "least duty that holds every drop", Value: least, Text: hold, Why: b.HoldWhy},
		energy(l),
	}}
	if v != nil {
		out.Facts = slices.Insert(out.Facts, 4, voltageFact(d, *v), Fact{Key: "heat_voltage_tried_v", Value: v.Top})
	}
	return out
}

// overTouch is how long a pixel was over the touch limit.
func overTouch(seconds, loop float64) Cell {
	if seconds == 0 {
		return Cell{seconds, "never"}
	}
	return Cell{seconds, fmt.Sprintf("%s of %s", quantity.Format(seconds, quantity.Time), quantity.Format(loop, quantity.Time))}
}

// costlyFrames lists the frames by the heat they make in the coils.
func costlyFrames(l *player.Ledger) Table {
	t := Table{Key: "costly_frames", Title: "Frames that cost most heat", Columns: []Column{
		{"frame", "frame"}, {"start_s", "at"}, {"lit", "lit"}, {"coils_j", "coils"}, {"drivers_j", "drivers"}, {"share", "of the loop's"}, {"hottest_k", "hottest coil"},
	}, Brief: 5}
	total := 0.0
	order := make([]int, len(l.Entries))
	for i, e := range l.Entries {
		order[i] = i
		total += e.CoilHeat * e.Duration
	}
	heat := func(i int) float64 { return l.Entries[i].CoilHeat * l.Entries[i].Duration }
	sort.SliceStable(order, func(a, b int) bool { return heat(order[a]) > heat(order[b]) })
	for _, i := range order {
		e := l.Entries[i]
		share := 0.0
		if total > 0 {
			share = heat(i) / total
		}
		t.Rows = append(t.Rows, []Cell{
			{i + 1, fmt.Sprint(i + 1)}, In(e.Start, quantity.Time), {e.Lit, fmt.Sprint(e.Lit)}, In(heat(i), quantity.Energy),
			In((e.SwitchHeat+e.DiodeHeat)*e.Duration, quantity.Energy), {share, fmt.Sprintf("%s %%", quantity.Figure(100*share, 2))}, {e.Hottest, celsius(e.Hottest)},
		})
	}
	return t
}

// energy is where the coils' heat of a loop went.
func energy(l *player.Ledger) Fact {
	b := l.Balance
	j := func(v float64) string { return quantity.Format(v, quantity.Energy) }
	kept := fmt.Sprintf("+ %s kept by the board", j(b.Stored))
	if b.Stored < 0 {
		kept = fmt.Sprintf("− %s that the board gave up", j(-b.Stored))
	}
	return Fact{Key: "heat_j", Label: "heat of one loop", Value: b.Supplied,
		Text: fmt.Sprintf("%s made in the coils = %s given to the air %s, to %s of it", j(b.Supplied), j(b.Lost), kept, part(math.Abs(b.Residual)/math.Max(b.Supplied, 1e-300))),
	}
}

// voltageFact is the largest voltage that heat allows.
func voltageFact(d design.Design, v studies.VoltageLimit) Fact {
	f := Fact{Key: "heat_voltage_v", Label: "largest voltage that heat allows", Value: v.Voltage}
	now := quantity.Format(d.Supply.Voltage, quantity.Voltage)
	switch {
	case v.Voltage == 0:
		f.Value = None
		f.Text = fmt.Sprintf("none is low enough (now %s)", now)
	case !v.Bounded:
		f.Value = Undecided
		f.Text = fmt.Sprintf("any up to %s (now %s)", quantity.Format(v.Top, quantity.Voltage), now)
	default:
		// Down, to the safe side.
		f.Text = fmt.Sprintf("%.2f V (now %s), solved for: coils %s, surface %s there", math.Floor(v.Voltage*100)/100, now, celsius(v.Board), celsius(v.Touch))
	}
	if math.Abs(v.Boost-v.Voltage) > 1e-9*v.Voltage { // a rail of its own
		f.Text += fmt.Sprintf("; kick or scan rail %.2f V with it", math.Floor(v.Boost*100)/100)
	}
	return f
}

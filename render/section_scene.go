package render

import (
	"fmt"
	"math"

	"lodegrid/array/design"
	"lodegrid/array/extent"
	"lodegrid/field/quantity"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
)

// SceneSection is what a played scene asked of the display.
func SceneSection(d design.Design, s scenes.Scene, l *player.Ledger) Section {
	z := l.Summary()
	where := func(pixel int) string { return place(d, pixel) }
	lit := quantity.Figure(float64(z.LitPixels)/math.Max(1, float64(len(l.Entries))), 3) + " pixels"
	if lit == "1 pixels" {
		lit = "1 pixel"
	}
	out := Section{Key: "scene", Title: fmt.Sprintf("Scene %q, looped", s.Name), Facts: []Fact{
		{Key: "frames", Label: "frames", Value: len(l.Entries), Text: fmt.Sprintf("%d in %s, %s lit on average", len(l.Entries), quantity.Format(z.Duration, quantity.Time), lit)},
		Number("average_power_w", "supply power, average", z.AveragePower, quantity.Power),
		{Key: "peak_frame_power_w", Label: "frame that draws most", Value: z.PeakFramePower, Text: fmt.Sprintf("%s, frame %d", quantity.Format(z.PeakFramePower, quantity.Power), z.PeakFrame+1)},
		{Key: "peak_power_w", Label: "worst instant", Value: z.PeakPower, Text: fmt.Sprintf("%s, frame %d", quantity.Format(z.PeakPower, quantity.Power), z.PeakPowerFrame+1)},
		{Key: "hottest_k", Label: "hottest coil", Value: z.Hottest, Text: fmt.Sprintf("%s, %s, frame %d", celsius(z.Hottest), where(z.HottestPixel), z.HottestFrame+1)},
	}}
	if z.LeastHoldPixel >= 0 {
		out.Facts = append(out.Facts, Fact{Key: "least_hold", Label: "least hold of a lit pixel", Value: z.LeastHold,
			Text: fmt.Sprintf("%s, %s, frame %d", needed(z.LeastHold), where(z.LeastHoldPixel), z.LeastHoldFrame+1)})
	} else {
		out.Facts = append(out.Facts, absent("least_hold")...)
	}
	out.Facts = append(out.Facts,
		Fact{Key: "failing_pixels", Label: "lit pixels that fail to hold", Value: z.FailingPixels, Text: fmt.Sprintf("%d of %d, in %s (limit %s)", z.FailingPixels, z.LitPixels, quantity.Count(z.FailingFrames, "frame"), quantity.Figure(d.Limits.Hold, 3))},
		Fact{Key: "false_on_pixels", Label: "dark pixels that keep a drop", Value: z.FalseOnPixels, Text: fmt.Sprintf("%d, in %s (limit %s)", z.FalseOnPixels, quantity.Count(z.FalseOnFrames, "frame"), quantity.Figure(d.Limits.FalseOn, 3))},
		Fact{Key: "crosstalk_margin", Label: "crosstalk margin", Value: finite(z.CrosstalkMargin, None), Text: margin(z.CrosstalkMargin)},
	)
	t := Table{Key: "worst_frames", Title: "Frames that draw most", Columns: []Column{
		{"frame", "frame"}, {"start_s", "at"}, {"lit", "lit"}, {"power_w", "power"}, {"peak_power_w", "worst instant"}, {"hottest_k", "hottest"}, {"least_hold", "least hold"}, {"failing", "failing"}, {"false_on", "false on"},
	}}
	for _, i := range l.Hungriest(5) {
		e := l.Entries[i]
		hold := Cell{None, "–"}
		if e.LeastHoldPixel >= 0 {
			hold = ratio(e.LeastHold)
		}
		t.Rows = append(t.Rows, []Cell{
			{i + 1, fmt.Sprint(i + 1)}, In(e.Start, quantity.Time), {e.Lit, fmt.Sprint(e.Lit)}, In(e.SupplyPower, quantity.Power), In(e.SupplyPeakPower, quantity.Power),
			{e.Hottest, celsius(e.Hottest)}, hold, {len(e.Failing), fmt.Sprint(len(e.Failing))}, {len(e.FalseOn), fmt.Sprint(len(e.FalseOn))},
		})
	}
	out.Tables = []Table{t}
	volts := func(v, duty float64) string {
		return fmt.Sprintf("%s and a duty of up to %s", quantity.Format(v, quantity.Voltage), percent(duty))
	}
	at := "at " + volts(d.Rail(), d.Drive.MaxDuty)
	if d.Drive.Mode == design.DriveKick {
		at = "kicked at " + volts(d.Drive.KickVoltage, d.Drive.MaxDuty) + ", then held at " + volts(d.Supply.Voltage, d.Drive.HoldDuty)
	}
	out.Notes = []string{fmt.Sprintf("Driven in mode %s, %s, %s, with %s on average: lodegrid drives ranks other volts, frequencies and modes at the same hold and the same time of a move.",
		d.Drive.Mode, d.Drive.Bridge, at, quantity.Format(z.AveragePower, quantity.Power))}
	if d.Drive.Mode == design.DriveStagger {
		out.Notes = append(out.Notes, "Start times are looked for longest in the frame of the greatest worst instant: better ones would lower those of other frames by some 2 %, by 10 % at most.")
	}
	return out
}

// place names a pixel, if any, for people.
func place(d design.Design, pixel int) string {
	if pixel < 0 {
		return "no pixel"
	}
	return extent.PlaceOf(pixel, d.Grid.Cols)
}

// margin puts the sign of a crosstalk margin into words.
func margin(v float64) string {
	switch {
	case math.IsInf(v, 0):
		return "no pixel is dark"
	case v < 0:
		return fmt.Sprintf("%s above the false-on limit", quantity.Figure(-v, 3))
	}
	return fmt.Sprintf("%s below the false-on limit", quantity.Figure(v, 3))
}

package render

import (
	"fmt"
	"math"

	"lodegrid/array/design"
	"lodegrid/field/quantity"
	"lodegrid/scenes/optimise"
	"lodegrid/scenes/player"
)

// OptimiseSection is what an optimised scene saves and what was changed for it.
func OptimiseSection(d design.Design, r optimise.Result) Section {
	s := Section{Key: "optimise", Title: "The scene with less power"}
	percent := func(n, of int) string {
		if of == 0 {
			return "none"
		}
		return fmt.Sprintf("%d of %d (%.0f %%)", n, of, 100*float64(n)/float64(of))
	}
	wait := "none"
	if r.Waiting > 0 {
		wait = fmt.Sprint(r.Waiting)
	}
	s.Facts = []Fact{
		{Key: "changed", Label: "changed", Value: r.Changed, Text: map[bool]string{true: "yes", false: "no: nothing could be saved without losing a drop"}[r.Changed]},
		{Key: "rested", Label: "lit pixels dimmed to what holds", Value: r.Rested, Text: percent(r.Rested, r.Lit)},
		{Key: "waiting", Label: "pixels that come on later", Value: r.Waiting, Text: wait},
		{Key: "longest_wait_s", Label: "longest wait", Value: r.LongestWait, Text: quantity.Format(r.LongestWait, quantity.Time)},
		{Key: "kicked", Label: "pixels that come on stronger", Value: r.Kicked, Text: fmt.Sprint(r.Kicked)},
		{Key: "kept", Label: "frames left as they were", Value: r.Kept, Text: fmt.Sprint(r.Kept)},
	}
	s.Tables = []Table{comparison("saved", d, r.Before, r.After)}
	if more := r.After.PeakFramePower/r.Before.PeakFramePower - 1; more > 1e-6 {
		why := "its coils, cooler now, have less resistance. The supply is judged with cold coils, which draw more still"
		if r.Kicked > 0 {
			why = "pixels that come on are kicked in it"
		}
		s.Notes = append(s.Notes, fmt.Sprintf("The frame that draws most draws %.2g %% more than before: %s.", 100*more, why))
	}
	return s
}

// comparison is what two looped scenes cost.
func comparison(key string, d design.Design, a, b player.Summary) Table {
	t := Table{Key: key, Title: "Looped, before and after", Columns: []Column{{"quantity", ""}, {"before", "before"}, {"after", "after"}, {"change", "change"}}}
	row := func(key, name string, before, after float64, format func(float64) string, change string) {
		t.Rows = append(t.Rows, []Cell{{key, name}, {before, format(before)}, {after, format(after)}, {after - before, change}})
	}
	watts := func(v float64) string { return quantity.Format(v, quantity.Power) }
	share := func(a, b float64) string {
		if !(a > 0) {
			return "–"
		}
		return fmt.Sprintf("%+.1f %%", 100*(b/a-1))
	}
	count := func(v float64) string { return fmt.Sprintf("%.0f", v) }
	row("peak_frame_power_w", "frame that draws most", a.PeakFramePower, b.PeakFramePower, watts, share(a.PeakFramePower, b.PeakFramePower))
	row("peak_power_w", "worst instant", a.PeakPower, b.PeakPower, watts, share(a.PeakPower, b.PeakPower))
	row("average_power_w", "average", a.AveragePower, b.AveragePower, watts, share(a.AveragePower, b.AveragePower))
	row("hottest_k", "hottest coil", a.Hottest, b.Hottest, celsius, fmt.Sprintf("%+.1f K", b.Hottest-a.Hottest))
	row("touch_k", "surface within reach", a.Touch, b.Touch, celsius, fmt.Sprintf("%+.1f K", b.Touch-a.Touch))
	if !math.IsInf(a.LeastHold, 0) && !math.IsInf(b.LeastHold, 0) {
		row("least_hold", "least hold of a lit pixel", a.LeastHold, b.LeastHold, func(v float64) string { return quantity.Figure(v, 3) }, fmt.Sprintf("limit %s", quantity.Figure(d.Limits.Hold, 3)))
	}
	row("failing_pixels", "lit pixels that fail to hold", float64(a.FailingPixels), float64(b.FailingPixels), count, "")
	row("false_on_pixels", "dark pixels that keep a drop", float64(a.FalseOnPixels), float64(b.FalseOnPixels), count, "")
	return t
}

package render

import (
	"fmt"
	"math"
	"sort"

	"lodegrid/array/design"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
)

// ThermalBudgetSection is where a looped scene's heat goes: the hottest pixels, the
// headroom, and the duties that heat, supply and hold allow.
func ThermalBudgetSection(d design.Design, s scenes.Scene, l *player.Ledger, b player.Budget) Section {
	z := l.Summary()
	order := make([]int, len(l.PixelPeak))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, c int) bool { return l.PixelPeak[order[a]] > l.PixelPeak[order[c]] })
	t := Table{Key: "hottest_pixels", Title: "Hottest pixels", Columns: []Column{
		{"pixel", "pixel"}, {"peak_k", "peak"}, {"mean_k", "mean"}, {"energy_j", "heat per loop"}, {"headroom_k", "headroom"},
	}}
	for _, i := range order[:min(5, len(order))] {
		t.Rows = append(t.Rows, []Cell{
			{i, place(d, i)}, {l.PixelPeak[i], celsius(l.PixelPeak[i])}, {l.PixelMean[i], celsius(l.PixelMean[i])},
			{l.PixelEnergy[i], fmt.Sprintf("%.3g J", l.PixelEnergy[i])}, {d.Limits.Board - l.PixelPeak[i], fmt.Sprintf("%.1f K", d.Limits.Board-l.PixelPeak[i])},
		})
	}
	hold := "no lit pixel asks for any"
	switch {
	case math.IsInf(b.HoldDuty, 1):
		hold = "more than full duty"
	case z.LeastHoldPixel >= 0:
		hold = fmt.Sprintf("%.1f %%", math.Ceil(b.HoldDuty*1000)/10)
	}
	return Section{Key: "thermal_budget", Title: fmt.Sprintf("Scene %q in a loop", s.Name), Tables: []Table{t}, Facts: []Fact{
		{Key: "hottest_k", Label: "hottest coil", Value: z.Hottest, Text: fmt.Sprintf("%s, %s; board limit %s", celsius(z.Hottest), place(d, z.HottestPixel), celsius(d.Limits.Board))},
		{Key: "touch_k", Label: "hottest surface within reach", Value: z.Touch, Text: fmt.Sprintf("%s; touch limit %s", celsius(z.Touch), celsius(d.Limits.Touch))},
		{Key: "heat_duty", Label: "largest duty that heat allows", Value: b.HeatDuty, Text: fmt.Sprintf("%.1f %% (now %.1f %%), solved for", math.Floor(b.HeatDuty*1000)/10, d.Drive.MaxDuty*100)},
		{Key: "hold_duty", Label: "least duty that holds every drop", Value: b.HoldDuty, Text: hold},
	}}
}

// IsThermal tells whether a problem is one of heat.
func IsThermal(p Problem) bool {
	return p.Key == "limits.board" || p.Key == "limits.touch" || p.Key == "magnet.max_temp"
}

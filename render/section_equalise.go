package render

import (
	"fmt"
	"math"

	"lodegrid/field/quantity"
	"lodegrid/scenes"
	"lodegrid/scenes/studies"
)

// EqualiseSection is what equalising a scene's frames brings.
func EqualiseSection(s scenes.Scene, e studies.Equalised) Section {
	out := Section{Key: "equalise", Title: fmt.Sprintf("Equalising scene %q", s.Name)}
	t := Table{Key: "frames", Title: "Axial field at pixel centres against the picture's", Columns: []Column{
		{"frame", "frame"}, {"rms_before_t", "miss before, rms"}, {"rms_after_t", "after"}, {"worst_before_t", "worst before"}, {"worst_after_t", "after"},
		{"power_before_w", "power before"}, {"power_after_w", "after"}, {"at_limits", "at limits"},
	}}
	for _, f := range e.Frames {
		limits := f.After.AtLow + f.After.AtHigh
		t.Rows = append(t.Rows, []Cell{
			{f.Frame + 1, fmt.Sprint(f.Frame + 1)}, In(f.Before.RMS, quantity.FluxDensity), In(f.After.RMS, quantity.FluxDensity),
			In(f.Before.Worst, quantity.FluxDensity), In(f.After.Worst, quantity.FluxDensity), In(f.PowerBefore, quantity.Power), In(f.PowerAfter, quantity.Power),
			{limits, fmt.Sprint(limits)},
		})
	}
	change, saving := e.PowerAfter-e.PowerBefore, "costs"
	if change < 0 {
		saving = "saves"
	}
	miss := func(rms, worst float64) string {
		return fmt.Sprintf("%s rms, %s at worst", quantity.Format(rms, quantity.FluxDensity), quantity.Format(worst, quantity.FluxDensity))
	}
	out.Tables = []Table{t}
	out.Facts = []Fact{
		{Key: "brightness", Label: "brightness that every pixel can reach", Value: e.Brightness, Text: fmt.Sprintf("%.1f %% of a pixel's own field at full level, solved for; the figures below are at that", math.Floor(e.Brightness*1000)/10)},
		{Key: "rms_before_t", Label: "miss at pixel centres before", Value: e.Before, Text: miss(e.Before, e.WorstBefore)},
		{Key: "rms_after_t", Label: "equalised", Value: e.After, Text: miss(e.After, e.WorstAfter)},
		{Key: "power_change_w", Label: "power in the coils", Value: change, Text: fmt.Sprintf("%s to %s: %s %s (cold coils)", quantity.Format(e.PowerBefore, quantity.Power), quantity.Format(e.PowerAfter, quantity.Power), saving, quantity.Format(math.Abs(change), quantity.Power))},
	}
	if e.Converged {
		out.Notes = []string{fmt.Sprintf("No other levels within the driver's limits come nearer, but for %s of the picture's square sum: the duality gap of the worst frame.", part(e.Gap))}
	} else {
		out.Notes = []string{fmt.Sprintf("The solver stopped before its goal in at least one frame; the levels are within a duality gap of %s of the picture's square sum.", quantity.Figure(e.Gap, 1))}
	}
	return out
}

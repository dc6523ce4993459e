package render

import (
	"fmt"
	"math"

	"lodegrid/array/design"
	"lodegrid/field/quantity"
	"lodegrid/scenes/player"
)

// Problems lists the limits that a played scene breaks, each with what would mend
// it. next is the supply rating that would do, in watts; 0 when it is not known.
func Problems(d design.Design, z player.Summary, b player.Budget, next float64) []Problem {
	list := []Problem{}
	add := func(key, what, advice string) { list = append(list, Problem{key, what, advice}) }
	percent := func(v float64) string { return fmt.Sprintf("%.3g %%", math.Floor(v*1000)/10) }
	up := func(v float64) string { return fmt.Sprintf("%.3g %%", math.Ceil(v*1000)/10) }

	heatAdvice := fmt.Sprintf("drive.max_duty of %s or less keeps the looped scene cool (now %s)", percent(b.HeatDuty), percent(d.Drive.MaxDuty))
	if b.HeatDuty <= 0 {
		heatAdvice = "no duty keeps it cool: the ambient temperature alone is at the limit"
	} else if b.HeatDuty < b.HoldDuty && !math.IsInf(b.HoldDuty, 1) {
		heatAdvice += fmt.Sprintf(", but the drops need %s to hold: lower the power per field (steel, a core, more copper, a nearer fluid plane) or cool the board", up(b.HoldDuty))
	}
	if z.Hottest > d.Limits.Board {
		add("limits.board", fmt.Sprintf("The board reaches %s (%s), over its limit of %s.", celsius(z.Hottest), place(d, z.HottestPixel), celsius(d.Limits.Board)), heatAdvice)
	}
	if z.Touch > d.Limits.Touch {
		add("limits.touch", fmt.Sprintf("A surface within reach gets %s hot, over the touch limit of %s.", celsius(z.Touch), celsius(d.Limits.Touch)), heatAdvice)
	}
	if d.Magnet.Kind != design.MagnetNone && z.Hottest > d.Magnet.MaxTemp {
		add("magnet.max_temp", fmt.Sprintf("The bias magnets may reach %s, over their grade's limit of %s.", celsius(z.Hottest), celsius(d.Magnet.MaxTemp)), "choose a grade for more heat, or less power")
	}
	if limit := d.Supply.Power * d.Supply.Derating * d.Limits.SupplyLoad; d.Supply.Power > 0 && z.PeakFramePower > limit {
		advice := fmt.Sprintf("dim to drive.max_duty of %s", percent(b.SupplyDuty))
		if b.SupplyDuty < b.HoldDuty && !math.IsInf(b.HoldDuty, 1) {
			advice += fmt.Sprintf(" (too little: the drops need %s)", up(b.HoldDuty))
		}
		if next > 0 {
			advice = fmt.Sprintf("a supply of %s, supply.power = %q; or ", quantity.Format(next, quantity.Power), fmt.Sprintf("%g W", next)) + advice
		}
		add("supply.power", fmt.Sprintf("Frame %d draws %s; the %s supply carries %s at %.0f %% derating.", z.PeakFrame+1, quantity.Format(z.PeakFramePower, quantity.Power), quantity.Format(d.Supply.Power, quantity.Power), quantity.Format(limit, quantity.Power), d.Supply.Derating*100), advice)
	}
	if z.FailingPixels > 0 {
		advice := fmt.Sprintf("drive.max_duty of %s or more holds the weakest frame", up(b.HoldDuty))
		switch {
		case math.IsInf(b.HoldDuty, 1):
			advice = "full duty is not enough: bring the fluid plane nearer, add steel, a core or a bias magnet, or match the fluid's density better"
		case b.HoldDuty > b.HeatDuty:
			advice += fmt.Sprintf(", but heat allows %s: more field per watt is needed (steel, a core, more copper, a nearer fluid plane)", percent(b.HeatDuty))
		}
		add("limits.hold", fmt.Sprintf("%d of %d lit pixels do not hold their drop; the least has %.3g of what it needs, asked is %.3g (%s, frame %d).", z.FailingPixels, z.LitPixels, z.LeastHold, d.Limits.Hold, place(d, z.LeastHoldPixel), z.LeastHoldFrame+1), advice)
	}
	if z.FalseOnPixels > 0 {
		add("limits.false_on", fmt.Sprintf("Dark pixels keep a drop %d times; the strongest has %.3g of the need, allowed is %.3g (%s, frame %d).", z.FalseOnPixels, z.GreatestFalseOn, d.Limits.FalseOn, place(d, z.FalseOnPixel), z.FalseOnFrame+1),
			"a larger pitch, a lower level, or a reversed current on dark pixels of a biased display")
	}
	return list
}

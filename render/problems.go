package render

import (
	"fmt"
	"math"

	"lodegrid/array/design"
	"lodegrid/array/heat"
	"lodegrid/array/supply"
	"lodegrid/field/quantity"
	"lodegrid/scenes/player"
)

// Problems lists the limits that a played scene breaks, each with what would mend
// it. The supply on hand is judged by the proposal, nil for none, as everything
// else about the supply is: by the hungriest frame with cold coils, feeders
// included.
func Problems(d design.Design, z player.Summary, b player.Budget, p *supply.Proposal) []Problem {
	list := []Problem{}
	add := func(key, what, advice string) { list = append(list, Problem{key, what, advice}) }
	heatAdvice := fmt.Sprintf("%s or less keeps the looped scene cool (now %s)", duties(d, b.HeatDuty, floor), percent(d.Drive.MaxDuty))
	if b.HeatDuty < 1e-3 {
		heatAdvice = "no duty of use keeps it cool: give it more air or a larger plate, or a lower ambient temperature"
	} else if b.HeatDuty < b.HoldDuty && !math.IsInf(b.HoldDuty, 1) {
		heatAdvice += fmt.Sprintf(", but the drops need %s to hold: lower the power per field (steel, a core, more copper, a nearer fluid plane) or cool the board", percent(ceil(b.HoldDuty)))
	}
	if b.Frequency > 0 {
		heatAdvice = fmt.Sprintf("drive.frequency of %s keeps it cool at the same mean current: the ripple of slow PWM heats without pulling (the driver's own switching losses grow with it and are not counted); or %s", quantity.Format(b.Frequency, quantity.Frequency), heatAdvice)
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
	if p != nil && p.Load.Value > 1 {
		next, dim := p.Power.Value*p.Supplies.Value, p.Dimming.Value*d.Drive.MaxDuty
		advice := fmt.Sprintf("a supply of %s, supply.power = %q", quantity.Format(next, quantity.Power), fmt.Sprintf("%g W", next))
		if p.Supplies.Value > 1 {
			advice = fmt.Sprintf("%.0f supplies of %s, supply.power = %q", p.Supplies.Value, quantity.Format(p.Power.Value, quantity.Power), fmt.Sprintf("%g W", next))
		}
		if dim >= 1e-3 {
			advice += "; or dim to " + duties(d, dim, floor)
			if dim < b.HoldDuty && !math.IsInf(b.HoldDuty, 1) {
				advice += fmt.Sprintf(" (too little: the drops need %s)", percent(ceil(b.HoldDuty)))
			}
		}
		usable := d.Supply.Power * d.Supply.Derating * d.Limits.SupplyLoad
		add("supply.power", fmt.Sprintf("Frame %d needs %s from the supply while the coils are cold; the %s supply gives %s continuously (%.4g %% of its rating).", z.PeakFrame+1, quantity.Format(p.Load.Value*usable, quantity.Power), quantity.Format(d.Supply.Power, quantity.Power), quantity.Format(usable, quantity.Power), d.Supply.Derating*d.Limits.SupplyLoad*100), advice)
	}
	if z.MostLit > d.Drive.MostLit {
		add("drive.most_lit", fmt.Sprintf("Frame %d lights %d pixels; the firmware lights %d at most.", z.MostLitFrame+1, z.MostLit, d.Drive.MostLit),
			fmt.Sprintf("drive.most_lit = %d, and a supply for it; or a scene with fewer lit pixels", z.MostLit))
	}
	if z.FailingPixels > 0 {
		advice := fmt.Sprintf("%s or more holds the weakest frame", duties(d, b.HoldDuty, ceil))
		switch {
		case math.IsInf(b.HoldDuty, 1):
			advice = "full duty is not enough: bring the fluid plane nearer, add steel, a core or a bias magnet, or match the fluid's density better"
		case b.HoldDuty > b.HeatDuty:
			advice += fmt.Sprintf(", but heat allows %s: more field per watt is needed (steel, a core, more copper, a nearer fluid plane)", percent(floor(b.HeatDuty)))
		}
		add("limits.hold", fmt.Sprintf("%d of %d lit pixels do not hold their drop; the least has %.3g of what it needs, asked is %.3g (%s, frame %d).", z.FailingPixels, z.LitPixels, z.LeastHold, d.Limits.Hold, place(d, z.LeastHoldPixel), z.LeastHoldFrame+1), advice)
	}
	if z.FalseOnPixels > 0 {
		add("limits.false_on", fmt.Sprintf("Dark pixels keep a drop %d times; the strongest has %.3g of the need, allowed is %.3g (%s, frame %d).", z.FalseOnPixels, z.GreatestFalseOn, d.Limits.FalseOn, place(d, z.FalseOnPixel), z.FalseOnFrame+1),
			"a larger pitch, a lower level, or a reversed current on dark pixels of a biased display")
	}
	return list
}

// RunawayProblem is a looped scene without a steady state that the model reaches.
func RunawayProblem(d design.Design, r *heat.RunawayError, b player.Budget) Problem {
	advice := duties(d, b.HeatDuty, floor) + " or less keeps it cool"
	if b.HeatDuty < 1e-3 {
		advice = "no duty of use keeps it cool"
	}
	return Problem{Key: "limits.board", What: "The looped scene has no steady state: " + runaway(r) + ".", Advice: advice}
}

// runaway tells in a user's words where the heat has no end.
func runaway(r *heat.RunawayError) string {
	where := fmt.Sprintf("row %d, column %d", r.Row+1, r.Col+1)
	if r.Temperature > 0 {
		return fmt.Sprintf("%s would reach %s, beyond the %s that the model knows", where, celsius(r.Temperature), celsius(r.Ceiling))
	}
	return fmt.Sprintf("%s heats without end", where)
}

// duties names the settings that a duty at level 1 stands for, rounded.
func duties(d design.Design, duty float64, round func(float64) float64) string {
	text := "drive.max_duty of " + percent(round(duty))
	if d.Drive.Mode == design.DriveKick {
		text += " with drive.hold_duty of " + percent(round(min(d.Drive.HoldDuty*duty/d.Drive.MaxDuty, 1)))
	}
	return text
}

func percent(v float64) string { return fmt.Sprintf("%.3g %%", v*100) }

// floor and ceil round a share to a tenth of a per cent, to the safe side.
func floor(v float64) float64 { return math.Floor(v*1000) / 1000 }
func ceil(v float64) float64  { return math.Ceil(v*1000) / 1000 }

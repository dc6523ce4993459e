package render

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"lodegrid/array/design"
	"lodegrid/array/extent"
	"lodegrid/array/handover"
	"lodegrid/array/heat"
	"lodegrid/field/quantity"
	"lodegrid/field/quantity/spelling"
	"lodegrid/scenes/verdict"
)

// Judge puts a verdict into the document: its problems with what mends them, and its
// cautions.
func (doc *Document) Judge(d design.Design, v *verdict.Verdict) {
	for i := range v.Problems {
		doc.Problems = append(doc.Problems, problem(d, v, &v.Problems[i]))
	}
	if doc.Problems == nil {
		doc.Problems = []Problem{}
	}
	if len(v.Problems) > 1 && v.Cure != nil {
		doc.Cure = "All of it is mended by " + settings(v.Cure) + ": played with that, no limit is broken."
	}
	doc.Glance = glance(d, v)
	for _, c := range v.Cautions {
		doc.Cautions = append(doc.Cautions, caution(c))
	}
}

// problem words a broken limit.
func problem(d design.Design, v *verdict.Verdict, p *verdict.Problem) Problem {
	out := Problem{Key: string(p.Limit), What: what(d, v, p), Found: p}
	for _, r := range p.Remedies {
		out.Advice = append(out.Advice, remedy(p, r))
	}
	switch {
	case v.Looked:
		out.Advice = []string{"What mends it was not looked for: lodegrid report on the design does."}
	case len(p.Remedies) == 0:
		out.Advice = []string{unmended(d, v, p)}
	}
	return out
}

// what says in one sentence which limit is broken, where and by how much.
func what(d design.Design, v *verdict.Verdict, p *verdict.Problem) string {
	z := v.Summary
	switch p.Limit {
	case verdict.Board:
		if r := v.Runaway(); r != nil {
			return "The looped scene has no steady state: " + runaway(r) + "."
		} else if v.Unrest != nil {
			return "Whether the looped scene has a steady state could not be found: " + v.Unrest.Error() + "."
		}
		return fmt.Sprintf("The board reaches %s (%s), over its limit of %s.", celsius(p.Value), place(d, p.Pixel), celsius(p.Bound))
	case verdict.Touch:
		return fmt.Sprintf("A surface within reach gets %s hot, over the touch limit of %s.", celsius(p.Value), celsius(p.Bound))
	case verdict.Magnets:
		return fmt.Sprintf("The bias magnets may reach %s, over their grade's limit of %s.", celsius(p.Value), celsius(p.Bound))
	case verdict.Power:
		return fmt.Sprintf("Frame %d needs %s from the supply while the coils are cold; the %s supply gives %s continuously (%s %% of its rating).",
			p.Frame+1, quantity.Format(p.Value, quantity.Power), quantity.Format(d.Supply.Power, quantity.Power), quantity.Format(p.Bound, quantity.Power), quantity.Figure(d.UsableShare()*100, 4))
	case verdict.Driver:
		return fmt.Sprintf("A pixel at full level takes up to %s, more than the %s that a channel of its driver bears.", quantity.Format(p.Value, quantity.Current), quantity.Format(p.Bound, quantity.Current))
	case verdict.MostLit:
		return fmt.Sprintf("Frame %d lights %s; the firmware lights %d at most.", z.MostLitFrame+1, quantity.Count(z.MostLit, "pixel"), d.Drive.MostLit)
	case verdict.Holding:
		return fmt.Sprintf("%d of %d lit pixels do not hold their drop; the least has %s of what it needs, asked is %s (%s, frame %d).",
			p.Count, p.Of, quantity.Figure(p.Value, 3), quantity.Figure(p.Bound, 3), place(d, p.Pixel), p.Frame+1)
	case verdict.Bow:
		return fmt.Sprintf("Where the panes bow, the weakest lit pixel has %s of what its drop needs (%s between flat panes), asked is %s.", quantity.Figure(p.Value, 3), quantity.Figure(z.LeastHold, 3), quantity.Figure(p.Bound, 3))
	case verdict.Drift:
		return fmt.Sprintf("%s, the weakest lit pixel has %s of what its drop needs (%s at %s), asked is %s.", between(v), quantity.Figure(p.Value, 3), quantity.Figure(z.LeastHold, 3), celsius(d.Fluid.Temperature), quantity.Figure(p.Bound, 3))
	case verdict.Filled:
		return fmt.Sprintf("The tank has %s of fluid, the scene's fullest picture needs %s.", quantity.Format(p.Value, quantity.Volume), quantity.Format(p.Bound, quantity.Volume))
	case verdict.Room:
		return fmt.Sprintf("Up to %s the liquids grow by %s, the tank leaves room for %s: closed, it bows and bursts or leaks.", celsius(v.Liquids[1].Fluid.Temperature), percent(p.Value), percent(p.Bound))
	case verdict.Sticks:
		return fmt.Sprintf("Where the pane holds with %s, a dark pixel keeps its drop with %s of the need (%s by the pull and %s), allowed is %s.",
			quantity.Format(d.Fluid.ContactLineMost, quantity.LineTension), quantity.Figure(p.Value, 3), quantity.Figure(z.GreatestFalseOn, 3), quantity.Format(d.Fluid.ContactLine, quantity.LineTension), quantity.Figure(p.Bound, 3))
	case verdict.Turned:
		which := "heavier"
		if p.Value < 0 {
			which = "lighter"
		}
		text := fmt.Sprintf("%s, the fluid comes to be %s than the liquid round it, by up to %s", between(v), which, quantity.Format(math.Abs(p.Value), quantity.Density))
		equal, _ := d.Fluid.EqualWeight()
		return text + fmt.Sprintf(": drops that are let go drift the other way beyond %s.", celsius(equal))
	}
	switch p.Limit {
	case verdict.Shown:
		if near := v.Seen.Passing; near != nil && stiff(*p) && p.Of == 0 {
			return fmt.Sprintf("The drop model shows %s of the wanted pixels, but drops pass each other with less than %s between them: if they run together there, the fluid is on %s, asked is %s; worst is frame %d. Only the tank can tell: lodegrid report --fluid, or lodegrid film.",
				percent(p.Value), quantity.Format(near.Gap, quantity.Length), percent(near.Share), percent(p.Bound), near.Frame+1)
		}
		if stiff(*p) {
			hop := v.Seen.Failing[0]
			return fmt.Sprintf("The drop model shows %s of the wanted pixels, but it may be too kind: with the pull %s weaker, a drop that keeps its shape fails on %d of the %d hops between neighbours that the scene asks for, first in frame %d from %s to %s (it %s). Only the tank can tell: lodegrid report --fluid, or lodegrid film.",
				percent(p.Value), percent(handover.PullError), p.Count, p.Of, hop.Frame+1, place(d, hop.From), place(d, hop.To), hop.End)
		}
		text := fmt.Sprintf("The fluid is on %s of the wanted pixels when the frames end, asked is %s", percent(p.Value), percent(p.Bound))
		if p.Frame >= 0 {
			s := v.Seen.Sights[p.Frame]
			text += fmt.Sprintf("; worst is frame %d with %d of %d", p.Frame+1, s.Shown, s.Wanted)
		}
		if n := v.Seen.Time; n > 0 {
			text += ", the " + nth(n) + " time that the scene is played: its end does not lead back to its first picture"
		}
		return text + " (" + string(v.Seen.Model) + ")."
	case verdict.Wiring:
		if v.Undrawn != "" {
			return undrawn(d.Drive.Mode == design.DriveScan, v.Undrawn)
		}
		return unwired(v.Wiring)
	case verdict.Planes:
		return fmt.Sprintf("The heat counts copper outside the coils that the board cannot have: %s.", v.Misfit.Problem)
	case verdict.Stray:
		return fmt.Sprintf("When the frames end, %s the wanted fluid lies at dark pixels, allowed is %s it (%s).", portion(p.Value), portion(p.Bound), v.Seen.Model)
	}
	if math.IsInf(p.Value, 1) {
		return fmt.Sprintf("Dark pixels keep a drop %d times: here it needs nothing to stay, so that any pull keeps it (%s, frame %d).", p.Count, place(d, p.Pixel), p.Frame+1)
	}
	return fmt.Sprintf("Dark pixels keep a drop %d times; the strongest has %s of the need, allowed is %s (%s, frame %d).",
		p.Count, quantity.Figure(p.Value, 3), quantity.Figure(p.Bound, 3), place(d, p.Pixel), p.Frame+1)
}

// between is between what temperatures the liquids get.
func between(v *verdict.Verdict) string {
	return fmt.Sprintf("Between %s and %s", celsius(v.Liquids[0].Fluid.Temperature), celsius(v.Liquids[1].Fluid.Temperature))
}

// remedy words settings that mend a problem, with what was found when they were played.
func remedy(p *verdict.Problem, r verdict.Remedy) string {
	text := settings(r.Set) + ": " + amount(p.Limit, r.Value)
	switch {
	case len(r.Left) == 0:
		text += ", and no limit is broken"
	default:
		text += "; " + listed(r.Left) + " still broken"
	}
	for _, c := range r.Set {
		if c.Key == "drive.frequency" {
			text += " (the switches' own losses grow with the frequency and are not counted, and a fluid that follows the ripple is pulled less)"
		}
	}
	return text
}

// listed joins names as a sentence does.
func listed[S ~string](names []S) string {
	list, n := spelling.Texts(names), len(names)
	if n < 2 {
		return strings.Join(list, "")
	}
	return strings.Join(list[:n-1], ", ") + " and " + list[n-1]
}

// amount is what a limit is about, as its figure is shown.
func amount(l verdict.Limit, v float64) string {
	switch {
	case l.Thermal():
		return celsius(v) + " then"
	case l == verdict.Power:
		return "it needs " + quantity.Format(v, quantity.Power) + " then"
	case l == verdict.Driver:
		return "it takes " + quantity.Format(v, quantity.Current) + " then"
	case l == verdict.MostLit:
		return quantity.Count(int(math.Round(v)), "pixel") + " lit"
	case l == verdict.Shown:
		return "the fluid is on " + percent(v) + " of them then, by the drop model"
	case l == verdict.Filled:
		return quantity.Format(v, quantity.Volume) + " then"
	case l == verdict.Room:
		return "they grow by " + percent(v) + " then"
	case l == verdict.Stray:
		return portion(v) + " it lies there then, by the drop model"
	case l == verdict.Turned:
		return "it keeps its sign then"
	case l == verdict.Planes:
		return "they can be drawn then"
	case l == verdict.Wiring:
		return fmt.Sprintf("all %.0f connections come out then, and are drawn", v)
	}
	if math.IsInf(v, 1) {
		return "a drop needs nothing to stay then"
	}
	return fmt.Sprintf("%s of the need then", quantity.Figure(v, 3))
}

// settings words changes of the design as --set takes them.
func settings(set []design.Change) string {
	var list []string
	for _, c := range set {
		list = append(list, fmt.Sprintf("%s = %q", c.Key, c.Value))
	}
	return strings.Join(list, " with ")
}

// unmended says where to look when no setting that was tried mends a problem.
func unmended(d design.Design, v *verdict.Verdict, p *verdict.Problem) string {
	const tried = "Nothing that was tried mends it (a scene eight times slower, and more while it lasts up to two hours, a kick, liquids of more equal weight, a smaller drop, no spare fluid, each where it applies)."
	const field = "lower the power per field (steel, a core, more copper, a nearer fluid plane)"
	const stronger = "more field per watt is needed (steel, a core, more copper, a nearer fluid plane)."
	heat, hold := percent(floor(v.HeatDuty)), percent(ceil(v.HoldDuty))
	if d.Drive.Mode == design.DriveKick {
		heat += ", with drive.hold_duty in proportion,"
	}
	needs := v.HoldDuty > v.HeatDuty && !math.IsInf(v.HoldDuty, 1)
	switch {
	case p.Limit.Thermal() && v.Carried:
		return "Each move costs heat, and so does the hold; a scene eight times slower, and more while it lasts up to two hours, does not keep it cool without breaking another limit: " + field + ", match the liquids' weight better or cool the board."
	case p.Limit == verdict.Holding && v.Carried:
		return "A stronger hold (scene.hold_level) breaks another limit: " + stronger
	case p.Limit.Thermal() && v.HeatDuty < 1e-3:
		return "No practical duty keeps it cool: give it more air or thicker steel (iron.thickness), or a lower ambient temperature."
	case p.Limit.Thermal() && needs:
		return fmt.Sprintf("Heat allows a duty of %s, the drops need %s to hold: %s or cool the board.", heat, hold, field)
	case p.Limit.Thermal():
		return fmt.Sprintf("A duty of %s keeps it cool (now %s), but breaks another limit: %s or cool the board.", heat, percent(d.Drive.MaxDuty), field)
	case p.Limit == verdict.Holding && math.IsInf(v.HoldDuty, 1):
		return "Full duty is not enough: bring the fluid plane nearer, add steel, a core or a bias magnet, or match the fluid's density better."
	case p.Limit == verdict.Holding && needs:
		return fmt.Sprintf("The drops need a duty of %s, heat allows %s: %s", hold, heat, stronger)
	case p.Limit == verdict.Holding:
		return fmt.Sprintf("A duty of %s holds the weakest frame, but breaks another limit: %s", hold, stronger)
	case p.Limit == verdict.Releases:
		return "Look at a larger pitch, a smaller coil or drop, or a reversed current on dark pixels of a biased display."
	case p.Unseen:
		return fmt.Sprintf("What mends it was not looked for: the drop model, by which settings are tried, keeps this limit as it is, and only the %s sees it broken. A slower scene (scene.speed), judged by the %[1]s again, is the first to try.", v.Seen.Model)
	case p.Limit == verdict.Shown && len(v.Seen.Sights) > verdict.MostFollowed:
		return fmt.Sprintf("What mends it was not looked for: the scene has %d frames, and up to %d are played again and again. Judge a shorter part of it.", len(v.Seen.Sights), verdict.MostFollowed)
	case p.Limit == verdict.Shown && v.Crowded:
		return "What mends it was not looked for: the fluid crowds on itself, and each trial would take long. Look at fluid.density_difference and at how much fluid there is (fluid.volume) first."
	case p.Limit == verdict.Shown && v.Carried:
		return "Nothing that was tried mends it (a scene eight times slower, and more while it lasts up to two hours, a kick half as strong again and 2.25 times as strong, liquids of more equal weight, a smaller drop, no spare fluid). lodegrid carry tells how fast the scene may run; carry --tank has the tank judge the moves."
	case p.Limit == verdict.Shown && d.Pixels() == 1:
		return tried
	case p.Limit == verdict.Shown:
		return tried + " A drop goes over to a neighbour that lights up as its own pixel goes dark; where both are lit it stays and the new place is bare: report --carry judges the scene with its drops carried."
	case p.Limit == verdict.Stray && slices.ContainsFunc(v.Problems, func(o verdict.Problem) bool { return o.Limit == verdict.Shown }):
		return "It is the fluid that is missing elsewhere: see limits.shown."
	case p.Limit == verdict.Stray:
		return "The scene lights fewer pixels at times than there are drops, and those left over lie where they can be seen."
	case p.Limit == verdict.Planes:
		return "board.planes: " + v.Misfit.Accept + "."
	case p.Limit == verdict.Wiring && v.Wiring.Steel:
		return steelAside(d)
	case p.Limit == verdict.Wiring && v.Wiring.Obstacle != "":
		return "A layer without a coil lets them out (board.layers, coil.layers); a current that ends in the middle comes out by itself where each parallel group has an even number of layers."
	case p.Limit == verdict.Wiring && d.Drive.Mode == design.DriveScan:
		return "Smaller coils, fewer wound layers or one more without a coil (board.layers), less current at a time (drive.most_lit), or a larger board (order.width, order.height) leave room for the lines of rows and columns."
	case p.Limit == verdict.Wiring:
		return "Smaller coils, fewer wound layers or a wider pitch leave room for tracks; a scanned grid needs fewer of them, one driver end common to all half of them."
	case p.Limit == verdict.Bow:
		return "No thicker front pane and no spacers that were tried are enough: a stiffer material, a rear pane that leans on something stiff (tank.air_gap), a smaller tank, or a stronger pull."
	case p.Limit == verdict.Sticks:
		return "A pane that lets go more easily: another coating, or a carrier that keeps a film on it; tilt a filled pane and see at what angle a drop slides."
	case p.Limit == verdict.Drift, p.Limit == verdict.Turned:
		return "Liquids that expand more alike (fluid.expansion, fluid.carrier_expansion), a cooler board, or a narrower heat.ambient."
	case p.Limit == verdict.Filled:
		return "A larger tank, or a scene that lights fewer pixels at once."
	case p.Limit == verdict.Room:
		return "A bag or a bottle at the top that takes what the liquids grow by, or a cooler display."
	case p.Limit == verdict.MostLit:
		return "A scene that lights fewer pixels at once."
	}
	return "No setting that was tried mends it without breaking another limit."
}

// steelAside says how parts or pins come past the steel behind the board.
func steelAside(d design.Design) string {
	text := "Steel that leaves a way: discs (iron.radius) in place of the sheet."
	if d.Iron.Radius > 0 {
		text = "Smaller discs (iron.radius) leave a way."
	}
	if d.Drive.Place != design.PlaceEdge && d.Drive.Mode != design.DriveScan {
		text += " Drivers at the board's edge (drive.place) need none through the steel, but room for tracks between the coils."
	}
	return text
}

// runaway tells in a user's words where the heat has no end.
func runaway(r *heat.RunawayError) string {
	where := extent.Place(r.Row, r.Col)
	if r.Temperature > 0 {
		return fmt.Sprintf("%s would reach %s, beyond the %s that the model knows", where, celsius(r.Temperature), celsius(r.Ceiling))
	}
	return fmt.Sprintf("%s heats without end", where)
}

// percent has three digits, and more where less than all would be told as all.
func percent(v float64) string {
	digits := 3
	for v < 1 && digits < 7 && quantity.Figure(v*100, digits) == "100" {
		digits++
	}
	return quantity.Figure(v*100, digits) + " %"
}

// portion is a share of something that may be more than all of it: "7.4 % of", "32.1 times".
func portion(v float64) string {
	if v >= 2 {
		return quantity.Figure(v, 3) + " times"
	}
	return percent(v) + " of"
}

// part words a share that is small or next to nothing.
func part(v float64) string {
	switch {
	case v < 1e-6:
		return "less than a millionth"
	case v < 1e-4:
		return quantity.Figure(v*1e6, 2) + " millionths"
	}
	return percent(v)
}

// floor and ceil round a share to a tenth of a per cent, to the safe side.
func floor(v float64) float64 { return math.Floor(v*1000) / 1000 }
func ceil(v float64) float64  { return math.Ceil(v*1000) / 1000 }

package render

import (
	"fmt"
	"math"

	"lodegrid/array/design"
	"lodegrid/array/handover"
	"lodegrid/field/quantity"
	"lodegrid/scenes/player"
	"lodegrid/scenes/shown"
)

// ShownSection is what a viewer sees of a scene that is played once from its first picture, and
// by how much a second record of the same by the drop model differs, nil for none.
func ShownSection(d design.Design, r, again *shown.Record) Section {
	share, stray := r.Share()
	running, overlap := r.Running()
	never, delay := r.Late()
	begun := ", its drops placed by hand"
	if at, _ := d.StartAt(); at != nil {
		begun = ", begun as fluid.start says"
	}
	since := "after the first picture"
	if r.Time > 0 {
		since, begun = "the "+nth(r.Time)+" time that the scene is played", ", where the time before left them"
	}
	out := Section{Key: "shown", Title: "What shows, by the " + string(r.Model), Facts: []Fact{
		{Key: "share", Label: "wanted pixels that the fluid is on", Value: share, Text: fmt.Sprintf("%s when the frames end (limit %s), %s", percent(share), percent(d.Limits.Shown), since)},
		{Key: "first_picture", Label: "the same of the first picture", Value: r.Start(), Text: percent(r.Start()) + begun},
		{Key: "running", Label: "the same over time", Value: running, Text: percent(running)},
		{Key: "overlap", Label: "wanted discs and fluid overlap", Value: overlap, Text: percent(overlap) + " of both together"},
		{Key: "stray", Label: "fluid at dark pixels", Value: stray, Text: fmt.Sprintf("%s the fluid wanted (limit %s)", portion(stray), percent(d.Limits.Stray))},
		{Key: "starved", Label: "wanted places that stay bare", Value: r.Count(shown.Starved), Text: fmt.Sprintf("%d at the frames' ends; %d of them had had their drop a frame before", r.Count(shown.Starved), r.Count(shown.Lost))},
		{Key: "lost", Label: "drops lost", Value: r.Count(shown.Lost), Text: fmt.Sprint(r.Count(shown.Lost))},
		{Key: "fused", Label: "places with drops run together", Value: r.Count(shown.Fused), Text: fmt.Sprint(r.Count(shown.Fused))},
		{Key: "pictures_never", Label: "pictures that never come", Value: never, Text: fmt.Sprintf("%d of %d new ones", never, len(r.Delays))},
	}}
	if n := r.Played; n > 0 {
		text := fmt.Sprintf("%d times: the last goes on as the one before, and so will all others", n)
		if !r.Closes {
			text = fmt.Sprintf("%d times: all show enough, but no time goes on as the one before; what comes later was not looked at", n)
		}
		out.Facts = append(out.Facts, Fact{Key: "played", Label: "played in a loop", Value: n, Text: text})
	}
	if n := len(r.Delays) - never; n > 0 {
		out.Facts = append(out.Facts, Number("delay_s", "delay of the others, on average", delay, quantity.Time))
	} else {
		out.Facts = append(out.Facts, absent("delay_s")...)
	}
	if again == nil || r.Model != shown.Drops {
		out.Facts = append(out.Facts, absent("share_again", "stray_again")...)
	} else {
		other, astray := again.Share()
		out.Facts = append(out.Facts,
			Fact{Key: "share_again", Label: "by steps a tenth shorter", Value: other, Text: percent(other) + chance(other-share)},
			Fact{Key: "stray_again", Label: "fluid at dark pixels then", Value: astray, Text: portion(astray) + " the fluid wanted" + chance(astray-stray)})
	}
	if r.Model == shown.Drops && r.Asked > 0 {
		hops := fmt.Sprintf("%d of %d between neighbours, pulled %s less than reckoned", len(r.Failing), r.Asked, percent(handover.PullError))
		out.Facts = append(out.Facts, Fact{Key: "hops_failing", Label: "hops that a stiff drop fails", Value: len(r.Failing), Text: hops})
	} else {
		out.Facts = append(out.Facts, absent("hops_failing")...)
	}
	t := Table{Key: "worst_pictures", Title: "Frames that show least", Columns: []Column{
		{"frame", "frame"}, {"end_s", "ends at"}, {"wanted", "wanted"}, {"shown", "shown"}, {"mean", "places full"}, {"overlap", "overlap"}, {"stray_drops", "drops astray"}, {"running", "over its time"},
	}, Brief: 5}
	for _, s := range r.Least(len(r.Sights)) { // all of them, so that programs have the measure over time

		t.Rows = append(t.Rows, []Cell{
			{s.Frame + 1, fmt.Sprint(s.Frame + 1)}, In(s.End, quantity.Time), {s.Wanted, fmt.Sprint(s.Wanted)}, {s.Shown, fmt.Sprint(s.Shown)},
			{s.Mean, percent(s.Mean)}, {s.Overlap, percent(s.Overlap)}, {s.Stray, fmt.Sprintf("%.1f", s.Stray)}, {s.Running, percent(s.Running)},
		})
	}
	out.Tables = []Table{t}
	if r.Model == shown.Drops {
		out.Notes = []string{fmt.Sprintf("The drop model takes a moment and is off by %.0f points on average, and up to %.0f too high where drops hop as fast, or against as much weight, as they just can (DEVELOPERS.md); where pixels are just switched a stiff drop has to make every hop, too, and drops to pass each other with room between them; lodegrid film moves the fluid in the tank, which is the judge.", 100*shown.DropsOff, 100*shown.DropsHigh)}
	}
	return out
}

// chance is by how many points two runs of the drop model differ.
func chance(v float64) string {
	if v = math.Abs(100 * v); v < 0.005 {
		return ": the two agree within 0.01 points"
	}
	return fmt.Sprintf(": %.2g points between the two are chance", v)
}

// ShownChart draws how much of each picture shows as it ends; of more than chartPoints, the
// worst of several frames at each.
func ShownChart(d design.Design, r *shown.Record) Chart {
	on, overlap, stray := Line{Label: "wanted pixels that the fluid is on", Color: 1}, Line{Label: "overlap of picture and fluid", Color: 3}, Line{Label: "fluid at dark pixels over that wanted", Color: 4}
	began := 0.0
	each := (len(r.Sights) + chartPoints - 1) / chartPoints
	for i := 0; i < len(r.Sights); i += each {
		share, common, astray, end := 1.0, 1.0, 0.0, 0.0
		for _, s := range r.Sights[i:min(i+each, len(r.Sights))] {
			n := float64(max(s.Wanted, 1))
			if s.Wanted > 0 {
				share = min(share, float64(s.Shown)/n)
			}
			common, astray, end = min(common, s.Overlap), max(astray, s.Stray/n), s.End
		}
		for k, v := range []float64{share, common, astray} {
			line := []*Line{&on, &overlap, &stray}[k]
			line.X, line.Y = append(line.X, began, end), append(line.Y, v, v)
		}
		began = end
	}
	return Chart{Title: "What shows when the frames end, by the " + string(r.Model), X: "time, s", Y: "share, %", FromZero: true, Share: true, Lines: []Line{on, overlap, stray},
		Levels: []Level{{Label: "asked: " + percent(d.Limits.Shown), Y: d.Limits.Shown}}}
}

// Resolved tells how far off speeds and times of a design's drops may be with the tank's cells,
// and whether its display begins as warm as the scene in a loop makes it, whose pull is less.
func Resolved(d design.Design, cells int, warm bool) string {
	text := fmt.Sprintf("tank: %d cells per pitch, ", cells)
	if e := player.CellError(d, cells); e < 1 {
		text += fmt.Sprintf("speeds and times of drops to %s", quantity.Figure(100*e, 2)+" %")
	} else {
		text += "too few to tell how drops pass each other: their liquid goes too fast there"
	}
	if warm {
		return text + "; begun as warm as the scene in a loop makes the display (film begins with cold coils, which pull more)"
	}
	return text + "; begun with cold coils (report --fluid begins as warm as the scene in a loop makes them, which pulls less)"
}

// Seen is what of a scene was seen in the tank, with what the drop model makes
// of the same.
func Seen(tank, drops *shown.Record) []string {
	if len(tank.Sights) == 0 {
		return []string{"no frame of the scene came to its end"}
	}
	share, stray := tank.Share()
	quick, _ := drops.Share()
	running, overlap := tank.Running()
	return []string{
		fmt.Sprintf("%s: the fluid is on %s of the wanted pixels at the frames' ends %s, on %s over time; picture and fluid overlap by %s; fluid at dark pixels: %s what is wanted",
			tank.Model, percent(share), judgedPart(tank), percent(running), percent(overlap), portion(stray)),
		fates(tank),
		fmt.Sprintf("%s, which report counts with: on %s of them", drops.Model, percent(quick)),
	}
}

// fates tells what became of drops and pictures.
func fates(r *shown.Record) string {
	never, delay := r.Late()
	text := fmt.Sprintf("%d wanted places stayed bare at a frame's end, %d of them had had their drop; %d times drops ran together; %d of %d new pictures never came", r.Count(shown.Starved), r.Count(shown.Lost), r.Count(shown.Fused), never, len(r.Delays))
	if n := len(r.Delays) - never; n > 0 {
		text += ", the others after " + quantity.Format(delay, quantity.Time) + " on average"
	}
	if w := r.Worst(); w >= 0 {
		s := r.Sights[w]
		text += fmt.Sprintf("; worst is frame %d with %d of %d", s.Frame+1, s.Shown, s.Wanted)
	}
	return text
}

// judgedPart tells which frames a record is judged by.
func judgedPart(r *shown.Record) string {
	if len(r.Judged()) == len(r.Sights) {
		return "of the first picture"
	}
	return fmt.Sprintf("after the first picture (in which it is on %s)", percent(r.Start()))
}

// nth is an ordinal from the second to the last time that a loop is played.
func nth(n int) string { return []string{"second", "third", "fourth", "fifth"}[n-2] }

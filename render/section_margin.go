package render

import (
	"fmt"
	"math"

	"lodegrid/array/design"
	"lodegrid/array/extent"
	"lodegrid/array/grid"
	"lodegrid/array/hold"
	"lodegrid/field/quantity"
	"lodegrid/scenes/studies"
)

// MarginSection is how far pixels stay from doing the opposite of what they are told,
// in the worst patterns found; the duty and the pitch at which they begin to, and the
// groups of pixels that may be on together.
func MarginSection(d design.Design, m studies.Margins) Section {
	l := d.Limits
	at := func(p hold.Margin) string { return place(d, d.Pixel(p.Row, p.Col)) }
	out := Section{Key: "margins", Title: "Margins against the worst pattern"}
	t := Table{Key: "places", Title: fmt.Sprintf("Hold ratios in the worst patterns found (dark at most %s, lit at least %s)", quantity.Figure(l.FalseOn, 3), quantity.Figure(l.Hold, 3)), Columns: []Column{
		{"pixel", "pixel"}, {"dark_hold", "dark, greatest"}, {"dark_bound", "proven"}, {"false_on_margin", "margin"}, {"lit_hold", "lit, least"}, {"lit_bound", "proven"}, {"false_off_margin", "margin"},
		{"dark_hold_linear", "dark, axial worst"}, {"lit_hold_linear", "lit, axial worst"}, {"patterns_tried", "tried"},
	}}
	for _, p := range m.Places {
		t.Rows = append(t.Rows, []Cell{
			{d.Pixel(p.Row, p.Col), at(p)}, ratio(p.FalseOn), proven(p.OnBound, !p.OnProven()), signed(p.OnMargin), ratio(p.FalseOff), proven(p.OffBound, !p.OffProven()), signed(p.OffMargin),
			ratio(p.LinearOn), ratio(p.LinearOff), {p.Tried, fmt.Sprint(p.Tried)},
		})
	}
	out.Tables = []Table{t}
	on, off := m.Places[m.On], m.Places[m.Off]
	out.Facts = []Fact{
		onFact(on, at(on), l.FalseOn), offFact(off, at(off), l.Hold),
		driveFact(d, m.Drive), foundDuty(m.Drive), pitchFact(d, m.Pitch), foundPitch(m.Pitch), {Key: "pitch_tried_m", Value: m.Pitch.Most},
		groupFact(d, m), {Key: "groups_tried", Value: m.Groups.Tried},
	}
	out.Notes = []string{
		most(d) + fmt.Sprintf(" The patterns told are the worst that a search found, of %d looked at. No pattern goes beyond what is proven, by branch and bound; where its effort ended first that is far beyond the worst found. Pixels more than 3 pitches away count with the most that each may do, the pressure's third order in the neighbours' fields by the pattern found. Margins, duty and pitch are those proven.", m.Tried),
		"A lit pixel is judged with its own drop alone and, in a vertical display, with the pixel below it dark; drops that lean on it are judged in the scene.",
	}
	return out
}

// StandingNote tells that margins are those of a design's pictures as they stand between kicks;
// none where a full level is what holds. Without scene.carry the scene may be a table of planned
// moves, which only its levels tell.
func StandingNote(d, standing design.Design) []string {
	if d.Scene.HoldLevel == 1 {
		return nil
	}
	why := "The scene's moves are planned"
	if !d.Scene.Carry {
		why = "scene.hold_level says that full level is a kick, as in a table of planned moves"
	}
	return []string{fmt.Sprintf("%s: these margins are of pictures that stand, in which a pixel that is on holds with %s of the kick, a duty of %s. What a kick does to the drops beside it is up to the plan and its guards (lodegrid carry).",
		why, percent(d.Scene.HoldLevel), quantity.Format(standing.Drive.MaxDuty, quantity.Ratio))}
}

// most says how many pixels a pattern may have on.
func most(d design.Design) string {
	out := lights(d)
	if d.Coils() > 1 {
		out += fmt.Sprintf(" Each pixel has its own level in it, although %d in series light together (drive.in_series): no pattern that the drive can make is worse, the one told it may not be able to make.", d.Coils())
	}
	return out
}

// lights says how many pixels a pattern may have on.
func lights(d design.Design) string {
	out := "A pattern may have any pixels on."
	if d.Drive.MostLit < d.Pixels() {
		out = fmt.Sprintf("A pattern has at most %s on, all the firmware lights (drive.most_lit).", quantity.Count(d.Drive.MostLit, "pixel"))
	}
	return out
}

// onFact is the least margin of a dark pixel.
func onFact(on hold.Margin, at string, limit float64) Fact {
	holds := fmt.Sprintf("no pattern makes a dark pixel hold more than %s of what a drop needs, the worst found %s", quantity.Figure(on.OnBound, 3), quantity.Figure(on.FalseOn, 3))
	if !on.OnProven() {
		holds = fmt.Sprintf("a dark pixel holds %s of what a drop needs in the worst pattern found, nothing is proven", quantity.Figure(on.FalseOn, 3))
	}
	return Fact{Key: "false_on_margin", Label: "least false-on margin", Value: on.OnMargin, Text: fmt.Sprintf("%s, %s (%s; limit %s)", quantity.Figure(on.OnMargin, 3), at, holds, quantity.Figure(limit, 3))}
}

// offFact is the least margin of a lit pixel.
func offFact(off hold.Margin, at string, limit float64) Fact {
	f := Fact{Key: "false_off_margin", Label: "least false-off margin", Value: finite(off.OffMargin, Infinite), Text: "a drop needs nothing to stay"}
	if math.IsInf(off.OffMargin, 1) {
		return f
	}
	holds := fmt.Sprintf("no pattern makes a lit pixel hold less than %s, the worst found %s", quantity.Figure(off.OffBound, 3), quantity.Figure(off.FalseOff, 3))
	if !off.OffProven() {
		holds = fmt.Sprintf("a lit pixel holds %s in the worst pattern found, nothing is proven", quantity.Figure(off.FalseOff, 3))
	}
	f.Text = fmt.Sprintf("%s, %s (%s; limit %s)", quantity.Figure(off.OffMargin, 3), at, holds, quantity.Figure(limit, 3))
	return f
}

// driveFact is the duty up to which no pattern makes a dark pixel keep a drop for sure.
func driveFact(d design.Design, l hold.DriveLimit) Fact {
	f := Fact{Key: "largest_duty", Label: "largest duty without a false-on", Value: l.Proven, Text: fmt.Sprintf("%.1f %% (now %.1f %%), proven for every pattern", math.Floor(l.Proven*1000)/10, d.Drive.MaxDuty*100)}
	switch {
	case l.Limited && l.Duty == 0:
		f.Value, f.Text = None, "none: a dark pixel at "+extent.Place(l.Place[0], l.Place[1])+" keeps a drop at every duty"
	case l.Proven == 0:
		f.Value, f.Text = Undecided, "proven of no duty tried"
	}
	return f
}

// foundDuty is what a search finds instead.
func foundDuty(l hold.DriveLimit) Fact {
	f := Fact{Key: "largest_duty_found", Label: "… by the patterns that a search found", Value: l.Duty}
	switch {
	case !l.Limited:
		f.Text = fmt.Sprintf("any: even at full duty no dark pixel holds more than %s", quantity.Figure(l.Ratio, 3))
	case l.Duty == 0:
		f.Value, f.Text = None, "none"
	default:
		f.Text = fmt.Sprintf("%.1f %%; beyond it %s keeps a drop", math.Floor(l.Duty*1000)/10, extent.Place(l.Place[0], l.Place[1]))
	}
	return f
}

// pitchFact is the pitch from which no pattern makes a dark pixel keep a drop for sure.
func pitchFact(d design.Design, l hold.PitchLimit) Fact {
	f := Fact{Key: "smallest_pitch_m", Label: "smallest pitch without a false-on", Value: finite(l.Proven, Undecided), Text: fmt.Sprintf("%s (now %s), proven for every pattern", quantity.Format(l.Proven, quantity.Length), quantity.Format(d.Grid.Pitch, quantity.Length))}
	if math.IsInf(l.Proven, 1) {
		f.Text = fmt.Sprintf("proven of no pitch tried up to %s", quantity.Format(l.Most, quantity.Length))
	}
	return f
}

// foundPitch is what a search finds instead.
func foundPitch(l hold.PitchLimit) Fact {
	f := Fact{Key: "smallest_pitch_found_m", Label: "… by the patterns that a search found", Value: finite(l.Pitch, Undecided)}
	switch {
	case math.IsInf(l.Pitch, 1):
		f.Text = fmt.Sprintf("none up to %s", quantity.Format(l.Most, quantity.Length))
	case l.Pitch == l.Floor:
		f.Text = fmt.Sprintf("%s, as close as coils and drops allow", quantity.Format(l.Pitch, quantity.Length))
	default:
		f.Text = quantity.Format(l.Pitch, quantity.Length)
	}
	return f
}

// proven is a bound, or that there is none.
func proven(v float64, none bool) Cell {
	if none {
		return Cell{Undecided, "–"}
	}
	return ratio(v)
}

func groupFact(d design.Design, m studies.Margins) Fact {
	g := m.Groups
	f := Fact{Key: "groups", Label: "groups that may be on together", Value: g.Count}
	switch {
	case g.Alone < d.Limits.Hold:
		f.Value = None
		f.Text = fmt.Sprintf("a pixel alone holds %s, under the limit of %s: grouping cannot mend that", quantity.Figure(g.Alone, 3), quantity.Figure(d.Limits.Hold, 3))
	case !g.Found:
		f.Value, f.Text = Undecided, fmt.Sprintf("none of up to %d regular groups keeps the limits", g.Tried)
	case g.Count == 1:
		f.Text = fmt.Sprintf("1: all pixels at once keep the limits (least hold %s)", ratio(m.GroupHold).Text)
	default:
		f.Text = fmt.Sprintf("%d: repeats every %d columns and every %d rows moved by %d columns; least hold %s", g.Count, g.Across, g.Down, g.Shift, ratio(m.GroupHold).Text)
	}
	return f
}

func ratio(v float64) Cell {
	if math.IsInf(v, 1) {
		return Cell{v, "∞"}
	}
	return Cell{v, quantity.Figure(v, 3)}
}

func signed(v float64) Cell {
	if math.IsInf(v, 0) {
		return ratio(v)
	}
	return Cell{v, fmt.Sprintf("%+.3g", v)}
}

// BiasSection is how evenly the bias magnets serve the pixels.
func BiasSection(d design.Design, s grid.BiasSpread) Section {
	out := Section{Key: "bias", Title: "Bias magnets"}
	out.Facts = []Fact{
		Number("center_bz_t", "axial bias of the middle pixel", s.Center.Z, quantity.FluxDensity),
		Number("bare_bz_t", "of the same magnets without steel", s.Bare, quantity.FluxDensity),
		{Key: "least_bz_t", Label: "least", Value: s.Least, Text: fmt.Sprintf("%s, %s", quantity.Format(s.Least, quantity.FluxDensity), place(d, s.LeastPixel))},
		{Key: "most_bz_t", Label: "most", Value: s.Most, Text: fmt.Sprintf("%s, %s", quantity.Format(s.Most, quantity.FluxDensity), place(d, s.MostPixel))},
		Number("corner_bz_t", "corner", s.Corner.Z, quantity.FluxDensity),
		{Key: "tilt_rad", Label: "greatest lean from the normal", Value: s.Tilt, Text: fmt.Sprintf("%.1f°, %s", s.Tilt*180/math.Pi, place(d, s.TiltPixel))},
	}
	if d.MagnetBehindIron() {
		out.Notes = append(out.Notes, "The magnets lie behind the steel, which carries most of their flux past the fluid; a thinner sheet, or magnets in front of it, lets more through.")
	}
	if math.IsNaN(s.EdgeRatio) {
		out.Facts = append(out.Facts, absent("edge_ratio")...)
	} else {
		out.Facts = append(out.Facts, Fact{Key: "edge_ratio", Label: "outermost pixels against the others", Value: s.EdgeRatio, Text: fmt.Sprintf("× %.3f", s.EdgeRatio)})
	}
	return out
}

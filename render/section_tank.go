package render

import (
	"fmt"
	"math"

	"lodegrid/array/grid"
	"lodegrid/array/hold"
	"lodegrid/field/quantity"
)

// TankSection is the tank as an object: its panes, how far they bow, and what that does to
// the drops.
func TankSection(g *grid.Grid) Section {
	d, b := g.Design, hold.BowOf(g, g.Design)
	t := b.Panes
	mm := func(v float64) string { return quantity.Format(v, quantity.Length) }
	rear := mm(d.Tank.Rear) + " of " + d.Tank.RearMaterial
	if d.Tank.Rear == 0 {
		rear = "none, the board holds the fluid"
	} else if d.Tank.AirGap > 0 {
		rear += ", " + mm(d.Tank.AirGap) + " in front of the board"
	} else {
		rear += ", on the board"
	}
	spaced := "none"
	if d.Tank.Spacers > 0 {
		spaced = "every " + mm(d.Tank.Spacers) + ", glued to both panes"
	}
	bow := func(key, label string, most, at float64) Fact {
		return Fact{Key: key, Label: label, Value: most, Text: fmt.Sprintf("%s outwards, %s below the upper edge", mm(most), mm(at))}
	}
	s := Section{Key: "tank", Title: "The tank and its panes", Facts: []Fact{
		{Key: "rear_pane_m", Label: "rear pane", Value: d.Tank.Rear, Text: rear},
		{Key: "front_pane_m", Label: "front pane", Value: d.Tank.Front, Text: mm(d.Tank.Front) + " of " + d.Tank.FrontMaterial},
		Number("gap_m", "between them, flat", t.Gap, quantity.Length),
		Words("spacers", "spacers", spaced),
		{Key: "inside_width_m", Label: "inside", Value: t.Width, Text: mm(t.Width) + " × " + mm(t.Height) + ", a pitch beyond the grid, " + mm(d.Tank.Bottom) + " below it"},
		{Key: "inside_height_m", Value: t.Height},
		bow("front_bow_m", "bow of the front pane", b.Front, b.FrontAt),
		bow("rear_bow_m", "bow of the rear pane", b.Rear, b.RearAt),
		{Key: "gap_least_m", Label: "gap in front of the pixels", Value: b.Narrowest, Text: mm(b.Narrowest) + " to " + mm(b.Widest)},
		{Key: "gap_most_m", Value: b.Widest},
		{Key: "drag_change", Label: "drops move faster there", Value: b.Quicker(), Text: fmt.Sprintf("by up to %s, as the gap squared; the drop model leaves that out", percent(b.Quicker()))},
		Number("push_n_per_m3", "pushed to the wider gap", b.Push, quantity.ForceDensity).Because("2σ|∇b|/b², of a drop whose carrier wets the panes"),
	}}
	if push := &s.Facts[len(s.Facts)-1]; b.Weight > 0 {
		push.Text = fmt.Sprintf("with up to %s of the drop's weight", percent(b.Push/b.Weight))
	}
	s.addGrip(g)
	if lone := hold.LoneHold(g); !math.IsInf(lone, 0) {
		s.Facts = append(s.Facts, Fact{Key: "lone_hold_bowed", Label: "hold of a lone lit pixel there", Value: b.Hold(lone), Text: needed(b.Hold(lone))})
	} else {
		s.Facts = append(s.Facts, absent("lone_hold_bowed")...)
	}
	if b.Far() {
		s.Notes = append(s.Notes, "A pane bows by more than half its thickness, where it is stiffer than plate theory for small bows tells: the figures are to the safe side.")
	}
	if d.Tank.FrontMaterial != "glass" || d.Tank.RearMaterial != "glass" {
		s.Notes = append(s.Notes, "Plastic creeps: within years it bows two to three times as far (from memory).")
	}
	s.Notes = append(s.Notes, "Panes are supported along their edges and free to turn there; board and steel sheet behind a rear pane that touches them are supported in the same way. The liquid stands under air at the top: a tank filled to the brim and closed also bends with the warmth. Timoshenko & Woinowsky-Krieger 1959, from memory, against a handbook's table.")
	return s
}

// addGrip adds how firmly the pane holds a drop at least and at most, and what a maker can
// measure of it: the tilt at which a drop of the design slides.
func (s *Section) addGrip(g *grid.Grid) {
	low := g.Pinning().Value
	high, slides := g.Grip()
	text := quantity.Format(low, quantity.Force)
	if high > low {
		text += " to " + quantity.Format(high, quantity.Force)
	}
	s.Facts = append(s.Facts, Fact{Key: "grip_least_n", Label: "the panes hold a drop with", Value: low, Text: text, Why: "fluid.contact_line × the drop's diameter: Furmidge's law (1962, from memory)"}, Fact{Key: "grip_most_n", Value: high})
	if high == 0 {
		s.Facts = append(s.Facts, absent("slides_at_most_rad")...)
		return
	}
	tilt := Fact{Key: "slides_at_most_rad", Label: "it slides down a tilted tank", Value: None, Text: "never where they hold most: the grip is more than its weight"}
	if !math.IsInf(slides, 1) {
		tilt.Value, tilt.Text = slides, fmt.Sprintf("from %.0f° on where they hold most", slides*180/math.Pi)
	}
	s.Facts = append(s.Facts, tilt)
}

package render

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r2"

	"lodegrid/array/artwork"
	"lodegrid/array/design"
	"lodegrid/field"
	"lodegrid/field/quantity"
)

// BoardSection is what the board house is asked for.
func BoardSection(d design.Design, b *artwork.Board) Section {
	plated, bare := len(b.Ends()), len(b.Mounts)
	for _, h := range b.Pixel.Holes {
		if h.Plated() {
			plated += d.Pixels()
		} else {
			bare += d.Pixels()
		}
	}
	length := func(v float64) string { return quantity.Format(v, quantity.Length) }
	ounces := func(v float64) string { return quantity.FormatIn(v, quantity.CopperWeight, "oz") }
	wire, holes := b.Wire(artwork.WireIn), "two"
	if b.Scanned() {
		holes = "three"
	}
	s := Section{Key: "board", Title: "Board to order", Facts: []Fact{
		{Key: "width_m", Label: "outline", Value: b.Width, Text: fmt.Sprintf("%s × %s, the grid of %d × %d pixels in its middle", length(b.Width), length(b.Height), b.Cols, b.Rows)},
		{Key: "height_m", Value: b.Height},
		{Key: "layers", Label: "copper", Value: len(b.Layers), Text: fmt.Sprintf("%s; outer %s, inner %s, finished weight", quantity.Count(len(b.Layers), "layer"), ounces(d.Board.CopperOuter), ounces(d.Board.CopperInner))},
		Number("thickness_m", "finished thickness", d.Board.Thickness, quantity.Length),
		Words("laminate", "laminate", d.Board.Laminate),
		{Key: "plated_holes", Label: "plated holes", Value: plated, Text: fmt.Sprintf("%d, all through the whole board; the smallest %s, its barrel plated with %s or more", plated, length(d.Coil.ViaDrill), quantity.FormatIn(d.Coil.ViaPlating, quantity.CopperWeight, "µm"))},
		{Key: "bare_holes", Label: "bare holes", Value: bare, Text: fmt.Sprint(bare)},
		{Key: "wire_drill_m", Label: "wires", Value: wire.Drill, Text: fmt.Sprintf("%s holes of %s a pixel, finished, in pads of %s; a ring is printed round the first", holes, length(wire.Drill), length(wire.Pad))},
	}}
	s.Notes = append(s.Notes,
		"Ask for: solder mask on both sides, vias covered; legend on the back alone; every net tested; no copper beyond what is drawn on any layer (no thieving): it would short-circuit or slow the coils' field.",
		"Drivers and connectors are not drawn: the design knows drivers by their ratings alone. "+driven(b))
	if d.Board.Planes == "" {
		s.Notes = append(s.Notes, "Feeders are not drawn: board.planes states none.")
	} else {
		s.Notes = append(s.Notes, "The copper that board.planes tells of is drawn, pours as a hatch that covers the share the heat is computed with, to 3 %. It is joined to nothing yet. A pour in one piece round a coil is a turn in short circuit that slows its field, which is not computed.")
	}
	if core := d.Iron.CoreRadius; d.Iron.Model != design.IronNone && core > 0 {
		s.Notes = append(s.Notes, fmt.Sprintf("The bare hole in each coil's middle is as wide as its pin, %s: ask for that size as the least, +0.1 mm.", length(2*core)))
	}
	return s
}

// named is how far apart holes must stand to have names between them, m: six letters 0.8 mm tall.
const named = 4e-3

// nameless says that the holes at the edge bear no names, how near each other they stand, and how the
// first of them follow.
func nameless(ways []artwork.Way) string {
	between := func(a, b artwork.Way) float64 { return r2.Norm(r2.Sub(a.End.At, b.End.At)) }
	apart := math.Inf(1)
	for i, w := range ways {
		for _, o := range ways[:i] {
			apart = min(apart, between(w, o))
		}
	}
	if apart > named {
		return "Their names are not printed."
	}
	text := fmt.Sprintf("They stand as near as %s, too near for their names to be printed beside them", quantity.Format(apart, quantity.Length))
	var names []string
	for i, w := range ways {
		if i > 0 && (w.From != ways[0].From || between(w, ways[i-1]) > 1.5*apart) {
			break
		}
		names = append(names, fmt.Sprintf("r%dc%d", w.Row+1, w.Col+1))
	}
	if len(names) > 1 {
		text += ": from the edge inwards the first are " + strings.Join(names, ", ")
	}
	return text + "."
}

// driven says where what drives the coils is joined.
func driven(b *artwork.Board) string {
	pair := "Each pixel's two ends come out at a pair of plated holes"
	switch {
	case b.Scanned():
		return "The scan's lines are drawn, to holes at the left edge for rows and at the upper and lower ones for columns; connections.csv lists them. Each coil needs a diode on the back, soldered between its third hole, which its row's line joins, and the ringed one of the coil: its cathode at the ring. drive.scan_diode says what it drops. The bare board's nets are the rows' lines and the columns' lines with their coils, so measure every coil's resistance."
	case len(b.Ways) > 0:
		if layer, shared := b.Common(); shared {
			return fmt.Sprintf("Each pixel's first hole has a track to a hole at the %s edge; connections.csv lists them. %s All second holes are joined on copper %d, the common return: bring its lead, as thick as the supply's, to several of them along the edge. The board is one net, so a test of the bare board finds what is open, and no short circuit between coils: measure every coil's resistance. The return's meshes are turns in short circuit beside the coils, which slow their field; that is not computed.", b.Edges(), nameless(b.Ways), layer+1)
		}
		return pair + ", and tracks lead from these to holes at the " + b.Edges() + " edge; connections.csv lists them. " + nameless(b.Ways) + " The drivers are yours to join to those."
	case b.NoWays != "":
		return pair + ". No track to the edge is drawn: " + b.NoWays + "."
	}
	return pair + ", and what joins them is yours to wire, or to draw on a second board."
}

// DrawnSection is the drawn copper against the model it was drawn from, and its rules.
func DrawnSection(d design.Design, b *artwork.Board, net artwork.Net, checks []artwork.Check) (Section, []Problem) {
	drawn, cold := b.Drawn(net, d.Coil.Layers, d.Fluid.Height), b.Coil.Resistance(field.RoomTemperature)
	off := func(ratio float64) string { return fmt.Sprintf("%+.2f %%", (ratio-1)*100) }
	s := Section{Key: "drawn", Title: "Drawn copper", Facts: []Fact{
		Number("track_m", "track of one coil", drawn.Track, quantity.Length),
		{Key: "area_m2", Label: "its area, all layers", Value: drawn.Area, Text: fmt.Sprintf("%.2f mm², %s of the model's", drawn.Area*1e6, off(drawn.OfArea))},
		{Key: "coil_ohm", Label: "coil at 20 °C, traced from end to end", Value: net.Coil(), Text: fmt.Sprintf("%s, %s of the model's", quantity.Format(net.Coil(), quantity.Resistance), off(drawn.OfOhms))},
		Number("leads_ohm", "leads to its two holes", net.Leads, quantity.Resistance),
		{Key: "axis_share", Label: "field of the drawn path at the fluid", Value: drawn.OfAxis, Text: fmt.Sprintf("%s of the closed turns that the model computes with, on the axis without steel", off(drawn.OfAxis))},
	}}
	_, shared := b.Common()
	if b.Scanned() {
		led := b.Led(net)
		s.Facts = append(s.Facts, Fact{Key: "ways", Label: "lines of the scan", Value: len(b.Ends()), Text: fmt.Sprintf("%d, one for each row, and for each column or piece of it", len(b.Ends()))},
			Fact{Key: "ways_least_ohm", Label: "what they add to a coil at 20 °C", Value: slices.Min(led) - net.Leads, Text: fmt.Sprintf("%s to %s", quantity.Format(slices.Min(led)-net.Leads, quantity.Resistance), quantity.Format(slices.Max(led)-net.Leads, quantity.Resistance))},
			Fact{Key: "ways_most_ohm", Value: slices.Max(led) - net.Leads})
		s.Notes = append(s.Notes, fmt.Sprintf("Leads and lines add %s %% to %s %% to a coil's resistance, of a row's line with as many of its pixels lit as may be. The verdict, and what sizes supply and drivers, counts them pixel by pixel, and their heat as the coil's own, in every command.", quantity.Figure(100*slices.Min(led)/cold, 2), quantity.Figure(100*slices.Max(led)/cold, 2)))
	} else if len(b.Ways) > 0 {
		led := b.Led(net)
		least, most := slices.Min(led)-net.Leads, slices.Max(led)-net.Leads
		each, of, returned := "two", "a pixel's two at 20 °C", ""
		if shared {
			each, of, returned = "one", "a pixel's at 20 °C", "; what the common return's copper drops is left out"
		}
		s.Facts = append(s.Facts,
			Fact{Key: "ways", Label: "tracks to the edge", Value: len(b.Ways), Text: fmt.Sprintf("%d, %s for each pixel, %s wide", len(b.Ways), each, quantity.Format(b.Ways[0].Track.Width, quantity.Length))},
			Fact{Key: "ways_least_ohm", Label: of, Value: least, Text: fmt.Sprintf("%s to %s", quantity.Format(least, quantity.Resistance), quantity.Format(most, quantity.Resistance))},
			Fact{Key: "ways_most_ohm", Value: most})
		s.Notes = append(s.Notes, fmt.Sprintf("Leads and tracks to the edge add %s %% to %s %% to a coil's resistance. The verdict, and what sizes supply and drivers, counts them pixel by pixel, and their heat as the coil's own, in every command%s.", quantity.Figure(100*slices.Min(led)/cold, 2), quantity.Figure(100*slices.Max(led)/cold, 2), returned))
	}
	t := Table{Key: "rules", Title: "The board house's rules", Columns: []Column{{"rule", "measured on the drawing"}, {"least_m", "least"}, {"rule_m", "allowed"}, {"where", "where"}}}
	var problems []Problem
	for _, c := range checks {
		t.Rows = append(t.Rows, []Cell{{c.Key, c.Name}, {finite(c.Least, None), least(c.Least)}, In(c.Rule, quantity.Length), Say(c.Where)})
		if c.Broken() {
			problems = append(problems, Problem{Key: "drawn_" + c.Key,
				What:   fmt.Sprintf("The %s is %s; the least allowed is %s (%s). No board data is written.", c.Name, least(c.Least), quantity.Format(c.Rule, quantity.Length), c.Where),
				Advice: []string{fmt.Sprintf("%s: it lacks %s", c.Mend, quantity.Format(math.Ceil((c.Rule-c.Least)*1e6)/1e6, quantity.Length))}})
		}
	}
	if problems == nil {
		whose := "each a pixel's,"
		if shared {
			whose = "all pixels' by the common return, each"
		}
		what := "one path between its two holes, with the tracks to the edge that touch it"
		if b.Scanned() {
			whose, what = "a row's line with its diodes' holes, or a column's with its coils,", "each coil one path between its two holes"
		}
		nets, err := b.Joined()
		if err != nil {
			problems = append(problems, Problem{Key: "drawn_nets", What: fmt.Sprintf("The drawn copper is not what was meant: %v. No board data is written.", err)})
		} else {
			s.Facts = append(s.Facts, Fact{Key: "nets", Label: "nets traced from the drawn copper", Value: nets, Text: fmt.Sprintf("%d: %s %s", nets, whose, what)})
		}
	}
	s.Tables = []Table{t}
	s.Notes = append(s.Notes, "Measured to 1 µm: a turn's edge is drawn as chords that miss it by half of that, and a spiral's gap is narrower across the track than along the ray.")
	return s, problems
}

func least(v float64) string {
	if math.IsInf(v, 1) {
		return "none there"
	}
	return quantity.Format(v, quantity.Length)
}

// MisfitProblem words a board that cannot be drawn.
func MisfitProblem(m *artwork.Misfit) Problem {
	return Problem{Key: "misfit", What: "The board cannot be drawn: " + m.Problem + ". No board data is written.", Advice: []string{m.Key + ": " + m.Accept}}
}

// UndrawnProblem is a folder that lacks the connections that the design asks for; nil where it
// does not. Told, another problem gives the reason.
func UndrawnProblem(d design.Design, b *artwork.Board, told bool) []Problem {
	why, advice := b.NoWays, "board.layers, coil.layers, order.width or order.height: as told above; or drive.place = \"second-board\" and a second board of your own"
	if d.Coils() > 1 {
		advice = "drive.place = \"second-board\" and a second board of your own"
	}
	if d.Drive.Mode == design.DriveScan && (d.Drive.Place == design.PlaceBoard || d.Drive.Place == design.PlaceBack) {
		why, advice = "the lines of rows and columns, and a diode for each coil, are on a second board or on parts behind it (drive.place), which is yours to draw", "drive.place = \"edge\" has them drawn on this board, where there is room"
	}
	if why != "" && d.Drive.Mode == design.DriveScan && d.Drive.Place == design.PlaceEdge && d.Drive.Bridge == design.BridgeFull {
		advice = "drive.bridge = \"low-side\": the lines are drawn then, where there is room for them"
	}
	if why == "" {
		return nil
	}
	what := "The folder is not complete: what joins the coils to their drivers is not in it."
	if !told {
		what += " " + strings.ToUpper(why[:1]) + why[1:] + "."
	}
	return []Problem{{Key: "ways_undrawn", What: what, Advice: []string{advice}}}
}

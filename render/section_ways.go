package render

import (
	"fmt"

	"lodegrid/array/design"
	"lodegrid/array/escape"
	"lodegrid/array/grid"
	"lodegrid/field/quantity"
)

// WaysSection is whether the coils' connections find a way, before any artwork.
func WaysSection(g *grid.Grid) Section {
	a := escape.Of(g.Design, g.Pixel.Coil, g.Pixel.FullCurrent)
	s := Section{Key: "ways", Title: "Ways for the connections, before any artwork", Facts: []Fact{
		{Key: "place", Label: "drivers", Value: string(a.Place), Text: drivers(a.Place)},
		{Key: "connections", Label: "connections", Value: a.Connections, Text: each(a, g.Design.Coils())},
		Number("track_m", "track for a coil's current", a.Width, quantity.Length),
		Number("gap_m", "gap beside it", a.Gap, quantity.Length),
		{Key: "layers_wound", Label: "layers with windings", Value: a.Wound, Text: fmt.Sprintf("%d, tracks between two coils on each: %d", a.Wound, a.Between)},
		{Key: "layers_free", Label: "layers without", Value: a.Free, Text: free(a)},
	}}
	if !a.Judged {
		s.Notes = []string{"Where the drivers sit is left open (drive.place), so that ways are not judged."}
		return s
	}
	needed := Fact{Key: "ways_needed", Label: "needed", Value: a.Need, Text: fmt.Sprint(a.Need)}
	there := Fact{Key: "ways_there", Label: "layers for parts and feeders", Value: a.Have, Text: fmt.Sprint(a.Have)}
	past := Fact{Key: "ways_rows", Value: a.Past.Row}
	if a.Place == design.PlaceEdge && a.Wires > 0 {
		needed.Text = quantity.Count(a.Need, "track") + " between any two pixels, where all have as many"
		there.Label, there.Text = "", ""
		past.Label, past.Text = "tracks that fit past joints", fmt.Sprintf("%d between two rows, %d between two columns, %d over a crossing", a.Past.Row, a.Past.Col, min(a.Past.Falling, a.Past.Rising))
	}
	s.Facts = append(s.Facts, needed, there, past,
		Fact{Key: "ways_columns", Value: a.Past.Col}, Fact{Key: "ways_falling", Value: a.Past.Falling}, Fact{Key: "ways_rising", Value: a.Past.Rising},
		Fact{Key: "connected", Label: "connections that find a way", Value: a.Out, Text: fmt.Sprintf("%d of %d, %s", a.Out, a.Connections, counted(a, g.Design.Coils()))})
	if !a.Fits() {
		s.Notes = append(s.Notes, unwired(a))
	}
	if g.Design.Drive.Mode == design.DriveScan {
		s.Notes = append(s.Notes, "Rows and columns that are shared need a diode or a switch at each coil: without one the current finds ways through the other coils.")
	}
	if a.Place == design.PlaceEdge {
		s.Notes = append(s.Notes, "The verdict counts what the tracks drop where they can be drawn; drive.feeder_width is what the supply's figures use beyond them.")
	}
	return s
}

// counted says what the verdict on the connections is worth.
func counted(a escape.Answer, series int) string {
	switch {
	case a.Place == design.PlaceEdge && series > 1:
		return "by count; no drawing has joints from coil to coil in series, which are left to a second board"
	case a.Place == design.PlaceEdge:
		return "by count; the verdict asks for the drawing, too"
	}
	return "by what stands in their way"
}

// drivers says where they sit.
func drivers(p design.Place) string {
	switch p {
	case design.PlaceEdge:
		return "at the board's edge"
	case design.PlaceBack:
		return "on the board's back, behind their pixels"
	case design.PlaceBoard:
		return "on a second board behind, with pins"
	}
	return "left open"
}

func each(a escape.Answer, series int) string {
	if a.Wires == 0 {
		return fmt.Sprintf("%d, one for each row and column", a.Connections)
	}
	text := fmt.Sprintf("%d, %d for each pixel", a.Connections, a.Wires)
	if series > 1 {
		text = fmt.Sprintf("%d, %d for each string of %s in series", a.Connections, a.Wires, quantity.Count(series, "coil"))
	}
	if a.Plane > 0 {
		text += " and a common return"
	}
	return text
}

func free(a escape.Answer) string {
	if a.Free == 0 {
		return "none"
	}
	text := fmt.Sprintf("%d, %d tracks to a pitch past what stands in a coil's middle", a.Free, a.Across)
	if a.Plane > 0 {
		text += ", one of them the return"
	}
	return text
}

// unwired says what is in the connections' way.
func unwired(a escape.Answer) string {
	switch {
	case a.Obstacle != "":
		return fmt.Sprintf("The coils' connections find no way (drivers %s): %s.", drivers(a.Place), a.Obstacle)
	case a.Place == design.PlaceBack:
		return fmt.Sprintf("Drivers on the board's back need %s without windings, for the parts and for feeders that cross; there are %d.", quantity.Count(a.Need, "layer"), a.Free)
	case a.Wires == 0:
		return fmt.Sprintf("Lines along rows and columns cross, so they need %s with room for a track of %s; there are %d.", quantity.Count(a.Need, "layer"), quantity.Format(a.Width, quantity.Length), a.Have)
	}
	return fmt.Sprintf("%d of %d connections come out to the drivers at the edge: with %s between any two pixels all would; past joints and what stands in the coils' middles %d fit between two rows, %d between two columns and %d over a crossing (%s wide, %s apart; %s wound, %d free).",
		a.Out, a.Connections, quantity.Count(a.Need, "track"), a.Past.Row, a.Past.Col, min(a.Past.Falling, a.Past.Rising), quantity.Format(a.Width, quantity.Length), quantity.Format(a.Gap, quantity.Length), quantity.Count(a.Wound, "layer"), a.Free)
}

// undrawn says that ways which the count allows were not drawn.
func undrawn(scan bool, why string) string {
	if scan {
		return "A scan's lines along rows and columns, to the drivers at the edge, are not drawn, though by the count there may be ways: " + why + "."
	}
	return "The tracks from the coils to the drivers at the edge are not drawn, though by the count there may be ways: " + why + "."
}

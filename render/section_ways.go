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
		{Key: "connections", Label: "connections", Value: a.Connections, Text: each(a, g.Design.Drive.InSeries)},
		Number("track_m", "track for a coil's current", a.Width, quantity.Length),
		Number("gap_m", "gap beside it", a.Gap, quantity.Length),
		{Key: "layers_wound", Label: "layers with windings", Value: a.Wound, Text: fmt.Sprintf("%d, tracks between two coils on each: %d", a.Wound, a.Between)},
		{Key: "layers_free", Label: "layers without", Value: a.Free, Text: free(a)},
	}}
	if !a.Judged {
		s.Notes = []string{"Where the drivers sit is left open (drive.place), so that ways are not judged."}
		return s
	}
	what := "tracks that fit between two pixels"
	if a.Place == design.PlaceBack {
		what = "layers for parts and feeders"
	}
	s.Facts = append(s.Facts,
		Fact{Key: "ways_needed", Label: "needed", Value: a.Need, Text: fmt.Sprint(a.Need)},
		Fact{Key: "ways_there", Label: what, Value: a.Have, Text: fmt.Sprint(a.Have)},
		Fact{Key: "connected", Label: "connections that find a way", Value: a.Out, Text: fmt.Sprintf("%d of %d, %s", a.Out, a.Connections, counted(a))})
	if !a.Fits() {
		s.Notes = append(s.Notes, unwired(a))
	}
	if g.Design.Drive.Mode == design.DriveScan {
		s.Notes = append(s.Notes, "Rows and columns that are shared need a diode or a switch at each coil: without one the current finds ways through the other coils.")
	}
	if a.Place == design.PlaceEdge {
		s.Notes = append(s.Notes, "The voltage that tracks to the edge drop is not counted here: lodegrid order, which knows their lengths, judges the display with them. drive.feeder_width is what the supply's figures use.")
	}
	return s
}

// counted says what the verdict on the connections is worth.
func counted(a escape.Answer) string {
	if a.Place == design.PlaceEdge {
		return "by count alone: lodegrid order, which draws them past joints and holes, decides"
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
	return fmt.Sprintf("%d of %d connections come out to the drivers at the edge: the tracks needed between two pixels are %d, and %d fit (%s wide, %s apart; %s wound, %d free).",
		a.Out, a.Connections, a.Need, a.Have, quantity.Format(a.Width, quantity.Length), quantity.Format(a.Gap, quantity.Length), quantity.Count(a.Wound, "layer"), a.Free)
}

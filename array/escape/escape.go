package escape

import (
	"math"
	"slices"

	"lodegrid/array/design"
	"lodegrid/field/coil"
)

// Answer is whether a display's connections find a way.
type Answer struct {
	Place design.Place // where the drivers sit
	// Wires is how many wires each pixel, or string of them, has of its own, 0 where rows and columns share
	// theirs, and Connections how many there are in all.
	Wires, Connections int
	// Width and Gap are the tracks', m: the board rules', wider where the current asks.
	Width, Gap float64
	// Column is the width of a scan's tracks along columns, m: each carries one coil's current,
	// those along rows, so wide as Width, a row's.
	Column float64
	// Wound and Free are the layers with and without windings, Plane those of the free
	// ones that a common return takes.
	Wound, Free, Plane int
	// Between and Across are the tracks that fit between two coils on a wound layer, and
	// from one pixel's middle to the next past what stands in it on a free one.
	Between, Across int
	// Past are the tracks, of all layers, that fit past joints, vias and cores; only from
	// drivers at the edge, each pixel with wires of its own.
	Past Ways
	// Need is how many ways are needed between two pixels, Have how many there are, and
	// Out how many of the connections come out.
	Need, Have, Out int
	// Obstacle says in words what is in the way other than the count, "" for nothing.
	Obstacle string
	// Steel tells that it is the steel behind the board.
	Steel bool
	// Judged is false where the drivers' place is not to be judged.
	Judged bool
}

// Fits tells whether all connections find a way, or whether that is not judged.
func (a Answer) Fits() bool { return !a.Judged || a.Out == a.Connections && a.Obstacle == "" }

// trackRise is how much a lone track may warm, K (common practice, no source).
const trackRise = 20

// What a way between steel discs must be wide, m: for a pin to a second board, and for a
// driver on the back beside the steel (common practice, no source).
const (
	pinWidth    = 1.5e-3
	driverWidth = 3e-3
)

// Of judges a design whose coil carries amperes at full level, on average.
func Of(d design.Design, c *coil.Coil, amperes float64) Answer {
	a := Answer{Place: d.Drive.Place, Judged: d.Drive.Place != design.PlaceAny, Wound: d.Coil.Layers, Free: d.Board.Layers - d.Coil.Layers}
	a.Wires = 2
	if d.Drive.Bridge == design.BridgeLowSide {
		a.Wires = 1 // the other end is common
		a.Plane = 1
	}
	coils := d.Coils() // that share an output, joined from pixel to pixel
	a.Connections = a.Wires * d.Pixels() / coils
	scan := d.Drive.Mode == design.DriveScan
	column := 0.0
	if scan {
		a.Wires, a.Plane = 0, 0
		a.Connections = d.Outputs()
		// While its row is on, a coil carries as many times its mean as there are turns. A
		// column's line carries one coil after the other, a row's all of its coils in one turn:
		// the root of the mean square is what heats it.
		turns := float64(d.Turns())
		column = amperes * turns
		amperes *= float64(min(d.Grid.Cols, d.Drive.MostLit)) * math.Sqrt(turns)
	}
	rule := ruleFor(d)
	a.Gap = rule.Gap
	copper := d.Board.CopperOuter
	if d.Board.Layers > 2 {
		copper = min(copper, d.Board.CopperInner)
	}
	a.Width = max(rule.Track, coil.TrackArea(amperes, trackRise, true)/copper)
	a.Column = max(rule.Track, coil.TrackArea(column, trackRise, true)/copper)
	a.Between = fit(d.Grid.Pitch-d.Coil.Outer, a.Width, a.Gap)
	a.Across = fit(d.Grid.Pitch-middle(d, c), a.Width, a.Gap)
	switch {
	case d.Drive.Place == design.PlaceEdge && scan:
		a.rowsAndColumns(d, c)
		a.behind(d, driverWidth, "a diode at each coil")
	case d.Drive.Place == design.PlaceEdge:
		a.channels(d, c)
		if a.Free < a.Plane {
			a.Obstacle = "no layer is left for the common return"
		}
	case d.Drive.Place == design.PlaceBack:
		a.Need, a.Have = 2, a.Free // one that carries the parts, one for the feeders that cross
		a.behind(d, driverWidth, "a driver on the back")
	case d.Drive.Place == design.PlaceBoard:
		a.behind(d, pinWidth, "a pin to the second board")
	}
	if a.Obstacle == "" && a.Free == 0 && a.Wound/max(d.Coil.ParallelGroups, 1)%2 == 1 {
		a.Obstacle = "an odd number of layers in series ends in the coil's middle, and every layer has a coil that bars the way out"
	}
	if a.Place != design.PlaceEdge && a.Have >= a.Need && a.Obstacle == "" {
		a.Out = a.Connections
	}
	return a
}

// channels judges wires that run between the coils to the edge, the coils turned as lets
// the most out.
func (a *Answer) channels(d design.Design, c *coil.Coil) {
	g, free := d.Grid, max(a.Free-a.Plane, 0)
	coils := d.Coils()
	a.Need = (Tracks(g.Rows, g.Cols, a.Wires) + coils - 1) / coils
	a.Out = -1
	wound, empty := outline(c.Spec()), round(middle(d, c)/2)
	for _, angle := range spins(c) {
		pads := joints(c, angle)
		past := Ways{}.plus(cell{wound, pads}.ways(g.Pitch, a.Width, a.Gap), a.Wound)
		if free > 0 {
			past = past.plus(cell{empty, pads}.ways(g.Pitch, a.Width, a.Gap), free)
		}
		have := min(past.Row, past.Col)
		if out := Out(g.Rows, g.Cols, a.Wires, Ways{}.plus(past, coils)) / coils; out > a.Out || out == a.Out && have > a.Have {
			a.Out, a.Past, a.Have = out, past, have
		}
	}
}

// rowsAndColumns judges a scanned grid: a line along every row and one along every column,
// which cross, so that each kind needs layers of its own with room for its tracks. Where so many
// rows are on at once a column's line is cut into as many, half of which leave at either end. The
// rows get the layer, of those that their lines fit on, with the least room for columns, and the columns
// the others, the roomiest first: more current never opens a way.
func (a *Answer) rowsAndColumns(d design.Design, c *coil.Coil) {
	// With windings and without: layers, tracks of columns on each, whether a row's fits.
	type kind struct {
		layers, each int
		row          bool
	}
	kinds := []kind{
		{a.Free, fit(d.Grid.Pitch-middle(d, c), a.Column, a.Gap), a.Across > 0},
		{a.Wound, fit(d.Grid.Pitch-d.Coil.Outer, a.Column, a.Gap), a.Between > 0},
	}
	slices.SortStableFunc(kinds, func(k, l kind) int { return l.each - k.each })
	left := d.Pieces()
	a.Need = 1
	for k := len(kinds) - 1; k >= 0 && a.Have == 0; k-- {
		if kinds[k].row && kinds[k].layers > 0 {
			kinds[k].layers--
			a.Have = 1
		}
	}
	if a.Have > 0 {
		for _, k := range kinds {
			for range k.layers * min(k.each, 1) {
				if a.Have++; left > 0 {
					left -= 2 * k.each
					a.Need++
				}
			}
		}
	}
	if left <= 0 {
		a.Out = a.Connections
		return
	}
	most := 2 * max(kinds[0].each, 1)
	a.Need += (left + most - 1) / most
}

// behind looks for the steel in the way of what goes through it or sits in it.
func (a *Answer) behind(d design.Design, width float64, what string) {
	switch {
	case d.Iron.Model == design.IronNone:
	case d.Iron.Radius == 0:
		a.Obstacle, a.Steel = "the steel sheet behind the board leaves no way for "+what, true
	case d.Grid.Pitch-2*d.Iron.Radius < width:
		a.Obstacle, a.Steel = "the steel discs stand too near each other for "+what, true
	}
}

// ruleFor is the widest least track and gap of the board's copper.
func ruleFor(d design.Design) coil.TrackRule {
	rule, _ := d.Board.Rules.TrackRule(d.Board.CopperOuter)
	if d.Board.Layers > 2 {
		inner, _ := d.Board.Rules.TrackRule(d.Board.CopperInner)
		rule.Track, rule.Gap = max(rule.Track, inner.Track), max(rule.Gap, inner.Gap)
	}
	return rule
}

// middle is what a coil's vias and core take of a layer without windings, m across.
func middle(d design.Design, c *coil.Coil) float64 {
	return max(c.Spec().Inner, 2*(d.Iron.CoreRadius+d.Board.HoleClearance))
}

package choose

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"lodegrid/array/design"
	"lodegrid/field/coil"
	"lodegrid/field/quantity"
)

// winding is what makes a coil. Lengths in m.
type winding struct {
	copper    *Copper
	board     *Board
	free      int // layers without windings
	thickness float64
	space     float64 // to the next coil
	track     float64
	gap       float64
	inner     float64 // least free middle
	groups    int
}

// steel is what stands behind a coil, or within: a sheet, a pin's radius, a magnet's length and
// diameter. Lengths in m, 0 for none.
type steel struct{ sheet, core, magnet, wide float64 }

// supplied is how a coil is driven.
type supplied struct{ volts, duty float64 }

// Candidate is one design of the space.
type Candidate struct {
	winding
	steel
	supplied
}

// middles are the least free middles, m, on offer for a coil of an outside size: shares of it,
// and what each pin on offer asks for, a clearance in m from the vias round it.
func (o Offer) middles(b *Board, outer, gap, clearance float64) (list []float64) {
	for _, share := range o.Inner {
		list = append(list, share*outer)
	}
	for _, core := range o.Core {
		if core > 0 {
			list = append(list, 2*(core+clearance+cmp.Or(b.ViaDrill, o.ViaDrill)+2*cmp.Or(b.ViaRing, o.ViaRing)+gap))
		}
	}
	return list
}

// windings are all coils of an offer, in an order that does not depend on that of its lists.
func (o Offer) windings(pitch, clearance float64) (list []winding) {
	for i := range o.Boards {
		b := &o.Boards[i]
		for k := range o.Copper {
			c := &o.Copper[k]
			if !c.on(b.Layers) {
				continue
			}
			track, gap := c.least(b.Layers)
			w := winding{copper: c, board: b}
			for _, w.free = range o.FreeLayers {
				for _, w.thickness = range o.thick(b) {
					for _, w.space = range o.Space {
						for _, wider := range o.Wider {
							w.track = track * wider
							for _, further := range o.Further {
								w.gap = gap * further
								for _, w.inner = range o.middles(b, pitch-w.space, w.gap, clearance) {
									for _, w.groups = range o.Groups {
										list = append(list, w)
									}
								}
							}
						}
					}
				}
			}
		}
	}
	return sorted(list, winding.compare)
}

// steels are all of an offer's; a pin stands on a sheet, a magnet in a sheet's place: behind one
// it is screened.
func (o Offer) steels() (list []steel) {
	for _, s := range o.Sheet {
		for _, c := range o.Core {
			for _, m := range o.Magnet {
				switch {
				case m == 0 && (s > 0 || c == 0):
					list = append(list, steel{sheet: s, core: c})
				case m > 0 && s == 0 && c == 0:
					for _, wide := range o.MagnetWide {
						list = append(list, steel{magnet: m, wide: wide})
					}
				}
			}
		}
	}
	return sorted(list, steel.compare)
}

// drives are all of an offer's.
func (o Offer) drives() (list []supplied) {
	for _, s := range o.Supplies {
		for _, duty := range o.Duty {
			list = append(list, supplied{s.Volts, duty})
		}
	}
	return sorted(list, supplied.compare)
}

// sorted sorts a list and leaves each value once.
func sorted[T comparable](list []T, compare func(a, b T) int) []T {
	slices.SortFunc(list, compare)
	return slices.Compact(list)
}

func (w winding) compare(o winding) int {
	return cmp.Or(cmp.Compare(w.board.Layers, o.board.Layers), cmp.Compare(w.copper.Weight, o.copper.Weight), cmp.Compare(w.free, o.free), cmp.Compare(w.thickness, o.thickness),
		cmp.Compare(w.space, o.space), cmp.Compare(w.track, o.track), cmp.Compare(w.gap, o.gap), cmp.Compare(w.inner, o.inner), cmp.Compare(w.groups, o.groups),
		cmp.Compare(w.copper.Factor, o.copper.Factor), cmp.Compare(w.copper.Track, o.copper.Track), cmp.Compare(w.copper.Gap, o.copper.Gap))
}

func (s steel) compare(o steel) int {
	return cmp.Or(cmp.Compare(s.sheet, o.sheet), cmp.Compare(s.core, o.core), cmp.Compare(s.magnet, o.magnet), cmp.Compare(s.wide, o.wide))
}

func (s supplied) compare(o supplied) int {
	return cmp.Or(cmp.Compare(s.volts, o.volts), cmp.Compare(s.duty, o.duty))
}

// spec is the coil of a winding for a design, as many half turns as leave its middle free.
func (w winding) spec(d design.Design) (coil.Spec, error) {
	d.Board.Layers, d.Board.Thickness, d.Board.CopperOuter, d.Board.CopperInner = w.board.Layers, w.thickness, w.copper.Weight, w.copper.Weight
	d.Coil = design.Coil{
		Shape: d.Coil.Shape, Outer: d.Grid.Pitch - w.space, Inner: w.inner, Track: w.track, Gap: w.gap,
		Layers: w.board.Layers - w.free, ParallelGroups: w.groups, ViaDrill: d.Board.Rules.ViaDrill, ViaPlating: d.Coil.ViaPlating,
	}
	if _, err := coil.EvenStack(w.board.Layers, w.thickness, w.copper.Weight, w.copper.Weight); err != nil {
		return coil.Spec{}, err
	}
	return d.CoilSpec(), nil
}

// changes make a design of a candidate whose coil has so many turns a layer; the supply is
// the one it is bought.
func (c Candidate) changes(d design.Design, turns float64, supply Supply) []design.Change {
	mm := func(v float64) string { return quantity.Exact(v, quantity.Length) }
	list := []design.Change{
		{Key: "board.layers", Value: fmt.Sprint(c.board.Layers)}, {Key: "board.thickness", Value: mm(c.thickness)},
		{Key: "board.copper_outer", Value: quantity.Exact(c.copper.Weight, quantity.CopperWeight)},
		{Key: "board.copper_inner", Value: quantity.Exact(c.copper.Weight, quantity.CopperWeight)},
		{Key: "coil.outer", Value: mm(d.Grid.Pitch - c.space)}, {Key: "coil.inner", Value: mm(c.inner)},
		{Key: "coil.turns", Value: fmt.Sprint(turns)}, {Key: "coil.track", Value: mm(c.track)}, {Key: "coil.gap", Value: mm(c.gap)},
		{Key: "coil.layers", Value: fmt.Sprint(c.board.Layers - c.free)}, {Key: "coil.parallel_groups", Value: fmt.Sprint(c.groups)},
		{Key: "coil.via_drill", Value: mm(d.Board.Rules.ViaDrill)},
		{Key: "iron.core_radius", Value: mm(c.core)},
		{Key: "supply.voltage", Value: quantity.Exact(c.volts, quantity.Voltage)}, {Key: "supply.power", Value: quantity.Exact(supply.Power, quantity.Power)},
		{Key: dutyKey(d), Value: quantity.Exact(c.duty, quantity.Ratio)},
	}
	if c.sheet > 0 {
		list = append(list, design.Change{Key: "iron.model", Value: string(design.IronAuto)}, design.Change{Key: "iron.thickness", Value: mm(c.sheet)})
	} else {
		list = append(list, design.Change{Key: "iron.model", Value: string(design.IronNone)})
	}
	if c.magnet > 0 {
		return append(list, design.Change{Key: "magnet.kind", Value: string(design.MagnetPerPixel)}, design.Change{Key: "magnet.length", Value: mm(c.magnet)}, design.Change{Key: "magnet.diameter", Value: mm(c.wide)})
	}
	return append(list, design.Change{Key: "magnet.kind", Value: string(design.MagnetNone)})
}

// AtPitch is a design at another pitch in m, with some coil that fits it: where the search
// starts from.
func AtPitch(d design.Design, pitch float64) (design.Design, error) {
	mm := func(v float64) string { return quantity.Exact(math.Round(v*1e6)/1e6, quantity.Length) }
	d, err := d.With(
		design.Change{Key: "grid.pitch", Value: quantity.Exact(pitch, quantity.Length)}, design.Change{Key: "coil.outer", Value: mm(0.85 * pitch)},
		design.Change{Key: "coil.inner", Value: mm(0.3 * pitch)}, design.Change{Key: "iron.core_radius", Value: "0 mm"}, design.Change{Key: "iron.radius", Value: "0 mm"})
	if err != nil {
		return d, fmt.Errorf("at a pitch of %s: %w", quantity.Format(pitch, quantity.Length), err)
	}
	return d, nil
}

// dutyKey is the setting of the duty at which a lit pixel is held.
func dutyKey(d design.Design) string {
	if d.Drive.Mode == design.DriveKick {
		return "drive.hold_duty"
	}
	return "drive.max_duty"
}

package choose

import (
	"cmp"
	"math"
	"slices"

	"lodegrid/array/design"
	"lodegrid/field/coil"
)

// Item is one line of what a display costs.
type Item struct {
	Name  string
	Count float64 // pieces or m²
	Each  float64
}

// Sum is the line's price.
func (i Item) Sum() float64 { return i.Count * i.Each }

// Priced lists what a design costs in all: the board, its holes, what is behind it, drivers
// and the supply. The tank, the liquids and the work are left out. It is false where the
// board or the supply is not on offer.
func (o Offer) Priced(d design.Design, c *coil.Coil) ([]Item, bool) {
	b := slices.IndexFunc(o.Boards, func(b Board) bool { return b.Layers == d.Board.Layers })
	var copper *Copper // the cheapest of the thinnest weight that its coil is etched in
	const slack = 1e-9
	for i := range o.Copper {
		k := &o.Copper[i]
		track, gap := k.least(d.Board.Layers)
		if !k.on(d.Board.Layers) || k.Weight < max(d.Board.CopperOuter, d.Board.CopperInner)*(1-slack) || d.Coil.Track < track*(1-slack) || d.Coil.Gap < gap*(1-slack) {
			continue
		}
		if copper == nil || cmp.Or(cmp.Compare(k.Weight, copper.Weight), cmp.Compare(k.Factor, copper.Factor)) < 0 {
			copper = k
		}
	}
	supply, ok := o.supply(d.Supply.Voltage, d.Supply.Power, 1)
	if b < 0 || copper == nil || !ok {
		return nil, false
	}
	return o.cost(d, &o.Boards[b], copper, c, supply), true
}

func (o Offer) cost(d design.Design, b *Board, copper *Copper, c *coil.Coil, supply Supply) []Item {
	n, area := float64(d.Pixels()), d.Order.Width*d.Order.Height
	list := []Item{
		{"board, by m²", area, b.AreaPrice * copper.Factor}, {"board, once", 1, b.OrderPrice},
		{"plated holes", n * float64(len(c.Vias())), o.HolePrice},
		{"driver chips", float64(d.DriverChips()), o.DriverPrice}, {"supply", 1, supply.Price},
	}
	if d.Iron.Model != design.IronNone {
		sheet := d.Grid.Pitch * d.Grid.Pitch
		if r := d.Iron.Radius; r > 0 {
			sheet = math.Pi * r * r
		}
		list = append(list, Item{"steel, by m²", n * sheet, o.SheetPrice})
		if d.Iron.CoreRadius > 0 {
			list = append(list, Item{"steel pins", n, o.PinPrice})
		}
	}
	if d.Magnet.Kind == design.MagnetPerPixel {
		list = append(list, Item{"magnets", n, o.MagnetPrice})
	}
	return list
}

// total is the sum of a list.
func total(list []Item) (sum float64) {
	for _, i := range list {
		sum += i.Sum()
	}
	return sum
}

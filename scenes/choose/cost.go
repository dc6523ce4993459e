package choose

import (
	"math"

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

// cost lists what a design costs in all: the board, its holes, what is behind it, drivers and
// the supply. The tank, the liquids and the work are left out.
func (o Offer) cost(d design.Design, w winding, s steel, c *coil.Coil, supply Supply) []Item {
	n, area := float64(d.Pixels()), d.Order.Width*d.Order.Height
	grid := n * d.Grid.Pitch * d.Grid.Pitch
	list := []Item{
		{"board, by m²", area, w.board.AreaPrice * w.copper.Factor}, {"board, once", 1, w.board.OrderPrice},
		{"plated holes", n * float64(len(c.Vias())), o.HolePrice},
		{"driver chips", math.Ceil(n / float64(d.Drive.Channels)), o.DriverPrice}, {"supply", 1, supply.Price},
	}
	if s.sheet > 0 {
		list = append(list, Item{"steel, by m²", grid, o.SheetPrice})
	}
	if s.core > 0 {
		list = append(list, Item{"steel pins", n, o.PinPrice})
	}
	if s.magnet > 0 {
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

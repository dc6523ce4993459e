package design

import "lodegrid/field/quantity"

// orderSettings say what the bare board needs beyond its coils. Their presets are common
// practice, no source.
var orderSettings = []of{
	follows("order.width", quantityOf(quantity.Length, above("0 mm", "1000 m")), "the grid's and 8 mm on each side",
		"Width of the board's outline, its middle on the grid's.", func(d *Design) { w, _ := d.Size(); d.Order.Width = w + 2*usualMargin }),
	follows("order.height", quantityOf(quantity.Length, above("0 mm", "1000 m")), "the grid's and 8 mm on each side",
		"Height of the board's outline.", func(d *Design) { _, h := d.Size(); d.Order.Height = h + 2*usualMargin }),
	given("order.edge_clearance", quantityOf(quantity.Length, within("0 mm", "20 mm")), "0.5 mm", "Least distance from copper to the board's edge."),
	given("order.hole_spacing", quantityOf(quantity.Length, within("0 mm", "5 mm")), "0.25 mm", "Least laminate that is left between two holes."),
	given("order.wire_drill", quantityOf(quantity.Length, above("0 mm", "5 mm")), "0.7 mm", "Finished hole for each of a pixel's two wires or pins; its pad is 0.5 mm wider, or by two of board.via_ring."),
	given("order.diode_span", quantityOf(quantity.Length, above("0 mm", "50 mm")), "2.54 mm", "From one hole to the other of the diode that each coil of a scanned board needs; mode scan."),
	given("order.mount_drill", quantityOf(quantity.Length, within("0 mm", "20 mm")), "3.2 mm", "Bare hole for a screw in each corner; 0 for none."),
}

// usualMargin is the board beyond the grid on each side: room for a screw, m.
const usualMargin = 8e-3

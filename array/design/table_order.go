package design

import "lodegrid/field/quantity"

// orderSettings say what the bare board needs beyond its coils. Their presets are common
// practice, no source.
var orderSettings = []of{
	{
		key: "order.width", kind: quantityOf(quantity.Length, func(d *Design) *float64 { return &d.Order.Width }, above("0 mm", "1000 m")),
		source: "the grid's and 8 mm on each side", derive: func(d *Design) { w, _ := d.Size(); d.Order.Width = w + 2*usualMargin },
		sentence: "Width of the board's outline, its middle on the grid's.",
	}, {
		key: "order.height", kind: quantityOf(quantity.Length, func(d *Design) *float64 { return &d.Order.Height }, above("0 mm", "1000 m")),
		source: "the grid's and 8 mm on each side", derive: func(d *Design) { _, h := d.Size(); d.Order.Height = h + 2*usualMargin },
		sentence: "Height of the board's outline.",
	}, {
		key: "order.edge_clearance", kind: quantityOf(quantity.Length, func(d *Design) *float64 { return &d.Order.EdgeClearance }, within("0 mm", "20 mm")),
		preset: "0.5 mm", sentence: "Least distance from copper to the board's edge.",
	}, {
		key: "order.hole_spacing", kind: quantityOf(quantity.Length, func(d *Design) *float64 { return &d.Order.HoleSpacing }, within("0 mm", "5 mm")),
		preset: "0.25 mm", sentence: "Least laminate that is left between two holes.",
	}, {
		key: "order.wire_drill", kind: quantityOf(quantity.Length, func(d *Design) *float64 { return &d.Order.WireDrill }, above("0 mm", "5 mm")),
		preset: "0.7 mm", sentence: "Finished hole for each of a pixel's two wires or pins; its pad is 0.5 mm wider, or by two of board.via_ring.",
	}, {
		key: "order.mount_drill", kind: quantityOf(quantity.Length, func(d *Design) *float64 { return &d.Order.MountDrill }, within("0 mm", "20 mm")),
		preset: "3.2 mm", sentence: "Bare hole for a screw in each corner; 0 for none.",
	},
}

// usualMargin is the board beyond the grid on each side: room for a screw, m.
const usualMargin = 8e-3

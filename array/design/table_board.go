package design

import (
	"fmt"
	"strings"

	"lodegrid/field/coil"
	"lodegrid/field/material"
	"lodegrid/field/quantity"
)

var boardSettings = []of{
	{
		key: "board.layers", kind: wholeOf(func(d *Design) *int { return &d.Board.Layers }, 1, 64),
		preset: "4", sentence: "Copper layers of the board.",
	}, {
		key: "board.thickness", kind: quantityOf(quantity.Length, func(d *Design) *float64 { return &d.Board.Thickness }, above("0 mm", "20 mm")),
		preset: "1.6 mm", sentence: "Thickness of the finished board, copper included.",
	}, {
		key: "board.copper_outer", kind: quantityOf(quantity.CopperWeight, func(d *Design) *float64 { return &d.Board.CopperOuter }, above("0 µm", "20 oz")),
		preset: "1 oz", sentence: "Copper of the two outer layers.",
	}, {
		key: "board.copper_inner", kind: quantityOf(quantity.CopperWeight, func(d *Design) *float64 { return &d.Board.CopperInner }, above("0 µm", "20 oz")),
		preset: "1 oz", sentence: "Copper of the inner layers.",
	}, {
		key: "board.outer_made", kind: numberOf(func(d *Design) *float64 { return &d.Board.OuterMade }, within("0.3", "3")),
		preset: "1", sentence: "Copper of the outer layers as made over that ordered; lodegrid fit finds it.",
	}, {
		key: "board.inner_made", kind: numberOf(func(d *Design) *float64 { return &d.Board.InnerMade }, within("0.3", "3")),
		preset: "1", sentence: "The same of the inner layers.",
	}, {
		key: "board.laminate", kind: choiceOf(func(d *Design) *string { return &d.Board.Laminate }, material.LaminateNames()...),
		preset: usualLaminate, sentence: "Material of the board; it sets heat.board_conductivity and limits.board.",
	}, {
		key: "board.via_drill", kind: quantityOf(quantity.Length, func(d *Design) *float64 { return &d.Board.Rules.ViaDrill }, above("0 mm", "5 mm")),
		preset: quantity.Exact(coil.DefaultRules().ViaDrill, quantity.Length), sentence: "Smallest drill the board house offers for vias.",
	}, {
		key: "board.via_ring", kind: quantityOf(quantity.Length, func(d *Design) *float64 { return &d.Board.Rules.ViaRing }, above("0 mm", "5 mm")),
		preset: quantity.Exact(coil.DefaultRules().ViaRing, quantity.Length), sentence: "Least copper ring round a via's drill.",
	}, {
		key: "board.hole_clearance", kind: quantityOf(quantity.Length, func(d *Design) *float64 { return &d.Board.HoleClearance }, within("0 mm", "5 mm")),
		preset: "0.2 mm", sentence: "Least distance from a bare hole, such as a core's, to copper; common practice, no source.",
	}, {
		key: "board.layers_on_offer", kind: countsOf(func(d *Design) *[]int { return &d.Board.Rules.Layers }, 1, 64),
		preset: countsText(coil.DefaultRules().Layers), sentence: "Layer counts the board house makes.",
	}, {
		key: "board.planes", kind: planesOf(func(d *Design) *string { return &d.Board.Planes }),
		preset: "[]", sentence: "Copper outside the coils, layer by layer from the front: none, feeders (drive.feeder_width, one a row or one a column), or pour and its share of the free area; exposed behind it without mask. An empty list leaves it to a guess.",
	},
}

// ruleSettings are the keys of one [[board.rule]]. Rules given replace all of the
// default ones.
var ruleSettings = []ofRule{
	{
		key: "board.rule.copper", kind: quantityOf(quantity.CopperWeight, func(t *coil.TrackRule) *float64 { return &t.CopperUpTo }, above("0 µm", "20 oz")),
		sentence: "The rule holds for copper up to this thickness; write 35 um rather than 1 oz (34.8 µm) to cover both roundings.",
	}, {
		key: "board.rule.track", kind: quantityOf(quantity.Length, func(t *coil.TrackRule) *float64 { return &t.Track }, above("0 mm", "10 mm")),
		sentence: "Narrowest track in that copper.",
	}, {
		key: "board.rule.gap", kind: quantityOf(quantity.Length, func(t *coil.TrackRule) *float64 { return &t.Gap }, above("0 mm", "10 mm")),
		sentence: "Narrowest gap between tracks in that copper.",
	},
}

var coilSettings = []of{
	{
		key: "coil.shape", kind: choiceOf(func(d *Design) *coil.Shape { return &d.Coil.Shape }, coil.Shapes()...),
		preset: string(coil.Round), sentence: "Outline of a turn.",
	}, {
		key: "coil.outer", kind: quantityOf(quantity.Length, func(d *Design) *float64 { return &d.Coil.Outer }, above("0 mm", "500 mm")),
		preset: "11 mm", sentence: "Outside size of the copper: the diameter, or the distance across the flats.",
	}, {
		key: "coil.turns", kind: numberOf(func(d *Design) *float64 { return &d.Coil.Turns }, within("1", "10000")),
		source: "as many as reach coil.inner", sentence: "Turns in each layer, fractions allowed; give this or coil.inner, or both.",
	}, {
		key: "coil.inner", kind: quantityOf(quantity.Length, func(d *Design) *float64 { return &d.Coil.Inner }, within("0 mm", "500 mm")),
		source: "what the turns leave; 30 % of coil.outer when coil.turns is not given either", derive: func(d *Design) {
			if d.Coil.Turns == 0 {
				d.Coil.Inner = 0.3 * d.Coil.Outer
			}
		},
		sentence: "Free middle, edge to edge; with coil.turns given too, the least that must stay free.",
	}, {
		key: "coil.corner_radius", kind: quantityOf(quantity.Length, func(d *Design) *float64 { return &d.Coil.CornerRadius }, within("0 mm", "250 mm")),
		source: "a quarter of coil.outer", derive: func(d *Design) { d.Coil.CornerRadius = d.Coil.Outer / 4 },
		sentence: "Radius of the outer corners; shape rounded-square only.",
	}, {
		key: "coil.track", kind: quantityOf(quantity.Length, func(d *Design) *float64 { return &d.Coil.Track }, above("0 mm", "20 mm")),
		source: "the narrowest the board rules allow for the copper", derive: func(d *Design) { d.Coil.Track = d.strictest().Track },
		sentence: "Width of the track.",
	}, {
		key: "coil.gap", kind: quantityOf(quantity.Length, func(d *Design) *float64 { return &d.Coil.Gap }, above("0 mm", "20 mm")),
		source: "the narrowest the board rules allow for the copper", derive: func(d *Design) { d.Coil.Gap = d.strictest().Gap },
		sentence: "Gap between tracks.",
	}, {
		key: "coil.etch", kind: quantityOf(quantity.Length, func(d *Design) *float64 { return &d.Coil.Etch }, within("-0.5 mm", "0.5 mm")),
		preset: "0 mm", sentence: "How much narrower tracks come out than drawn: resistance, field and heat are those of the copper as made.",
	}, {
		key: "coil.layers", kind: wholeOf(func(d *Design) *int { return &d.Coil.Layers }, 1, 64),
		source: "all of board.layers", derive: func(d *Design) { d.Coil.Layers = d.Board.Layers },
		sentence: "Copper layers the coil uses, counted from the front.",
	}, {
		key: "coil.parallel_groups", kind: wholeOf(func(d *Design) *int { return &d.Coil.ParallelGroups }, 1, 64),
		preset: "1", sentence: "Equal groups of layers wired in parallel; 1 wires all layers in series.",
	}, {
		key: "coil.via_drill", kind: quantityOf(quantity.Length, func(d *Design) *float64 { return &d.Coil.ViaDrill }, above("0 mm", "5 mm")),
		source: "board.via_drill", derive: func(d *Design) { d.Coil.ViaDrill = d.Board.Rules.ViaDrill },
		sentence: "Drill of the coil's vias.",
	}, {
		key: "coil.via_plating", kind: quantityOf(quantity.CopperWeight, func(d *Design) *float64 { return &d.Coil.ViaPlating }, above("0 µm", "200 µm")),
		preset: "20 µm", sentence: "Copper thickness in the barrel of a via.",
	},
}

// strictest returns the widest least track and gap the rules ask for on this board;
// zeros when the rules do not cover its copper.
func (d *Design) strictest() coil.TrackRule {
	rule, _ := d.Board.Rules.TrackRule(d.Board.CopperOuter)
	if d.Board.Layers > 2 {
		inner, _ := d.Board.Rules.TrackRule(d.Board.CopperInner)
		rule.Track = max(rule.Track, inner.Track)
		rule.Gap = max(rule.Gap, inner.Gap)
	}
	return rule
}

func countsText(counts []int) string { return strings.Trim(fmt.Sprint(counts), "[]") }

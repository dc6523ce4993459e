package design

import (
	"fmt"
	"strings"

	"lodegrid/field/coil"
	"lodegrid/field/material"
	"lodegrid/field/quantity"
)

var boardSettings = []of{
	given("board.layers", wholeOf(1, 64), "4", "Copper layers of the board."),
	given("board.thickness", quantityOf(quantity.Length, above("0 mm", "20 mm")), "1.6 mm", "Thickness of the finished board, copper included."),
	given("board.copper_outer", quantityOf(quantity.CopperWeight, above("0 µm", "20 oz")), "1 oz", "Copper of the two outer layers."),
	given("board.copper_inner", quantityOf(quantity.CopperWeight, above("0 µm", "20 oz")), "1 oz", "Copper of the inner layers."),
	given("board.outer_made", numberOf(within("0.3", "3")), "1", "Copper of the outer layers as made over that ordered; lodegrid fit finds it."),
	given("board.inner_made", numberOf(within("0.3", "3")), "1", "The same of the inner layers."),
	given("board.laminate", choiceOf(material.LaminateNames()...), usualLaminate, "Material of the board; it sets heat.board_conductivity and limits.board."),
	given("board.via_drill", quantityOf(quantity.Length, above("0 mm", "5 mm")), quantity.Exact(coil.DefaultRules().ViaDrill, quantity.Length), "Smallest drill the board house offers for vias."),
	given("board.via_ring", quantityOf(quantity.Length, above("0 mm", "5 mm")), quantity.Exact(coil.DefaultRules().ViaRing, quantity.Length), "Least copper ring round a via's drill."),
	given("board.hole_clearance", quantityOf(quantity.Length, within("0 mm", "5 mm")), "0.2 mm", "Least distance from a bare hole, such as a core's, to copper; common practice, no source."),
	given("board.layers_on_offer", countsOf(1, 64), countsText(coil.DefaultRules().Layers), "Layer counts the board house makes."),
	given("board.planes", planesOf(), "[]",
		"Copper outside the coils, layer by layer from the front: none, feeders (drive.feeder_width, one a row or one a column), or pour and its share of the free area; exposed behind it without mask. An empty list leaves it to a guess."),
}

// ruleSettings are the keys of one [[board.rule]]. Rules given replace all of the
// default ones.
var ruleSettings = []ofRule{
	ofTrack("board.rule.copper", quantityOf(quantity.CopperWeight, above("0 µm", "20 oz")), "The rule holds for copper up to this thickness; write 35 um rather than 1 oz (34.8 µm) to cover both roundings."),
	ofTrack("board.rule.track", quantityOf(quantity.Length, above("0 mm", "10 mm")), "Narrowest track in that copper."),
	ofTrack("board.rule.gap", quantityOf(quantity.Length, above("0 mm", "10 mm")), "Narrowest gap between tracks in that copper."),
}

var coilSettings = []of{
	given("coil.shape", choiceOf(coil.Shapes()...), string(coil.Round), "Outline of a turn."),
	given("coil.outer", quantityOf(quantity.Length, above("0 mm", "500 mm")), "11 mm", "Outside size of the copper: the diameter, or the distance across the flats."),
	follows("coil.turns", numberOf(within("1", "10000")), "as many as reach coil.inner", "Turns in each layer, fractions allowed; give this or coil.inner, or both.", nil),
	follows("coil.inner", quantityOf(quantity.Length, within("0 mm", "500 mm")), "what the turns leave; 30 % of coil.outer when coil.turns is not given either",
		"Free middle, edge to edge; with coil.turns given too, the least that must stay free.", func(d *Design) {
			if d.Coil.Turns == 0 {
				d.Coil.Inner = 0.3 * d.Coil.Outer
			}
		}),
	follows("coil.corner_radius", quantityOf(quantity.Length, within("0 mm", "250 mm")), "a quarter of coil.outer",
		"Radius of the outer corners; shape rounded-square only.", func(d *Design) { d.Coil.CornerRadius = d.Coil.Outer / 4 }),
	follows("coil.track", quantityOf(quantity.Length, above("0 mm", "20 mm")), "the narrowest the board rules allow for the copper", "Width of the track.", func(d *Design) { d.Coil.Track = d.strictest().Track }),
	follows("coil.gap", quantityOf(quantity.Length, above("0 mm", "20 mm")), "the narrowest the board rules allow for the copper", "Gap between tracks.", func(d *Design) { d.Coil.Gap = d.strictest().Gap }),
	given("coil.etch", quantityOf(quantity.Length, within("-0.5 mm", "0.5 mm")), "0 mm", "How much narrower tracks come out than drawn: resistance, field and heat are those of the copper as made."),
	follows("coil.layers", wholeOf(1, 64), "all of board.layers", "Copper layers the coil uses, counted from the front.", func(d *Design) { d.Coil.Layers = d.Board.Layers }),
	given("coil.parallel_groups", wholeOf(1, 64), "1", "Equal groups of layers wired in parallel; 1 wires all layers in series."),
	follows("coil.via_drill", quantityOf(quantity.Length, above("0 mm", "5 mm")), "board.via_drill", "Drill of the coil's vias.", func(d *Design) { d.Coil.ViaDrill = d.Board.Rules.ViaDrill }),
	given("coil.via_plating", quantityOf(quantity.CopperWeight, above("0 µm", "200 µm")), "20 µm", "Copper thickness in the barrel of a via."),
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

package render

import (
	"fmt"

	"lodegrid/array/artwork"
	"lodegrid/array/design"
	"lodegrid/array/fit"
	"lodegrid/field/quantity"
)

// CouponSection is a test board: its coils, what to read of them, and what that settles.
func CouponSection(d design.Design, c *fit.Coupon) Section {
	s := Section{Key: "coupon", Title: "A test board"}
	gain := c.Against()
	s.Facts = []Fact{
		{Key: "room", Label: "room on the board", Value: c.Cols * c.Rows, Text: fmt.Sprintf("%d × %d coils at a pitch of %s", c.Cols, c.Rows, quantity.Format(d.Grid.Pitch, quantity.Length))},
		{Key: "candidates", Label: "variants looked at", Value: c.Candidates, Text: fmt.Sprint(c.Candidates)},
		{Key: "gain", Label: "against one change at a time", Value: gain, Text: fmt.Sprintf("as good as %.2f times the readings (determinant of the information, per unknown)", gain)},
	}
	coils := Table{Key: "coils", Title: "Coils to put on it", Columns: []Column{{"number", "no."}, {"set", "the design, but for"}}}
	for i, set := range c.Sets {
		text := set
		if set == "" {
			text = "nothing: as it is"
		}
		coils.Rows = append(coils.Rows, []Cell{{i + 1, fmt.Sprint(i + 1)}, {set, text}})
	}
	values := Table{Key: "values", Title: "What the readings will settle, by one standard deviation", Columns: []Column{{"key", "key"}, {"value", "value"}, {"before_sd", "± before"}, {"sd", "± then"}, {"plain_sd", "± with one change at a time"}}}
	for i, b := range c.Before {
		v := d.ValueOf(b.Key)
		values.Rows = append(values.Rows, []Cell{Say(b.Key), {v, design.Show(b.Key, v, b.Sd)}, {b.Sd, design.ShowSd(b.Key, b.Sd)}, {c.After[i].Sd, design.ShowSd(b.Key, c.After[i].Sd)}, {c.Plain[i].Sd, design.ShowSd(b.Key, c.Plain[i].Sd)}})
	}
	list := Table{Key: "readings", Title: "What to read, as the design predicts it", Columns: []Column{{"coil", "coil"}, {"kind", "what"}, {"setup", "at"}, {"value", "predicted"}, {"error", "±"}}}
	number := 0
	for i, r := range c.Readings {
		if i == 0 || r.Set != c.Readings[i-1].Set {
			number++
		}
		at := r
		at.Set = ""
		list.Rows = append(list.Rows, []Cell{{number, fmt.Sprint(number)}, Say(string(r.Kind)), Say(at.String()), {r.Value, r.Kind.Text(r.Value, false)}, {r.Error, r.Kind.Text(r.Error, true)}})
	}
	s.Tables = []Table{coils, values, list}
	s.Notes = []string{
		"A coil with fewer layers is the same drawing with the vias to the others left open. Each coil is predicted on a board full of its like, the others off.",
		"± of the instruments: plain ones, common practice, no source. Warm coils burn: read temperatures through their resistance or a probe.",
	}
	return s
}

// PanelSection is a test board as drawn, with each coil's net as traced: what an ohmmeter
// with four wires reads of it.
func PanelSection(d design.Design, b *artwork.Board, nets []artwork.Net) Section {
	length := func(v float64) string { return quantity.Format(v, quantity.Length) }
	wire, sense := b.Variants[0].Wire(artwork.WireIn), b.Variants[0].Wire(artwork.SenseIn)
	s := Section{Key: "panel", Title: "The board as drawn", Facts: []Fact{
		{Key: "width_m", Label: "outline", Value: b.Width, Text: fmt.Sprintf("%s × %s, %d copper layers, %s finished", length(b.Width), length(b.Height), len(b.Layers), length(d.Board.Thickness))},
		{Key: "height_m", Value: b.Height},
		{Key: "places", Label: "coils", Value: b.Cols * b.Rows, Text: fmt.Sprintf("%d × %d, %s from one to the next in a row; on the back under each is printed which it is and which copy: 2-1 is the first of coil 2", b.Cols, b.Rows, length(b.Pitch))},
		{Key: "wire_drill_m", Label: "wires", Value: wire.Drill, Text: fmt.Sprintf("two holes of %s a coil; a ring is printed round the first", length(wire.Drill))},
		{Key: "sense_drill_m", Label: "voltmeter", Value: sense.Drill, Text: fmt.Sprintf("two holes of %s, one beside each wire's and joined to it", length(sense.Drill))},
	}}
	t := Table{Key: "drawn", Title: "From hole to hole at 20 °C, as drawn", Columns: []Column{{"number", "coil"}, {"resistance_ohm", "resistance"}, {"leads_ohm", "of it leads"}}}
	for i, n := range nets {
		t.Rows = append(t.Rows, []Cell{{i + 1, fmt.Sprint(i + 1)}, In(n.Resistance, quantity.Resistance), In(n.Leads, quantity.Resistance)})
	}
	s.Tables = []Table{t}
	s.Notes = []string{
		"Resistance with four wires: a known current through the large holes, the ringed one first, and the voltage between the small ones; then neither wires nor contacts are in it. Take the leads off a reading before lodegrid fit: the model's coil has none.",
		"Every net's copper was traced and every rule of the board house held. Copies of a coil show how far boards differ. Coils stand farther apart here than on the grid, and copper that board.planes states is not drawn: readings of heat are predicted without either.",
		"Where a coil is to have no steel, or steel farther back, cut or lift the sheet behind it. Copper to be poured round a coil is not drawn: glue foil on.",
	}
	return s
}

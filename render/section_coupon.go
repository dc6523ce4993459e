package render

import (
	"fmt"
	"math"

	"lodegrid/array/design"
	"lodegrid/array/fit"
	"lodegrid/field/quantity"
)

// CouponSection is a test board: its coils, what to read of them, and what that settles.
func CouponSection(d design.Design, c *fit.Coupon) Section {
	s := Section{Key: "coupon", Title: "A test board"}
	gain := math.Exp((c.Gain - c.PlainGain) / float64(len(c.Before)))
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
		values.Rows = append(values.Rows, []Cell{Say(b.Key), {v, design.Show(b.Key, v)}, {b.Sd, design.Show(b.Key, b.Sd)}, {c.After[i].Sd, design.Show(b.Key, c.After[i].Sd)}, {c.Plain[i].Sd, design.Show(b.Key, c.Plain[i].Sd)}})
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

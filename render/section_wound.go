package render

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array"
	"lodegrid/field/quantity"
)

// WoundSection holds a pixel's flat coil against a wound electromagnet bought instead,
// at the fluid's height over the front of each.
func WoundSection(g *array.Grid, w *array.Wound) Section {
	d, p := g.Design, g.Pixel
	at := r3.Vec{Z: d.Fluid.Height}
	spec, winding := w.Spec, w.Winding.Spec()
	s := Section{Key: "wound", Title: "Against a wound electromagnet"}
	core := "no core"
	if spec.Core > 0 {
		core = fmt.Sprintf("core of %s", quantity.Format(spec.Core, quantity.Length))
	}
	if spec.Shell > 0 {
		core += fmt.Sprintf(" in a pot of %s", quantity.Format(spec.Shell, quantity.Length))
	}
	s.Facts = append(s.Facts, Words("magnet", "the electromagnet", fmt.Sprintf("%d turns of %s wire, %s to %s across, %s long, %s, %s steel",
		winding.Turns, quantity.FormatIn(spec.Wire, quantity.Length, "mm"), quantity.Format(spec.Inner, quantity.Length), quantity.Format(spec.Outer, quantity.Length),
		quantity.Format(spec.Height, quantity.Length), core, spec.Steel)))
	if w.Steel != nil {
		s.Facts = append(s.Facts, Fact{Key: "core_peak_t", Label: "highest flux density in its iron", Value: w.Steel.Peak, Text: quantity.Format(w.Steel.Peak, quantity.FluxDensity) + saturates(w.Steel.Peak)})
	}
	current := p.FullCurrent
	r := p.Coil.Resistance(zeroCelsius + 20)
	flatAir, flat := p.Air.B(at).Z*current, p.CoilField().B(at).Z*current
	power := current * current * r // as steady current; PWM ripple adds to it
	t := Table{Key: "compared", Title: fmt.Sprintf("Both cold, %s in front", quantity.Format(d.Fluid.Height, quantity.Length)), Columns: []Column{{"quantity", ""}, {"flat", "flat coil"}, {"wound", "wound"}, {"ratio", "flat/wound"}}}
	add := func(key, name string, a, b float64, dim quantity.Dimension) {
		t.Rows = append(t.Rows, []Cell{{key, name}, In(a, dim), In(b, dim), {a / b, fmt.Sprintf("× %.3g", a/b)}})
	}
	wr, wAir, wField := w.Winding.Resistance(zeroCelsius+20), w.Air(at).Z, w.Field(at).Z
	add("resistance_ohm", "resistance", r, wr, quantity.Resistance)
	add("inductance_air_h", "inductance in air", p.Coil.Inductance(), w.Winding.Inductance(), quantity.Inductance)
	add("current_a", "current", current, w.Current, quantity.Current)
	add("power_w", "heat at that steady current", power, w.Power(), quantity.Power)
	add("air_t", "field, coil alone", flatAir, wAir, quantity.FluxDensity)
	add("field_t", "field with its iron", flat, wField, quantity.FluxDensity)
	a, b := p.CoilField().B(at).Z/math.Sqrt(r), wField/math.Sqrt(w.Power())
	t.Rows = append(t.Rows, []Cell{{"field_t_per_sqrt_w", "field per √W with its iron"}, {a, fmt.Sprintf("%.3g mT/√W", a*1e3)}, {b, fmt.Sprintf("%.3g mT/√W", b*1e3)}, {a / b, fmt.Sprintf("× %.3g", a/b)}})
	add("width_m", "width", p.Coil.Spec().Outer, spec.Outer+2*spec.Shell, quantity.Length)
	s.Tables = []Table{t}
	s.Notes = append(s.Notes, "Both irons by axisymmetric finite elements where they run; the flat coil at the design's full level, the wound one at its own voltage without a driver.")
	if spec.Outer+2*spec.Shell > d.Grid.Pitch && d.Pixels() > 1 {
		s.Notes = append(s.Notes, fmt.Sprintf("It does not fit the pitch of %s.", quantity.Format(d.Grid.Pitch, quantity.Length)))
	}
	return s
}

// saturates adds a word where low-carbon steel is no longer linear (from memory).
func saturates(peak float64) string {
	switch {
	case peak > 2:
		return ": saturated"
	case peak > 1.5:
		return ": beginning to saturate"
	}
	return ""
}

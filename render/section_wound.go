package render

import (
	"fmt"

	"lodegrid/array/grid"
	"lodegrid/array/wound"
	"lodegrid/field/material"
	"lodegrid/field/quantity"
)

// WoundSection holds a pixel's flat coil against a wound electromagnet bought instead,
// at the fluid's height over the front of each.
func WoundSection(g *grid.Grid, w *wound.Magnet) Section {
	d, p := g.Design, g.Pixel
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
	flat, bought, fits := w.Against(d, p)
	t := Table{Key: "compared", Title: fmt.Sprintf("Both cold, %s in front", quantity.Format(d.Fluid.Height, quantity.Length)), Columns: []Column{{"quantity", ""}, {"flat", "flat coil"}, {"wound", "wound"}, {"ratio", "flat/wound"}}}
	for _, q := range []struct {
		key, name string
		of        func(wound.Merit) float64
		format    func(float64) string
	}{
		{"resistance_ohm", "resistance", func(e wound.Merit) float64 { return e.Resistance }, as(quantity.Resistance)},
		{"inductance_air_h", "inductance in air", func(e wound.Merit) float64 { return e.Inductance }, as(quantity.Inductance)},
		{"current_a", "current", func(e wound.Merit) float64 { return e.Current }, as(quantity.Current)},
		{"power_w", "heat at that steady current", func(e wound.Merit) float64 { return e.Power }, as(quantity.Power)},
		{"air_t", "field, coil alone", func(e wound.Merit) float64 { return e.Alone }, as(quantity.FluxDensity)},
		{"field_t", "field with its iron", func(e wound.Merit) float64 { return e.Field }, as(quantity.FluxDensity)},
		{"field_t_per_sqrt_w", "field per √W with its iron", func(e wound.Merit) float64 { return e.PerRootWatt }, func(v float64) string { return fmt.Sprintf("%s mT/√W", quantity.Figure(v*1e3, 3)) }},
		{"width_m", "width", func(e wound.Merit) float64 { return e.Width }, as(quantity.Length)},
	} {
		a, b := q.of(flat), q.of(bought)
		t.Rows = append(t.Rows, []Cell{{q.key, q.name}, {a, q.format(a)}, {b, q.format(b)}, {a / b, fmt.Sprintf("× %s", quantity.Figure(a/b, 3))}})
	}
	s.Tables = []Table{t}
	s.Notes = append(s.Notes, "Both irons by axisymmetric finite elements where they run; the flat coil at the design's full level, the wound one at its own voltage without a driver.")
	if !fits {
		s.Notes = append(s.Notes, fmt.Sprintf("It does not fit the pitch of %s.", quantity.Format(d.Grid.Pitch, quantity.Length)))
	}
	return s
}

// as formats a quantity.
func as(d quantity.Dimension) func(float64) string {
	return func(v float64) string { return quantity.Format(v, d) }
}

// saturates adds a word where low-carbon steel is no longer linear (from memory).
func saturates(peak float64) string {
	switch {
	case peak > material.SaturationEnds:
		return ": saturated"
	case peak > material.SaturationBegins:
		return ": beginning to saturate"
	}
	return ""
}

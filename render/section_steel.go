package render

import (
	"fmt"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/array/pixel"
	"lodegrid/field/iron"
	"lodegrid/field/material"
	"lodegrid/field/quantity"
)

// steelModel is how the steel is computed, in words and as iron.model has it.
func steelModel(key, label string, m design.IronModel) Fact {
	words := map[design.IronModel]string{
		design.IronNone: "without steel", design.IronImage: "mirror image", design.IronSlab: "wide sheet of linear steel", design.IronFEM: "finite elements",
	}
	return Fact{Key: key, Label: label, Value: string(m), Text: fmt.Sprintf("%s (iron.model %s)", words[m], m)}
}

// SteelSection is the steel behind a pixel: which model runs, what it gains, how near
// to saturation it is and where, and whether the alloy is of any use.
func SteelSection(g *grid.Grid) (Section, error) {
	d, p := g.Design, g.Pixel
	s := Section{Key: "steel", Title: "Steel behind the pixel", Facts: []Fact{steelModel("model", "model", p.Iron.Model)}}
	s.Notes = append(s.Notes, "Model: "+p.Iron.Note+".")
	if d.Iron.Model == design.IronNone {
		return s, nil
	}
	gain := p.Axis(d.Fluid.Height)[0].Gain
	s.Facts = append(s.Facts,
		Fact{Key: "gain", Label: "gain of the coil's field at the fluid", Value: gain, Text: fmt.Sprintf("× %.3f", gain)},
		Fact{Key: "steel", Label: "steel", Value: d.Iron.Steel, Text: fmt.Sprintf("%s, %s thick, µr %s where taken as linear", d.Iron.Steel, quantity.Format(d.Iron.Thickness, quantity.Length), quantity.Figure(d.Iron.MuR, 4))})
	if f := p.Iron.CoilSolution; f != nil {
		s.Facts = append(s.Facts, peakFact("peak_t", "highest flux density "+atFull(d), f))
		if m := p.Iron.BiasSolution; m != nil {
			s.Facts = append(s.Facts, peakFact("bias_peak_t", "of that by the magnet alone", m))
		}
		share := f.Above(material.SaturationBegins)
		s.Facts = append(s.Facts, Fact{Key: "saturating_share", Label: "share of the steel above 1.5 T", Value: share, Text: fmt.Sprintf("%s %%", quantity.Figure(share*100, 2))})
		if share > material.SaturationTold {
			s.Notes = append(s.Notes, "Low-carbon steel begins to saturate at 1.5 T (from memory): there the coil gains less, which these figures include.")
		}
	}
	if len(p.Iron.Levels) > 0 {
		s.Tables = append(s.Tables, levelTable(p.Iron.Levels))
		s.Notes = append(s.Notes, "In the magnet's field the coil's share is told for each level: steel that the magnet has bent answers a current that adds to it and one that takes from it differently, and every figure counts with that.")
	}
	muR, instead, unmagnetic := p.Unmagnetic(d)
	if unmagnetic {
		s.Notes = append(s.Notes, fmt.Sprintf("%s is austenitic: its permeability of %s gains nothing; %s of low-carbon steel in its place would gain %.0f %%. A magnet that sticks to the sheet tells them apart.",
			d.Iron.Steel, quantity.Figure(muR, 4), quantity.Format(pixel.ThinSheet, quantity.Length), 100*(instead-1)))
	}
	return s, nil
}

// levelTable is the coil's share of a biased field at several levels.
func levelTable(levels []pixel.LevelGain) Table {
	t := Table{Key: "by_level", Title: "The coil's share on the axis at the fluid, magnet on", Columns: []Column{
		{"level", "level"}, {"current_a", "current"}, {"coil_t", "coil's share"}, {"share", "per ampere, of full level's"}}}
	for _, l := range levels {
		t.Rows = append(t.Rows, []Cell{{l.Level, fmt.Sprintf("%+.3g", l.Level)}, In(l.Current, quantity.Current), In(l.Field, quantity.FluxDensity), {l.Share, fmt.Sprintf("%.2f %%", l.Share*100)}})
	}
	return t
}

func peakFact(key, label string, f *iron.Solution) Fact {
	return Fact{Key: key, Label: label, Value: f.Peak, Text: fmt.Sprintf("%s, %s from the axis, %s behind the board's front; mean %s",
		quantity.Format(f.Peak, quantity.FluxDensity), quantity.Format(f.PeakR, quantity.Length), quantity.Format(-f.PeakZ, quantity.Length), quantity.Format(f.Mean, quantity.FluxDensity))}
}

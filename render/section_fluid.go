package render

import (
	"fmt"
	"math"

	"lodegrid/array/grid"
	"lodegrid/array/hold"
	"lodegrid/field/quantity"
)

// FluidSection is what one pixel at full level does to the ferrofluid: pull on the
// reference drop two ways, the raised meniscus, and peaks on a free surface.
func FluidSection(g *grid.Grid) Section {
	d, pull := g.Design, hold.PullOf(g)
	point, whole := pull.Point.Value, pull.Whole.Value
	s := Section{Key: "fluid", Title: "What one pixel does to the fluid"}
	s.Facts = append(s.Facts,
		By("pull_point_n", "pull towards the board, drop taken as a point", pull.Point, quantity.Force),
		By("pull_n", "pull towards the board, over the drop", pull.Whole, quantity.Force))
	if pull.Alone != 0 {
		s.Facts = append(s.Facts, Fact{Key: "pull_gain", Label: "gain of that pull by steel and magnet", Value: whole / pull.Alone, Text: fmt.Sprintf("× %.2f of %s", whole/pull.Alone, quantity.Format(pull.Alone, quantity.Force))})
	}
	if weight := g.Weight().Value; weight > 0 {
		s.Facts = append(s.Facts, Fact{Key: "pull_weights", Label: "over the drop's apparent weight", Value: whole / weight, Text: fmt.Sprintf("× %s of %s", quantity.Figure(whole/weight, 3), quantity.Format(weight, quantity.Force))})
	}
	if whole != 0 && math.Abs(point/whole-1) > 0.2 {
		s.Notes = append(s.Notes, fmt.Sprintf("The drop of %s is not small against the coil: the point form is %+.0f %% off.", quantity.Format(d.Fluid.DropDiameter, quantity.Length), 100*(point/whole-1)))
	}

	air, carrier := hold.Surfaces(g)
	if air != nil {
		s.Facts = append(s.Facts, rise("rise_air_m", "raised meniscus, surface to air", *air, d.Fluid.TankGap))
	}
	if carrier != nil {
		s.Facts = append(s.Facts, rise("rise_carrier_m", "raised meniscus, in its carrier", *carrier, d.Fluid.TankGap))
		s.peaks("peaks_carrier_onset_t", "surface peaks, in its carrier", *carrier, pull.Flux)
	}
	if air != nil {
		s.peaks("peaks_air_onset_t", "surface peaks, surface to air", *air, pull.Flux)
	}
	share, lobes := hold.Rim(g).Apart()
	s.Facts = append(s.Facts, Fact{Key: "own_field_apart", Label: "its own field pushes a lit drop apart", Value: finite(share, Infinite), Text: roundness(share, lobes),
		Why: "µ0 M² R ∮ G(θ) (cos θ − cos nθ) dθ against σ(n² − 1)/R² − dΠ/dr at the rim, the worst of n = 2…12 lobes"})
	if share >= 1 {
		s.Notes = append(s.Notes, fmt.Sprintf("Caution: in its full field a drop of %s does not stay round. It grows arms or falls apart, as films of ferrofluid break up into labyrinths; a smaller drop, less field or a deeper tank keeps it whole.", quantity.Format(d.Fluid.DropDiameter, quantity.Length)))
	}
	return s
}

// roundness tells how near a drop is to losing its roundness.
func roundness(share float64, lobes int) string {
	if math.IsInf(share, 1) {
		return "nothing keeps it round"
	}
	return fmt.Sprintf("with %s of what keeps it round (%d lobes)", quantity.Figure(share, 2), lobes)
}

// rise is the height that the pressure would raise the surface, and what it means where
// that is more than the tank holds.
func rise(key, label string, of hold.Surface, gap float64) Fact {
	f := By(key, label, of.Rise, quantity.Length)
	if of.Fills {
		f.Text += fmt.Sprintf(", more than the tank's depth of %s: the fluid reaches the other pane", quantity.Format(gap, quantity.Length))
	}
	return f
}

// peaks adds the onset and the spacing of surface peaks, and whether the field is over
// the onset.
func (s *Section) peaks(key, label string, of hold.Surface, flux float64) {
	if !of.Peaked {
		return
	}
	if !of.Reached {
		s.Facts = append(s.Facts, Fact{Key: key, Label: label, Value: None, Text: "no field raises them: the fluid saturates before"})
		return
	}
	verdict := "not reached"
	if of.Exceeded {
		verdict = "exceeded"
	}
	s.Facts = append(s.Facts, Fact{Key: key, Label: label, Value: of.Onset.B,
		Text: fmt.Sprintf("from %s: %s by %s; spacing %s", quantity.Format(of.Onset.B, quantity.FluxDensity), verdict, quantity.Format(flux, quantity.FluxDensity), quantity.Format(of.Onset.Spacing, quantity.Length)),
		Why:  "onset of the normal-field instability of a deep layer (Cowley & Rosensweig 1967); a thin layer or a small patch needs more"})
}

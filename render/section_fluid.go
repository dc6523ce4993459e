package render

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array"
	"lodegrid/field/ferrofluid"
	"lodegrid/field/quantity"
)

// FluidSection is what one pixel at full level does to the ferrofluid: pull on the
// reference drop two ways, the raised meniscus, and peaks on a free surface.
func FluidSection(g *array.Grid) Section {
	d, fluid := g.Design, g.Fluid.Fluid
	p := g.Pixel.From(max(d.Fluid.Height-d.Fluid.TankGap/2, 0.2e-3))
	at := r3.Vec{Z: d.Fluid.Height}
	drop := g.Drop()
	all := sourceAt(p, p.FullCurrent)
	b := r3.Norm(all.B(at))
	s := Section{Key: "fluid", Title: "What one pixel does to the fluid"}

	small := -ferrofluid.PullSmall(g.Fluid, all, at, drop.Volume, d.Fluid.Height/20).Z
	whole := -ferrofluid.PullDisc(g.Fluid, all, at, d.Fluid.DropDiameter, d.Fluid.TankGap).Z
	air := -ferrofluid.PullDisc(g.Fluid, sourceAir(p, p.FullCurrent), at, d.Fluid.DropDiameter, d.Fluid.TankGap).Z
	weight := math.Abs(d.Fluid.DensityDifference) * ferrofluid.Gravity * drop.Volume
	s.Facts = append(s.Facts,
		Number("pull_point_n", "pull towards the board, drop taken as a point", small, quantity.Force).Because(fmt.Sprintf("volume %.3g mm³ × M × ∂|B|/∂z at the drop's middle", drop.Volume*1e9)),
		Number("pull_n", "pull towards the board, over the drop", whole, quantity.Force).Because("∫ ∇Π dV over the disc of fluid between the panes, as the sum of Π over its surface"))
	if air != 0 {
		s.Facts = append(s.Facts, Fact{Key: "pull_gain", Label: "gain of that pull by steel and magnet", Value: whole / air, Text: fmt.Sprintf("× %.2f of %s", whole/air, quantity.Format(air, quantity.Force))})
	}
	if weight > 0 {
		s.Facts = append(s.Facts, Fact{Key: "pull_weights", Label: "over the drop's apparent weight", Value: whole / weight, Text: fmt.Sprintf("× %.3g of %s", whole/weight, quantity.Format(weight, quantity.Force))})
	}
	if whole != 0 && math.Abs(small/whole-1) > 0.2 {
		s.Notes = append(s.Notes, fmt.Sprintf("The drop of %s is not small against the coil: the point form is %+.0f %% off.", quantity.Format(d.Fluid.DropDiameter, quantity.Length), 100*(small/whole-1)))
	}

	normal := ferrofluid.Body{Fluid: fluid, Demagnetisation: ferrofluid.Layer}
	if rho := d.Fluid.Density; rho > 0 {
		s.Facts = append(s.Facts, Fact{Key: "rise_air_m", Label: "raised meniscus, surface to air", Value: ferrofluid.Rise(normal, b, rho), Text: riseText(normal, b, rho, d.Fluid.TankGap),
			Why: fmt.Sprintf("(µ0∫M dH + µ0 M²/2)/(Δρ g), field normal to the surface, %s; surface tension left out", quantity.Format(b, quantity.FluxDensity))})
	}
	if rho := d.Fluid.DensityDifference; rho > 0 {
		s.Facts = append(s.Facts, Fact{Key: "rise_carrier_m", Label: "raised meniscus, in its carrier", Value: ferrofluid.Rise(normal, b, rho), Text: riseText(normal, b, rho, d.Fluid.TankGap)})
		s.peaks(fluid, rho, d.Fluid.SurfaceTension, b, "in its carrier", "peaks_carrier_onset_t")
	}
	s.peaks(fluid, d.Fluid.Density, d.Fluid.SurfaceTension, b, "surface to air", "peaks_air_onset_t")
	return s
}

// riseText is the height that the pressure would raise the surface, and what it means
// where that is more than the tank holds.
func riseText(p ferrofluid.Pressure, b, rho, gap float64) string {
	h := ferrofluid.Rise(p, b, rho)
	text := quantity.Format(h, quantity.Length)
	if h > gap {
		text += fmt.Sprintf(", more than the tank's depth of %s: the fluid reaches the other pane", quantity.Format(gap, quantity.Length))
	}
	return text
}

// peaks adds the onset and the spacing of surface peaks, and whether the field is over
// the onset.
func (s *Section) peaks(f ferrofluid.Fluid, rho, tension, b float64, where, key string) {
	onset, reached, err := f.Peaks(rho, tension)
	if err != nil {
		return // no density or no tension: no such surface
	}
	label := "surface peaks, " + where
	if !reached {
		s.Facts = append(s.Facts, Fact{Key: key, Label: label, Value: None, Text: "no field raises them: the fluid saturates before"})
		return
	}
	verdict := "not reached"
	if b > onset.B {
		verdict = "exceeded"
	}
	s.Facts = append(s.Facts, Fact{Key: key, Label: label, Value: onset.B,
		Text: fmt.Sprintf("from %s: %s by %s; spacing %s", quantity.Format(onset.B, quantity.FluxDensity), verdict, quantity.Format(b, quantity.FluxDensity), quantity.Format(onset.Spacing, quantity.Length)),
		Why:  "onset of the normal-field instability of a deep layer (Cowley & Rosensweig 1967); a thin layer or a small patch needs more"})
}

// sourceAir is the coil alone at a current.
func sourceAir(p array.Pixel, current float64) coilAlone { return coilAlone{p, current} }

type coilAlone struct {
	p       array.Pixel
	current float64
}

// B implements field.Source.
func (a coilAlone) B(at r3.Vec) r3.Vec { return r3.Scale(a.current, a.p.Air.B(at)) }

package tank

import "math"

// courant is the part of a cell that may flow out in one substep, both axes together:
// advect wants less than one half.
const courant = 0.45

// substepLimit is the longest stable substep now, s. Three limits: the Courant number;
// the explicit viscosity along the panes, eased by the implicit drag; and ωh ≤ π/2 for
// the stiffest interface wave of the grid, wavenumber k = π/cell, ω² = (σk³ +
// |∇(Π+Δρ g·x)|k)/2ρ: a wave between two liquids of equal density (H. Lamb,
// Hydrodynamics, 6th ed., §§ 231, 267, from memory); for surface tension alone this is
// the limit of J. U. Brackbill, D. B. Kothe & C. Zemach, J. Computational Physics 100
// (1992) 335-354, doi:10.1016/0021-9991(92)90240-Y. The force is taken after the move,
// which is stable up to ωh = 2.
func (t *Tank) substepLimit() float64 {
	k := math.Pi / min(t.dx, t.dy)
	h := t.p.MaxStep
	steep := t.steep
	if t.p.ContactLine > 0 {
		steep += t.p.ContactLine / (2 * t.p.Gap) / t.reach()
	}
	if w := math.Sqrt((t.p.SurfaceTension*k*k*k + steep*k) / (2 * t.p.Density)); w*h > math.Pi/2 {
		h = math.Pi / 2 / w
	}
	nu := max(t.p.Viscosity, t.p.OuterViscosity) / t.p.Density
	if d := nu * (4*t.eased[0]/(t.dx*t.dx) + 4*t.eased[1]/(t.dy*t.dy) - 12/(t.p.Gap*t.p.Gap)); d*h > 1 {
		h = 1 / d
	}
	if t.rate*h > courant {
		h = courant / t.rate
	}
	return h
}

// substep moves everything on by h seconds.
func (t *Tank) substep(h float64) {
	t.travelled += t.rate * h
	t.advect(h)
	for _, l := range t.layers {
		t.cutFacets(l)
	}
	if t.travelled > t.lookAfter {
		t.arrange()
	}
	for _, l := range t.layers {
		if l.grip != nil {
			t.hold(l, h)
		}
		t.curvatures(l)
		t.pressures(l)
	}
	damp := t.damping(h)
	if t.contrast != nil {
		damp = 1
		t.blend(h)
		t.rub(h)
	}
	t.accelerate(h, damp)
	for _, l := range t.layers {
		t.push(l, h*damp)
	}
	if t.contrast != nil {
		t.drag()
		t.relax(h)
	}
	t.project(h)
}

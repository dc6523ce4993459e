package tank

import "math"

// courant is the part of its contents a cell may lose in one substep: at one half
// the limited fluxes of phase.go keep 0 ≤ c ≤ 1.
const courant = 0.5

// sharpening is Γ over the fastest speed.
const sharpening = 0.4

// substepLimit is the longest stable substep now, s. Three limits: the Courant
// number; the explicit viscosity along the panes, eased by the implicit drag; and ωh ≤ π/2 for the stiffest interface wave of the grid, wavenumber
// k = π/cell, ω² = (σk³ + |∇(Π+Δρ g·x)|k)/2ρ: a wave between two liquids of equal
// density (H. Lamb, Hydrodynamics, 6th ed., §§ 231, 267, from memory); for surface
// tension alone this is the limit of Brackbill, Kothe & Zemach (1992). The force is
// taken after the move, which is stable up to ωh = 2.
func (t *Tank) substepLimit() float64 {
	k := math.Pi / min(t.dx, t.dy)
	h := t.p.MaxStep
	steep := t.steep
	if t.grip != nil {
		steep += t.p.ContactLine / (2 * t.p.Gap) / t.reach()
	}
	if w := math.Sqrt((t.p.SurfaceTension*k*k*k + steep*k) / (2 * t.p.Density)); w*h > math.Pi/2 {
		h = math.Pi / 2 / w
	}
	nu := t.p.Viscosity / t.p.Density
	if d := nu * (4/(t.dx*t.dx) + 4/(t.dy*t.dy) - 12/(t.p.Gap*t.p.Gap)); d*h > 1 {
		h = 1 / d
	}
	if t.rate*h > courant {
		h = courant / t.rate
	}
	return h
}

// substep moves everything on by h seconds.
func (t *Tank) substep(h float64) {
	t.sharpen(h)
	t.slip(h)
	t.advect(h)
	t.refresh()
	if t.grip != nil {
		t.hold(h)
	}
	t.accelerate(h)
	t.project(h)
}

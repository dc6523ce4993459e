package tank

import "math"

// courant is the part of a cell that may flow out in one substep, both axes together:
// advect wants less than one half.
const courant = 0.49

// The stiffest wave that the grid's interface has, wavenumber π/cell: fitted is the
// curvature, per cell, that the fit of curvature.go finds in one whose facets' middles go
// up and down by 2/π cells about a straight line along an axis, times π; sheet is what the
// pressure leaves of a force on one row of sides, √(s/(1+s/4)) for s = 4, per cell. Both are
// well below the same wave's of a continuum, π³ and π.
const (
	fitted = 5.33
	sheet  = math.Sqrt2
)

// substepLimit is the longest stable substep now, s. Three limits: the Courant number;
// the explicit viscosity along the panes, eased by the drag; and ωh ≤ π/2 for the stiffest
// interface wave of the grid, ω² = (σ fitted/cell³ + |∇(Π+Δρ g·x)| sheet/cell)/2ρ: that of
// a wave between two liquids of equal density (H. Lamb, Hydrodynamics, 6th ed., §§ 231,
// 267, from memory) with what the grid makes of k³ and k; with k³ as it is, this is the limit
// of J. U. Brackbill, D. B. Kothe & C. Zemach, J. Computational Physics 100 (1992) 335-354,
// doi:10.1016/0021-9991(92)90240-Y. The force is taken after the move, which is stable up to
// ωh = 2; drops held by surface tension alone were seen to shake themselves apart at steps
// of 1.2 to 1.5 times this limit at 24 cells per pitch and of 1.5 to 2.4 times at 8 and 12.
func (t *Tank) substepLimit() float64 {
	d := min(t.dx, t.dy)
	h := t.p.MaxStep
	steep := t.steep
	if t.p.ContactLine > 0 {
		steep += t.p.ContactLine / (2 * t.p.Gap) / t.reach()
	}
	if w := math.Sqrt((fitted*t.p.SurfaceTension/(d*d) + sheet*steep) / (2 * d * t.p.Density)); w*h > math.Pi/2 {
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
	damp, pushed := t.damping(h)
	if t.contrast != nil {
		damp, pushed = 1, h
		t.blend(h)
		t.rub(h)
	}
	t.accelerate(pushed, damp)
	for _, l := range t.layers {
		t.push(l, pushed)
	}
	if t.contrast != nil {
		t.drag()
		t.relax(h)
	}
	t.project(h)
}

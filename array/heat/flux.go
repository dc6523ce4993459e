package heat

import (
	"math"
	"sync"
)

// fluxTable is the loss of one face as a function of the node's rise over the
// air, tabulated so that a time step costs a few operations per node whatever
// the correlations. It holds cubic pieces that match Film.Flux and its slope
// where they meet, over a grid that is fine where natural convection is least
// smooth: 2^fluxBits pieces per doubling of |rise| + 1 K. A piece is found from
// the leading bits of the floating-point number.
//
// The rest of the package takes the table as the loss, so that the steppers, the
// steady state and the energy balance agree with each other to rounding. A test
// measures how far it lies from Film.Flux.
type fluxTable struct {
	warm []fluxPiece        // rise >= 0
	cold func() []fluxPiece // rise < 0, over |rise|; worked out when first asked for
}

// fluxPiece is q = c0 + t (c1 + t (c2 + t c3)), t the distance from the start.
type fluxPiece struct{ c0, c1, c2, c3 float64 }

const (
	fluxBits  = 5
	fluxShift = 52 - fluxBits
	fluxBase  = 1023 << fluxBits // biased exponent of 1.0 in front of the leading bits
)

// newFluxTable tabulates a film for rises from coldest (negative) to hottest.
// Beyond either the flux goes on along its last slope.
func newFluxTable(f *Film, ambient, surroundings, coldest, hottest float64) *fluxTable {
	t := &fluxTable{warm: fluxPieces(f, ambient, surroundings, 1, hottest)}
	// Few boards are ever colder than the air.
	t.cold = sync.OnceValue(func() []fluxPiece { return fluxPieces(f, ambient, surroundings, -1, -coldest) })
	return t
}

// fluxPieces builds the pieces of a film's flux over |rise| from 0 to at least reach, to
// the side that sign tells.
func fluxPieces(f *Film, ambient, surroundings, sign, reach float64) []fluxPiece {
	n := int(math.Float64bits(reach+1)>>fluxShift) - fluxBase + 1
	start := func(i int) float64 {
		return math.Float64frombits(uint64(i+fluxBase)<<fluxShift) - 1
	}
	q := func(x float64) (flux, surface float64) { return f.loss(sign*x, ambient, surroundings) }
	bare := func(surface float64) float64 { return f.bare(surface, ambient, surroundings) }
	// Slopes by central differences within half a piece, at the surface, where no
	// insulation has to be searched through; one-sided at zero, where the flux of a level
	// plate has a vertical fourth-root start.
	slope := func(s, h float64) float64 {
		h *= 0.125
		d := (8*(bare(s+h)-bare(s-h)) - (bare(s+2*h) - bare(s-2*h))) / (12 * h)
		return sign * d / (1 + max(f.Insulation, 0)*d)
	}
	pieces := make([]fluxPiece, n+1)
	x0 := start(0)
	q0, s0 := q(0)
	const tiny = 1e-7
	q1, _ := q(tiny)
	d0 := (q1 - q0) / tiny
	for i := range n {
		x1 := start(i + 1)
		h := x1 - x0
		q1, s1 := q(x1)
		d1 := slope(s1, s1-s0)
		mean := (q1 - q0) / h
		pieces[i] = fluxPiece{q0, d0, (3*mean - 2*d0 - d1) / h, (d0 + d1 - 2*mean) / (h * h)}
		x0, q0, s0, d0 = x1, q1, s1, d1
	}
	pieces[n] = fluxPiece{c0: q0, c1: d0}
	return pieces
}

// at returns the flux in W/m² and its slope in W/(m²·K) at a rise in kelvin.
func (t *fluxTable) at(rise float64) (q, slope float64) {
	pieces, x := t.warm, rise
	if rise < 0 {
		pieces, x = t.cold(), -rise
	}
	bits := math.Float64bits(x + 1)
	i := int(bits>>fluxShift) - fluxBase
	start := math.Float64frombits(bits &^ (1<<fluxShift - 1))
	if uint(i) >= uint(len(pieces)) {
		i = len(pieces) - 1
		start = math.Float64frombits(uint64(i+fluxBase) << fluxShift)
	}
	p := &pieces[i]
	d := x + 1 - start
	q = p.c0 + d*(p.c1+d*(p.c2+d*p.c3))
	slope = p.c1 + d*(2*p.c2+d*(3*p.c3))
	if rise < 0 {
		slope = -slope
	}
	return q, slope
}

package coil

import (
	"math"
	"math/cmplx"
)

// A track is a bar of width w and thickness t with the same current density all
// over. Seen from a distance it is a few thin filaments at Gauss–Legendre places:
// the error falls geometrically with their number.

// filamentPlace is one of the filaments that stand for a track.
type filamentPlace struct {
	out    float64 // outwards from the middle of the track, m
	grown  float64 // variance of the width it stands for, m²: its area is that of the mean square radius
	up     float64 // m
	weight float64 // share of the current
}

// maxFilaments bounds the filaments across a track's width or thickness.
const maxFilaments = 24

// places returns the filaments for a track seen from no nearer than distance from
// its middle plane, so that the error of each track's field is below share.
func places(width, thickness, distance, share float64) []filamentPlace {
	n := enough(func(n int) float64 { return stripError(width, distance, n, false) }, share/2)
	m := enough(func(n int) float64 { return stripError(thickness, distance, n, true) }, share/2)
	across, down := gaussLegendre(n), gaussLegendre(m)
	p := make([]filamentPlace, 0, n*m)
	for i, x := range across.x {
		for j, z := range down.x {
			f := filamentPlace{out: x * width, up: z * thickness, weight: across.w[i] * down.w[j]}
			if n == 1 {
				f.grown = width * width / 12
			}
			p = append(p, f)
		}
	}
	return p
}

func enough(err func(n int) float64, share float64) int {
	for n := 1; n < maxFilaments; n++ {
		if err(n) <= share {
			return n
		}
	}
	return maxFilaments
}

// stripError is the largest error of n filaments for a long straight strip, over
// the strip's own field, on a plane at a distance from its middle; upright strips
// stand on edge to the plane. In complex numbers the strip of size s on the real
// axis makes the field ln[(ζ + s/2)/(ζ − s/2)]/s, a filament at x makes 1/(ζ − x).
func stripError(size, distance float64, n int, upright bool) float64 {
	g := gaussLegendre(n)
	half := complex(size/2, 0)
	worst := 0.0
	for k := range 9 {
		zeta := complex(float64(k)/4*size, distance)
		if upright {
			zeta = complex(distance, float64(k)/4*size)
		}
		strip := cmplx.Log((zeta+half)/(zeta-half)) / complex(size, 0)
		var sum complex128
		for i, x := range g.x {
			sum += complex(g.w[i], 0) / (zeta - complex(x*size, 0))
		}
		worst = max(worst, cmplx.Abs(sum-strip)/cmplx.Abs(strip))
	}
	return worst
}

// of returns the closed turn of one filament of a track.
func (p filamentPlace) of(t turn) turn {
	t.apothem = math.Sqrt((t.apothem+p.out)*(t.apothem+p.out) + p.grown)
	t.corner = max(0, t.corner+p.out)
	t.corner = math.Sqrt(t.corner*t.corner + p.grown)
	t.weight *= p.weight
	return t
}

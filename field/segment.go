package field

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Segment is a straight thin conductor between two points.
//
// Alone it is no circuit: only the sum over a closed path is a field that can be
// measured, and only that sum is free of curl.
type Segment struct {
	From, To r3.Vec  // metres
	Current  float64 // amperes, from From to To
}

// B implements Source with the closed form of the Biot–Savart integral. On the
// line through the segment, the conductor included, it is zero: a straight wire
// makes no field on its own centre line.
func (s Segment) B(p r3.Vec) r3.Vec {
	a, b := r3.Sub(p, s.From), r3.Sub(p, s.To)
	f := segment(r3.Sub(s.To, s.From), a, b, length(a), length(b))
	return r3.Scale(Mu0/(4*math.Pi)*s.Current, f)
}

// segment returns the integral ∫ dl × R/R³ of a straight conductor along l, seen
// from a point that lies a from its start and b from its end, |a| = ra, |b| = rb:
//
//	(ra + rb)/(ra rb (ra rb + a·b)) · l × a
//
// (J. D. Hanson & S. P. Hirshman, "Compact expressions for the Biot–Savart fields
// of a filamentary segment", Phys. Plasmas 9 (2002) 4410, from memory). Where
// a·b < 0, beside the conductor, (ra rb + a·b)(ra rb − a·b) = |a × b|² takes the
// subtraction out; the cross product is taken with the nearer end, so that it
// does not cancel far away.
func segment(l, a, b r3.Vec, ra, rb float64) r3.Vec {
	near := a
	if rb < ra {
		near = b
	}
	c := r3.Cross(l, near)
	product, dot := ra*rb, r3.Dot(a, b)
	if dot >= 0 {
		if product == 0 {
			return r3.Vec{}
		}
		return r3.Scale((ra+rb)/(product*(product+dot)), c)
	}
	c2 := r3.Norm2(c)
	if c2 == 0 {
		return r3.Vec{}
	}
	return r3.Scale((ra+rb)*(product-dot)/(product*c2), c)
}

// length is |v| without the care for overflow that metres do not need.
func length(v r3.Vec) float64 {
	return math.Sqrt(v.X*v.X + v.Y*v.Y + v.Z*v.Z)
}

// Path is a thin conductor through Points in order. It is closed when its last
// point repeats its first; an open path is no circuit (see Segment).
type Path struct {
	Points  []r3.Vec // metres
	Current float64  // amperes, along the order of Points
}

// B implements Source.
func (s Path) B(p r3.Vec) r3.Vec {
	// segment, written out: each corner's distance serves two segments.
	if len(s.Points) < 2 {
		return r3.Vec{}
	}
	var bx, by, bz float64
	from := s.Points[0]
	ax, ay, az := p.X-from.X, p.Y-from.Y, p.Z-from.Z
	ra := math.Sqrt(ax*ax + ay*ay + az*az)
	for i := 1; i < len(s.Points); i++ {
		to := s.Points[i]
		lx, ly, lz := to.X-from.X, to.Y-from.Y, to.Z-from.Z
		cx, cy, cz := p.X-to.X, p.Y-to.Y, p.Z-to.Z
		rc := math.Sqrt(cx*cx + cy*cy + cz*cz)
		product, dot := ra*rc, ax*cx+ay*cy+az*cz
		nx, ny, nz := ax, ay, az
		if rc < ra {
			nx, ny, nz = cx, cy, cz
		}
		vx, vy, vz := ly*nz-lz*ny, lz*nx-lx*nz, lx*ny-ly*nx
		var f float64 // stays zero on the conductor's own line
		if dot >= 0 {
			if product > 0 {
				f = (ra + rc) / (product * (product + dot))
			}
		} else if v2 := vx*vx + vy*vy + vz*vz; v2 > 0 {
			f = (ra + rc) * (product - dot) / (product * v2)
		}
		bx += f * vx
		by += f * vy
		bz += f * vz
		from, ax, ay, az, ra = to, cx, cy, cz, rc
	}
	k := Mu0 / (4 * math.Pi) * s.Current
	return r3.Vec{X: k * bx, Y: k * by, Z: k * bz}
}

// Length returns the length of the conductor in metres.
func (s Path) Length() float64 {
	sum := 0.0
	for i := 1; i < len(s.Points); i++ {
		sum += r3.Norm(r3.Sub(s.Points[i], s.Points[i-1]))
	}
	return sum
}

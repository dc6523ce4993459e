package field

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

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

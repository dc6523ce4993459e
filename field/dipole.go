package field

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Dipole is a point dipole: any source seen from far away.
type Dipole struct {
	Moment r3.Vec // A·m²
	Center r3.Vec // metres
}

// B implements Source:
//
//	B = µ0/(4π r³) [3 (m·r̂) r̂ − m]
//
// It is NaN at the dipole itself.
func (d Dipole) B(p r3.Vec) r3.Vec {
	r := r3.Sub(p, d.Center)
	r2 := r3.Norm2(r)
	f := Mu0 / (4 * math.Pi) / (r2 * math.Sqrt(r2))
	along := 3 * r3.Dot(d.Moment, r) / r2
	return r3.Scale(f, r3.Sub(r3.Scale(along, r), d.Moment))
}

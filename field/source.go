package field

import "gonum.org/v1/gonum/spatial/r3"

// Source is anything that makes a magnetic field in the air around it.
type Source interface {
	// B returns the flux density in tesla at p, in metres, for the current or
	// magnetisation the source carries.
	B(p r3.Vec) r3.Vec
}

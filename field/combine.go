package field

import "gonum.org/v1/gonum/spatial/r3"

// Sum is the superposition of its sources.
type Sum []Source

// B implements Source.
func (s Sum) B(p r3.Vec) r3.Vec {
	var b r3.Vec
	for _, source := range s {
		b = r3.Add(b, source.B(p))
	}
	return b
}

// Scaled is a source with its current, or its magnetisation, times Factor.
type Scaled struct {
	Source
	Factor float64
}

// B implements Source.
func (s Scaled) B(p r3.Vec) r3.Vec {
	return r3.Scale(s.Factor, s.Source.B(p))
}

// Mirror is the field that steel with a flat face in the plane z = Z adds above
// the face, for a source that lies wholly above it: the mirror image of Source,
// times Factor (see ImageFactor, or a factor measured on the bench). It is the
// image alone; add the source itself for the whole field. Below the plane, inside
// the steel, its value means nothing.
//
// The image of a current parallel to the face runs in the same sense, that of a
// current towards the face comes back reversed. The flux density it makes is B at
// the mirrored point with the x and y components reversed.
type Mirror struct {
	Source Source
	Z      float64 // metres
	Factor float64 // 1 for steel of unlimited permeability and size
}

// B implements Source.
func (m Mirror) B(p r3.Vec) r3.Vec {
	b := m.Source.B(r3.Vec{X: p.X, Y: p.Y, Z: 2*m.Z - p.Z})
	return r3.Vec{X: -m.Factor * b.X, Y: -m.Factor * b.Y, Z: m.Factor * b.Z}
}

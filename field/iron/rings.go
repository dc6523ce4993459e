package iron

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/field"
)

// Rings is magnetised matter round about the z axis as rings of dipoles. It is a
// field.Source: the field of the magnetisation, outside it.
type Rings []ring

// ring is a ring of dipoles: the magnetisation of one integration point times its
// section dr dz, A·m.
type ring struct{ r, z, mr, mz float64 }

// Field returns the rings' field at (r, z) in tesla.
//
// A ring of axial dipoles Mz is the limit of two opposed loops of radii a and
// a + da; one of radial dipoles Mr that of two opposed loops a step dz apart:
//
//	dB = Mz ∂B/∂a + Mr ∂B/∂z,  a ∂B/∂a = −(B + r ∂B/∂r + ζ ∂B/∂ζ)
//
// with B the field of a loop of radius a at 1 A and the second form from B's
// scaling as 1/length.
func (s Rings) Field(r, z float64) (br, bz float64) {
	for _, g := range s {
		zeta := z - g.z
		lr, lz, d := field.LoopFieldGradient(g.r, r, zeta)
		br += g.mr*d.RZ - g.mz*(lr+r*d.RR+zeta*d.RZ)/g.r
		bz += g.mr*d.ZZ - g.mz*(lz+r*d.RZ+zeta*d.ZZ)/g.r
	}
	return br, bz
}

// B implements field.Source.
func (s Rings) B(p r3.Vec) r3.Vec {
	r := math.Hypot(p.X, p.Y)
	br, bz := s.Field(r, p.Z)
	if r == 0 {
		return r3.Vec{Z: bz}
	}
	return r3.Vec{X: br * p.X / r, Y: br * p.Y / r, Z: bz}
}

// Moment returns the dipole moment along z, A·m².
func (s Rings) Moment() float64 {
	var m float64
	for _, g := range s {
		m += 2 * math.Pi * g.r * g.mz
	}
	return m
}

// over returns the difference of two magnetisations on the same points, times a factor.
func (s Rings) over(o Rings, factor float64) Rings {
	out := make(Rings, len(s))
	for i, g := range s {
		out[i] = ring{g.r, g.z, factor * (g.mr - o[i].mr), factor * (g.mz - o[i].mz)}
	}
	return out
}

// strong leaves out the weakest rings, as many as together hold less than the share of
// a whole, in A·m² of ∫|M| dV.
func (s Rings) strong(whole, share float64) Rings {
	size := func(g ring) float64 { return 2 * math.Pi * g.r * math.Hypot(g.mr, g.mz) }
	order := append(Rings(nil), s...)
	sort.Slice(order, func(i, j int) bool { return size(order[i]) < size(order[j]) })
	var sum float64
	for i, g := range order {
		if sum += size(g); sum > share*whole {
			return order[i:]
		}
	}
	return nil
}

// whole is ∫|M| dV, A·m².
func (s Rings) whole() float64 {
	var sum float64
	for _, g := range s {
		sum += 2 * math.Pi * g.r * math.Hypot(g.mr, g.mz)
	}
	return sum
}

// From returns rings that stand for s at points at least so far (m) from all of it:
// what lies within a third of that distance along r and z, and points one way, as two
// rings, which keep its moment, that moment's place and spread along z, its second moment
// over r, and the first moment of the radial dipoles. Magnetisation that points the other
// way has rings of its own: the second moment over a sum that nearly cancels is no radius.
func (s Rings) From(away float64) Rings {
	if len(s) == 0 {
		return nil
	}
	low := s[0].z
	for _, g := range s {
		low = min(low, g.z)
	}
	type sum struct{ m, z, z2, square, radial float64 }
	type place struct {
		z, r int
		up   bool
	}
	sums := map[place]*sum{}
	var order []place
	for _, g := range s {
		at := place{int((g.z - low) / (away / 3)), int(g.r / (away / 3)), g.mz > 0}
		y := sums[at]
		if y == nil {
			y = &sum{}
			sums[at] = y
			order = append(order, at)
		}
		m := 2 * math.Pi * g.r * g.mz
		y.m += m
		y.z += m * (g.z - low)
		y.z2 += m * (g.z - low) * (g.z - low)
		y.square += m * g.r * g.r
		y.radial += 2 * math.Pi * g.r * g.mr * g.r
	}
	var out Rings
	for _, at := range order {
		y := sums[at]
		if y.m == 0 {
			continue
		}
		z := y.z / y.m
		spread := math.Sqrt(max(0, y.z2/y.m-z*z))
		a := math.Sqrt(max(y.square/y.m, 1e-4*away*away))
		around := 4 * math.Pi * a
		for _, side := range [2]float64{-spread, spread} {
			out = append(out, ring{a, low + z + side, y.radial / (around * a), y.m / around})
		}
	}
	return out
}

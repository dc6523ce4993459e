package field

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// CuboidMagnet is a block, uniformly magnetised along z, with its edges along the
// axes and a recoil permeability of 1.
type CuboidMagnet struct {
	Size      r3.Vec  // full edges, metres
	Remanence float64 // tesla; positive: north pole towards +z
	Center    r3.Vec  // metres
}

// B implements Source. Inside the magnet it is B = µ0(H + M), which a fluid or a
// probe outside never sees; on a face it is the mean of the two sides, and on the
// edges, where B has no bound, NaN or Inf.
//
// Two uniformly charged faces, summed over the eight corners (E. P. Furlani,
// Permanent Magnet and Electromechanical Devices, 2001, from memory). With X, Y, Z
// the offsets from a corner and r their length, a corner of sign s = ±1 gives
//
//	Bx: −s ln(r + Y)   By: −s ln(r + X)   Bz: s atan(XY/(Zr))
//
// times Br/4π. The logarithms are taken in pairs, in the form that neither
// subtracts nor meets 0/0 on the extension of an edge.
func (c CuboidMagnet) B(p r3.Vec) r3.Vec {
	d := r3.Sub(p, c.Center)
	h := r3.Scale(0.5, c.Size)
	// Distance from the turn around the magnet at mid height.
	x, y := math.Abs(d.X)-h.X, math.Abs(d.Y)-h.Y
	var aside float64
	if x <= 0 && y <= 0 {
		aside = math.Max(x, y)
	} else {
		aside = math.Hypot(math.Max(x, 0), math.Max(y, 0))
	}
	if rule := stackFor(aside*aside+d.Z*d.Z, h.Z); rule != nil {
		return r3.Scale(c.Remanence, cuboidStack(h, d, rule))
	}
	return r3.Scale(c.Remanence/(4*math.Pi), cuboidCorners(h, d))
}

// cuboidStack is the field for a remanence of 1 T from the turns of the rule.
func cuboidStack(h, d r3.Vec, rule *stackRule) r3.Vec {
	var sum r3.Vec
	for i, at := range rule.at {
		z := h.Z * at
		turn := [...]r3.Vec{
			{X: h.X, Y: h.Y, Z: z}, {X: -h.X, Y: h.Y, Z: z},
			{X: -h.X, Y: -h.Y, Z: z}, {X: h.X, Y: -h.Y, Z: z}, {X: h.X, Y: h.Y, Z: z},
		}
		// Path's constant µ0/4π over the µ0 of the current per metre, Br/µ0.
		b := Path{Points: turn[:], Current: 1 / Mu0}.B(d)
		sum = r3.Add(sum, r3.Scale(rule.share[i]*h.Z, b))
	}
	return sum
}

// cuboidCorners is 4π times the field for a remanence of 1 T by the closed form.
func cuboidCorners(h, d r3.Vec) r3.Vec {
	var b r3.Vec
	xs := [2]float64{d.X + h.X, d.X - h.X}
	ys := [2]float64{d.Y + h.Y, d.Y - h.Y}
	zs := [2]float64{d.Z + h.Z, d.Z - h.Z}
	var r [2][2][2]float64
	for i, x := range xs {
		for j, y := range ys {
			for k, z := range zs {
				r[i][j][k] = math.Sqrt(x*x + y*y + z*z)
				if z != 0 {
					s := 2*float64((i+j+k)&1) - 1
					b.Z += s * math.Atan(x*y/(z*r[i][j][k]))
				}
			}
		}
	}
	for i := range 2 {
		for k := range 2 {
			s := 1 - 2*float64((i+k)&1)
			b.X += s * logPair(ys[0], r[i][0][k], ys[1], r[i][1][k], xs[i], zs[k])
			b.Y += s * logPair(xs[0], r[0][i][k], xs[1], r[1][i][k], ys[i], zs[k])
		}
	}
	inside := func(d, h float64) float64 {
		switch a := math.Abs(d); {
		case a < h:
			return 1
		case a == h:
			return 0.5
		}
		return 0
	}
	// The charges give µ0 H; B adds the remanence inside.
	b.Z += 4 * math.Pi * inside(d.X, h.X) * inside(d.Y, h.Y) * inside(d.Z, h.Z)
	return b
}

// logPair is ln[(r1 + y1)/(r2 + y2)] for the two ends of an edge, y1 > y2, whose
// line passes the point at the offsets u and v.
func logPair(y1, r1, y2, r2, u, v float64) float64 {
	switch {
	case y2 >= 0:
		return math.Log((r1 + y1) / (r2 + y2))
	case y1 <= 0:
		return math.Log((r2 - y2) / (r1 - y1))
	}
	return math.Log((r1 + y1) * (r2 - y2) / (u*u + v*v))
}

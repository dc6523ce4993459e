package field

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// AxialGradient holds the derivatives, in T/m, of a field that has a symmetry
// axis along z and no current at the point: ∂Br/∂z = ∂Bz/∂r, and the three
// diagonal terms sum to zero.
type AxialGradient struct {
	RR    float64 // ∂Br/∂r
	ROver float64 // Br/r, and its limit on the axis
	RZ    float64 // ∂Br/∂z = ∂Bz/∂r
	ZZ    float64 // ∂Bz/∂z
}

func (g *AxialGradient) scale(f float64) {
	g.RR *= f
	g.ROver *= f
	g.RZ *= f
	g.ZZ *= f
}

func (g *AxialGradient) add(o AxialGradient) {
	g.RR += o.RR
	g.ROver += o.ROver
	g.RZ += o.RZ
	g.ZZ += o.ZZ
}

// cartesian turns g into ∂B_i/∂x_j at the offset d from the axis,
// r = √(d.X² + d.Y²).
func (g AxialGradient) cartesian(d r3.Vec, r float64) [3][3]float64 {
	c, s := 1.0, 0.0
	if r > 0 {
		c, s = d.X/r, d.Y/r
	}
	xy := (g.RR - g.ROver) * c * s
	return [3][3]float64{
		{g.RR*c*c + g.ROver*s*s, xy, g.RZ * c},
		{xy, g.RR*s*s + g.ROver*c*c, g.RZ * s},
		{g.RZ * c, g.RZ * s, g.ZZ},
	}
}

// LoopGradient returns the derivatives of LoopField, in T/m per ampere, at the
// cylindrical point (rho, z) of a loop of radius a.
func LoopGradient(a, rho, z float64) AxialGradient {
	rho = math.Abs(rho)
	t := loop(a, rho, z)
	return t.gradient(a, rho, z)
}

// LoopFieldGradient returns LoopField and LoopGradient at the cost of one.
func LoopFieldGradient(a, rho, z float64) (br, bz float64, g AxialGradient) {
	rho = math.Abs(rho)
	t := loop(a, rho, z)
	br, bz = t.field(a, rho, z)
	return br, bz, t.gradient(a, rho, z)
}

func (t *loopTerms) gradient(a, rho, z float64) AxialGradient {
	// With f = 2 − w·sum and s = β²·sum, the derivative of f by the parameter m is
	// (3s − f)/(2m): it follows from dK/dm = B/(2mc) and dD/dm = (B − mc D)/(2m mc),
	// B and D the integrals of cos²θ and sin²θ over √(1 − m sin²θ) (DLMF 19.4, from
	// memory), and is checked against differences of LoopField.
	f := 2 - t.w*t.sum
	h := (3*t.beta2*t.sum - f) / 2
	s, d := (a+rho)/t.beta2, (a-rho)/t.alpha2
	g := AxialGradient{
		ROver: t.g * z * f,
		RR:    t.g * z * (f + h*(1-2*rho*s) - f*rho*(3*s-2*d)),
		RZ:    t.g * rho * (f - 2*h*z*z/t.beta2 - f*z*z*(3/t.beta2+2/t.alpha2)),
	}
	g.ZZ = -g.RR - g.ROver
	return g
}

package iron

// The nine-node rectangle: tensor products of the quadratic Lagrange polynomials on
// −1, 0, 1. Node (a, b) of an element has index 3b + a, a along r and b along z.

// quadratic returns the three polynomials and their slopes at u.
func quadratic(u float64) (n, d [3]float64) {
	return [3]float64{u * (u - 1) / 2, 1 - u*u, u * (u + 1) / 2},
		[3]float64{u - 0.5, -2 * u, u + 0.5}
}

// Gauss–Legendre points and weights on [−1, 1]. Four along r: the weight r³ of the
// radial term raises its degree to seven; three along z.
var (
	gaussR = [4][2]float64{
		{-0.8611363115940526, 0.3478548451374538}, {-0.3399810435848563, 0.6521451548625461},
		{0.3399810435848563, 0.6521451548625461}, {0.8611363115940526, 0.3478548451374538},
	}
	gaussZ = [3][2]float64{{-0.7745966692414834, 5.0 / 9}, {0, 8.0 / 9}, {0.7745966692414834, 5.0 / 9}}
)

const gaussPoints = len(gaussR) * len(gaussZ)

// gaussPoint is one integration point of an element: the field of each of its nine
// shape functions, and the weight r dr dz.
type gaussPoint struct {
	r, z   float64
	weight float64
	br, bz [9]float64
	shape  [9]float64 // the functions themselves
}

// points returns the integration points of the element r0…r1 × z0…z1.
func points(r0, r1, z0, z1 float64) (out [gaussPoints]gaussPoint) {
	hr, hz := (r1-r0)/2, (z1-z0)/2
	k := 0
	for _, gr := range gaussR {
		nr, dr := quadratic(gr[0])
		r := (r0+r1)/2 + hr*gr[0]
		for _, gz := range gaussZ {
			nz, dz := quadratic(gz[0])
			p := &out[k]
			k++
			p.r, p.z = r, (z0+z1)/2+hz*gz[0]
			p.weight = gr[1] * gz[1] * hr * hz * r
			for b := range 3 {
				for a := range 3 {
					p.shape[3*b+a] = nr[a] * nz[b]
					p.br[3*b+a] = -r * nr[a] * dz[b] / hz
					p.bz[3*b+a] = 2*nr[a]*nz[b] + r*dr[a]*nz[b]/hr
				}
			}
		}
	}
	return out
}

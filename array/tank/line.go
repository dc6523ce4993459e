package tank

import "math"

// line is the straight edge of the fluid in one cell, in the cell's own measure (both
// sides 1 long): the fluid is where m·x ≤ alpha, m pointing out of it, |mx|+|my| = 1,
// x counted along each axis from the side that m points away from.
type line struct{ mx, my, alpha float64 }

// share is the part of a unit square where ax+by ≤ alpha, for a, b ≥ 0 and not both 0
// (R. Scardovelli & S. Zaleski, J. Computational Physics 164 (2000) 228-237,
// doi:10.1006/jcph.2000.6567, from memory; the two-dimensional case by hand).
func share(a, b, alpha float64) float64 {
	all := a + b
	if alpha <= 0 {
		return 0
	}
	if alpha >= all {
		return 1
	}
	if a > b {
		a, b = b, a
	}
	r := alpha
	if 2*alpha > all {
		r = all - alpha
	}
	v := 0.0
	if r < a {
		v = r * r / (2 * a * b)
	} else {
		v = (r - 0.5*a) / b
	}
	if 2*alpha > all {
		v = 1 - v
	}
	return v
}

// offset is the alpha at which share(a, b, alpha) is c, a+b = 1.
func offset(a, b, c float64) float64 {
	if a > b {
		a, b = b, a
	}
	v := c
	if c > 0.5 {
		v = 1 - c
	}
	alpha := 0.0
	if 2*b*v < a {
		alpha = math.Sqrt(2 * a * b * v)
	} else {
		alpha = b*v + 0.5*a
	}
	if c > 0.5 {
		alpha = 1 - alpha
	}
	return alpha
}

// leaving is how much fluid, in cells, is in the part q of a cell next to one of its
// sides; across is the line's m along the way out through that side, along the other.
func leaving(across, along, alpha, q float64) float64 {
	along = math.Abs(along)
	if across > 0 {
		return q * share(q*across, along, alpha-across*(1-q))
	}
	return q * share(-q*across, along, alpha)
}

// lineIn is the line of a cell with share c whose neighbours' shares are n, row by row,
// itself in the middle. The normal is the mixed Youngs-centred one of E. Aulisa, S.
// Manservisi, R. Scardovelli & S. Zaleski, J. Computational Physics 225 (2007)
// 2301-2319, doi:10.1016/j.jcp.2007.03.015 (from memory): the difference of the sums of
// three cells on either side, or Youngs' weights 1-2-1 where these give a normal nearer
// to the diagonal. Sums are taken in an order that a mirror image shares.
func lineIn(n *[9]float64) line {
	left, right := n[0]+n[6]+n[3], n[2]+n[8]+n[5]
	top, bottom := n[0]+n[2]+n[1], n[6]+n[8]+n[7]
	// Out of the fluid is down the gradient of the shares.
	mx, my := left+n[3]-(right+n[5]), top+n[1]-(bottom+n[7])
	cx, cy := 0.5*(left-right), 0.5*(top-bottom)
	ax, ay, acx, acy := math.Abs(mx), math.Abs(my), math.Abs(cx), math.Abs(cy)
	l := ax + ay
	switch {
	case l == 0:
		mx, my, l = 0, 1, 1
	// As a height over the axis that the interface is flatter to.
	case acx <= acy && l < ay*(1+acx):
		mx, my, l = cx, math.Copysign(1, my), 1+acx
	case acx > acy && l < ax*(1+acy):
		mx, my, l = math.Copysign(1, mx), cy, 1+acy
	}
	mx, my = mx/l, my/l
	return line{mx, my, offset(math.Abs(mx), math.Abs(my), n[4])}
}

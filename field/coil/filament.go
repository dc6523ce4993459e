package coil

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/field"
)

// Filament is a straight thin conductor that carries its current from From to To,
// in metres.
type Filament struct{ From, To r3.Vec }

// FilamentMutual returns the mutual partial inductance of two straight filaments in
// henries, the Neumann integral (µ0/4π) ∬ dl·dl'/r. It is negative where the
// currents run against each other and zero at right angles. Filaments may touch at
// their ends; for filaments that overlap the integral diverges: +Inf.
//
// Parallel filaments take the closed form of F. W. Grover, Inductance Calculations
// (1946), ch. 6; others the closed form for two segments placed in any manner, ch. 7
// (G. A. Campbell 1915). Both from memory; checked against quadrature.
func FilamentMutual(a, b Filament) float64 {
	u, v := r3.Sub(a.To, a.From), r3.Sub(b.To, b.From)
	l, m := r3.Norm(u), r3.Norm(v)
	if l == 0 || m == 0 {
		return 0
	}
	u, v = r3.Scale(1/l, u), r3.Scale(1/m, v)
	cos := r3.Dot(u, v)
	sin2 := r3.Norm2(r3.Cross(u, v))
	if math.Abs(cos) < 1e-15 {
		return 0
	}
	w := r3.Sub(b.From, a.From)
	// Far off against their length the closed forms cancel; the integrand is smooth.
	mid := r3.Add(w, r3.Scale(0.5, r3.Sub(r3.Scale(m, v), r3.Scale(l, u))))
	if far := 8 * max(l, m); r3.Norm2(mid) > far*far {
		return field.Mu0 / (4 * math.Pi) * cos * l * m * meanInverse(mid, r3.Scale(l, u), r3.Scale(m, v))
	}
	switch {
	case sin2 < 1e-24:
		along := r3.Dot(w, u)
		apart := r3.Norm(r3.Sub(w, r3.Scale(along, u)))
		if cos < 0 { // turn the second round
			along -= m
		}
		return math.Copysign(parallel(l, m, along, apart), cos)
	case sin2 < 1e-4:
		// Nearly parallel: the closed form for skew lines loses digits with 1/sin².
		return nearlyParallel(l, w, u, v, m) * cos
	}
	return skew(l, m, u, v, w, cos, sin2)
}

// parallel is the Neumann integral of two parallel filaments of lengths l and m,
// the second starting at along, measured along the first from its start, in a line
// at the distance apart.
func parallel(l, m, along, apart float64) float64 {
	f := func(x float64) float64 {
		if apart == 0 {
			x = math.Abs(x)
			if x == 0 {
				return 0
			}
			return x * (math.Log(x) - 1)
		}
		return x*math.Asinh(x/apart) - math.Hypot(x, apart)
	}
	if apart == 0 && along < l && along+m > 0 {
		if overlap := min(l, along+m) - max(0, along); overlap > 1e-12*min(l, m) {
			return math.Inf(1)
		}
	}
	return field.Mu0 / (4 * math.Pi) * (f(along+m) + f(along-l) - f(along) - f(along+m-l))
}

// skew is the Neumann integral of two straight filaments that are not parallel: u
// and v their directions, w from the first's start to the second's.
func skew(l, m float64, u, v, w r3.Vec, cos, sin2 float64) float64 {
	// Feet of the common perpendicular, measured along each from its start.
	wu, wv := r3.Dot(w, u), r3.Dot(w, v)
	s := (wu - cos*wv) / sin2
	t := (cos*wu - wv) / sin2
	d := math.Abs(r3.Dot(w, r3.Cross(u, v))) / math.Sqrt(sin2)
	mu, nu := -s, -t // start of each from its foot
	if scale := max(l, m); d < 1e-12*scale {
		d = 0
	}
	sin := math.Sqrt(sin2)

	r := func(x, y float64) float64 {
		return math.Sqrt(max(0, d*d+x*x+y*y-2*x*y*cos))
	}
	r1, r2 := r(mu+l, nu+m), r(mu+l, nu)
	r3, r4 := r(mu, nu), r(mu, nu+m)
	// x·artanh(length/(sum of distances)): zero where the point lies on the line.
	g := func(x, length, sum float64) float64 {
		if math.Abs(x) < 1e-13*length {
			return 0
		}
		return x * math.Atanh(min(length/sum, 1))
	}
	sum := 2 * (g(mu+l, m, r1+r2) + g(nu+m, l, r1+r4) - g(mu, m, r3+r4) - g(nu, l, r2+r3))
	if d > 0 {
		omega := func(x, y, r float64) float64 {
			return math.Atan((d*d*cos + x*y*sin2) / (d * r * sin))
		}
		sum -= d / sin * (omega(mu+l, nu+m, r1) - omega(mu+l, nu, r2) + omega(mu, nu, r3) - omega(mu, nu+m, r4))
	}
	return field.Mu0 / (4 * math.Pi) * cos * sum
}

// gauss holds nodes and weights on −½…½.
type gauss struct{ x, w []float64 }

func gaussLegendre(n int) gauss {
	g := gauss{make([]float64, n), make([]float64, n)}
	quad.Legendre{}.FixedLocations(g.x, g.w, -0.5, 0.5)
	return g
}

var (
	gauss8  = gaussLegendre(8)
	gauss32 = gaussLegendre(32)
)

// meanInverse is the mean of 1/distance over two filaments with middles mid apart.
func meanInverse(mid, a, b r3.Vec) float64 {
	sum := 0.0
	for i, x := range gauss8.x {
		for j, y := range gauss8.x {
			p := r3.Add(mid, r3.Sub(r3.Scale(y, b), r3.Scale(x, a)))
			sum += gauss8.w[i] * gauss8.w[j] / math.Sqrt(r3.Norm2(p))
		}
	}
	return sum
}

// nearlyParallel integrates along the second filament the closed form over the
// first: (µ0/4π) ∫ ln((r1+r2+l)/(r1+r2−l)) dl', without the cosine.
func nearlyParallel(l float64, w, u, v r3.Vec, m float64) float64 {
	sum := 0.0
	for i, y := range gauss32.x {
		p := r3.Add(w, r3.Scale(m*(y+0.5), v))
		r1, r2 := r3.Norm(p), r3.Norm(r3.Sub(p, r3.Scale(l, u)))
		sum += gauss32.w[i] * 2 * math.Atanh(min(l/(r1+r2), 1-1e-16))
	}
	return field.Mu0 / (4 * math.Pi) * m * sum
}

package field

import "gonum.org/v1/gonum/spatial/r3"

// Differentiable is a Source that knows its own gradient in closed form.
type Differentiable interface {
	Source
	// Gradient returns ∂B_i/∂x_j, in T/m, as [i][j].
	Gradient(p r3.Vec) [3][3]float64
}

// Gradient returns ∂B_i/∂x_j, in T/m, as [i][j] at p by sixth-order central
// differences with the step h (metres) along each axis: 18 evaluations of s.
//
// The error falls as (h/d)⁶, d the distance to the nearest conductor or magnet
// edge, and rounding adds about 1e-16·|B|/h: h = d/20 gives some nine digits.
func Gradient(s Source, p r3.Vec, h float64) [3][3]float64 {
	var g [3][3]float64
	for j, step := range [3]r3.Vec{{X: h}, {Y: h}, {Z: h}} {
		var sum r3.Vec
		for k, c := range [3]float64{45, -9, 1} {
			far := r3.Scale(float64(k+1), step)
			diff := r3.Sub(s.B(r3.Add(p, far)), s.B(r3.Sub(p, far)))
			sum = r3.Add(sum, r3.Scale(c, diff))
		}
		sum = r3.Scale(1/(60*h), sum)
		g[0][j], g[1][j], g[2][j] = sum.X, sum.Y, sum.Z
	}
	return g
}

// GradientOf returns ∂B_i/∂x_j, in T/m, as [i][j] at p: in closed form for every part
// of s that has one, else by Gradient with the step h.
func GradientOf(s Source, p r3.Vec, h float64) [3][3]float64 {
	var g [3][3]float64
	switch s := s.(type) {
	case Differentiable:
		return s.Gradient(p)
	case Sum:
		for _, part := range s {
			addGradient(&g, GradientOf(part, p, h), 1)
		}
	case Scaled:
		addGradient(&g, GradientOf(s.Source, p, h), s.Factor)
	default:
		return Gradient(s, p, h)
	}
	return g
}

func addGradient(sum *[3][3]float64, g [3][3]float64, factor float64) {
	for i := range g {
		for j := range g[i] {
			sum[i][j] += factor * g[i][j]
		}
	}
}

// Package kernel stores the field of one pixel on a plane as a compact
// interpolant, so that a whole grid can be sampled without summing over
// conductors again.
//
// A pixel's coil repeats itself when turned by 360°/n about its axis (n = 4 for a
// square, 6 for a hexagon, any angle for a round one) and looks the same in a
// mirror through the axis. On a plane at height z its cylindrical components
// are therefore exactly
//
//	Bz(r,φ) = Σk bz_k(r) cos(nkφ)
//	Br(r,φ) = Σk br_k(r) cos(nkφ)
//	Bφ(r,φ) = Σk bφ_k(r) sin(nkφ)
//
// with k = 0 alone for a round coil. Each radial function is kept as a Chebyshev
// series on panels of r that are split until the series has converged
// (L. N. Trefethen, Approximation Theory and Approximation Practice, 2013,
// ch. 8: geometric decay for analytic functions; from memory). The worst
// difference found between the interpolant and the source at fresh points is
// kept beside it as Error.
//
// In air the gradient of B has five independent entries. The three in-plane
// derivatives of each component come from the same series; the derivatives along
// z follow from ∇·B = 0 and ∇×B = 0.
package kernel

package iron

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/field"
)

// Slab is the field that a wide plane sheet of linear steel adds in front of
// itself, for any source in front of it (NewSlab) or behind it (NewScreen). It is a
// field.Source.
//
// With k = (µr−1)/(µr+1), front face at z0 and thickness t, the sheet answers with
// images, each the source mirrored in a deeper plane:
//
//	B = k·M(z0) − k(1−k²) Σ_{n≥1} k^{2(n−1)} M(z0 − n·t)
//
// where M(z) is the field of the source mirrored in the plane z. It is the sum
// form of the reflection k(1−e^{−2qt})/(1−k²e^{−2qt}) at wave number q, the exact
// solution of the two boundary conditions. The series needs some 20/(1−k²) terms,
// ten thousand at µr = 1000, but its terms change slowly with n: past the first
// sixteen they are added in blocks that double in length, each by a Gauss rule
// for sums (nodes from the Gram polynomials), which leaves the sum right to ten
// digits with about a hundred images.
type Slab struct{ images []image }

// image is a source mirrored in the plane z, times a factor; or, of a source behind
// the sheet, moved down by z and not mirrored.
type image struct {
	source    field.Source
	z, factor float64
	moved     bool
}

const (
	singleImages = 16 // images added one by one
	blockNodes   = 8  // nodes of the Gauss rule for a block
)

// NewSlab returns what a sheet of relative permeability muR ≥ 1, its front face at
// z (m), thickness t (m), adds to the source.
func NewSlab(source field.Source, z, t, muR float64) *Slab {
	return NewSlabFrom(func(float64) field.Source { return source }, z, t, muR)
}

// NewSlabFrom is NewSlab for a source that is simpler from further away, read at
// z = 0 and above: from returns what stands for the source at points at a depth (m,
// below zero) and deeper, where the images look at it from. It is asked once per
// image, the nearest, the least deep, first. It panics without a thickness > 0 and a
// permeability of 1…10,000,000.
func NewSlabFrom(from func(depth float64) field.Source, z, t, muR float64) *Slab {
	if !(t > 0) || math.IsInf(t, 0) || !(muR >= 1 && muR <= 1e7) || math.IsNaN(z) {
		panic(fmt.Sprintf("iron: a sheet %g m thick of relative permeability %g at %g m", t, muR, z))
	}
	k := field.ImageFactor(muR)
	s := &Slab{}
	add := func(z, factor float64) {
		// A point at z = 0 sees the image as the source seen from 2z.
		s.images = append(s.images, image{source: from(2 * z), z: z, factor: factor})
	}
	add(z, k)
	forEachPass(muR, func(n, weight, loss float64) { add(z-n*t, -weight*k*loss) })
	return s
}

// NewScreen returns what a sheet of relative permeability muR ≥ 1 and thickness t (m)
// adds in front of itself to a source that lies wholly behind it. With k as for Slab
// and S(δ) the field of the source moved back by δ,
//
//	B = −k²·S(0) + (1−k²) Σ_{n≥1} k^{2n} S(2nt)
//
// which with the source's own field S(0) is the sum form of the transmission
// (1−k²)/(1−k²e^{−2qt}) at wave number q, the other side of the same boundary
// conditions. Where the sheet lies does not matter, as long as it is between.
func NewScreen(source field.Source, t, muR float64) *Slab {
	if !(t > 0) || math.IsInf(t, 0) || !(muR >= 1) || math.IsInf(muR, 0) {
		panic(fmt.Sprintf("iron: a screen %g m thick of relative permeability %g", t, muR))
	}
	k := field.ImageFactor(muR)
	s := &Slab{images: []image{{source: source, factor: -k * k, moved: true}}}
	forEachPass(muR, func(n, weight, loss float64) {
		s.images = append(s.images, image{source: source, z: 2 * n * t, factor: weight * loss * k * k, moved: true})
	})
	return s
}

// forEachPass calls term for the images that the field makes in passing to and fro in
// the sheet n = 1, 2, … times, grouped: with the place n, the group's weight, and
// (1−k²)k^{2(n−1)}.
func forEachPass(muR float64, term func(n, weight, loss float64)) {
	if muR == 1 {
		return
	}
	loss := 4 * muR / ((muR + 1) * (muR + 1)) // 1 − k², without cancellation
	logK2 := math.Log1p(-loss)
	at := func(n, weight float64) { term(n, weight, loss*math.Exp((n-1)*logK2)) }
	for n := 1.0; n < singleImages; n++ {
		at(n, 1)
	}
	for first := float64(singleImages); (first-1)*-logK2 < 40; first *= 2 {
		nodes, weights := sumRule(int(first), blockNodes)
		for i, x := range nodes {
			at(first+x, weights[i])
		}
	}
}

// sumRule returns nodes and weights with Σ_{i=0}^{n−1} f(i) = Σ w_j f(x_j) exactly for
// polynomials of degree below 2m, n > m: the Gauss rule of the uniform measure on
// the integers. The Gram polynomials' recurrence has a_j = (n−1)/2 and
// b_j = j²(n²−j²)/(4(4j²−1)) (DLMF 18.22 for the discrete Chebyshev case of the
// Hahn polynomials; from memory); nodes are the eigenvalues of its Jacobi matrix
// (G. H. Golub and J. H. Welsch, Math. Comp. 23 (1969) 221; from memory).
func sumRule(n, m int) (nodes, weights []float64) {
	jacobi := mat.NewSymDense(m, nil)
	for j := range m {
		jacobi.SetSym(j, j, float64(n-1)/2)
		if j > 0 {
			f := float64(j)
			jacobi.SetSym(j, j-1, math.Sqrt(f*f*(float64(n)*float64(n)-f*f)/(4*(4*f*f-1))))
		}
	}
	var e mat.EigenSym
	if !e.Factorize(jacobi, true) {
		panic("iron: eigenvalues of a small tridiagonal matrix did not converge") // cannot happen
	}
	var v mat.Dense
	e.VectorsTo(&v)
	nodes = e.Values(nil)
	weights = make([]float64, m)
	for j := range weights {
		weights[j] = float64(n) * v.At(0, j) * v.At(0, j)
	}
	return nodes, weights
}

// B implements field.Source, in front of the sheet.
func (s *Slab) B(p r3.Vec) r3.Vec {
	var b r3.Vec
	for _, i := range s.images {
		if i.moved {
			b = r3.Add(b, r3.Scale(i.factor, i.source.B(r3.Vec{X: p.X, Y: p.Y, Z: p.Z + i.z})))
			continue
		}
		b = r3.Add(b, field.Mirror{Source: i.source, Z: i.z, Factor: i.factor}.B(p))
	}
	return b
}

// Planes returns the planes that the source is mirrored in (m) and the factor of each
// image.
func (s *Slab) Planes() (z, factor []float64) {
	for _, i := range s.images {
		z, factor = append(z, i.z), append(factor, i.factor)
	}
	return z, factor
}

package coil

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/field"
)

// From a few turn distances away a coil of many turns is as well made of few: a
// Gauss rule for the turns themselves, taken as a set of weighted radii, and another
// for the layers, taken as weighted heights. An n-point rule gives every moment up to
// the order 2n − 1 as the turns do, the magnetic moment among them, and its error
// falls geometrically with n.

// gaussOf returns the n-point Gauss rule of a set of points with positive weights:
// the eigenvalues of the tridiagonal matrix that Lanczos's recurrence makes of the
// points (G. H. Golub & J. H. Welsch, Math. Comp. 23 (1969) 221; W. B. Gragg & W. J.
// Harrod, Numer. Math. 44 (1984) 317; both from memory). With no more distinct points
// than n the points themselves come back.
func gaussOf(x, w []float64, n int) (nodes, weights []float64) {
	if n >= len(x) {
		return x, w
	}
	total := 0.0
	for _, v := range w {
		total += v
	}
	// The basis is kept and every new vector made orthogonal to all of it.
	basis := make([][]float64, 0, n)
	q := make([]float64, len(x))
	for i := range q {
		q[i] = math.Sqrt(w[i] / total)
	}
	t := mat.NewSymDense(n, nil)
	scale := 0.0
	for _, v := range x {
		scale = max(scale, math.Abs(v-x[0]))
	}
	for k := range n {
		basis = append(basis, q)
		r := make([]float64, len(x))
		for i := range r {
			r[i] = (x[i] - x[0]) * q[i]
		}
		t.SetSym(k, k, dot(q, r))
		if k == n-1 {
			break
		}
		for range 2 {
			for _, b := range basis {
				d := dot(b, r)
				for i := range r {
					r[i] -= d * b[i]
				}
			}
		}
		norm := math.Sqrt(dot(r, r))
		if norm <= 1e-13*scale { // fewer distinct points than n
			return x, w
		}
		t.SetSym(k, k+1, norm)
		for i := range r {
			r[i] /= norm
		}
		q = r
	}
	var e mat.EigenSym
	if !e.Factorize(t, true) {
		return x, w
	}
	var v mat.Dense
	e.VectorsTo(&v)
	nodes, weights = e.Values(nil), make([]float64, n)
	for k := range nodes {
		nodes[k] += x[0]
		weights[k] = total * v.At(0, k) * v.At(0, k)
	}
	return nodes, weights
}

func dot(a, b []float64) float64 {
	sum := 0.0
	for i := range a {
		sum += a[i] * b[i]
	}
	return sum
}

// gaussOrder is the least number of points of a Gauss rule over a stretch for a
// function that is smooth out to a distance from the stretch's ends, for an error of
// about share: the error falls as ρ^(−2n) with ρ = 1 + 2x + 2√(x + x²), x the distance
// over the stretch.
func gaussOrder(distance, stretch, share float64) int {
	if stretch <= 0 {
		return 1
	}
	x := distance / stretch
	return max(1, int(math.Ceil(math.Log(1/share)/(2*math.Log(1+2*x+2*math.Sqrt(x+x*x))))))
}

// ringCurrent is one closed turn of a source.
type ringCurrent struct {
	turn
	z, current float64
}

// source makes a field of rings; chords is the number for a rounded square's corner.
func (s Spec) source(rings []ringCurrent, chords func(r ringCurrent) int) field.Source {
	if s.Shape == Round {
		loops := make([]field.CoaxialLoop, len(rings))
		for i, r := range rings {
			loops[i] = field.CoaxialLoop{Radius: r.apothem, Z: r.z, Current: r.current}
		}
		return field.Coaxial{Loops: loops}
	}
	paths := make(field.Sum, len(rings))
	for i, r := range rings {
		points := lift(s.straightened(r.turn, chords(r)), r.z)
		paths[i] = field.Path{Points: append(points, points[0]), Current: r.current}
	}
	return paths
}

// lumped returns fewer rings that make the field of the given ones to within share of
// its peak wherever a point is height or more in front of the copper or behind it, or
// the rings themselves where that saves little.
//
// Each component of the difference of two fields is harmonic off the copper and dies
// away at infinity, so it is nowhere larger than on the two planes at that height;
// there it is measured, at points close enough to see all of it.
func (c *Coil) lumped(rings []ringCurrent, height, share float64, chords func(ringCurrent) int) []ringCurrent {
	s := c.spec
	if height < 1.5*s.pitch() {
		return rings
	}
	radii, heights := c.measures(height, share)
	reference := s.source(rings, chords)
	points := c.lookouts(height)
	want := make([]r3.Vec, len(points))
	peak := 0.0
	for i, p := range points {
		want[i] = reference.B(p)
		peak = max(peak, r3.Norm(want[i]))
	}
	differs := func(few []ringCurrent) float64 {
		source := s.source(few, chords)
		worst := 0.0
		for i, p := range points {
			worst = max(worst, r3.Norm(r3.Sub(source.B(p), want[i])))
		}
		return worst / peak
	}
	try := func(nr, nz int) []ringCurrent {
		a, wa := s.fewRadii(radii, nr)
		z, wz := gaussOf(heights.x, heights.w, nz)
		few := make([]ringCurrent, 0, len(a)*len(z))
		for i := range a {
			t := turn{apothem: a[i], weight: 1}
			if s.Shape == RoundedSquare {
				t.corner = s.cornerAt(a[i])
			}
			for k := range z {
				few = append(few, ringCurrent{t, z[k], wa[i] * wz[k]})
			}
		}
		return few
	}
	band := radii.x[0] - radii.x[len(radii.x)-1]
	depth := heights.x[0] - heights.x[len(heights.x)-1]
	// The estimates start the search; what the measurement says counts.
	nr := max(2, gaussOrder(height, band, share)-2)
	nz := max(1, gaussOrder(height, depth, share)-2)
	for step := 0; nr*nz*3 <= len(rings)*2; step++ {
		few := try(nr, nz)
		if len(few)*3 > len(rings)*2 {
			break
		}
		if differs(few) <= share {
			return few
		}
		// Raise the direction that gains more.
		if nz < len(heights.x) && differs(try(nr, nz+1)) < differs(try(nr+1, nz)) {
			nz++
		} else {
			nr++
		}
	}
	return rings
}

// fewRadii returns the n-point Gauss rule of the radii. A rounded square's corners are
// no smooth function of the radius where they turn as sharp as the track allows: the
// turns inside and outside of that place get a rule each.
func (s Spec) fewRadii(radii gauss, n int) (x, w []float64) {
	split := len(radii.x)
	if s.Shape == RoundedSquare {
		kink := s.Outer/2 - s.CornerRadius + s.Track/2
		split, _ = slices.BinarySearchFunc(radii.x, kink, func(r, k float64) int { return cmp.Compare(k, r) })
	}
	for _, part := range []gauss{{radii.x[:split], radii.w[:split]}, {radii.x[split:], radii.w[split:]}} {
		if len(part.x) > 0 {
			a, wa := gaussOf(part.x, part.w, n)
			x, w = append(x, a...), append(w, wa...)
		}
	}
	return x, w
}

// measures returns the radii of all filaments of a layer, outermost first, and the
// heights of all layers' filaments, front first, each with its share of the current;
// as many filaments to a track as its nearest layer needs.
func (c *Coil) measures(height, share float64) (radii, heights gauss) {
	s := c.spec
	near := c.distance(0, height)
	for i := range s.Layers {
		near = min(near, c.distance(i, height))
	}
	seen := map[float64]bool{}
	for _, t := range c.turns {
		across := places(s.Track, s.Layers[0].Copper, near, share)
		for i := len(across) - 1; i >= 0; i-- {
			p := across[i]
			if r := p.of(t).apothem; !seen[r] {
				seen[r] = true
				radii.x = append(radii.x, r)
				radii.w = append(radii.w, 0)
			}
			radii.w[len(radii.w)-1] += t.weight * p.weight
		}
	}
	for i, l := range s.Layers {
		m := enough(func(n int) float64 { return stripError(l.Copper, near, n, true) }, share/2)
		g := gaussLegendre(m)
		for k := m - 1; k >= 0; k-- {
			heights.x = append(heights.x, l.Z+g.x[k]*l.Copper)
			heights.w = append(heights.w, c.share[i]*g.w[k])
		}
	}
	return radii, heights
}

// lookouts returns points on the planes at height before and behind the copper, no
// further apart than the field can change, out to where the coil is small.
func (c *Coil) lookouts(height float64) []r3.Vec {
	first, last := c.spec.Layers[0], c.spec.Layers[len(c.spec.Layers)-1]
	rays := []float64{0}
	if m := c.spec.sides(); m > 0 { // from a side's middle to a corner
		for k := 1; k <= 3; k++ {
			rays = append(rays, math.Pi/float64(m)*float64(k)/3)
		}
	}
	half := c.spec.Outer / 2
	var points []r3.Vec
	for _, angle := range rays {
		sin, cos := math.Sincos(angle)
		for r := 0.0; r < 6*half; r += max(height, r-1.5*half) / 3 {
			points = append(points,
				r3.Vec{X: r * cos, Y: r * sin, Z: first.Z + first.Copper/2 + height},
				r3.Vec{X: r * cos, Y: r * sin, Z: last.Z - last.Copper/2 - height})
		}
	}
	return points
}

package iron

import (
	"fmt"
	"math"
	"sort"

	"lodegrid/field/root"
)

// usualGrowth is how much wider an element may be than the distance to the nearest
// fine place adds: sizes rise by this share of the distance.
const usualGrowth = 0.5

// lines cuts an axis from lo to hi into elements that are as small as wanted at
// each fine place and grow away from it; fine places marked so are lines.
func lines(lo, hi float64, fine []finePlace, scale, growth float64) []float64 {
	size := func(x float64) float64 {
		h := math.Inf(1)
		for _, f := range fine {
			if s := scale*f.size + growth*math.Abs(x-f.at); s < h { // quicker than min, which minds NaN
				h = s
			}
		}
		return h
	}
	stops := []float64{lo, hi}
	for _, f := range fine {
		if f.at > lo && f.at < hi && f.line {
			stops = append(stops, f.at)
		}
	}
	sort.Float64s(stops)
	out := []float64{lo}
	for i := 1; i < len(stops); i++ {
		a, b := stops[i-1], stops[i]
		if b-a < 1e-9*(hi-lo) {
			continue
		}
		// Count elements by integrating 1/size, then place them evenly in that measure.
		const steps = 2000
		total := 0.0
		cum := make([]float64, steps+1)
		for k := range steps {
			total += (b - a) / steps / size(a+(b-a)*(float64(k)+0.5)/steps)
			cum[k+1] = total
		}
		n := max(int(math.Ceil(total)), 1)
		for m := 1; m < n; m++ {
			want := total * float64(m) / float64(n)
			k := sort.SearchFloat64s(cum, want)
			f := (want - cum[k-1]) / (cum[k] - cum[k-1])
			out = append(out, a+(b-a)*(float64(k-1)+f)/steps)
		}
		out = append(out, b)
	}
	return out
}

// coarsest is the largest factor on the wanted sizes that still gives a field to
// trust: beyond it, elements of high permeability lock and the answer is wrong by
// tens of percent.
const coarsest = 3

// finePlace asks for elements of a size at a coordinate; line makes it a border.
type finePlace struct {
	at, size float64
	line     bool
}

// mesh is a tensor grid of elements in r ≥ 0 and z.
type mesh struct {
	r, z []float64 // element borders
}

func (m mesh) nodes() int { return (2*len(m.r) - 1) * (2*len(m.z) - 1) }

// newMesh grades a grid around the steel to about the wanted number of nodes.
func newMesh(p Problem) (mesh, error) {
	far := p.Far
	lo, hi := math.Inf(1), math.Inf(-1)
	var rs, zs []finePlace
	for _, g := range p.Steel {
		t, w := g.Z1-g.Z0, g.R1-g.R0
		edge := min(p.Scale/12, t/2)
		zs = append(zs, finePlace{g.Z0, edge, true}, finePlace{g.Z1, edge, true})
		rs = append(rs, finePlace{g.R1, min(max(p.Scale/12, (g.R1-2*p.Scale)/6), w/2), true}, finePlace{g.R0, min(p.Scale/8, w/2), true})
		// Inside the coil's reach the field bends everywhere.
		for x := 0.0; x < min(1.3*p.Scale, g.R1); x += p.Scale / 4 {
			rs = append(rs, finePlace{x, p.Scale / 8, false})
		}
		for x := g.Z0; x < min(g.Z1, g.Z0+4*p.Scale); x += p.Scale / 4 {
			zs = append(zs, finePlace{x, p.Scale / 6, false})
		}
		for x := g.Z1; x > max(g.Z0, g.Z1-4*p.Scale); x -= p.Scale / 4 {
			zs = append(zs, finePlace{x, p.Scale / 6, false})
		}
		lo, hi = min(lo, g.Z0), max(hi, g.Z1)
	}
	rs = append(rs, finePlace{0, p.Scale / 8, true})
	build := func(scale float64) mesh {
		return mesh{r: lines(0, far, rs, scale, usualGrowth), z: lines(lo-far, hi+far, zs, scale, usualGrowth)}
	}
	large := float64(coarsest)
	if n := build(large).nodes(); n > p.Nodes {
		return mesh{}, fmt.Errorf("meshing the steel: its thinnest part against a coil of %g m radius needs %d nodes at least, %d are allowed: thicken the sheet or allow more", p.Scale, n, p.Nodes)
	}
	// More nodes for a smaller scale.
	in, _ := root.Boundary(func(log float64) bool { return build(math.Exp(log)).nodes() <= p.Nodes }, math.Log(large), math.Log(1e-2), 1e-8)
	return build(math.Exp(in)), nil
}

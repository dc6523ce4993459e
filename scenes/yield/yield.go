// Package yield draws displays that come out a little different, and boards whose pixels differ,
// and tells how many of them work.
package yield

import (
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/floats"

	"lodegrid/array/design"
)

// Merit is a figure of a pixel that must be large enough, such as its hold ratio, with its
// slopes: what its logarithm changes by with each doubt off by one standard deviation.
type Merit struct {
	Value, Bound float64
	Slopes       []float64
}

// Result is what became of boards drawn.
type Result struct {
	Pixels  float64 // share of all pixels that reach every bound
	Whole   float64 // share of boards on which all do
	OneBad  float64 // share of boards on which all but one or none do
	Uneven  float64 // median over boards of the greatest ratio of the first merit of two neighbours
	Uneven5 float64 // what it passes in one board of twenty
}

// Draw draws boards of rows × cols pixels from a seed. Of each doubt the share Spread of the
// variance is drawn anew for each pixel, the rest once for a board; doubts that go together are
// taken as design.Shifted has them apart, each with the share of its own key. Merits are log-linear in
// what is drawn.
func Draw(list []design.Doubt, rows, cols, boards int, seed uint64, merits ...Merit) Result {
	rng := rand.New(rand.NewPCG(seed, seed))
	own := make([]float64, len(merits)) // a sum of independent normals is one normal, for each merit
	first := make([]float64, rows*cols)
	var r Result
	var uneven []float64
	common, apart := make([]float64, len(list)), make([]float64, len(list))
	for range boards {
		for k, t := range list {
			common[k] = math.Sqrt(1-t.Spread) * rng.NormFloat64()
		}
		bad := 0
		for p := range first {
			for k, t := range list {
				if apart[k] = 0; t.Spread > 0 {
					apart[k] = math.Sqrt(t.Spread) * rng.NormFloat64()
				}
			}
			fails := false
			for i, m := range merits {
				own[i] = m.Value
				sum := 0.0
				for k, s := range m.Slopes {
					sum += s * (common[k] + apart[k])
				}
				own[i] *= math.Exp(sum)
				fails = fails || own[i] < m.Bound
			}
			first[p] = own[0]
			if fails {
				bad++
			}
		}
		r.Pixels += float64(len(first)-bad) / float64(len(first)*boards)
		if bad == 0 {
			r.Whole += 1 / float64(boards)
		}
		if bad <= 1 {
			r.OneBad += 1 / float64(boards)
		}
		worst := 1.0
		for p, v := range first {
			if p%cols > 0 {
				worst = max(worst, v/first[p-1], first[p-1]/v)
			}
			if p >= cols {
				worst = max(worst, v/first[p-cols], first[p-cols]/v)
			}
		}
		uneven = append(uneven, worst)
	}
	slices.Sort(uneven)
	r.Uneven, r.Uneven5 = uneven[len(uneven)/2], uneven[len(uneven)*95/100]
	return r
}

// Bounded is a figure of a display that is to stay on one side of a bound, with its slopes: what it
// changes by with each doubt off by one standard deviation.
type Bounded struct {
	Value, Bound float64
	AtLeast      bool // the bound is the least, not the most
	Slopes       []float64
}

// Deviation is its standard deviation, the doubts independent of each other.
func (b Bounded) Deviation() float64 { return floats.Norm(b.Slopes, 2) }

// Keep draws displays from a seed, of so many doubts independent of each other, every figure along
// its slopes, and tells the share of them that keeps all bounds, and each.
func Keep(list []Bounded, doubts, displays int, seed uint64) (all float64, each []float64) {
	rng := rand.New(rand.NewPCG(seed, seed))
	x := make([]float64, doubts)
	each = make([]float64, len(list))
	for range displays {
		for k := range x {
			x[k] = rng.NormFloat64()
		}
		every := true
		for i, b := range list {
			v := b.Value + floats.Dot(b.Slopes, x)
			if v >= b.Bound == b.AtLeast || v == b.Bound {
				each[i] += 1 / float64(displays)
			} else {
				every = false
			}
		}
		if every {
			all += 1 / float64(displays)
		}
	}
	return all, each
}

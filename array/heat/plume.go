package heat

import (
	"context"
	"math"
)

// plume returns, per pixel, by how many watts an upright board loses less than its films
// say, because the air that rises along it is warm already: less than nothing at the lower
// edge, where it is fresh. The temperatures are those of the layers, K, as Result has them.
//
// A face of one temperature loses h̄ on average and ¾ h̄ (x/H)^(−1/4) at a height x: the
// laminar boundary layer's law, of which the film's correlation is the mean. Rows of
// different temperatures are steps of it one above the other, each with an unheated start
// of height ξ, whose heat up to x is
//
//	h̄ H (x/H)^¾ [1 − (ξ/x)^¾]^⅔
//
// as laminar streams have it (W. M. Kays, M. E. Crawford, Convective Heat and Mass
// Transfer, from memory; for natural convection an approximation: steps do not add up
// there, and over a single warm row a wall plume cools by x^(−3/5), J. A. Liburdy,
// G. M. Faeth 1978, from memory). Columns do not mix. Behind a sealed gap, in a case and on
// a plate there is no plume.
func (n *Network) plume(layers [][]float64) []float64 {
	out := make([]float64, n.pixels)
	steps := risen(n.rows)
	theta, own, weight := make([]float64, n.rows), make([]float64, n.rows), make([]float64, n.rows)
	for i := range n.exposed {
		e := &n.exposed[i]
		f := &n.p.Front
		if e.table == n.back {
			f = &n.p.Back
		}
		coefficient := f.Convection
		if b := f.Behind; b != nil && b.Kind == Wall {
			coefficient = f.channel
		} else if b != nil {
			continue
		}
		if f.Orientation == FaceUp || f.Orientation == FaceDown {
			continue
		}
		for c := range n.cols {
			mean := 0.0
			for r := range n.rows {
				p := r*n.cols + c
				flux, surface := f.Flux(layers[e.layer][p], n.p.Ambient, n.p.Surroundings)
				theta[r] = surface - n.p.Ambient
				own[r] = coefficient(surface, n.p.Ambient) * theta[r]
				// Heat at the surface reaches the node through the insulation by this share.
				weight[r] = e.area
				if theta[r] != 0 {
					weight[r] /= 1 + f.Insulation*flux/theta[r]
				}
				mean += theta[r] / float64(n.rows)
			}
			h := coefficient(n.p.Ambient+mean, n.p.Ambient)
			for k := range n.rows { // from the lower edge up
				r := n.rows - 1 - k
				q, below := 0.0, 0.0
				for j := range k + 1 {
					t := theta[n.rows-1-j]
					q += h * steps[k][j] * (t - below)
					below = t
				}
				out[r*n.cols+c] += weight[r] * (own[r] - q)
			}
		}
	}
	return out
}

// Plumed is a steady state's layers, K, with the plume: the same heat in every coil, and
// what the faces lose by the air that has risen to them. Rounds end when no node moves by
// plumeTolerance; each leaves half of what is left or less on the boards tried.
func (n *Network) Plumed(ctx context.Context, r Result) ([][]float64, error) {
	p := n.p
	p.Stages = nil // a coil's rise over its node stays
	bare := New(p)
	layers, extra, load := r.Layers, make([]float64, n.pixels), &FixedPower{Watts: make([]float64, n.pixels)}
	for range 60 {
		for i, w := range n.plume(layers) {
			extra[i] += 0.6 * (w - extra[i])
			load.Watts[i] = r.Watts[i] + extra[i]
		}
		s, err := bare.Steady(ctx, load)
		if err != nil {
			return nil, err
		}
		moved := 0.0
		for l := range layers {
			for i, t := range s.Layers[l] {
				moved = math.Max(moved, math.Abs(t-layers[l][i]))
			}
		}
		if layers = s.Layers; moved < plumeTolerance {
			break
		}
	}
	return layers, nil
}

const plumeTolerance = 0.01 // K

// risen is the mean of the boundary layer's law over row k, counted from the lower edge,
// for a step of temperature that begins below row j, in parts of the whole face's mean.
func risen(rows int) [][]float64 {
	heat := func(x, from float64) float64 {
		if x <= from {
			return 0
		}
		return math.Pow(x, 0.75) * math.Pow(1-math.Pow(from/x, 0.75), 2.0/3)
	}
	list := make([][]float64, rows)
	n := float64(rows)
	for k := range list {
		list[k] = make([]float64, k+1)
		for j := range list[k] {
			from := float64(j) / n
			list[k][j] = n * (heat(float64(k+1)/n, from) - heat(float64(k)/n, from))
		}
	}
	return list
}

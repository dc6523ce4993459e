package grid

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// rippled works out the swing of the field on the whole raster. It is the scratch of one
// grid's FieldInto.
type rippled struct {
	swings []Swing
	on     bool // the last currents had a ripple
	amps   []float64
	plane  *Plane // the swings' field where they are summed
	blot   []blot
	width  int // samples of a blot's side
}

// blot is the squares of a pixel's field per ampere along the axis and across it, T²/A²,
// on the samples around it.
type blot struct{ along, across float64 }

// blotReach is how many pitches from a pixel its ripple is counted where ripples do not add
// up as fields do: the squares fall with the sixth power of the distance, and what is
// farther away is less than 1e-3 of the pixel's own (measured in the tests).
const blotReach = 2

// evenly is how far the ripples may differ from being in one proportion to their means
// before they are summed by themselves.
const evenly = 1e-3

// ripple fills in the swings of currents, in the plane's mean field: a share of the coils'
// field where all ripples are in one proportion to their means.
func (g *Grid) ripple(mean *Plane, c Currents) {
	if g.rippled == nil {
		g.rippled = &rippled{swings: make([]Swing, g.Raster.Len()), amps: make([]float64, g.Design.Pixels())}
	}
	r := g.rippled
	r.on = false
	if c.Along == nil {
		return
	}
	// One proportion of the swing across the axis to that along it: how much faster a body
	// follows across hardly depends on the level.
	var alongs, acrosses, means, least, most float64
	least = math.Inf(1)
	for k, a := range c.Along {
		if w := g.Rock(Amps{c.Mean[k], a, c.Across[k]}); !w.None() {
			m := math.Abs(c.Mean[k])
			least, most = min(least, a/m), max(most, a/m)
			alongs, acrosses, means = alongs+a*a, acrosses+c.Across[k]*c.Across[k], means+m*m
			r.on = true
		}
	}
	switch {
	case !r.on:
		return
	case !g.InStep():
		g.blots(c)
		return
	case most-least <= evenly*least:
		along, across := math.Sqrt(alongs/means), math.Sqrt(acrosses/means)
		for k := range r.swings {
			s := Swing{X: mean.Bx[k], Y: mean.By[k], Z: mean.Bz[k]}
			if g.BiasPlane != nil {
				s.X, s.Y, s.Z = s.X-g.BiasPlane.Bx[k], s.Y-g.BiasPlane.By[k], s.Z-g.BiasPlane.Bz[k]
			}
			r.swings[k] = Swing{X: across * s.X, Y: across * s.Y, Z: along * s.Z}
		}
		return
	}
	for k, a := range c.Along {
		r.amps[k] = g.Rock(Amps{c.Mean[k], a, c.Across[k]}).along
	}
	if r.plane == nil {
		r.plane = NewPlane(g.Raster)
	}
	g.engine.Superpose(r.plane.components(), r.amps)
	across := 1.0
	if alongs > 0 {
		across = math.Sqrt(acrosses / alongs)
	}
	for k := range r.swings {
		r.swings[k] = Swing{X: across * r.plane.Bx[k], Y: across * r.plane.By[k], Z: r.plane.Bz[k]}
	}
}

// RippleBlock is the samples on which a pixel's ripple is counted: rows i0…i1−1 and columns
// j0…j1−1.
func (g *Grid) RippleBlock(pixel int) (i0, i1, j0, j1 int) {
	r := g.Raster
	if g.InStep() {
		return 0, r.Rows, 0, r.Cols
	}
	i, j := r.Cell(pixel/g.Design.Grid.Cols, pixel%g.Design.Grid.Cols)
	far := blotReach * r.Samples
	return max(i-far, 0), min(i+r.Samples+far, r.Rows), max(j-far, 0), min(j+r.Samples+far, r.Cols)
}

// blots adds up the squares of the ripples' fields around each pixel.
func (g *Grid) blots(c Currents) {
	r, s, d := g.rippled, g.Raster.Samples, g.Design.Grid
	if r.blot == nil {
		r.width = (2*blotReach + 1) * s
		half := float64(r.width-1) / 2
		for i := range r.width {
			for j := range r.width {
				b := g.Kernel.At((float64(j)-half)*g.Raster.Spacing, (half-float64(i))*g.Raster.Spacing)
				r.blot = append(r.blot, blot{b.Z * b.Z, b.X*b.X + b.Y*b.Y})
			}
		}
	}
	clear(r.swings)
	for k := range c.Mean {
		w := g.Rock(Amps{c.Mean[k], c.Along[k], c.Across[k]})
		if w.None() {
			continue
		}
		i0, j0 := g.Raster.Cell(k/d.Cols, k%d.Cols)
		i0, j0 = i0-blotReach*s, j0-blotReach*s
		top, bottom, left, right := g.RippleBlock(k)
		for i := top; i < bottom; i++ {
			line := r.blot[(i-i0)*r.width+left-j0:][:right-left]
			out := r.swings[i*g.Raster.Cols+left:][:right-left]
			for j, b := range line {
				out[j].Z += w.along * b.along
				out[j].X += w.across * b.across
			}
		}
	}
}

// feel fills in the magnitudes and pressures of a plane whose mean field is known.
func (g *Grid) feel(dst *Plane) {
	for k := range dst.Abs {
		b := r3.Vec{X: dst.Bx[k], Y: dst.By[k], Z: dst.Bz[k]}
		across2 := b.X*b.X + b.Y*b.Y
		dst.Abs[k] = math.Sqrt(across2 + b.Z*b.Z)
		if g.rippled.on {
			dst.Pi[k] = g.Felt(b, g.rippled.swings[k])
		} else {
			dst.Pi[k] = g.Pressure.Pi(b.Z*b.Z, across2)
		}
	}
}

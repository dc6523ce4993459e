package array

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/design"
	"lodegrid/field/ferrofluid"
)

// rimPoints is how many points of a drop's rim its force is summed over; the sum over
// equal steps round a circle converges faster than any power of their number.
const rimPoints = 20

// dropField is the field that a drop meets when a few pixels are on: their coils' kernels
// and the bias from the raster.
type dropField struct {
	grid *Grid
	on   []litPixel
	rim  [rimPoints][2]float64 // unit circle

	area, volume, radius float64
	weight               float64 // N, in the pane's plane, positive downwards
	grip                 float64 // N, of the contact line
}

type litPixel struct {
	x, y    float64 // m
	current float64 // A, gain included
}

func newDropField(g *Grid) *dropField {
	d := g.Drop()
	f := &dropField{grid: g, radius: d.Diameter / 2, volume: d.Volume, grip: g.Design.Fluid.ContactLine * d.Diameter}
	f.area = math.Pi * f.radius * f.radius
	if g.Design.Heat.Orientation == design.Vertical {
		f.weight = g.Design.Fluid.DensityDifference * ferrofluid.Gravity * d.Volume
	}
	for k := range f.rim {
		sin, cos := math.Sincos(2 * math.Pi * (float64(k) + 0.5) / rimPoints)
		f.rim[k] = [2]float64{cos, sin}
	}
	return f
}

// light turns pixels off but those given, at multiples of FullCurrent.
func (f *dropField) light(pixels []int, levels []float64) {
	f.on = f.on[:0]
	for k, p := range pixels {
		if levels[k] != 0 {
			c := f.grid.Design.PixelCenter(p/f.grid.Design.Grid.Cols, p%f.grid.Design.Grid.Cols)
			f.on = append(f.on, litPixel{c.X, c.Y, f.grid.effective(p, levels[k]*f.grid.Pixel.FullCurrent)})
		}
	}
}

// at is the field at a place of the fluid plane.
func (f *dropField) at(x, y float64) r3.Vec {
	var b r3.Vec
	if f.grid.bias != nil {
		b = f.grid.bias.between(x, y)
	}
	for _, p := range f.on {
		b = r3.Add(b, r3.Scale(p.current, f.grid.Kernel.At(x-p.x, y-p.y)))
	}
	return b
}

// magnetic is the magnetic force in newtons on a drop centred at (x, y): by Gauss's
// theorem V⟨∇Π⟩ = (V/A) ∮ Π n dl over its rim.
func (f *dropField) magnetic(x, y float64) (fx, fy float64) {
	for _, u := range f.rim {
		b := f.at(x+f.radius*u[0], y+f.radius*u[1])
		pi := f.grid.pressure.Pi(b.Z, b.X*b.X+b.Y*b.Y)
		fx += pi * u[0]
		fy += pi * u[1]
	}
	scale := 2 * math.Pi * f.radius / rimPoints * f.volume / f.area
	return fx * scale, fy * scale
}

// force is the magnetic force and the weight.
func (f *dropField) force(x, y float64) (fx, fy float64) {
	fx, fy = f.magnetic(x, y)
	return fx, fy - f.weight
}

// rest is where a drop comes to rest beneath a pixel's axis that alone is on, and
// whether the pixel holds it at all; its axis if not.
func (f *dropField) rest(pixel int, level float64) (x, y float64, held bool) {
	f.light([]int{pixel}, []float64{level})
	c := f.grid.Design.PixelCenter(pixel/f.grid.Design.Grid.Cols, pixel%f.grid.Design.Grid.Cols)
	down := -1.0
	if f.weight < 0 {
		down = 1
	}
	// Along the way down the force back is looked for that bears the weight.
	bears := func(s float64) bool { _, fy := f.force(c.X, c.Y+down*s); return fy*down <= 0 }
	const steps = 64
	half := f.grid.Design.Grid.Pitch / 2
	for k := 0; k <= steps; k++ {
		s := half * float64(k) / steps
		if !bears(s) {
			continue
		}
		if k == 0 {
			// With the weight of nothing a drop rests on the axis, if it is drawn there.
			_, out := f.force(c.X, c.Y+down*half/steps)
			return c.X, c.Y, out*down <= 0
		}
		at := bisect(half*float64(k-1)/steps, s, func(s float64) bool { return !bears(s) })
		return c.X, c.Y + down*at, true
	}
	return c.X, c.Y, false
}

// between is the field of a plane at a place in metres between its samples, by the
// polynomial through six samples each way; the plane's rim beyond that.
func (p *Plane) between(x, y float64) r3.Vec {
	r := p.Raster
	if r.Rows < 6 || r.Cols < 6 {
		// Too few to draw a polynomial through.
		j := min(max(int(x/r.Spacing+float64(r.Cols)/2), 0), r.Cols-1)
		i := min(max(int(float64(r.Rows)/2-y/r.Spacing), 0), r.Rows-1)
		k := i*r.Cols + j
		return r3.Vec{X: p.Bx[k], Y: p.By[k], Z: p.Bz[k]}
	}
	u := min(max(x/r.Spacing+float64(r.Cols)/2-0.5, 0), float64(r.Cols-1))
	v := min(max(float64(r.Rows)/2-0.5-y/r.Spacing, 0), float64(r.Rows-1))
	j := min(max(int(u)-2, 0), r.Cols-6)
	i := min(max(int(v)-2, 0), r.Rows-6)
	wx, wy := lagrange(u-float64(j)), lagrange(v-float64(i))
	var b r3.Vec
	for a, s := range wy {
		k := (i+a)*r.Cols + j
		for c, w := range wx {
			b.X += s * w * p.Bx[k+c]
			b.Y += s * w * p.By[k+c]
			b.Z += s * w * p.Bz[k+c]
		}
	}
	return b
}

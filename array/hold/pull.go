package hold

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/interp"
	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/grid"
	"lodegrid/array/pixel"
	"lodegrid/field"
	"lodegrid/field/ferrofluid"
	"lodegrid/field/quantity"
)

// Pull is what one pixel alone, with its settled current on, does to the reference drop on its
// axis: the force in newtons that presses the drop to the pane on the board's side,
// negative where it is pushed off.
type Pull struct {
	// Whole is the force over the whole drop; see ferrofluid.PullAxial. Its sums and the
	// filaments that stand for tracks are converged to 2e-5 of it together. Finite
	// elements of the steel add their own error, some tenths of a per cent of the field.
	Whole quantity.Derived
	// Point is the force on a drop of the same volume taken as a point at its middle.
	Point quantity.Derived
	// Alone is Whole by the coil without its steel and magnet.
	Alone float64
	// Flux is the mean |B| at the drop's middle, T, and Pressure what it and its ripple make
	// in the drop, Pa.
	Flux, Pressure float64
}

// PullOf works out the pull of a grid's pixel.
func PullOf(g *grid.Grid) Pull { return pullBy(g, g.Between()) }

// flux is the field at the middle of a drop on a pixel's axis as a layer of the fluid feels
// it, RMS with what the layer follows of the ripple, T.
func flux(g *grid.Grid) float64 {
	p, at := g.Between(), r3.Vec{Z: g.Design.Fluid.Height}
	mean := p.Full.On.Average
	layer := ferrofluid.Body{Fluid: g.Fluid.Fluid, Demagnetisation: ferrofluid.Layer}
	ripple := p.Full.On.Ripple(layer.Lag(g.Design.Fluid.Relaxation)) * p.Shield(g.Design) * p.Iron.Share(mean)
	return math.Hypot(r3.Norm(p.Lit(mean).B(at)), ripple*r3.Norm(p.CoilField().B(at)))
}

// asked is a source's field, worked out once at each place. It is not for use beside itself.
type asked struct {
	source field.Source
	known  map[r3.Vec]r3.Vec
}

// B implements field.Source.
func (a asked) B(at r3.Vec) r3.Vec {
	b, ok := a.known[at]
	if !ok {
		b = a.source.B(at)
		a.known[at] = b
	}
	return b
}

// pullBy is Pull by a pixel as seen from between the panes.
func pullBy(g *grid.Grid, p pixel.Pixel) Pull {
	f := g.Design.Fluid
	at, drop := r3.Vec{Z: f.Height}, g.Drop()
	p.Air = asked{p.Air, map[r3.Vec]r3.Vec{}} // by mean and ripple, with steel and without
	lit, felt := p.Lit(p.Full.On.Average), g.FeltBy(p)
	disc := func(s field.Source) float64 {
		return -ferrofluid.PullAxial(g.Fluid, s, f.Height, drop.Diameter, f.TankGap, pixel.Fold(g.Pixel.Coil))
	}
	b, density := lit.B(at), -ferrofluid.PullSmall(g.Fluid, felt, at, 1, f.Height/20).Z
	return Pull{
		Whole: quantity.Derived{Value: disc(felt), Why: "∫ ∇Π dV over the disc of fluid between the panes, as the sum of Π over its surface"},
		Point: quantity.Derived{
			Value: drop.Volume * density,
			Why:   fmt.Sprintf("V Σ M ∂B/∂z at the drop's middle = %.5g m³ × %.5g N/m³", drop.Volume, density),
		},
		Alone: disc(g.FeltBy(pixel.Pixel{Air: p.Air, Full: p.Full})),
		Flux:  r3.Norm(b), Pressure: g.Fluid.PiOf(felt.B(at)),
	}
}

// LoneHold is the hold ratio of the middle pixel lit alone, with a cold coil; +Inf where
// a drop needs nothing to stay.
func LoneHold(g *grid.Grid) (ratio float64) {
	lone(g, 1, func(m *Meter, row, col int, p *grid.Plane, s []grid.State) { ratio, _ = m.RatioAt(row, col, p, s) })
	return ratio
}

// LoneForce is the force in newtons with which that pixel keeps its drop at a level, all
// others dark.
func LoneForce(g *grid.Grid, level float64) (force float64) {
	lone(g, level, func(m *Meter, row, col int, p *grid.Plane, s []grid.State) { force = m.Force(row, col, p, s) })
	return force
}

// lone lights the middle pixel alone.
func lone(g *grid.Grid, level float64, look func(m *Meter, row, col int, p *grid.Plane, s []grid.State)) {
	row, col := g.Design.Grid.Rows/2, g.Design.Grid.Cols/2
	k := g.Design.Pixel(row, col)
	currents, states := g.NewCurrents(), make([]grid.State, g.Design.Pixels())
	currents.Set(k, g.At(level))
	if level != 0 {
		states[k] = grid.Lit
	}
	plane := grid.NewPlane(g.Raster)
	g.FieldInto(plane, currents)
	look(New(g), row, col, plane, states)
}

// DiscGain is how many times the greatest force along the pane that one pixel alone exerts
// on the drop as a rigid disc, by the field's mean and variances over all of its depth
// (ferrofluid.Spheroid.Variances), is that by the pressure from place to place midway between
// the panes, which Meter counts with; to a hundredth.
func DiscGain(g *grid.Grid) float64 {
	along, across := g.Fluid.Variances()
	return discGain(g, discPlaces, discWay, along, across)
}

// discPlaces is how many Gauss places stand for the depth and the radius, and discWay how
// many places of a pitch are looked at.
const discPlaces, discWay = 4, 16

func discGain(g *grid.Grid, places, way int, along, across float64) float64 {
	f := g.Design.Fluid
	pixel := g.Pixel.From(g.Rear())
	lit, radius := g.FeltBy(pixel), f.DropDiameter/2
	at, share := make([]float64, places), make([]float64, places)
	quad.Legendre{}.FixedLocations(at, share, f.Height-f.TankGap/2, f.Height+f.TankGap/2)
	square, part := make([]float64, places), make([]float64, places)
	quad.Legendre{}.FixedLocations(square, part, 0, 1)
	layers := make([]func(x, y float64) r3.Vec, places)
	for i, z := range at {
		layers[i] = levelWith(g, lit, z)
	}
	midway := levelWith(g, lit, f.Height)
	// each calls for places of half a disc, the other half its mirror image, and their shares.
	each := func(away float64, f func(x, y, share float64)) {
		for i, s := range square {
			for k := range rimPoints / 2 {
				sin, cos := math.Sincos(2 * math.Pi * (float64(k) + 0.5) / rimPoints)
				f(away+radius*math.Sqrt(s)*cos, radius*math.Sqrt(s)*sin, part[i]*2/rimPoints)
			}
		}
	}
	whole := func(away float64) float64 {
		var mean r3.Vec
		var z2, r2 float64
		each(away, func(x, y, w float64) {
			for i, layer := range layers {
				b, w := layer(x, y), w*share[i]/f.TankGap
				mean.X, mean.Z = mean.X+w*b.X, mean.Z+w*b.Z
				z2, r2 = z2+w*b.Z*b.Z, r2+w*(b.X*b.X+b.Y*b.Y)
			}
		})
		z, x := mean.Z*mean.Z, mean.X*mean.X
		return g.Pressure.Pi(z+along*max(0, z2-z), x+across*max(0, r2-x))
	}
	middle := func(away float64) (sum float64) {
		each(away, func(x, y, w float64) { sum += w * g.Fluid.PiOf(midway(x, y)) })
		return sum
	}
	fall := func(pi func(away float64) float64) float64 {
		h := g.Design.Grid.Pitch / 200
		list := make([]float64, way)
		for k := range list {
			away := g.Design.Grid.Pitch * float64(k+1) / float64(way)
			list[k] = pi(away-h) - pi(away+h)
		}
		return top(list)
	}
	return fall(whole) / fall(middle)
}

// rimPoints is how many points of a drop's rim a force is summed over; the sum over equal
// steps round a circle converges faster than any power of their number.
const rimPoints = 20

// radii is how many places of a radius a round field is known at.
const radii = 48

// levelWith is a pixel's field in a plane at height z (m), out to a pitch and a drop's
// radius from the axis. Finite elements take a millisecond a place, so of a round field
// splines through places along a radius stand for it, to 1e-4 or better.
func levelWith(g *grid.Grid, s field.Source, z float64) func(x, y float64) r3.Vec {
	if !g.Pixel.Coil.Radial() {
		return func(x, y float64) r3.Vec { return s.B(r3.Vec{X: x, Y: y, Z: z}) }
	}
	reach := g.Design.Grid.Pitch + g.Design.Fluid.DropDiameter/2
	away, out, along := make([]float64, radii), make([]float64, radii), make([]float64, radii)
	for k := range away {
		away[k] = reach * float64(k) / (radii - 1)
		b := s.B(r3.Vec{X: away[k], Z: z})
		out[k], along[k] = b.X, b.Z
	}
	var radial, axial interp.NotAKnotCubic
	if err := errors.Join(radial.Fit(away, out), axial.Fit(away, along)); err != nil {
		panic(err) // ascending places, as many values
	}
	return func(x, y float64) r3.Vec {
		r := math.Hypot(x, y)
		b := r3.Vec{Z: axial.Predict(r)}
		if r > 0 {
			f := radial.Predict(r) / r
			b.X, b.Y = x*f, y*f
		}
		return b
	}
}

// top is the greatest value, between the values that of the parabola through three.
func top(v []float64) float64 {
	k := floats.MaxIdx(v)
	if k == 0 || k == len(v)-1 {
		return v[k]
	}
	rise, bend := (v[k+1]-v[k-1])/2, v[k+1]+v[k-1]-2*v[k]
	if bend == 0 {
		return v[k]
	}
	return v[k] - rise*rise/(2*bend)
}

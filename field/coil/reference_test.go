package coil

import (
	"fmt"
	"lodegrid/field"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Layers returns the number of layers, 0 for a winding at random.
func (w *Winding) Layers() int { return w.layers }

// Reach returns the radius in metres to which the turns fill the window.
func (w *Winding) Reach() float64 { return w.outer }

// CopperFill returns the share of the whole window's cross-section that is copper.
func (w *Winding) CopperFill() float64 {
	return float64(w.spec.Turns) * w.bare() / (w.spec.Length * (w.spec.OuterRadius - w.spec.InnerRadius))
}

// CopperVolume returns the volume of the copper, m³.
func (w *Winding) CopperVolume() float64 { return w.WireLength() * w.bare() }

// MagneticMoment returns the moment along z in A·m² at 1 A, without a core.
func (w *Winding) MagneticMoment() float64 {
	depth := w.outer - w.spec.InnerRadius
	r := w.meanRadius()
	return float64(w.spec.Turns) * math.Pi * (r*r + depth*depth/12)
}

// Source returns the field at 1 A without a core, counter-clockwise seen from +z, as
// coaxial loops that stand for a uniform current over the winding's cross-section,
// chosen so that each piece of it errs by less than relErr of its own field wherever
// the point is at least minHeight (m) in front of the winding or behind it. The
// bounds of both are those of Coil.Source; the round wires' own pattern, which dies
// away within a wire's diameter or two, is not in it.
func (w *Winding) Source(minHeight, relErr float64) field.Source {
	height, share := reach(minHeight, relErr)
	// places reckons with a long straight conductor, whose field falls with the
	// distance. A turn's falls up to with its cube, and what a filament in the middle
	// of a piece misses along the axis is up to a dozen times as much.
	share /= 15
	s := w.spec
	depth := w.outer - s.InnerRadius
	const wide = 3 // a piece's size over its distance
	// Pieces from the front to the middle, each as deep as its distance allows, and
	// their mirror images to the back.
	var loops []field.CoaxialLoop
	total := float64(s.Turns) / (depth * s.Length)
	for from := 0.0; from < s.Length/2; {
		thick := wide * (height + from)
		if left := s.Length/2 - from; thick > left*0.75 {
			thick = left
		}
		middle := from + thick/2
		across := max(1, int(math.Ceil(depth/(wide*(height+from)))))
		width := depth / float64(across)
		for _, p := range places(width, thick, height+middle, share) {
			for k := range across {
				centre := s.InnerRadius + (float64(k)+0.5)*width
				r := math.Sqrt((centre+p.out)*(centre+p.out) + p.grown)
				current := total * width * thick * p.weight
				for _, z := range [2]float64{s.Front - middle + p.up, s.Front - s.Length + middle - p.up} {
					loops = append(loops, field.CoaxialLoop{Radius: r, Z: z, Current: current})
				}
			}
		}
		from += thick
	}
	return field.Coaxial{Loops: loops}
}

// Pitch returns the smallest distance of pixels on a square grid that keeps the
// copper of neighbouring coils, vias included, one gap apart. Metres.
func (c *Coil) Pitch() float64 {
	left, right := -c.spec.Edge(0.5), c.spec.Edge(0)
	bottom, top := -c.spec.reachY(), c.spec.reachY()
	for _, v := range c.route.vias {
		left, right = min(left, v.X-v.Pad/2), max(right, v.X+v.Pad/2)
		bottom, top = min(bottom, v.Y-v.Pad/2), max(top, v.Y+v.Pad/2)
	}
	return max(right-left, top-bottom) + c.spec.Gap
}

// CopperVolume returns the volume of the tracks of all layers and the plating of
// all vias, each as deep as the coil's stack, m³.
func (c *Coil) CopperVolume() float64 {
	sum := 0.0
	for i, l := range c.spec.Layers {
		sum += c.lengths[i] * c.spec.Track * l.Copper
	}
	first, last := c.spec.Layers[0], c.spec.Layers[len(c.spec.Layers)-1]
	depth := first.Z + first.Copper/2 - last.Z + last.Copper/2
	return sum + float64(len(c.route.vias))*c.spec.barrel()*depth
}

// TrackCurrent returns the current in amperes that warms a single track of
// cross-section area (m²) by rise kelvin; NaN for negative arguments.
func TrackCurrent(rise, area float64, internal bool) float64 {
	return chart(internal) * math.Pow(rise, chartRise) * math.Pow(area/(mil*mil), chartArea)
}

// MutualInductance returns the mutual inductance in henries of this coil and an
// equal one shifted by offset (m), as two pixels of a grid are: see Mutual.
func (c *Coil) MutualInductance(offset r3.Vec) (float64, error) { return Mutual(c, c, offset) }

// ModifiedWheeler returns the inductance in henries of a spiral of n turns between
// the diameters din and dout (m, metal edge to metal edge, across the flats):
//
//	L = K1 µ0 n² davg/(1 + K2 ρ)
//
// with davg the mean of the diameters and ρ = (dout − din)/(dout + din). There is
// none for a circle.
func ModifiedWheeler(o Outline, n, dout, din float64) (float64, error) {
	c, ok := outlines[o]
	if !ok || c.k1 == 0 {
		return 0, fmt.Errorf("modified Wheeler expression: no coefficients for outline %q; accepted: %s, %s, %s", o, SquareOutline, HexagonOutline, OctagonOutline)
	}
	davg, rho, err := band(n, dout, din)
	if err != nil {
		return 0, fmt.Errorf("modified Wheeler expression: %w", err)
	}
	return c.k1 * field.Mu0 * n * n * davg / (1 + c.k2*rho), nil
}

// TurnsPerLayer returns the number of turns in each layer.
func (c *Coil) TurnsPerLayer() float64 { return c.spec.Turns }

// reachY is the outer edge's greatest y.
func (s Spec) reachY() float64 {
	if s.Shape == Hexagon {
		return s.Outer / math.Sqrt(3)
	}
	return s.Outer / 2
}

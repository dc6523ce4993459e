package drops

import (
	"fmt"
	"math"

	"lodegrid/array/tank"
)

// thirds is how many parts a drop has.
const thirds = 3

// part is a part of a drop, a disc, in metres from the tank's middle, x to the right and y
// up.
type part struct {
	X, Y   float64 // m
	VX, VY float64 // m/s

	fx, fy float64 // N
	pi     float64 // Pa, mean over its rim
	joined int32   // parts it is joined to
	asleep bool    // stays where it is until something changes
	drop   int32   // which it belongs to: the least number of those joined to it
	// The pull on it when it was last awake, N, and where that was taken, m, and its drop's
	// middle at the last look, m, both NaN when the pressure has changed since.
	pullX, pullY, fromX, fromY, markX, markY float64
	pairX, pairY                             float64 // m, where it was when the pairs were listed
}

// Pane is the drops of one tank at one moment. It is not safe for concurrent use.
type Pane struct {
	p        tank.Params
	whole    float64 // m, radius of a reference drop
	radius   float64 // m, of a part
	volume   float64 // m³, of a part
	mobility float64 // m/s per N on a part
	drag     float64 // s
	neck     float64 // N, tension of a thread, 2σb
	weight   float64 // N along y, of a part, positive upwards
	aside    float64 // N along x
	grip     float64 // N, of the contact line on a part
	parts    []part
	joints   []joint
	linked   partners
	pairs    []joint // parts that may come to touch, see pair
	paired   bool    // these are of the parts and joints as they are
	pool     int     // parts in it
	since    float64 // s, since it was looked whether a drop leaves the pool
	calm     float64 // s, since it was looked which drops stand
	effort   int
	middles  [][3]float64
	pi, was  []float64 // Pa, of this step and of the one before
	columns  []float64 // scratch of lift
	lone     []float64 // scratch of Fraction
	bins     bins
}

// DefaultStep is the longest step in s when tank.Params.MaxStep is 0: half of it changes
// the share of a picture that shows by less than the model differs from the tank (the tests
// of scenes/shown).
const DefaultStep = 20e-3

// New makes a pane without drops: the tank's size, gap, liquids, gravity and samples of
// the pressure as package tank takes them (its cells are not looked at), and the diameter
// of the reference drop, m.
func New(p tank.Params, diameter float64) (*Pane, error) {
	if err := p.Validate(); err != nil {
		return nil, fmt.Errorf("drops: %w", err)
	}
	if !(diameter > 0) || diameter > min(p.Width, p.Height) {
		return nil, fmt.Errorf("drops: reference drop of %g m in a tank of %g × %g m: must be more than nothing and fit", diameter, p.Width, p.Height)
	}
	if p.MaxStep == 0 {
		p.MaxStep = DefaultStep
	}
	if p.MergeGap == 0 {
		p.MergeGap = tank.DefaultMergeGap * p.Gap
	}
	if p.SampleCols == 0 {
		p.SampleCols, p.SampleRows = p.Cols, p.Rows
	}
	r := diameter / 2
	d := &Pane{
		p: p, whole: r, radius: r / math.Sqrt(thirds), volume: math.Pi * r * r * p.Gap / thirds,
		drag: p.DragTime(), neck: 2 * p.SurfaceTension * p.Gap, grip: p.ContactLine * diameter / thirds,
	}
	d.weight, d.aside = p.DensityDifference*p.GravityY*d.volume, p.DensityDifference*p.GravityX*d.volume
	one := p
	one.DensityDifference, one.GravityX, one.GravityY = 1, 0, -1
	d.mobility = one.SinkSpeed(r) / d.volume
	if !(d.mobility > 0) || math.IsInf(d.mobility, 0) {
		return nil, fmt.Errorf("drops: a drop of %g m in a gap of %g m and a viscosity of %g Pa·s does not move", diameter, p.Gap, p.Viscosity)
	}
	d.bins.make(p.Width, p.Height, 2*(1+slack)*d.radius+p.MergeGap)
	return d, nil
}

// middle is how far a third of a round drop has its middle from the drop's, over the
// drop's radius: 2 sin(60°)/3 over 60° in radians.
const middle = 2 * 0.8660254037844386 / math.Pi

// Add puts a reference drop at rest at a place, m.
func (d *Pane) Add(x, y float64) {
	first := int32(len(d.parts))
	for k := range thirds { // one above, the others side by side below
		sin, cos := math.Sincos(math.Pi/2 + 2*math.Pi*float64(k)/thirds)
		d.parts = append(d.parts, part{X: x + middle*d.whole*cos, Y: y + middle*d.whole*sin, fromX: math.NaN()})
		for n := range int32(k) {
			d.join(first+n, first+int32(k))
		}
	}
}

// Pour adds so many reference drops to the pool at the bottom.
func (d *Pane) Pour(n int) { d.pool += thirds * n }

// Effort is how many parts and joints all steps so far have looked at.
func (d *Pane) Effort() int { return d.effort }

// Volume is the fluid's volume, m³.
func (d *Pane) Volume() float64 { return float64(d.pool+len(d.parts)) * d.volume }

// top is the height of the pool's surface over the tank's middle, m.
func (d *Pane) top() float64 {
	return d.floor() + float64(d.pool)*d.volume/(d.p.Gap*d.p.Width)
}

// floor is the height of the tank's bottom over its middle, m.
func (d *Pane) floor() float64 { return d.p.Floor - d.p.Height/2 }

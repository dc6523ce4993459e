package hold

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/array/pane"
)

// Bow is the bent panes of a tank and what they do to the drops.
type Bow struct {
	// Panes is the tank as it bends, its size inside that of the grid's raster.
	Panes pane.Tank
	// Front and Rear are how far the panes bow outwards at most, m, and FrontAt and RearAt
	// how far below the tank's upper edge.
	Front, FrontAt, Rear, RearAt float64
	// Narrowest and Widest are the gap's least and greatest depth in front of the pixels, m.
	Narrowest, Widest float64
	// Push is the greatest force on the fluid of a drop towards the wider gap, N/m³, and
	// Weight that of its weight on a vertical display, 0 on another.
	Push, Weight float64

	bowed   *pane.Bowed
	top     float64 // m, of the tank inside over the grid's middle
	tension float64 // N/m
	places  []place
	pinning float64 // of the contact line, over the weight
	decay   float64 // of the pull with the distance from the board, 1/m
}

// place is what the bow does to the drop of one pixel: to the pull along the pane, and to
// the force that it takes to hold it, over those without a bow.
type place struct{ pull, need float64 }

// bowPlaces is how many rows and columns of pixels are looked at, at most.
const bowPlaces = 24

// BowOf bends the panes of a design that may differ from the grid's in its tank alone.
//
// A drop whose carrier wets the panes costs the energy σ for each area of pane that it
// covers, 2σV/b in all: where the gap's depth b grows, it is pushed there by 2σ|∇b|/b² per
// volume. The pull changes with the distance of the gap's middle from the
// coil, as the magnetic pressure on the pixel's axis does, which is within 3 % of what a
// grid at that distance has (see the test); that the gap holds less or more of a drop, and
// that the pull varies over its depth, is left out.
func BowOf(g *grid.Grid, d design.Design) Bow {
	t := d.Panes()
	bowed := t.Bow()
	b := Bow{Panes: t, Narrowest: math.Inf(1), bowed: bowed, top: t.Height/2 + (design.Surround*d.Grid.Pitch-d.Tank.Bottom)/2, tension: d.Fluid.SurfaceTension}
	b.Front, b.FrontAt, b.Rear, b.RearAt = bowed.Most()

	p := g.Between()
	pressure := func(dz float64) float64 {
		return g.Fluid.PiOf(g.FeltBy(p).B(r3.Vec{Z: g.Design.Fluid.Height + dz}))
	}
	const dz = 5e-5
	if here := pressure(0); here > 0 {
		b.decay = math.Log(pressure(-dz)/pressure(dz)) / (2 * dz)
	}
	drop := g.Drop()
	if drop.Weight > 0 {
		b.Weight, b.pinning = drop.Weight/drop.Volume, drop.Pinning/drop.Weight
	}
	for _, row := range spread(g.Design.Grid.Rows) {
		for _, col := range spread(g.Design.Grid.Cols) {
			at := g.Center(row, col)
			front, rear, alongX, down := bowed.At(at.X+t.Width/2, b.top-at.Y)
			gap := t.Gap + front + rear
			b.Narrowest, b.Widest = min(b.Narrowest, gap), max(b.Widest, gap)
			k := 2 * d.Fluid.SurfaceTension / (gap * gap)
			b.Push = max(b.Push, k*math.Hypot(alongX, down))
			if t.Spacers > 0 { // somewhere about there it is as steep either way
				down = math.Copysign(down, d.Fluid.DensityDifference)
			}
			if b.Weight > 0 {
				weight := math.Copysign(b.Weight, d.Fluid.DensityDifference)
				b.places = append(b.places, place{math.Exp(-b.decay * (front - rear) / 2), math.Hypot(weight+k*down, k*alongX) / b.Weight})
			}
		}
	}
	return b
}

// spread picks places of n evenly, both ends among them.
func spread(n int) []int {
	var list []int
	for k := range min(n, bowPlaces) {
		list = append(list, k*(n-1)/max(min(n, bowPlaces)-1, 1))
	}
	return list
}

// Hold is what becomes of a hold ratio where the bow lowers it most. It stays as it is
// where nothing weighs on the drop.
func (b Bow) Hold(ratio float64) float64 {
	least := ratio
	for _, p := range b.places {
		least = min(least, ((ratio-b.pinning)*p.pull+b.pinning)/p.need)
	}
	return max(least, 0)
}

// Far tells that a pane bows by more than half its thickness, farther than plate theory for small
// bows is for.
func (b Bow) Far() bool {
	return b.Front > b.Panes.Front.Thickness/2 || b.Panes.Rear.Thickness > 0 && b.Rear > b.Panes.Rear.Thickness/2
}

// Quicker is by which share drops move faster in the widest gap than between flat panes, as the
// gap squared.
func (b Bow) Quicker() float64 { return b.Widest*b.Widest/(b.Panes.Gap*b.Panes.Gap) - 1 }

// At is what the bow does to the fluid at a place, m from the grid's middle, x to the right and
// y up: the pressure that draws it to the wider gap, 2σ(1/b₀ − 1/b) over the flat one, Pa,
// the share that is left of the magnetic pressure, and the gap's depth b, m. Where the panes all
// but touch it is that of a tenth of the gap.
func (b Bow) At(x, y float64) (pressure, share, depth float64) {
	t := b.Panes
	front, rear, _, _ := b.bowed.At(x+t.Width/2, min(b.top-y, t.Height))
	depth = max(t.Gap+front+rear, t.Gap/10)
	return 2 * b.tension * (1/t.Gap - 1/depth), math.Exp(-b.decay * (front - rear) / 2), depth
}

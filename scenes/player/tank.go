package player

import (
	"context"
	"fmt"
	"math"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/array/hold"
	"lodegrid/array/ownfield"
	"lodegrid/array/tank"
	"lodegrid/field"
	"lodegrid/field/quantity"
	"lodegrid/scenes"
)

// Tank is the fluid in front of a grid: a tank with cells of its own, driven by the
// magnetic pressure at the samples of the grid's raster.
type Tank struct {
	tank *tank.Tank
	grid *grid.Grid
	own  *ownfield.Field
	drop grid.Drop
	// share is the fluid's share of the raster's squares; down and across tell what of these
	// a cell covers.
	share        []float64
	speed        float64 // m/s, fastest of the tank
	down, across [][]overlap
	// drawn is what draws the fluid to where the panes bow apart, Pa, and kept what the bow
	// leaves of the magnetic pressure, 0…1, at the raster's samples.
	drawn, kept []float64
}

// The fluid's own field is brought up to where it is before anything has gone half a
// sample of the raster, and after ownEvery seconds at the latest: a field left behind pushes a
// drop on. A half of both changes no figure of the demo's films by 0.1 %.
const (
	ownEvery  = 0.05
	ownTravel = 0.5
)

// NewTank returns a tank in front of the grid with the given cells per pitch and longest
// substep in seconds (0 takes CellsFor and the tank's own), the margin of the raster
// included: the strip below the lowest row is where the fluid's pool lies.
func NewTank(g *grid.Grid, cells int, substep float64) (*Tank, error) {
	if cells == 0 {
		cells = CellsFor(g.Design)
	}
	if pitch, gap := g.Design.Grid.Pitch, g.Design.Fluid.MergeGap; gap*float64(cells) < tank.LeastMergeCells*pitch {
		need := math.Ceil(tank.LeastMergeCells * pitch / gap)
		return nil, fmt.Errorf("building the tank: %d cells per pitch do not tell drops apart that are %s from each other (fluid.merge_gap); accepted: %g cells, at some %.0f times the cost, or %s or more",
			cells, quantity.Format(gap, quantity.Length), need, math.Pow(need/float64(cells), 3), quantity.Format(1.01*tank.LeastMergeCells*pitch/float64(cells), quantity.Length))
	}
	p := panes(g, cells, substep)
	t, err := tank.New(p)
	if err != nil {
		return nil, fmt.Errorf("building the tank: %w", err)
	}
	bow := hold.BowOf(g, g.Design)
	if b, flat := bow.Widest, g.Design.Fluid.TankGap; b > widened*flat {
		return nil, fmt.Errorf("building the tank: the panes bow until they stand %s apart, %s when flat (tank.front, tank.spacers); accepted: %s",
			quantity.Format(b, quantity.Length), quantity.Format(flat, quantity.Length), g.Design.Stiffer())
	}
	b := &Tank{tank: t, grid: g, drop: g.Drop(), share: make([]float64, g.Raster.Len())}
	b.down, b.across = overlaps(p.Rows, g.Raster.Rows), overlaps(p.Cols, g.Raster.Cols)
	// It takes no longer than the grid that is there already.
	b.own, err = ownfield.New(context.Background(), g)
	if err != nil {
		return nil, err
	}
	var depth []float64
	b.drawn, b.kept, depth = bowed(g, bow)
	t.Bow(depth)
	return b, nil
}

// widened is how many times its depth between flat panes the gap may have for the fluid to be
// moved as one sheet; plate theory for small bows has given out before.
const widened = 4

// bowed is what the panes' bow does to the fluid at a raster's samples, straight between the
// corners of squares a pitch wide, over which a pane bends little, and the depth between them, m.
func bowed(g *grid.Grid, bow hold.Bow) (drawn, kept, depth []float64) {
	r := g.Raster
	across := r.Cols/r.Samples + 1
	var corners [3][]float64
	for k := range across * (r.Rows/r.Samples + 1) {
		x := (float64(k%across*r.Samples) - float64(r.Cols)/2) * r.Spacing
		y := (float64(r.Rows)/2 - float64(k/across*r.Samples)) * r.Spacing
		p, s, b := bow.At(x, y)
		corners[0], corners[1], corners[2] = append(corners[0], p), append(corners[1], s), append(corners[2], b)
	}
	out := [3][]float64{make([]float64, r.Len()), make([]float64, r.Len()), make([]float64, r.Len())}
	for k := range r.Len() {
		i, j := k/r.Cols, k%r.Cols
		u, v := (float64(j%r.Samples)+0.5)/float64(r.Samples), (float64(i%r.Samples)+0.5)/float64(r.Samples)
		n := i/r.Samples*across + j/r.Samples
		for c, f := range corners {
			out[c][k] = (1-v)*((1-u)*f[n]+u*f[n+1]) + v*((1-u)*f[n+across]+u*f[n+across+1])
		}
	}
	return out[0], out[1], out[2]
}

// panes are the tank in front of a grid.
func panes(g *grid.Grid, cells int, substep float64) tank.Params {
	f := g.Design.Fluid
	p := tank.Params{
		Gap: f.TankGap, Density: f.Density, DensityDifference: f.DensityDifference,
		Viscosity: f.Viscosity, OuterViscosity: f.CarrierViscosity, SurfaceTension: f.SurfaceTension, ContactLine: f.ContactLine,
		MergeGap: f.MergeGap, SampleCols: g.Raster.Cols, SampleRows: g.Raster.Rows, MaxStep: substep,
	}
	if g.Design.Heat.Orientation == design.Vertical {
		p.GravityY = -field.Gravity
	}
	p = p.OverGrid(g.Design.Grid.Cols, g.Design.Grid.Rows, g.Raster.Margin, cells, g.Design.Grid.Pitch)
	p.Floor = max(float64(g.Raster.Margin)*g.Design.Grid.Pitch-g.Design.Tank.Bottom, 0)
	return p
}

// Cells is the tank's rows and columns of cells.
func (b *Tank) Cells() (rows, cols int) {
	p := b.tank.Params()
	return p.Rows, p.Cols
}

// Inherit takes over another tank's fluid, at rest, if its tank has the same cells.
func (b *Tank) Inherit(from *Tank) { b.tank.CopyFluid(from.tank) }

// FillFor puts in the fluid that a scene starts with. It returns the volume in m³.
func (b *Tank) FillFor(s scenes.Scene) (float64, error) {
	f := FillOf(b.grid, s)
	if f.Pool > 0 {
		b.tank.FillBelow(f.Depth)
	}
	for _, i := range f.On {
		if err := b.Add(i/s.Cols, i%s.Cols, 1); err != nil {
			return 0, fmt.Errorf("filling the tank: %w", err)
		}
	}
	return b.tank.Volume(), nil
}

// Pool fills the tank up to a depth, m.
func (b *Tank) Pool(depth float64) { b.tank.FillBelow(depth) }

// Add puts a round drop of so many reference drops' volume on a pixel.
func (b *Tank) Add(row, col int, drops float64) error {
	at := b.grid.Center(row, col)
	return b.tank.FillDisc(at.X, at.Y, b.grid.Drop().Diameter/2*math.Sqrt(drops))
}

// Wanted appends the pixels that levels light.
func Wanted(g *grid.Grid, levels []float64, to []int) []int {
	for i, level := range levels {
		if g.StateOf(level) == grid.Lit {
			to = append(to, i)
		}
	}
	return to
}

// Step moves the fluid for dt seconds in the magnetic pressure of a plane and in its own
// field.
func (b *Tank) Step(dt float64, p *grid.Plane) error {
	for dt > 0 {
		pi := b.own.Pi(p, b.spread())
		for k := range pi {
			pi[k] = pi[k]*b.kept[k] + b.drawn[k]
		}
		h := min(ownEvery, ownTravel*b.grid.Raster.Spacing/max(b.speed, 1e-9))
		if dt-h < scenes.SameInstant { // no step for what rounding leaves
			h = dt
		}
		st, err := b.tank.Step(h, pi)
		if err != nil {
			return fmt.Errorf("moving the fluid: %w", err)
		}
		b.speed = st.MaxSpeed
		dt -= h
	}
	return nil
}

// spread is the fluid's share of each of the raster's squares.
func (b *Tank) spread() []float64 {
	clear(b.share)
	fraction, cols := b.tank.Fraction(), len(b.across)
	for i, rows := range b.down {
		for j, c := range fraction[i*cols : (i+1)*cols] {
			if c == 0 {
				continue
			}
			for _, r := range rows {
				for _, s := range b.across[j] {
					b.share[r.square*b.grid.Raster.Cols+s.square] += c * r.share * s.share
				}
			}
		}
	}
	return b.share
}

// overlap is the share of a square's side that a cell covers.
type overlap struct {
	square int
	share  float64
}

// overlaps are those of n equal cells with as long a row of equal squares.
func overlaps(n, squares int) [][]overlap {
	all := make([][]overlap, n)
	side := float64(squares) / float64(n)
	for i := range all {
		for from, to := float64(i)*side, float64(i+1)*side; to-from > 1e-9; {
			k := int(from + 1e-9)
			end := min(to, float64(k+1))
			all[i] = append(all[i], overlap{k, end - from})
			from = end
		}
	}
	return all
}

// Cover tells how full of fluid the pixels' places are, 0…1, as Covered does, and how many
// reference drops are in each square of a pitch round a pixel; cell may be nil.
func (b *Tank) Cover(place, cell []float64) {
	d := b.grid.Design.Grid
	for i := range place {
		place[i] = b.Covered(i/d.Cols, i%d.Cols)
	}
	if cell == nil {
		return
	}
	clear(cell)
	p, fraction := b.tank.Params(), b.tank.Fraction()
	margin, n := b.grid.Raster.Margin, p.Cols/(d.Cols+2*b.grid.Raster.Margin)
	share := p.Width / float64(p.Cols) * p.Height / float64(p.Rows) * p.Gap / b.grid.Drop().Volume
	for i := margin * n; i < (margin+d.Rows)*n; i++ {
		for j := margin * n; j < (margin+d.Cols)*n; j++ {
			cell[(i/n-margin)*d.Cols+j/n-margin] += fraction[i*p.Cols+j] * share
		}
	}
}

// Fraction is the fluid's share of each of the tank's cells, row-major, row 0 at the
// top; it changes with the next Step.
func (b *Tank) Fraction() []float64 { return b.tank.Fraction() }

// Covered is how full of fluid the place of a pixel's reference drop is, 0…1: 1 when
// a whole drop rests there.
func (b *Tank) Covered(row, col int) float64 {
	at, drop := b.grid.Center(row, col), b.drop
	return min(b.tank.VolumeIn(at.X, at.Y, drop.Diameter/2)/drop.Volume, 1)
}

// Following is the mean of Covered over the pixels that states call lit, and how
// many of them are at least half covered.
func (b *Tank) Following(states []grid.State) (mean float64, half, lit int) {
	cols := b.grid.Design.Grid.Cols
	for i, st := range states {
		if st != grid.Lit {
			continue
		}
		c := b.Covered(i/cols, i%cols)
		mean += c
		lit++
		if c >= 0.5 {
			half++
		}
	}
	if lit > 0 {
		mean /= float64(lit)
	}
	return mean, half, lit
}

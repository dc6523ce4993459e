package tank

import (
	"fmt"
	"math"

	"lodegrid/field/param"
)

// params names this package in the errors of its parameters.
const params = param.Of("tank")

// Params describes a tank and the two liquids in it, in SI units.
type Params struct {
	Width, Height float64 // m, inside
	Cols, Rows    int     // cells; see OverGrid

	// Floor is how far above the lower edge the tank's bottom is, m, to whole cells: what is
	// below stays empty.
	Floor float64

	// SampleCols and SampleRows tell how many values of the magnetic pressure Step is
	// handed, over the same tank; 0 takes Cols and Rows.
	SampleCols, SampleRows int

	Gap               float64 // m, clear depth between the panes
	Density           float64 // kg/m³, inertia of either liquid
	DensityDifference float64 // kg/m³, magnetic liquid minus the other
	Viscosity         float64 // Pa·s, of the magnetic liquid
	OuterViscosity    float64 // Pa·s, of the other; 0 takes Viscosity
	SurfaceTension    float64 // N/m, between the two

	// MergeGap is the distance between two drops, m, at which they become one; 0 takes
	// DefaultMergeGap times the gap. Farther apart they do not merge, whatever the cells.
	MergeGap float64

	// ContactLine is the force with which the panes hold a resting drop back, per
	// width of the drop, N/m: both panes together; 0 for slippery panes.
	ContactLine float64

	// Gravity in the plane of the tank, x to the right and y up, m/s²:
	// (0, −field.Gravity) for a display on a wall, (0, 0) for one lying flat.
	GravityX, GravityY float64

	// MaxStep is the longest substep, s; 0 takes DefaultMaxStep. The speed and the
	// waves may ask for shorter ones.
	MaxStep float64
}

// DefaultMergeGap is the distance over the gap between the panes at which drops merge
// unless told otherwise: a drop whose carrier wets the panes ends in a half circle of
// the gap's width, whose foremost line is ahead of its mean over the gap, which is what
// the model moves, by (½ − π/8) of the gap; two such ends touch when their means are
// twice that apart.
const DefaultMergeGap = 1 - math.Pi/4

// LeastMergeCells is the least Params.MergeGap that is as good as its word, in cells: the edge
// of a drop that is two cells in radius or more is placed to 0.04 of one.
const LeastMergeCells = 0.1

// DefaultMaxStep is the longest substep taken when Params.MaxStep is 0, s.
const DefaultMaxStep = 6e-3

// The least and greatest numbers of cells along one side, and of all cells.
const (
	MinCells   = 4
	MaxCells   = 8192
	MaxAllCell = 1 << 24
)

// OverGrid returns p sized to cover cols × rows pixels of the given pitch (m) and
// margin whole pitches on every side, with so many cells per pitch; the package's
// comment tells what each count is good for. Any count works; a step is fastest when
// (rows+2·margin)·cells has no prime factor above 5.
func (p Params) OverGrid(cols, rows, margin, cells int, pitch float64) Params {
	w, h := cols+2*margin, rows+2*margin
	p.Width, p.Height = float64(w)*pitch, float64(h)*pitch
	p.Cols, p.Rows = w*cells, h*cells
	return p
}

// Validate returns a *param.Error for a number of cells that cannot be computed with; all else is
// as a design's bounds have it.
func (p Params) Validate() error {
	for _, n := range []struct {
		name string
		v    int
	}{{"Cols", p.Cols}, {"Rows", p.Rows}} {
		if n.v < MinCells || n.v > MaxCells {
			return params.Refuse(n.name, nil, fmt.Sprintf("is %d", n.v), fmt.Sprintf("%d to %d", MinCells, MaxCells))
		}
	}
	if p.Cols*p.Rows > MaxAllCell {
		return params.Refuse("Cols", nil, fmt.Sprintf("%d×%d cells in all", p.Cols, p.Rows), fmt.Sprintf("up to %d cells", MaxAllCell))
	}
	return nil
}

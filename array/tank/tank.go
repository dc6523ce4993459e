package tank

import (
	"fmt"
	"math"
	"slices"

	"lodegrid/array/tank/poisson"
)

// maxSubsteps is how many a call of Step is willing to take.
const maxSubsteps = 1_000_000

// Tank is the fluid in one tank at one moment. It is not safe for concurrent use.
type Tank struct {
	p      Params
	nx, ny int // cells above the floor
	dx, dy float64
	cell   float64 // m, √(dx·dy)
	words  int     // of 64 bits for a row of cells

	layers  []*layer // at least one
	all     []float64
	flux    []float64 // of c through the cells' lower sides
	reached []uint64  // layer.wide of the first sweep
	sweeps  int

	pieces     []piece
	drops      []drop
	pairs      []pair
	order      []listed
	byTop      []int32
	mergeCells float64 // Params.MergeGap in cells
	travelled  float64 // cells, no less than any drop since arrange
	lookAfter  float64 // how far that may come before the next

	phi   potential
	steep float64 // Pa/m, steepest of phi

	u []float64 // m/s to the right, on cells' left and right sides, ny×(nx+1)
	v []float64 // m/s down, on cells' upper and lower sides, (ny+1)×nx

	dragU, dragV []float64 // see dragAt; nil between flat panes
	narrowest    float64   // m

	eased    [2]float64 // see ease, along x and y
	contrast *contrast  // nil for liquids of one viscosity
	rate     float64    // 1/s, cells crossed per second where that is most
	filled   float64    // Σ c as filled
	stale    bool       // shares were set from outside since refresh
	solver   *poisson.Solver
	lastStep float64 // s, of the solver's present answer; 0 if none
	rows     rowBuffers
}

// New makes an empty tank at rest. The error is a *param.Error.
func New(p Params) (*Tank, error) {
	if err := p.Validate(); err != nil {
		return nil, err
	}
	if p.MaxStep == 0 {
		p.MaxStep = DefaultMaxStep
	}
	if p.MergeGap == 0 {
		p.MergeGap = DefaultMergeGap * p.Gap
	}
	if p.OuterViscosity == 0 {
		p.OuterViscosity = p.Viscosity
	}
	if p.SampleCols == 0 {
		p.SampleCols, p.SampleRows = p.Cols, p.Rows
	}
	nx, dy := p.Cols, p.Height/float64(p.Rows)
	ny := p.Rows - int(math.Round(p.Floor/dy))
	t := &Tank{p: p, nx: nx, ny: ny, dx: p.Width / float64(nx), dy: dy}
	t.cell = math.Sqrt(t.dx * t.dy)
	t.words = (nx + 63) / 64
	t.mergeCells = p.MergeGap / t.cell
	t.eased = [2]float64{ease(math.Sqrt(12) * t.dx / p.Gap), ease(math.Sqrt(12) * t.dy / p.Gap)}
	t.solver = poisson.New(ny, nx, t.dx, t.dy)
	t.all = make([]float64, nx*p.Rows)
	t.flux = make([]float64, nx*ny)
	t.reached = make([]uint64, ny*t.words)
	t.u = make([]float64, ny*(nx+1))
	t.v = make([]float64, (ny+1)*nx)
	t.narrowest = p.Gap
	t.rows.flat = slices.Repeat([]float64{1}, nx+1)
	for _, b := range []*[]float64{&t.rows.cellY, &t.rows.cornerU, &t.rows.cornerV, &t.rows.mirror} {
		*b = make([]float64, nx+1)
	}
	t.phi = potential{
		coef: make([]float64, p.SampleCols*p.SampleRows),
		cols: p.SampleCols, rows: p.SampleRows,
		perX: float64(p.SampleCols) / p.Width * t.cell, perY: float64(p.SampleRows) / p.Height * t.cell,
		gx: p.DensityDifference * p.GravityX * t.cell, gy: -p.DensityDifference * p.GravityY * t.cell,
		x0: 0.5 * p.Width / t.cell, y0: 0.5 * p.Height / t.cell,
	}
	if p.OuterViscosity != p.Viscosity {
		t.contrast = newContrast(nx, ny)
	}
	t.layers = append(t.layers, t.newLayer())
	return t, nil
}

// Params returns what the tank was made with, MaxStep resolved.
func (t *Tank) Params() Params { return t.p }

// Stats is what one call of Step did.
type Stats struct {
	Substeps     int
	ShortestStep float64 // s
	MaxSpeed     float64 // m/s, fastest cell at the end
	MassError    float64 // (fluid now − fluid filled) / fluid filled; 0 for an empty tank
}

// Step moves the fluid on by dt seconds under the magnetic pressure pi, in Pa at the
// middles of Params.SampleRows × SampleCols equal parts of the tank, row-major, row 0 at
// the top, held for the whole of dt and no longer looked at after; a nil pi is no field.
// It takes as many substeps as stability asks for and allocates
// nothing. The error tells when dt would take more than a million substeps.
func (t *Tank) Step(dt float64, pi []float64) (Stats, error) {
	t.refresh()
	t.steep = t.phi.set(pi) / t.cell
	st := Stats{ShortestStep: math.Inf(1)}
	for left := dt; left > 0; {
		h := t.substepLimit()
		if h*maxSubsteps < left {
			return st, fmt.Errorf("tank: step of %g s: the flow asks for substeps of %g s, more than %d of them; %g s are left undone",
				dt, h, maxSubsteps, left)
		}
		n := math.Ceil(left / h * (1 - 1e-12))
		if n < 1 {
			n = 1
		}
		h = left / n
		t.substep(h)
		st.Substeps++
		st.ShortestStep = min(st.ShortestStep, h)
		if n == 1 {
			break
		}
		left -= h
	}
	if st.Substeps == 0 {
		st.ShortestStep = 0
	}
	st.MaxSpeed = t.maxSpeed()
	if t.filled > 0 {
		st.MassError = (t.total() - t.filled) / t.filled
	}
	return st, nil
}

// sum adds up in runs, and the runs with Neumaier's compensation: the check of the
// volume must not measure its own rounding.
func sum(a []float64) float64 {
	const run = 128
	total, low := 0.0, 0.0
	for len(a) > 0 {
		n := min(run, len(a))
		v := 0.0
		for _, x := range a[:n] {
			v += x
		}
		a = a[n:]
		s := total + v
		if math.Abs(total) >= math.Abs(v) {
			low += (total - s) + v
		} else {
			low += (v - s) + total
		}
		total = s
	}
	return total + low
}

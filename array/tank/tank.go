package tank

import (
	"fmt"
	"math"

	"lodegrid/array/tank/poisson"
)

// maxSubsteps is how many a call of Step is willing to take.
const maxSubsteps = 1_000_000

// interfaceCells is the interface's length ε in cells: c = 1/(1+exp(−d/ε)) at
// distance d inside, so c runs from 5 % to 95 % in about 4½ cells.
const interfaceCells = 0.5

// Tank is the fluid in one tank at one moment. It is not safe for concurrent use.
type Tank struct {
	p      Params
	nx, ny int
	dx, dy float64
	eps    float64 // m, ε

	c     []float64 // share of the magnetic liquid, ny×nx
	psi   []float64 // ln(c/(1−c)), cut at ±psiLimit: signed distance over ε
	kappa []float64 // 1/m, curvature of the nearest piece of interface, where 0 < c < 1
	grip  []float64 // Pa, the contact line's hold; nil when there is none
	held  []float64 // grip in work
	phi   []float64 // Pa, Π + Δρ g·x
	steep float64   // Pa/m, steepest of phi

	u []float64 // m/s to the right, on cells' left and right sides, ny×(nx+1)
	v []float64 // m/s down, on cells' upper and lower sides, (ny+1)×nx

	cornerX, cornerY []float64 // unit normal into the fluid (y down) at the cells' corners
	slipX, slipY     []float64 // vorticity times the unit tangent, there
	fluxX, fluxY     []float64 // of c, on cells' sides
	spans            []span    // per row: where c can change
	mixed            []span    // per row: where it is neither 0 nor 1, or jumps
	weight           float64   // Σ c(1−c)
	limbo            float64   // Σ of c cut off near 0 and 1, to be given back

	layer    float64 // m², thickness of the layer the liquids slide in, squared
	energy   float64 // m²/s², Σ of the velocities' squares
	rate     float64 // 1/s, cells crossed per second where that is most
	filled   float64 // Σ c as filled
	solver   *poisson.Solver
	lastStep float64 // s, of the solver's present answer; 0 if none
	rows     rowBuffers
}

// New makes an empty tank at rest. The error is a *ParamError.
func New(p Params) (*Tank, error) {
	if err := p.Validate(); err != nil {
		return nil, err
	}
	if p.MaxStep == 0 {
		p.MaxStep = DefaultMaxStep
	}
	nx, ny := p.Cols, p.Rows
	t := &Tank{p: p, nx: nx, ny: ny, dx: p.Width / float64(nx), dy: p.Height / float64(ny)}
	t.eps = interfaceCells * max(t.dx, t.dy)
	var err error
	if t.solver, err = poisson.New(ny, nx, t.dx, t.dy); err != nil {
		return nil, fmt.Errorf("tank: preparing the pressure solver: %w", err)
	}
	cells, cornerCount := nx*ny, (nx+1)*(ny+1)
	t.c = make([]float64, cells)
	t.psi = make([]float64, cells)
	t.kappa = make([]float64, cells)
	t.phi = make([]float64, cells)
	t.u = make([]float64, ny*(nx+1))
	t.v = make([]float64, (ny+1)*nx)
	t.fluxX = make([]float64, ny*(nx+1))
	t.fluxY = make([]float64, (ny+1)*nx)
	t.cornerX = make([]float64, cornerCount)
	t.cornerY = make([]float64, cornerCount)
	t.slipX = make([]float64, cornerCount)
	t.slipY = make([]float64, cornerCount)
	t.spans = make([]span, ny)
	t.mixed = make([]span, ny)
	for _, b := range []*[]float64{&t.rows.cellY, &t.rows.cornerU, &t.rows.cornerV, &t.rows.mirror} {
		*b = make([]float64, nx+1)
	}
	if p.ContactLine > 0 {
		t.grip = make([]float64, cells)
		t.held = make([]float64, cells)
	}
	t.setPotential(nil)
	t.refill()
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

// Step moves the fluid on by dt seconds under the magnetic pressure pi, in Pa at
// the cells' middles, row-major, row 0 at the top, held for the whole of dt; a nil
// pi is no field. It takes as many substeps as stability asks for and allocates
// nothing. The error names a pi of the wrong length, a value that is not finite or
// beyond ±1 MPa, or a dt that is negative or not finite; the tank is then as it was.
// It also tells when dt would take more than a million substeps.
func (t *Tank) Step(dt float64, pi []float64) (Stats, error) {
	if !(dt >= 0) || math.IsInf(dt, 0) {
		return Stats{}, fmt.Errorf("tank: step of %g s: must be finite and not negative", dt)
	}
	if err := checkPressure(pi, t.nx, t.ny); err != nil {
		return Stats{}, err
	}
	t.setPotential(pi)
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
		st.MassError = (sum(t.c) - t.filled) / t.filled
	}
	return st, nil
}

// checkPressure refuses a pi that does not fit the cells or has a value that no
// display reaches.
func checkPressure(pi []float64, nx, ny int) error {
	if pi == nil {
		return nil
	}
	if len(pi) != nx*ny {
		return fmt.Errorf("tank: magnetic pressure has %d values for %d×%d cells", len(pi), nx, ny)
	}
	for k, v := range pi {
		if !(math.Abs(v) <= 1e6) {
			return fmt.Errorf("tank: magnetic pressure %g Pa at row %d, column %d: must be within ±1e6", v, k/nx, k%nx)
		}
	}
	return nil
}

// setPotential takes the magnetic pressure for the substeps to come.
func (t *Tank) setPotential(pi []float64) {
	t.steep = potential(t.phi, t.p, pi)
}

// potential sets phi to Π + Δρ g·x, Pa, x from the tank's middle, and returns no
// less than its steepest slope between neighbours, Pa/m.
func potential(phi []float64, p Params, pi []float64) float64 {
	nx, ny := p.Cols, p.Rows
	dx, dy := p.Width/float64(nx), p.Height/float64(ny)
	gx := p.DensityDifference * p.GravityX * dx
	gy := -p.DensityDifference * p.GravityY * dy // down
	steepX, steepY := 0.0, 0.0
	for i := range ny {
		row := phi[i*nx : (i+1)*nx]
		y := gy*(float64(i)+0.5-0.5*float64(ny)) + gx*(0.5-0.5*float64(nx))
		for j := range row {
			row[j] = y + gx*float64(j)
		}
		if pi != nil {
			src := pi[i*nx : (i+1)*nx][:len(row)]
			for j := range row {
				row[j] += src[j]
			}
		}
		for j := 1; j < len(row); j++ {
			if d := math.Abs(row[j] - row[j-1]); d > steepX {
				steepX = d
			}
		}
		if i > 0 {
			above := phi[(i-1)*nx : i*nx][:len(row)]
			for j := range row {
				if d := math.Abs(row[j] - above[j]); d > steepY {
					steepY = d
				}
			}
		}
	}
	return math.Hypot(steepX/dx, steepY/dy)
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

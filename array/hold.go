package array

import (
	"math"

	"lodegrid/array/design"
	"lodegrid/field/ferrofluid"
)

// standardGravity in m/s² (CGPM 1901, conventional value).
const standardGravity = 9.80665

// Drop is the reference drop: a disc of fluid that fills the gap between the
// panes.
type Drop struct {
	Diameter float64 // m
	Volume   float64 // m³
	Need     float64 // N, force that has to hold it: apparent weight in the pane's plane plus contact line
}

// Drop returns the design's reference drop.
func (g *Grid) Drop() Drop {
	f := g.Design.Fluid
	v := math.Pi / 4 * f.DropDiameter * f.DropDiameter * f.TankGap
	need := f.ContactLine * f.DropDiameter
	if g.Design.Heat.Orientation == design.Vertical {
		need += math.Abs(f.DensityDifference) * standardGravity * v
	}
	return Drop{Diameter: f.DropDiameter, Volume: v, Need: need}
}

// dropFluid is the fluid in the shape of the reference drop: a flat disc whose own
// poles weaken the field in it. The disc is taken as the spheroid of its diameter
// and depth in a field along its axis.
func dropFluid(d design.Design) ferrofluid.Body {
	return ferrofluid.Body{
		Fluid:           ferrofluid.Fluid{Susceptibility: d.Fluid.Susceptibility, Saturation: d.Fluid.Saturation},
		Demagnetisation: spheroidFactor(d.Fluid.TankGap / d.Fluid.DropDiameter),
	}
}

// spheroidFactor is the demagnetising factor along the axis of a spheroid whose
// axis is ratio times its diameter (J. A. Osborn, Phys. Rev. 67 (1945) 351; from
// memory): 1/3 for a sphere, towards 1 for a flat one.
func spheroidFactor(ratio float64) float64 {
	switch e2 := 1 - ratio*ratio; {
	case math.Abs(e2) < 1e-4:
		return 1.0/3 + 2.0/15*e2 // first order about the sphere
	case e2 > 0:
		e := math.Sqrt(e2)
		return (1 - ratio/e*math.Asin(e)) / e2
	default:
		m := math.Sqrt(-e2)
		return (ratio/m*math.Log(ratio+m) - 1) / -e2
	}
}

// Hold tells how firmly each pixel keeps a drop.
//
// The magnetic force on a drop that fills the gap is V·⟨∇Π⟩, the mean of the
// gradient of the magnetic pressure Π over the drop (Rosensweig,
// Ferrohydrodynamics, 1985, ch. 5: µ0 M ∇H = ∇Π; from memory). The hold ratio of
// a pixel is the greatest restoring force a drop meets on the way out of its
// cell, over the force needed, Drop.Need.
//
// In a vertical display a drop leaves downwards. In a vertical run of lit pixels
// whose pressures merge into one ridge, a drop that its own pixel cannot hold
// leans on the pixel below, whose need grows by one drop; both get the ratio of
// the pixel that bears them. In a level display a drop leaves through the weakest
// side that has no lit neighbour.
//
// A dark pixel keeps a drop only where the drop's mean pressure has a peak inside
// its cell; on the slope of a lit neighbour its ratio is 0.
type Hold struct {
	grid *Grid
	drop Drop
	runs []run     // the drop as rows of samples
	sums []float64 // row-wise running sums of Π, Rows × (Cols+1)
	mean []float64 // Π averaged over the drop, Rows × Cols
}

type run struct{ di, from, to int } // samples j+from … j+to of row i+di

// NewHold prepares the scratch for a grid.
func NewHold(g *Grid) *Hold {
	h := &Hold{grid: g, drop: g.Drop()}
	radius := h.drop.Diameter / 2 / g.Raster.Spacing
	for di := -int(radius); di <= int(radius); di++ {
		half := int(math.Sqrt(radius*radius - float64(di*di)))
		h.runs = append(h.runs, run{di, -half, half})
	}
	h.sums = make([]float64, g.Raster.Rows*(g.Raster.Cols+1))
	h.mean = make([]float64, g.Raster.Len())
	return h
}

// State is what a pixel is meant to do in a frame.
type State uint8

// The states: dark pixels must not keep a drop, lit ones must, dim ones are not
// judged.
const (
	Dark State = iota
	Dim
	Lit
)

// litLevel and dimLevel part the drive levels into states.
const (
	litLevel = 0.5
	dimLevel = 0.05
)

// StateOf returns what a drive level asks of a pixel. Without bias magnets either
// sign pulls; with them only the sign that adds to their field does, and the
// other releases.
func (g *Grid) StateOf(level float64) State {
	switch {
	case g.Design.Magnet.Kind == design.MagnetNone:
		level = math.Abs(level)
	case g.Design.Magnet.Remanence < 0:
		level = -level
	}
	switch {
	case level >= litLevel:
		return Lit
	case level > dimLevel:
		return Dim
	}
	return Dark
}

// Ratios fills dst (len Rows*Cols of the grid) with each pixel's hold ratio in the
// field p, states telling which pixels are lit. It does not allocate.
func (h *Hold) Ratios(dst []float64, p *Plane, states []State) {
	h.average(p)
	d := h.grid.Design.Grid
	vertical := h.grid.Design.Heat.Orientation == design.Vertical
	down := 1
	if h.grid.Design.Fluid.DensityDifference < 0 {
		down = -1 // a lighter fluid leaves upwards
	}
	for row := range d.Rows {
		for col := range d.Cols {
			k := row*d.Cols + col
			i, j, peak := h.peak(row, col)
			switch {
			case states[k] == Dark && !peak:
				dst[k] = 0
			case vertical:
				dst[k] = h.ratio(h.climb(i, j, down, 0))
			default:
				dst[k] = h.ratio(h.weakestSide(i, j, row, col, states))
			}
		}
	}
	if vertical {
		for col := range d.Cols {
			h.lean(dst, states, col, down)
		}
	}
}

// lean lets lit drops that are not held by their own pixel rest on the lit pixel
// they would fall onto.
func (h *Hold) lean(dst []float64, states []State, col, down int) {
	d := h.grid.Design.Grid
	first, last := 0, d.Rows-1
	if down < 0 {
		first, last = last, first
	}
	leaning := 0
	for row := first; ; row += down {
		k := row*d.Cols + col
		if states[k] != Lit {
			leaning = 0
		} else {
			supported := row != last && states[k+down*d.Cols] == Lit
			dst[k] /= float64(1 + leaning)
			if dst[k] < 1 && supported {
				leaning++
			} else {
				for n := 1; n <= leaning; n++ {
					dst[k-n*down*d.Cols] = dst[k]
				}
				leaning = 0
			}
		}
		if row == last {
			return
		}
	}
}

// weakestSide is the least restoring force over the sides without a lit
// neighbour, per sample spacing; over all four when lit ones stand all round.
func (h *Hold) weakestSide(i, j, row, col int, states []State) float64 {
	d := h.grid.Design.Grid
	weakest, any := math.Inf(1), math.Inf(1)
	for _, s := range [4][2]int{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
		f := h.climb(i, j, s[0], s[1])
		any = min(any, f)
		r, c := row+s[0], col+s[1]
		if r >= 0 && r < d.Rows && c >= 0 && c < d.Cols && states[r*d.Cols+c] == Lit {
			continue
		}
		weakest = min(weakest, f)
	}
	if math.IsInf(weakest, 1) {
		return any
	}
	return weakest
}

// ratio turns a fall of mean pressure per sample into a hold ratio.
func (h *Hold) ratio(fall float64) float64 {
	return fall / h.grid.Raster.Spacing * h.drop.Volume / h.drop.Need
}

// average fills h.mean with Π averaged over a drop centred on each sample; a
// drop that reaches over the raster's edge is averaged over its part inside.
func (h *Hold) average(p *Plane) {
	r := p.Raster
	for i := range r.Rows {
		sum := h.sums[i*(r.Cols+1) : (i+1)*(r.Cols+1)]
		for j, v := range p.Pi[i*r.Cols : (i+1)*r.Cols] {
			sum[j+1] = sum[j] + v
		}
	}
	for i := range r.Rows {
		for j := range r.Cols {
			var total float64
			var count int
			for _, run := range h.runs {
				y := i + run.di
				if y < 0 || y >= r.Rows {
					continue
				}
				from, to := max(j+run.from, 0), min(j+run.to+1, r.Cols)
				total += h.sums[y*(r.Cols+1)+to] - h.sums[y*(r.Cols+1)+from]
				count += to - from
			}
			h.mean[i*r.Cols+j] = total / float64(count)
		}
	}
}

// peak finds the largest mean pressure in a pixel's cell and tells whether it is
// a peak of the whole plane, not the foot of a neighbour's.
func (h *Hold) peak(row, col int) (i, j int, ok bool) {
	r := h.grid.Raster
	i0, j0 := r.Cell(row, col)
	best := math.Inf(-1)
	for a := i0; a < i0+r.Samples; a++ {
		for b := j0; b < j0+r.Samples; b++ {
			if v := h.mean[a*r.Cols+b]; v > best {
				best, i, j = v, a, b
			}
		}
	}
	for a := i - 1; a <= i+1; a++ {
		for b := j - 1; b <= j+1; b++ {
			if h.mean[a*r.Cols+b] > best*(1+1e-12) {
				return i, j, false
			}
		}
	}
	return i, j, true
}

// climb walks one pitch from sample (i, j) in the direction (di, dj) and returns
// the steepest fall of h.mean met, per sample spacing: a fourth-order central
// difference, its error (k·h)⁴/30 for a wave number k.
func (h *Hold) climb(i, j, di, dj int) float64 {
	r := h.grid.Raster
	steepest := 0.0
	at := func(n int) float64 { return h.mean[(i+n*di)*r.Cols+j+n*dj] }
	inside := func(n int) bool {
		a, b := i+n*di, j+n*dj
		return a >= 0 && a < r.Rows && b >= 0 && b < r.Cols
	}
	for n := range r.Samples {
		if !inside(n+2) || !inside(n-2) {
			break
		}
		slope := (8*(at(n-1)-at(n+1)) - (at(n-2) - at(n+2))) / 12
		steepest = max(steepest, slope)
	}
	return steepest
}

package hold

import (
	"math"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/field/root"
)

// Meter tells how firmly each pixel keeps a drop.
//
// The magnetic force on a drop that fills the gap is V·⟨∇Π⟩, the mean of the
// gradient of the magnetic pressure Π over the drop (Rosensweig,
// Ferrohydrodynamics, 1985, ch. 5: µ0 M ∇H = ∇Π; from memory). With F the greatest
// restoring force a drop meets on the way out of its cell, W its weight and C the
// contact line's pinning, the hold ratio of a pixel is
//
//	(F + C)/W   in a vertical display: at 1 the drop just stays
//	F/C         in a level one: at 1 the pixel just centres a drop that sticks
//
// In a vertical display a drop leaves downwards. In a vertical run of lit pixels
// whose pressures merge into one ridge, a drop that its own pixel cannot hold
// leans on the pixel below, whose need grows by one drop; both get the ratio of
// the pixel that bears them. In a level display a drop leaves through the weakest
// side that has no lit neighbour.
//
// F is that of the pressure from place to place midway between the panes. On a rigid disc
// over the whole depth of the tank the greatest is another, by DiscGain, mostly more: a lit
// pixel then holds more than is told here, and a dark one keeps a drop a little sooner.
//
// In a dark pixel F counts only where the drop's mean pressure has a peak inside
// its cell; on the slope of a lit neighbour it is 0. The drop's own poles weaken the
// field by its direction, and a ripple counts as far as the fluid follows it (package
// grid, felt.go).
type Meter struct {
	grid *grid.Grid
	drop grid.Drop
	runs []run     // the drop as rows of samples
	sums []float64 // row-wise running sums of Π, Rows × (Cols+1)
	mean []float64 // Π averaged over the drop, Rows × Cols
	path []float64 // mean along a way out of a cell
}

// run is one row of samples under the drop, i+di: those up to half away from its
// middle count whole, the next on each side with the share end.
type run struct {
	di, half int
	end      float64
}

// discRuns covers a disc of a radius in samples so that the mean over the runs is the
// mean over the disc for every quadratic function: rows and row ends are those of the
// ellipse whose samples have the disc's second moments, R²/4 each way. Covering the
// disc itself would count the rim's samples at their middles, outside of it, and at
// eight samples a pitch take 5 % off the force.
func discRuns(radius float64) []run {
	a, b := radius, radius
	for range 12 {
		if xx, yy := moments(ellipseRuns(a, b)); math.Abs(xx-radius*radius/4)+math.Abs(yy-radius*radius/4) < 1e-11*radius*radius {
			break
		}
		a, _ = root.Boundary(func(a float64) bool { xx, _ := moments(ellipseRuns(a, b)); return xx < radius*radius/4 }, 0, radius+1, 0)
		b, _ = root.Boundary(func(b float64) bool { _, yy := moments(ellipseRuns(a, b)); return yy < radius*radius/4 }, 0, radius+1, 0)
	}
	return ellipseRuns(a, b)
}

// ellipseRuns covers an ellipse of half axes a along the rows and b across them, in
// samples; every row has the area of the ellipse within it.
func ellipseRuns(a, b float64) []run {
	area := func(y float64) float64 { // ∫√(1−y²/b²)dy
		t := min(max(y/b, -1), 1)
		return b * (t*math.Sqrt(1-t*t) + math.Asin(t)) / 2
	}
	var runs []run
	for di := -int(b + 0.5); di <= int(b+0.5); di++ {
		chord := a * (area(float64(di)+0.5) - area(float64(di)-0.5)) // half of it, on average
		if !(chord > 0) {
			continue
		}
		// A chord shorter than one sample gives half = −1: the whole part then takes
		// the middle sample away once, the two ends add what is right.
		half := math.Floor(chord - 0.5)
		runs = append(runs, run{di, int(half), chord - 0.5 - half})
	}
	return runs
}

// moments are the mean squares of the samples' distances from the middle.
func moments(runs []run) (xx, yy float64) {
	var total float64
	for _, r := range runs {
		n := float64(2*r.half+1) + 2*r.end
		total += n
		yy += n * float64(r.di*r.di)
		for j := 1; j <= r.half; j++ {
			xx += 2 * float64(j*j)
		}
		xx += 2 * r.end * float64((r.half+1)*(r.half+1))
	}
	if total == 0 {
		return 0, 0
	}
	return xx / total, yy / total
}

// New prepares the scratch for a grid.
func New(g *grid.Grid) *Meter {
	h := &Meter{grid: g, drop: g.Drop()}
	h.runs = discRuns(h.drop.Diameter / 2 / g.Raster.Spacing)
	h.sums = make([]float64, g.Raster.Rows*(g.Raster.Cols+1))
	h.mean = make([]float64, g.Raster.Len())
	h.path = make([]float64, g.Raster.Samples+2*stencil)
	return h
}

// Ratios fills dst (len Rows*Cols of the grid) with each pixel's hold ratio in the
// field p, states telling which pixels are lit. It does not allocate.
func (h *Meter) Ratios(dst []float64, p *grid.Plane, states []grid.State) {
	h.average(p, box{0, p.Raster.Rows, 0, p.Raster.Cols})
	d := h.grid.Design.Grid
	for row := range d.Rows {
		for col := range d.Cols {
			dst[row*d.Cols+col], _ = h.own(row, col, states)
		}
	}
	if h.vertical() {
		for col := range d.Cols {
			h.lean(dst, states, col, h.down())
		}
	}
}

// RatioAt is the hold ratio of one pixel by itself: no drop leans on it or is carried
// by another. It looks only at the samples of the pixel and its surroundings, told by
// Reads. rise is how far the greatest mean pressure in the cell stands above all around
// the place where it is, as a share of itself: negative on the slope of a neighbour.
func (h *Meter) RatioAt(row, col int, p *grid.Plane, states []grid.State) (ratio, rise float64) {
	h.average(p, h.looks(row, col))
	return h.own(row, col, states)
}

// Force is the magnetic force in newtons that keeps the drop of one pixel by itself in
// its place, against its weight on a vertical display, against leaving sideways on a
// lying one; 0 where none does. Unlike a ratio it is finite where a drop needs nothing.
func (h *Meter) Force(row, col int, p *grid.Plane, states []grid.State) float64 {
	h.average(p, h.looks(row, col))
	fall, _ := h.fall(row, col, states)
	return h.force(fall)
}

// own is the hold ratio of a pixel without leaning, from h.mean.
func (h *Meter) own(row, col int, states []grid.State) (ratio, rise float64) {
	fall, rise := h.fall(row, col, states)
	return h.ratio(fall), rise
}

// fall is by how much the mean pressure falls per sample on the way out of a cell that
// a drop leaves by.
func (h *Meter) fall(row, col int, states []grid.State) (fall, rise float64) {
	i, j, rise := h.peak(row, col)
	switch {
	case states[row*h.grid.Design.Grid.Cols+col] == grid.Dark && rise < -1e-12:
		return 0, rise
	case h.vertical():
		return h.climb(i, j, h.down(), 0), rise
	}
	return h.weakestSide(i, j, row, col, states), rise
}

// vertical tells whether the drop's weight acts in the pane's plane.
func (h *Meter) vertical() bool { return h.grid.Design.Heat.Orientation == design.Vertical }

// down is the direction, in rows, in which a drop leaves a vertical display.
func (h *Meter) down() int {
	if h.grid.Design.Fluid.DensityDifference < 0 {
		return -1 // a lighter fluid leaves upwards
	}
	return 1
}

// box is a block of samples, rows i0 up to but not including i1, columns likewise.
type box struct{ i0, i1, j0, j1 int }

func (b box) wider(by int) box { return box{b.i0 - by, b.i1 + by, b.j0 - by, b.j1 + by} }

// holds tells whether a sample lies in the box.
func (b box) holds(i, j int) bool { return i >= b.i0 && i < b.i1 && j >= b.j0 && j < b.j1 }

// within cuts the box off at the raster's edges.
func (b box) within(r grid.Raster) box {
	return box{max(b.i0, 0), min(b.i1, r.Rows), max(b.j0, 0), min(b.j1, r.Cols)}
}

// looks is the block of means that the ratio of a pixel is read from.
func (h *Meter) looks(row, col int) box {
	r := h.grid.Raster
	i, j := r.Cell(row, col)
	b := box{i, i + r.Samples, j, j + r.Samples}.wider(stencil)
	switch {
	case !h.vertical():
		b = b.wider(r.Samples - 1)
	case h.down() > 0:
		b.i1 += r.Samples - 1
	default:
		b.i0 -= r.Samples - 1
	}
	return b.within(r)
}

// Reads is the block of samples that RatioAt reads: rows i0…i1−1, columns j0…j1−1.
func (h *Meter) Reads(row, col int) (i0, i1, j0, j1 int) {
	b := h.looks(row, col).wider(len(h.runs) / 2).within(h.grid.Raster)
	return b.i0, b.i1, b.j0, b.j1
}

// lean lets lit drops that are not held by their own pixel rest on the lit pixel
// they would fall onto.
func (h *Meter) lean(dst []float64, states []grid.State, col, down int) {
	d := h.grid.Design.Grid
	first, last := 0, d.Rows-1
	if down < 0 {
		first, last = last, first
	}
	leaning := 0
	for row := first; ; row += down {
		k := row*d.Cols + col
		if states[k] != grid.Lit {
			leaning = 0
		} else {
			supported := row != last && states[k+down*d.Cols] == grid.Lit
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
func (h *Meter) weakestSide(i, j, row, col int, states []grid.State) float64 {
	d := h.grid.Design.Grid
	weakest, any := math.Inf(1), math.Inf(1)
	for _, s := range [4][2]int{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
		f := h.climb(i, j, s[0], s[1])
		any = min(any, f)
		r, c := row+s[0], col+s[1]
		if r >= 0 && r < d.Rows && c >= 0 && c < d.Cols && states[r*d.Cols+c] == grid.Lit {
			continue
		}
		weakest = min(weakest, f)
	}
	if math.IsInf(weakest, 1) {
		return any
	}
	return weakest
}

// ratio turns a fall of mean pressure per sample into a hold ratio: +Inf where there is
// a force and none is needed, 0 without a force.
func (h *Meter) ratio(fall float64) float64 {
	holding, need := h.force(fall), h.drop.Pinning
	if h.vertical() {
		holding, need = holding+h.drop.Pinning, h.drop.Weight
	}
	if holding == 0 {
		return 0
	}
	return holding / need
}

// fallOf is the fall of mean pressure per sample that makes a hold ratio; 0 where the
// contact line does as much.
func (h *Meter) fallOf(ratio float64) float64 {
	force := ratio * h.drop.Pinning
	if h.vertical() {
		force = ratio*h.drop.Weight - h.drop.Pinning
	}
	return max(0, force) * h.grid.Raster.Spacing / h.drop.Volume
}

// force is what a fall of mean pressure per sample does to the drop, N.
func (h *Meter) force(fall float64) float64 {
	return max(fall, 0) / h.grid.Raster.Spacing * h.drop.Volume
}

// average fills a block of h.mean with Π averaged over a drop centred on each
// sample; a drop that reaches over the raster's edge is averaged over its part inside.
func (h *Meter) average(p *grid.Plane, b box) {
	r := p.Raster
	in := b.wider(len(h.runs) / 2).within(r)
	width := r.Cols + 1
	for i := in.i0; i < in.i1; i++ {
		sum := h.sums[i*width:][:width]
		sum[in.j0] = 0
		for j, v := range p.Pi[i*r.Cols+in.j0 : i*r.Cols+in.j1] {
			sum[in.j0+j+1] = sum[in.j0+j] + v
		}
	}
	reach := 0
	for _, run := range h.runs {
		reach = max(reach, run.half+1)
	}
	for i := b.i0; i < b.i1; i++ {
		// Where the drop is inside from side to side all places of a row are alike.
		from, to := max(b.j0, reach), min(b.j1, r.Cols-reach)
		if from >= to {
			from, to = b.j1, b.j1
		}
		for j := b.j0; j < from; j++ {
			h.mean[i*r.Cols+j] = h.averageAt(i, j, r)
		}
		if from < to {
			out, count := h.mean[i*r.Cols+from:][:to-from], 0.0
			clear(out)
			for _, run := range h.runs {
				y := i + run.di
				if y < 0 || y >= r.Rows {
					continue
				}
				sum := h.sums[y*width+from-run.half-1:]
				a, b := sum[:len(out)], sum[1:][:len(out)]
				sum = sum[2*run.half+2:]
				c, d := sum[:len(out)], sum[1:][:len(out)]
				for j := range out {
					out[j] += (1-run.end)*(c[j]-b[j]) + run.end*(d[j]-a[j])
				}
				count += float64(2*run.half+1) + 2*run.end
			}
			for j := range out {
				out[j] /= count
			}
		}
		for j := to; j < b.j1; j++ {
			h.mean[i*r.Cols+j] = h.averageAt(i, j, r)
		}
	}
}

// averageAt is Π averaged over a drop centred on a sample, of the part of it that is inside.
func (h *Meter) averageAt(i, j int, r grid.Raster) float64 {
	var total, count float64
	for _, run := range h.runs {
		y := i + run.di
		if y < 0 || y >= r.Rows {
			continue
		}
		sum := h.sums[y*(r.Cols+1):][:r.Cols+1]
		from, to := j-run.half, j+run.half+1
		low, high := max(from, 0), min(to, r.Cols)
		total += sum[high] - sum[low]
		count += float64(high - low)
		if from > 0 {
			total += run.end * (sum[from] - sum[from-1])
			count += run.end
		}
		if to < r.Cols {
			total += run.end * (sum[to+1] - sum[to])
			count += run.end
		}
	}
	return total / count
}

// peak finds the largest mean pressure in a pixel's cell and tells how far it stands
// above the samples round it, as a share of itself: negative when it is the foot of a
// neighbour's.
func (h *Meter) peak(row, col int) (i, j int, rise float64) {
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
	around := math.Inf(-1)
	for a := i - 1; a <= i+1; a++ {
		for b := j - 1; b <= j+1; b++ {
			if a != i || b != j {
				around = max(around, h.mean[a*r.Cols+b])
			}
		}
	}
	if best <= 0 {
		return i, j, 0
	}
	return i, j, (best - around) / best
}

package grid

import (
	"fmt"
	"math"
	"sort"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/design"
)

// Neighbour is what one coil puts onto a pixel a few pitches away.
type Neighbour struct {
	Right, Up int     // offset in pixels
	Distance  float64 // m
	B         r3.Vec  // T at 1 A on that pixel's axis, fluid plane
	Ratio     float64 // |B| there over |B| on the coil's own axis
	Signed    float64 // Bz there over Bz on the own axis
	DB        float64 // 20 log10 Ratio
}

// Neighbours lists the distinct neighbours within reach pitches, nearest first;
// those that mirror another one are listed once, with Right ≥ Up ≥ 0; a hexagonal coil
// is no mirror of itself about the diagonal, and has Right, Up ≥ 0.
func (g *Grid) Neighbours(reach int) []Neighbour {
	own := g.Kernel.At(0, 0)
	var list []Neighbour
	pitch := g.Design.Grid.Pitch
	diagonal := g.Symmetry().Swap != nil
	for right := 0; right <= reach; right++ {
		for up := 0; up <= reach; up++ {
			if right == 0 && up == 0 || diagonal && up > right {
				continue
			}
			if math.Hypot(float64(right), float64(up)) > float64(reach) {
				continue
			}
			b := g.Kernel.At(float64(right)*pitch, float64(up)*pitch)
			ratio := r3.Norm(b) / r3.Norm(own)
			list = append(list, Neighbour{
				Right: right, Up: up,
				Distance: pitch * math.Hypot(float64(right), float64(up)),
				B:        b, Ratio: ratio, Signed: b.Z / own.Z, DB: 20 * math.Log10(ratio),
			})
		}
	}
	sort.SliceStable(list, func(a, b int) bool { return list[a].Distance < list[b].Distance })
	return list
}

// WorstPattern is the pattern of the other pixels that changes a pixel's axial
// field the most.
type WorstPattern struct {
	Row, Col int       // the pixel it is worst for
	Levels   []float64 // Rows*Cols; the pixel's own level is 0
	Bz       float64   // T at 1 A per pixel at level 1, on that pixel's axis
	Share    float64   // |Bz| over the pixel's own axial field at 1 A
}

// Axial is the axial field per ampere at the offsets of a quadrant, index
// |rows|·Cols + |columns|; the other quadrants mirror it.
func (g *Grid) Axial() []float64 {
	d := g.Design.Grid
	table := make([]float64, d.Rows*d.Cols)
	for r := range d.Rows {
		for c := range d.Cols {
			if r > c && c < d.Rows && r < d.Cols && g.Symmetry().Swap != nil {
				table[r*d.Cols+c] = table[c*d.Cols+r]
				continue
			}
			table[r*d.Cols+c] = g.Kernel.At(float64(c)*d.Pitch, float64(r)*d.Pitch).Z
		}
	}
	return table
}

func (g *Grid) worstPattern(row, col int, axial []float64) WorstPattern {
	d := g.Design.Grid
	kz := make([]float64, d.Rows*d.Cols)
	var plus, minus float64
	for r := range d.Rows {
		for c := range d.Cols {
			if r == row && c == col {
				continue
			}
			v := axial[abs(row-r)*d.Cols+abs(col-c)]
			kz[r*d.Cols+c] = v
			if v > 0 {
				plus += v
			} else {
				minus += v
			}
		}
	}
	w := WorstPattern{Row: row, Col: col, Levels: make([]float64, len(kz))}
	full := g.Design.Drive.Bridge == design.BridgeFull
	positive := plus >= -minus // unipolar: only one sign of the kernel is switched on
	for k, v := range kz {
		switch {
		case v == 0:
		case full:
			w.Levels[k] = math.Copysign(1, v)
		case (v > 0) == positive:
			w.Levels[k] = 1
		}
		w.Bz += w.Levels[k] * v * g.Pixel.Iron.Share(w.Levels[k]*g.Pixel.Full.On.Average)
	}
	w.Share = math.Abs(w.Bz / axial[0])
	return w
}

// WorstAnywhere returns the worst pattern of the pixel that fares worst, of several
// the last. Every pixel is looked at: the sums over the others of the positive and of
// the negative contributions are sums over blocks of one table of offsets, taken from
// its running sums.
func (g *Grid) WorstAnywhere() WorstPattern {
	d := g.Design.Grid
	axial := g.Axial()
	plus, minus := g.signedSums(axial)
	full := g.Design.Drive.Bridge == design.BridgeFull
	rows, cols := (d.Rows+1)/2, (d.Cols+1)/2 // the other quadrants are mirror images
	best, row, col := 0.0, 0, 0
	for r := range rows {
		for c := range cols {
			k := r*d.Cols + c
			sum := max(plus[k], -minus[k])
			if full {
				sum = plus[k] - minus[k]
			}
			if sum >= best*(1-1e-12) {
				best, row, col = max(sum, best), r, c
			}
		}
	}
	return g.worstPattern(row, col, axial)
}

// WorstField is the worst pattern of the pixel that fares worst, and the field on the
// fluid plane with that pattern on and the pixel itself off.
func (g *Grid) WorstField() (WorstPattern, *Plane, error) {
	w := g.WorstAnywhere()
	currents := g.NewCurrents()
	for i, v := range w.Levels {
		currents.Set(i, g.At(v))
	}
	plane, err := g.Field(currents)
	if err != nil {
		return w, nil, fmt.Errorf("computing the field of the worst pattern: %w", err)
	}
	return w, plane, nil
}

// signedSums are, for every pixel, the sums of the positive and of the negative axial
// fields that the other pixels put onto its axis, T at 1 A each.
func (g *Grid) signedSums(axial []float64) (plus, minus []float64) {
	d := g.Design.Grid
	plus, minus = make([]float64, len(axial)), make([]float64, len(axial))
	// Running sums over offsets −(Rows−1)…Rows−1 by −(Cols−1)…Cols−1.
	h, w := 2*d.Rows-1, 2*d.Cols-1
	p, m := make([]float64, (h+1)*(w+1)), make([]float64, (h+1)*(w+1))
	for r := range h {
		var lineP, lineM float64
		for c := range w {
			v := axial[abs(r-d.Rows+1)*d.Cols+abs(c-d.Cols+1)]
			if r == d.Rows-1 && c == d.Cols-1 {
				v = 0 // itself
			}
			lineP += max(v, 0)
			lineM += min(v, 0)
			p[(r+1)*(w+1)+c+1] = p[r*(w+1)+c+1] + lineP
			m[(r+1)*(w+1)+c+1] = m[r*(w+1)+c+1] + lineM
		}
	}
	for row := range d.Rows {
		for col := range d.Cols {
			top, left := d.Rows-1-row, d.Cols-1-col
			bottom, right := top+d.Rows, left+d.Cols
			block := func(s []float64) float64 {
				return s[bottom*(w+1)+right] - s[top*(w+1)+right] - s[bottom*(w+1)+left] + s[top*(w+1)+left]
			}
			plus[row*d.Cols+col], minus[row*d.Cols+col] = block(p), block(m)
		}
	}
	return plus, minus
}

func abs(n int) int {
	if n < 0 {
		return -n
	}
	return n
}

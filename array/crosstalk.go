package array

import (
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
// those that mirror another one are listed once, with Right ≥ Up ≥ 0.
func (g *Grid) Neighbours(reach int) []Neighbour {
	own := g.Kernel.At(0, 0)
	var list []Neighbour
	pitch := g.Design.Grid.Pitch
	for right := 1; right <= reach; right++ {
		for up := 0; up <= right; up++ {
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

// WorstPattern returns, for pixel (row, col), the pattern of the others that adds
// the largest axial field to it. The sum is linear in the levels, so the worst
// pattern is exact: every other pixel at the end of its range whose contribution
// has the winning sign (both ends of −1…1 with a full bridge; 0 or 1 otherwise).
func (g *Grid) WorstPattern(row, col int) WorstPattern {
	d := g.Design.Grid
	own := g.Kernel.At(0, 0).Z
	kz := make([]float64, d.Rows*d.Cols)
	var plus, minus float64
	for r := range d.Rows {
		for c := range d.Cols {
			if r == row && c == col {
				continue
			}
			v := g.Kernel.At(float64(col-c)*d.Pitch, float64(r-row)*d.Pitch).Z
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
		w.Bz += w.Levels[k] * v
	}
	w.Share = math.Abs(w.Bz / own)
	return w
}

// WorstAnywhere returns the worst pattern of the pixel that fares worst. The sum
// over others is largest where most others are near, so it is searched over all
// pixels of one quadrant; the rest are their mirror images.
func (g *Grid) WorstAnywhere() WorstPattern {
	d := g.Design.Grid
	var worst WorstPattern
	for row := range (d.Rows + 1) / 2 {
		for col := range (d.Cols + 1) / 2 {
			if w := g.WorstPattern(row, col); w.Levels != nil && w.Share >= worst.Share {
				worst = w
			}
		}
	}
	return worst
}

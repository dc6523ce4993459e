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

// worstPattern is the pattern that adds most to one axis, of as many pixels as the firmware
// lights at most, and the sum of their axial fields per ampere, all counted one way.
func (g *Grid) worstPattern(row, col int, axial []float64) (WorstPattern, float64) {
	d := g.Design.Grid
	w := WorstPattern{Row: row, Col: col, Levels: make([]float64, d.Rows*d.Cols)}
	kz := make([]float64, len(w.Levels))
	for k := range kz {
		if k != row*d.Cols+col {
			kz[k] = axial[abs(row-k/d.Cols)*d.Cols+abs(col-k%d.Cols)]
		}
	}
	full := g.Design.Drive.Bridge == design.BridgeFull
	signs := []float64{1, -1} // unipolar: only one sign of the kernel is switched on
	if full {
		signs = signs[:1] // both together
	}
	best := 0.0
	for _, sign := range signs {
		var on []int
		for k, v := range kz {
			if v*sign > 0 || full && v != 0 {
				on = append(on, k)
			}
		}
		if most := g.Design.Drive.MostLit; most < len(on) {
			sort.SliceStable(on, func(a, b int) bool { return math.Abs(kz[on[a]]) > math.Abs(kz[on[b]]) })
			on = on[:most]
		}
		levels, bz, sum := make([]float64, len(kz)), 0.0, 0.0
		for _, k := range on {
			levels[k] = 1
			if full {
				levels[k] = math.Copysign(1, kz[k])
			}
			sum += math.Abs(kz[k])
			bz += levels[k] * kz[k] * g.Pixel.Iron.Share(levels[k]*g.Pixel.Full.On.Average)
		}
		if sum > best {
			best, w.Levels, w.Bz = sum, levels, bz
		}
	}
	w.Share = math.Abs(w.Bz / axial[0])
	return w, best
}

// WorstAnywhere returns the worst pattern of the pixel that fares worst, of several
// the last. Where all others may be on every pixel is looked at: the sums over the others
// of the positive and of the negative contributions are sums over blocks of one table of
// offsets, taken from its running sums. Where fewer may be, the search goes outwards from
// the middle until no other can fare worse.
func (g *Grid) WorstAnywhere() WorstPattern {
	d := g.Design.Grid
	axial := g.Axial()
	full := g.Design.Drive.Bridge == design.BridgeFull
	rows, cols := (d.Rows+1)/2, (d.Cols+1)/2 // the other quadrants are mirror images
	best, row, col := 0.0, 0, 0
	if g.Design.Drive.MostLit < d.Rows*d.Cols-1 {
		var w WorstPattern
		most, work := g.mostOf(axial), 0
		for k := rows*cols - 1; k >= 0 && best < most*(1-1e-12) && work < mostWork; k-- {
			if o, sum := g.worstPattern(k/cols, k%cols, axial); k == rows*cols-1 || sum > best*(1+1e-12) {
				w, best = o, sum
			}
			work += len(axial)
		}
		return w
	}
	plus, minus := g.signedSums(axial)
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
	w, _ := g.worstPattern(row, col, axial)
	return w
}

// mostWork is how many pairs of pixels are looked at for the worst pattern of a few: all
// pairs up to 140 × 140 pixels.
const mostWork = 100_000_000

// mostOf is the sum of the strongest axial fields at as many offsets as pixels may be on:
// no pixel has more about it.
func (g *Grid) mostOf(axial []float64) float64 {
	full, cols := g.Design.Drive.Bridge == design.BridgeFull, g.Design.Grid.Cols
	most := 0.0
	for _, sign := range []float64{1, -1} {
		var list []float64
		for k, v := range axial {
			if full {
				v = math.Abs(v)
			}
			if v*sign <= 0 || k == 0 {
				continue
			}
			list = append(list, v*sign, v*sign) // on both sides of the pixel,
			if k/cols > 0 && k%cols > 0 {       // in all four quadrants
				list = append(list, v*sign, v*sign)
			}
		}
		sort.Sort(sort.Reverse(sort.Float64Slice(list)))
		sum := 0.0
		for _, v := range list[:min(len(list), g.Design.Drive.MostLit)] {
			sum += v
		}
		most = max(most, sum)
	}
	return most
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

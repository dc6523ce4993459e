package grid

import (
	"math"
	"slices"
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
	// Bound is the share that no pattern goes beyond on any pixel: Share, where the search
	// came to its end.
	Bound float64
}

// Exact tells whether no pattern is worse.
func (w WorstPattern) Exact() bool { return w.Bound <= w.Share*(1+1e-9) }

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

// push is one way to change an axial field: upwards with sign 1, downwards with −1. A neighbour
// whose axial field per ampere is positive adds it times plus, one whose is negative times
// minus; 0 where it stays off.
type push struct {
	sign, plus, minus float64
	ranked            []int // offsets of a quadrant that add, the strongest first
}

// of is what a neighbour adds.
func (p push) of(v float64) float64 { return max(v*p.plus, -v*p.minus) }

// pushes are the ways of the drive: without a full bridge only neighbours of one sign are on;
// with it those of the other are reversed, at which their steel may share otherwise.
func (g *Grid) pushes(axial []float64) []push {
	on := g.Pixel.Full.On.Average
	same, reversed := g.Pixel.Iron.Share(on), g.Pixel.Iron.Share(-on)
	list := []push{{sign: 1, plus: same}, {sign: -1, minus: same}}
	if g.Design.Drive.Bridge == design.BridgeFull {
		list[0].minus, list[1].plus = reversed, reversed
		if reversed == same {
			list = list[:1] // the other is its mirror image
		}
	}
	for i := range list {
		p := &list[i]
		for k, v := range axial {
			if k != 0 && p.of(v) > 0 {
				p.ranked = append(p.ranked, k)
			}
		}
		sort.SliceStable(p.ranked, func(a, b int) bool { return p.of(axial[p.ranked[a]]) > p.of(axial[p.ranked[b]]) })
	}
	return list
}

// victim is a pixel and a way to change its axial field.
type victim struct {
	row, col int
	push     *push
	bound    float64 // no pattern adds more, T at 1 A each
}

// strongest is the sum of the strongest neighbours, as many as the firmware lights, and how
// many offsets were looked at; levels, which may be nil, gets the pattern.
func (g *Grid) strongest(v victim, axial, levels []float64) (sum float64, looked int) {
	d, left := g.Design.Grid, g.Design.Drive.MostLit
	for _, k := range v.push.ranked {
		by := v.push.of(axial[k])
		rows, cols := mirrored(v.row, k/d.Cols, d.Rows), mirrored(v.col, k%d.Cols, d.Cols)
		for _, r := range rows {
			for _, c := range cols {
				if r < 0 || c < 0 {
					continue
				}
				if left == 0 {
					return sum, looked
				}
				left--
				sum += by
				if levels != nil {
					levels[r*d.Cols+c] = math.Copysign(1, v.push.sign*axial[k])
				}
			}
		}
		looked++
	}
	return sum, looked
}

// mirrored are the places of so many that are away from one by an offset, to either side; −1
// for none.
func mirrored(at, away, of int) [2]int {
	low, high := at-away, at+away
	if away == 0 || high >= of {
		high = -1
	}
	return [2]int{max(low, -1), high}
}

// WorstAnywhere returns the worst pattern of the pixel that fares worst, of several the last.
// Coils in series light together: of them it is the worst of whole strings, that of the pixel off.
//
// No pixel's sum is more than that of all others, from running sums over the table of offsets,
// nor than that of as many of the strongest offsets as may be on. Pixels are looked at in the
// order of this bound until none is left that could fare worse, or the effort ends.
func (g *Grid) WorstAnywhere() WorstPattern {
	if g.Design.Coils() > 1 {
		return g.worstStrings(mostWork)
	}
	return g.worstAnywhere(mostWork)
}

func (g *Grid) worstAnywhere(effort int) WorstPattern {
	d := g.Design.Grid
	axial := g.Axial()
	plus, minus := g.signedSums(axial)
	pushes := g.pushes(axial)
	var list []victim
	top := 0.0
	for i := range pushes {
		p := &pushes[i]
		any, left := 0.0, g.Design.Drive.MostLit // on both sides of a pixel, in all four quadrants
		for _, k := range p.ranked {
			n := 4
			if k/d.Cols == 0 || k%d.Cols == 0 {
				n = 2
			}
			n = min(n, left)
			any, left = any+float64(n)*p.of(axial[k]), left-n
		}
		for k := range ((d.Rows + 1) / 2) * d.Cols { // the other quadrants are mirror images
			if r, c := k/d.Cols, k%d.Cols; c < (d.Cols+1)/2 {
				v := victim{r, c, p, min(any, plus[k]*p.plus-minus[k]*p.minus)}
				list, top = append(list, v), max(top, v.bound)
			}
		}
	}
	// The last first, and of bounds that differ by rounding alone, too.
	slices.Reverse(list)
	sort.SliceStable(list, func(a, b int) bool {
		return math.Round(list[a].bound/top*1e11) > math.Round(list[b].bound/top*1e11)
	})
	var worst victim
	best, bound := math.Inf(-1), 0.0
	for _, v := range list {
		if v.bound <= best*(1+1e-11) {
			break
		}
		if effort < 0 && worst.push != nil {
			bound = v.bound
			break
		}
		sum, looked := g.strongest(v, axial, nil)
		if effort -= looked; sum > best*(1+1e-12) {
			best, worst = sum, v
		}
	}
	w := WorstPattern{Row: worst.row, Col: worst.col, Levels: make([]float64, d.Rows*d.Cols)}
	sum, _ := g.strongest(worst, axial, w.Levels)
	w.Bz, w.Share, w.Bound = worst.push.sign*sum, math.Abs(sum/axial[0]), math.Abs(max(bound, sum)/axial[0])
	return w
}

// worstStrings is the worst pattern of whole strings, every pixel looked at until the effort
// ends: then single pixels bound it, which may do all that strings do.
func (g *Grid) worstStrings(effort int) WorstPattern {
	d, n := g.Design.Grid, g.Design.Coils()
	axial := g.Axial()
	most := g.Design.Drive.MostLit / n
	type pushed struct {
		first int // pixel of the string
		sum   float64
	}
	best, cut := WorstPattern{Share: -1}, false
	list := make([]pushed, 0, d.Rows*d.Cols/n)
	for _, p := range g.pushes(axial) {
		for k := range ((d.Rows + 1) / 2) * d.Cols { // the other quadrants are mirror images
			row, col := k/d.Cols, k%d.Cols
			if col >= (d.Cols+1)/2 {
				continue
			}
			if cut = cut || effort < 0; cut {
				break
			}
			effort -= d.Rows * d.Cols
			own, _ := g.Design.String(k)
			list = list[:0]
			for from := 0; from < d.Rows*d.Cols; from += n {
				sum := 0.0
				for c := from % d.Cols; c < from%d.Cols+n; c++ {
					sum += axial[abs(from/d.Cols-row)*d.Cols+abs(c-col)]
				}
				if from != own && p.of(sum) > 0 {
					list = append(list, pushed{from, sum})
				}
			}
			if len(list) > most {
				sort.SliceStable(list, func(a, b int) bool { return p.of(list[a].sum) > p.of(list[b].sum) })
				list = list[:most]
			}
			all := 0.0
			for _, x := range list {
				all += p.of(x.sum)
			}
			if share := math.Abs(all / axial[0]); share > best.Share*(1+1e-12) {
				best = WorstPattern{Row: row, Col: col, Levels: make([]float64, d.Rows*d.Cols), Bz: p.sign * all, Share: share}
				for _, x := range list {
					g.Design.Light(best.Levels, x.first, math.Copysign(1, p.sign*x.sum))
				}
			}
		}
	}
	if best.Bound = best.Share; cut {
		best.Bound = g.worstAnywhere(effort).Bound
	}
	return best
}

// mostWork is how many offsets the search for the worst pattern looks at.
const mostWork = 100_000_000

// WorstField is the worst pattern of the pixel that fares worst, and the field on the
// fluid plane with that pattern on and the pixel itself off.
func (g *Grid) WorstField() (WorstPattern, *Plane) {
	w := g.WorstAnywhere()
	currents := g.NewCurrents()
	for i, v := range w.Levels {
		currents.Set(i, g.At(v))
	}
	plane := g.Field(currents)
	return w, plane
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

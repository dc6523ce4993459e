package drops

import (
	"math"
	"slices"
)

// Fraction writes into to, and returns, the fluid's share of rows × cols cells over the whole tank,
// row-major, row 0 at the top, for a picture: joined parts are drawn as one drop with a smooth rim,
// its area that of the drops within some per cent. Cover measures, this does not.
func (d *Pane) Fraction(to []float64, rows, cols int) []float64 {
	// Each part is a bell so wide, over a drop's radius, that three of a resting drop add up to
	// edge on a rim of that radius, within 4 % of it; slope is how steeply there. A part that
	// has left the others, which its bell does not show, is a disc.
	const width, edge, slope, alone = 0.7, 1.06, 1.4, 0.45
	w, h := d.p.Width/float64(cols), d.p.Height/float64(rows)
	sum := slices.Grow(to[:0], rows*cols)[:rows*cols]
	clear(sum)
	d.lone = append(d.lone[:0], sum...)
	reach, most := 3*width*d.whole, alone+0.5*h/d.whole
	bell := make([]float64, int(2*reach/w)+2)
	for _, o := range d.parts {
		u, v := (o.X+d.p.Width/2)/w, (d.p.Height/2-o.Y)/h
		j0, j1 := max(int(u-reach/w), 0), min(int(u+reach/w), cols-1)
		for j := j0; j <= j1; j++ {
			x := (float64(j) + 0.5 - u) * w / d.whole
			bell[j-j0] = math.Exp(-x * x / (2 * width * width))
		}
		for i := max(int(v-reach/h), 0); i <= min(int(v+reach/h), rows-1); i++ {
			y := (float64(i) + 0.5 - v) * h / d.whole
			tall, row, lone := math.Exp(-y*y/(2*width*width)), sum[i*cols:], d.lone[i*cols:]
			for j := j0; j <= j1; j++ {
				row[j] += tall * bell[j-j0]
				if x := (float64(j) + 0.5 - u) * w / d.whole; x*x+y*y < most*most {
					lone[j] = max(lone[j], 0.5+(alone-math.Hypot(x, y))*d.whole/h)
				}
			}
		}
	}
	top := d.top()
	for k, v := range sum {
		share := 0.5 + (v/edge-1)*d.whole/(slope*h)
		y := d.p.Height/2 - (float64(k/cols)+0.5)*h
		pool := min((top-y)/h, (y-d.floor())/h) + 0.5
		sum[k] = min(max(share, d.lone[k], pool, 0), 1)
	}
	return sum
}

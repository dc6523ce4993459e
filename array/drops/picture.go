package drops

import "math"

// Fraction is the fluid's share of rows × cols cells over the whole tank, row-major, row 0 at the
// top, for a picture: joined parts are drawn as one drop with a smooth rim, its area that of the
// drops within some per cent. Cover measures, this does not.
func (d *Pane) Fraction(rows, cols int) []float64 {
	// Each part is a bell so wide, over a drop's radius, that three of a resting drop add up to
	// edge on a rim of that radius, within 4 % of it; slope is how steeply there. A part that
	// has left the others, which its bell does not show, is a disc.
	const width, edge, slope, alone = 0.7, 1.06, 1.4, 0.45
	w, h := d.p.Width/float64(cols), d.p.Height/float64(rows)
	sum, lone := make([]float64, rows*cols), make([]float64, rows*cols)
	for _, o := range d.parts {
		u, v := (o.X+d.p.Width/2)/w, (d.p.Height/2-o.Y)/h
		reach := 3 * width * d.whole
		for i := max(int(v-reach/h), 0); i <= min(int(v+reach/h), rows-1); i++ {
			for j := max(int(u-reach/w), 0); j <= min(int(u+reach/w), cols-1); j++ {
				r := math.Hypot((float64(j)+0.5-u)*w, (float64(i)+0.5-v)*h) / d.whole
				sum[i*cols+j] += math.Exp(-r * r / (2 * width * width))
				lone[i*cols+j] = max(lone[i*cols+j], 0.5+(alone-r)*d.whole/h)
			}
		}
	}
	top := d.top()
	for k, v := range sum {
		share := 0.5 + (v/edge-1)*d.whole/(slope*h)
		y := d.p.Height/2 - (float64(k/cols)+0.5)*h
		pool := min((top-y)/h, (y-d.floor())/h) + 0.5
		sum[k] = min(max(share, lone[k], pool, 0), 1)
	}
	return sum
}

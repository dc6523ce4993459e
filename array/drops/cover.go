package drops

import (
	"math"

	"lodegrid/array/tank"
)

// Cover tells how full of fluid the places of a lattice of cols × rows pixels round the
// tank's middle are: place, 0…1, of the circle where a pixel's reference drop rests, and
// cell, in reference drops, of the square of a pitch (m) round it; nil asks for none. Both are row-major, row
// 0 at the top.
func (d *Pane) Cover(cols, rows int, pitch float64, place, cell []float64) {
	clear(place)
	clear(cell)
	full := math.Pi * d.whole * d.whole
	top := d.top()
	for row := range rows {
		y := (float64(rows-1)/2 - float64(row)) * pitch
		if y-pitch/2 >= top {
			continue
		}
		for col := range cols {
			place[row*cols+col] += below(top-y, d.whole) / full
			if cell == nil {
				continue
			}
			cell[row*cols+col] += pitch * min(top-y+pitch/2, pitch) / full
		}
	}
	for i := range d.parts {
		o := &d.parts[i]
		at := func(v float64, n int, sign float64) (from, to int) {
			u := sign*v/pitch + float64(n-1)/2
			reach := (d.radius + max(d.whole, pitch/2)) / pitch
			return max(int(math.Ceil(u-reach)), 0), min(int(u+reach), n-1)
		}
		c0, c1 := at(o.X, cols, 1)
		r0, r1 := at(o.Y, rows, -1)
		for row := r0; row <= r1; row++ {
			for col := c0; col <= c1; col++ {
				x, y := (float64(col)-float64(cols-1)/2)*pitch-o.X, (float64(rows-1)/2-float64(row))*pitch-o.Y
				k, h := row*cols+col, pitch/2
				place[k] += lens(d.whole, d.radius, math.Hypot(x, y)) / (full * inside)
				if cell != nil {
					cell[k] += tank.InDisc([][2]float64{{x - h, y - h}, {x + h, y - h}, {x + h, y + h}, {x - h, y + h}}, d.radius) / full
				}
			}
		}
	}
	for k, v := range place {
		place[k] = min(v, 1)
	}
}

// inside is the share of a resting drop's parts that is within its circle.
var inside = thirds * lens(1, 1/math.Sqrt(thirds), middle) / math.Pi

// lens is the area that two discs with their middles a distance apart have in common.
func lens(a, b, apart float64) float64 {
	if apart >= a+b {
		return 0
	}
	if small := min(a, b); apart <= math.Abs(a-b) {
		return math.Pi * small * small
	}
	// The chord is this far from each middle.
	x := (apart*apart + a*a - b*b) / (2 * apart)
	return below(-x, a) + below(x-apart, b)
}

// below is the area of a disc of a radius below a line so far above its middle.
func below(line, radius float64) float64 {
	t := min(max(line/radius, -1), 1)
	return radius * radius * (math.Pi/2 + math.Asin(t) + t*math.Sqrt(1-t*t))
}

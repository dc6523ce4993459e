package tank

import "math"

// InDisc is the area that a polygon and the disc of radius r about the origin have in
// common; the polygon's corners run anticlockwise (for y up). Green's theorem: every
// side adds the sector or the triangle between it and the origin.
func InDisc(corners [][2]float64, r float64) float64 {
	sum := 0.0
	for n, p := range corners {
		q := corners[(n+1)%len(corners)]
		sum += sideInDisc(p, q, r)
	}
	return sum
}

func sideInDisc(p, q [2]float64, r float64) float64 {
	dx, dy := q[0]-p[0], q[1]-p[1]
	a, b, c := dx*dx+dy*dy, p[0]*dx+p[1]*dy, p[0]*p[0]+p[1]*p[1]-r*r
	if a == 0 {
		return 0
	}
	sector := func(p, q [2]float64) float64 {
		return 0.5 * r * r * math.Atan2(p[0]*q[1]-p[1]*q[0], p[0]*q[0]+p[1]*q[1])
	}
	d := b*b - a*c
	if d <= 0 {
		return sector(p, q)
	}
	d = math.Sqrt(d)
	in, out := (-b-d)/a, (-b+d)/a // along the side, where it enters the disc and leaves
	if in >= 1 || out <= 0 {
		return sector(p, q)
	}
	sum := 0.0
	from, to := p, q
	if in > 0 {
		from = [2]float64{p[0] + in*dx, p[1] + in*dy}
		sum += sector(p, from)
	}
	if out < 1 {
		to = [2]float64{p[0] + out*dx, p[1] + out*dy}
		sum += sector(to, q)
	}
	return sum + 0.5*(from[0]*to[1]-from[1]*to[0])
}

// arcSides is how many straight sides stand for a facet's arc where its area is measured.
const arcSides = 4

// corners appends the corners of the fluid in a listed cell, metres from (x, y) with y
// down, in the order of the angle. The facet is bent into its arc, which a drop's circle
// then fits: with chords a drop of 2.7 cells' radius would seem to stand out of its own
// circle by half a per cent. The points are set off so that the cell's share stays.
func (t *Tank) corners(to [][2]float64, m *line, f *facet, px, py float64) [][2]float64 {
	a, b := math.Abs(m.mx), math.Abs(m.my)
	square := [4][2]float64{{0, 0}, {1, 0}, {1, 1}, {0, 1}}
	turned := (m.mx < 0) != (m.my < 0) // one mirror turns the order round
	if turned {
		square[1], square[3] = square[3], square[1]
	}
	place := func(p [2]float64) [2]float64 {
		if m.mx < 0 {
			p[0] = 1 - p[0]
		}
		if m.my < 0 {
			p[1] = 1 - p[1]
		}
		return [2]float64{px + (p[0]-0.5)*t.dx, py + (p[1]-0.5)*t.dy}
	}
	depth := func(p [2]float64) float64 { return m.alpha - a*p[0] - b*p[1] }
	for n, p := range square {
		q := square[(n+1)%4]
		dp, dq := depth(p), depth(q)
		if dp >= 0 {
			to = append(to, place(p))
		}
		if dp > 0 && dq < 0 {
			// The facet starts here; its normal is on the right of the way round.
			for k := range arcSides + 1 {
				s := f.length * (float64(k)/arcSides - 0.5)
				out := f.bend * (f.length*f.length*(1.0/24+1.0/(12*arcSides*arcSides)) - 0.5*s*s)
				to = append(to, [2]float64{
					px + (f.x-f.ny*s+f.nx*out)*t.cell, py + (f.y+f.nx*s+f.ny*out)*t.cell,
				})
			}
		}
	}
	return to
}

// cellInDisc is the part of a cell with its middle at (px, py) metres from a disc's that
// is within its radius r, in cells; y is down.
func (t *Tank) cellInDisc(px, py, r float64) float64 {
	d, half := math.Hypot(px, py), 0.5*math.Hypot(t.dx, t.dy)
	if d >= r+half {
		return 0
	}
	if d <= r-half {
		return 1
	}
	x, y := 0.5*t.dx, 0.5*t.dy
	square := [4][2]float64{{px - x, py - y}, {px + x, py - y}, {px + x, py + y}, {px - x, py + y}}
	return min(max(InDisc(square[:], r)/(t.dx*t.dy), 0), 1)
}

// VolumeIn is the magnetic liquid's volume within r metres of (x, y), m³: exactly that
// of the arcs that stand for the interface.
func (t *Tank) VolumeIn(x, y, r float64) float64 {
	t.refresh()
	i0, i1 := t.rowsAbout(y, r)
	j0, j1 := t.colsAbout(x, r)
	sum := 0.0
	var room [5 + arcSides + 1][2]float64
	for _, l := range t.layers {
		for i := i0; i < i1; i++ {
			for j := j0; j < j1; j++ {
				k := i*t.nx + j
				c := l.c[k]
				if c == 0 {
					continue
				}
				px, py := t.middle(i, j)
				px, py = px-x, y-py
				s := l.slot[k]
				if s == 0 || c == 1 {
					sum += t.cellInDisc(px, py, r)
					continue
				}
				m, f := &l.lines[s-1], l.facets[s-1]
				f.x -= (float64(j) + 0.5) * t.dx / t.cell
				f.y -= (float64(i) + 0.5) * t.dy / t.cell
				sum += min(max(InDisc(t.corners(room[:0], m, &f, px, py), r)/(t.dx*t.dy), 0), c)
			}
		}
	}
	return sum * t.dx * t.dy * t.p.Gap
}

// rowsAbout and colsAbout are the cells that something within r of a place can touch.
func (t *Tank) rowsAbout(y, r float64) (from, to int) {
	return clampCells((0.5*t.p.Height-y-r)/t.dy, (0.5*t.p.Height-y+r)/t.dy, t.ny)
}

func (t *Tank) colsAbout(x, r float64) (from, to int) {
	return clampCells((0.5*t.p.Width+x-r)/t.dx, (0.5*t.p.Width+x+r)/t.dx, t.nx)
}

func clampCells(lo, hi float64, n int) (from, to int) {
	lo, hi = math.Floor(lo), math.Ceil(hi)
	return int(min(max(lo, 0), float64(n))), int(min(max(hi, 0), float64(n)))
}

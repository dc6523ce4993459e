package handover

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/grid"
)

// landscape is the potential energy of a drop that keeps its shape, with its middle at
// the nodes of a grid round a few pixels: minus the magnetic coenergy of a rigid disc in the
// field's mean over it and its variances (ferrofluid.Spheroid.Variances), and its weight's. Between nodes it is the polynomial through six each way, so
// force and energy belong together. The energy of a node is worked out when it is asked
// for; the force is right to about a thousandth of the strongest (measured in the tests).
type landscape struct {
	patch
	mover  *mover
	wide   patch     // of the fields
	layers []layer   // of the turns
	energy []float64 // J, row-major from the lowest row; NaN until it is asked for
}

// layer is the field at the nodes in one of the turns, and its share of the whole: the mean
// over the drop's depth of its components, of their squares along the axis and across it,
// and of the ripple's.
type layer struct {
	share             float64
	b                 []r3.Vec
	along2, across2   []float64
	rippleZ, rippleXY []float64 // nil without
}

// patch is a grid of nodes: node (i, j) is i steps up and j to the right of (left, bottom).
type patch struct {
	left, bottom, step float64 // m
	rows, cols         int
}

// patchAround is the patch that reaches out from a place by at least so many metres each
// way. The place is in the middle between four nodes: at a node the polynomials change,
// and what is alike on both sides of it would come out a little different.
func patchAround(x, y, reachX, reachY, step float64) patch {
	across, up := math.Ceil(reachX/step+0.5-1e-6), math.Ceil(reachY/step+0.5-1e-6)
	return patch{left: x - (across-0.5)*step, bottom: y - (up-0.5)*step, step: step, rows: int(2 * up), cols: int(2 * across)}
}

// wider is the patch with more nodes on all sides.
func (p patch) wider(by int) patch {
	return patch{p.left - float64(by)*p.step, p.bottom - float64(by)*p.step, p.step, p.rows + 2*by, p.cols + 2*by}
}

// nearest is the index of the node nearest to a place.
func (p patch) nearest(x, y float64) int {
	i := min(max(int(math.Round((y-p.bottom)/p.step)), 0), p.rows-1)
	j := min(max(int(math.Round((x-p.left)/p.step)), 0), p.cols-1)
	return i*p.cols + j
}

// at is the energy of a drop in joules and the force on it in newtons.
func (l *landscape) at(x, y float64) (energy, fx, fy float64) {
	j, wx, dx := six((x-l.left)/l.step, l.cols)
	i, wy, dy := six((y-l.bottom)/l.step, l.rows)
	for a := range wy {
		k := (i+a)*l.cols + j
		var value, slope float64
		for c, v := range l.energy[k : k+6] {
			if math.IsNaN(v) {
				v = l.node(k + c)
			}
			value += wx[c] * v
			slope += dx[c] * v
		}
		energy += wy[a] * value
		fx -= wy[a] * slope
		fy -= dy[a] * value
	}
	return energy, fx / l.step, fy / l.step
}

// node is the energy at a node.
func (l *landscape) node(k int) float64 {
	if e := l.energy[k]; !math.IsNaN(e) {
		return e
	}
	m := l.mover
	side, off := 2*m.reach+1, (l.wide.rows-l.rows)/2-m.reach
	i, j := k/l.cols, k%l.cols
	pi := 0.0
	for _, y := range l.layers {
		var b r3.Vec
		var along2, across2, rippleZ, rippleXY float64
		for a := range side {
			at := (i+off+a)*l.wide.cols + j + off
			for c, w := range m.disc[a*side:][:side] {
				f := y.b[at+c]
				b.X, b.Y, b.Z = b.X+w*f.X, b.Y+w*f.Y, b.Z+w*f.Z
				along2, across2 = along2+w*y.along2[at+c], across2+w*y.across2[at+c]
			}
			if y.rippleZ != nil {
				for c, w := range m.disc[a*side:][:side] {
					rippleZ, rippleXY = rippleZ+w*y.rippleZ[at+c], rippleXY+w*y.rippleXY[at+c]
				}
			}
		}
		// The ripple spreads over the drop as the field does.
		along2 = blend(b.Z*b.Z, along2, m.along, rippleZ)
		across2 = blend(b.X*b.X+b.Y*b.Y, across2, m.across, rippleXY)
		pi += y.share * m.grid.Pressure.Pi(along2, across2)
	}
	l.energy[k] = -m.volume*pi + m.weight*(l.bottom+float64(i)*l.step)
	return l.energy[k]
}

// blend is the square of a mean and the variance times a weight, and a ripple's mean square
// that is split alike.
func blend(mean2, square, weight, ripple float64) float64 {
	whole := mean2 + weight*max(0, square-mean2)
	if ripple > 0 && square > 0 {
		whole += ripple * whole / max(square, mean2)
	}
	return whole
}

// discWeights are the weights of nodes in the mean over a disc about one of them, its
// radius in steps: of Gauss places all over the disc, each by the polynomial through six
// nodes each way. They reach so many nodes to each side.
func discWeights(radius float64) (weights []float64, reach int) {
	reach = int(radius) + 4
	side := 2*reach + 1
	weights = make([]float64, side*side)
	const rings, around = 8, 32
	square, share := make([]float64, rings), make([]float64, rings)
	quad.Legendre{}.FixedLocations(square, share, 0, 1)
	for r, s := range square {
		for k := range around {
			sin, cos := math.Sincos(2 * math.Pi * (float64(k) + 0.5) / around)
			j, wx, _ := six(float64(reach)+radius*math.Sqrt(s)*cos, side)
			i, wy, _ := six(float64(reach)+radius*math.Sqrt(s)*sin, side)
			for a, v := range wy {
				for c, w := range wx {
					weights[(i+a)*side+j+c] += share[r] / around * v * w
				}
			}
		}
	}
	return weights, reach
}

// six are the weights of six of n values at 0, 1, …, from the first on, in the polynomial
// through them at u, and those of its slope.
func six(u float64, n int) (first int, w, d [6]float64) {
	first = min(max(int(u)-2, 0), n-6)
	x := u - float64(first)
	w = grid.Lagrange(x)
	for k := range d {
		for m := range d {
			if m == k {
				continue
			}
			p := 1 / float64(k-m)
			for l := range d {
				if l != k && l != m {
					p *= (x - float64(l)) / float64(k-l)
				}
			}
			d[k] += p
		}
	}
	return first, w, d
}

// lowest is the least energy that a drop comes to when it always takes the way that falls
// the most; ok is false where that leads off the landscape.
func (l *landscape) lowest(x, y float64) (lx, ly float64, ok bool) {
	for k := l.nearest(x, y); ; {
		i, j := k/l.cols, k%l.cols
		if i == 0 || j == 0 || i == l.rows-1 || j == l.cols-1 {
			return x, y, false
		}
		next := k
		for _, n := range [8]int{k - 1, k + 1, k - l.cols, k + l.cols, k - l.cols - 1, k - l.cols + 1, k + l.cols - 1, k + l.cols + 1} {
			if l.node(n) < l.node(next) {
				next = n
			}
		}
		if next != k {
			k = next
			continue
		}
		x, y = l.left+float64(j)*l.step, l.bottom+float64(i)*l.step
		break
	}
	// Newton's steps for the place without force, no longer than a node.
	h := l.step / 8
	for range 12 {
		_, fx, fy := l.at(x, y)
		_, rx, ry := l.at(x+h, y)
		_, sx, sy := l.at(x-h, y)
		_, ux, uy := l.at(x, y+h)
		_, dx, dy := l.at(x, y-h)
		xx, xy, yy := (sx-rx)/(2*h), ((sy-ry)+(dx-ux))/(4*h), (dy-uy)/(2*h)
		det := xx*yy - xy*xy
		if !(det > 0 && xx+yy > 0) {
			break // as flat as rounding
		}
		mx, my := (fx*yy-fy*xy)/det, (fy*xx-fx*xy)/det
		size := math.Hypot(mx, my)
		if size > l.step {
			mx, my = mx*l.step/size, my*l.step/size
		}
		x, y = x+mx, y+my
		if size < 1e-6*l.step {
			break
		}
	}
	return x, y, true
}

// reach tells what a drop at a place can reach with an energy: whether the edge of the
// landscape, and the places it can reach, asked one by one until seen returns false.
func (l *landscape) reach(x, y, energy float64, mark []bool, seen func(x, y float64) bool) (open bool) {
	clear(mark[:l.rows*l.cols])
	stack := []int{l.nearest(x, y)}
	mark[stack[0]] = true
	for len(stack) > 0 {
		k := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		i, j := k/l.cols, k%l.cols
		if i == 0 || j == 0 || i == l.rows-1 || j == l.cols-1 {
			return true
		}
		if !seen(l.left+float64(j)*l.step, l.bottom+float64(i)*l.step) {
			return false
		}
		// A pass between two nodes can be lower than both, by no more than a parabola is.
		twice := 2 * l.node(k)
		rough := max(math.Abs(l.node(k-1)+l.node(k+1)-twice), math.Abs(l.node(k-l.cols)+l.node(k+l.cols)-twice)) / 4
		for _, n := range [4]int{k - 1, k + 1, k - l.cols, k + l.cols} {
			if !mark[n] && l.node(n) <= energy+rough {
				mark[n] = true
				stack = append(stack, n)
			}
		}
	}
	return false
}

// view is what a drop's landscape near some pixels is made from: the field per ampere of
// their coils and the bias, on the nodes.
type view struct {
	patch  // of energies
	wide   patch
	bias   stamp
	stamps []stamp
}

// stamp is a field's mean over the drop's depth and its slope along it, at nodes.
type stamp struct{ b, slope []r3.Vec }

// deep makes a stamp of the field midway between the panes: what it is before and behind
// follows from its slopes there, as it has no sources and no curl,
//
//	∂B_z/∂z = −∂B_x/∂x − ∂B_y/∂y,  ∂B_x/∂z = ∂B_z/∂x,  ∂²B/∂z² = −∂²B/∂x² − ∂²B/∂y²
//
// to the second order in the depth.
func deep(p patch, b []r3.Vec, depth float64) stamp {
	s := stamp{append([]r3.Vec(nil), b...), make([]r3.Vec, len(b))}
	for i := 1; i < p.rows-1; i++ {
		for j := 1; j < p.cols-1; j++ {
			k := i*p.cols + j
			right, left, up, down := b[k+1], b[k-1], b[k+p.cols], b[k-p.cols]
			bend := r3.Sub(r3.Add(r3.Add(right, left), r3.Add(up, down)), r3.Scale(4, b[k]))
			s.b[k] = r3.Sub(b[k], r3.Scale(depth*depth/24/(p.step*p.step), bend))
			s.slope[k] = r3.Scale(0.5/p.step, r3.Vec{X: right.Z - left.Z, Y: up.Z - down.Z, Z: left.X - right.X + down.Y - up.Y})
		}
	}
	return s
}

// landscape is that of the view's pixels with their currents; where they take turns it
// is that of the mean over the turns.
func (m *mover) landscape(v *view, flows ...flow) *landscape {
	n := v.wide.rows * v.wide.cols
	m.left -= n / nodesOfStep
	l := &landscape{patch: v.patch, mover: m, wide: v.wide, energy: make([]float64, v.rows*v.cols)}
	turns := float64(m.grid.Turns())
	dark, all := turns, make([]float64, len(flows))
	for i, f := range flows {
		all[i] = f.amperes / turns
		if slices.ContainsFunc(flows[:i], func(o flow) bool { return o.turn == f.turn }) {
			continue // with that one
		}
		on, rocks := make([]float64, len(flows)), make([]grid.Rocked, len(flows))
		for k, o := range flows {
			if o.turn == f.turn && o.amperes != 0 {
				on[k], rocks[k] = o.amperes, o.rock
			}
		}
		l.add(v, m.follows/turns, on, rocks)
		dark--
	}
	if dark > 0 {
		l.add(v, m.follows*dark/turns, make([]float64, len(flows)), nil)
	}
	if m.follows < 1 {
		l.add(v, 1-m.follows, all, nil)
	}
	for k := range l.energy {
		l.energy[k] = math.NaN()
	}
	return l
}

// add adds the layer of the stamps times amperes on the bias, with their ripples.
func (l *landscape) add(v *view, share float64, amperes []float64, rocks []grid.Rocked) {
	n := v.wide.rows * v.wide.cols
	y := layer{share: share, b: make([]r3.Vec, n), along2: make([]float64, n), across2: make([]float64, n)}
	slope := make([]r3.Vec, n)
	if v.bias.b != nil {
		copy(y.b, v.bias.b)
		copy(slope, v.bias.slope)
	}
	for s, a := range amperes {
		if a == 0 {
			continue
		}
		for k := range y.b {
			y.b[k] = r3.Add(y.b[k], r3.Scale(a, v.stamps[s].b[k]))
			slope[k] = r3.Add(slope[k], r3.Scale(a, v.stamps[s].slope[k]))
		}
	}
	depth := l.mover.grid.Design.Fluid.TankGap
	part := depth * depth / 12
	for k, b := range y.b {
		g := slope[k]
		y.along2[k], y.across2[k] = b.Z*b.Z+part*g.Z*g.Z, b.X*b.X+b.Y*b.Y+part*(g.X*g.X+g.Y*g.Y)
	}
	swings := false
	for _, r := range rocks {
		swings = swings || !r.None()
	}
	if swings {
		y.rippleZ, y.rippleXY = make([]float64, n), make([]float64, n)
		for k := range y.b {
			var ripple, along grid.Swing
			for s, r := range rocks {
				if amperes[s] != 0 {
					ripple, along = r.Add(ripple, v.stamps[s].b[k]), r.Add(along, v.stamps[s].slope[k])
				}
			}
			z, xy := l.mover.grid.Squares(ripple)
			dz, dxy := l.mover.grid.Squares(along)
			y.rippleZ[k], y.rippleXY[k] = z+part*dz, xy+part*dxy
		}
	}
	l.layers = append(l.layers, y)
}

// stampKey is what a stamp depends on besides the field: its nodes, the drop's depth, and
// how far from their middle the pixel is.
type stampKey struct {
	rows, cols  int
	step, depth float64
	at          [2]float64
}

// view is one of a patch, with the stamps of pixels at offsets from its middle in metres.
func (m *mover) view(p patch, pixels ...[2]float64) *view {
	v := &view{patch: p, wide: p.wider(m.reach + 1)} // one more for the slopes
	depth := m.grid.Design.Fluid.TankGap
	if m.grid.BiasPlane != nil {
		v.bias = deep(v.wide, fieldOn(m.grid.BiasPlane, v.wide), depth)
	}
	x0, y0 := -float64(v.wide.cols-1)/2*p.step, -float64(v.wide.rows-1)/2*p.step
	for _, at := range pixels {
		v.stamps = append(v.stamps, m.grid.Kernel.Kept(stampKey{v.wide.rows, v.wide.cols, p.step, depth, at}, func() any {
			s := make([]r3.Vec, 0, v.wide.rows*v.wide.cols)
			for i := range v.wide.rows {
				for j := range v.wide.cols {
					s = append(s, m.grid.Kernel.At(x0+float64(j)*p.step-at[0], y0+float64(i)*p.step-at[1]))
				}
			}
			return deep(v.wide, s, depth)
		}).(stamp))
	}
	return v
}

// fieldOn is the field of a plane on a patch, by the polynomial through six samples each way;
// beyond the plane that of its rim.
func fieldOn(p *grid.Plane, q patch) []r3.Vec {
	r := p.Raster
	type place struct {
		first int
		w     []float64
	}
	places := func(n, samples int, at func(k int) float64) []place {
		list := make([]place, n)
		for k := range list {
			u := min(max(at(k), 0), float64(samples-1))
			if samples < 6 { // too few to draw a polynomial through
				list[k] = place{int(u + 0.5), []float64{1}}
				continue
			}
			first, w, _ := six(u, samples)
			list[k] = place{first, w[:]}
		}
		return list
	}
	cols := places(q.cols, r.Cols, func(k int) float64 {
		return (q.left+float64(k)*q.step)/r.Spacing + float64(r.Cols)/2 - 0.5
	})
	rows := places(q.rows, r.Rows, func(k int) float64 {
		return float64(r.Rows)/2 - 0.5 - (q.bottom+float64(k)*q.step)/r.Spacing
	})
	lines := map[int][]r3.Vec{} // rows of samples, between them from left to right
	line := func(i int) []r3.Vec {
		if l := lines[i]; l != nil {
			return l
		}
		l := make([]r3.Vec, q.cols)
		for j, c := range cols {
			k := i*r.Cols + c.first
			for a, w := range c.w {
				l[j].X += w * p.Bx[k+a]
				l[j].Y += w * p.By[k+a]
				l[j].Z += w * p.Bz[k+a]
			}
		}
		lines[i] = l
		return l
	}
	out := make([]r3.Vec, q.rows*q.cols)
	for i, at := range rows {
		to := out[i*q.cols:][:q.cols]
		for a, w := range at.w {
			for j, b := range line(at.first + a) {
				to[j] = r3.Add(to[j], r3.Scale(w, b))
			}
		}
	}
	return out
}

package hold

import (
	"context"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/grid"
)

// The bound on a margin comes from branch and bound. About the field that the pixel in
// question, the magnets and the pixels out of reach make, the pressure is taken to the
// second order in the near pixels' fields, so that a drop's mean pressure at every sample,
// and the slopes that a hold ratio is read from, are quadratic forms in which pixels are
// on. Of such a form over what is not decided yet
//
//	Σ_p max(0, g_p + ½ Σ_q max(0, Q_pq))
//
// is a bound, g_p the form's slope with all that is decided, and where no more than so many
// pixels may be on the sum of that many of the largest terms. Where it does not reach beyond
// a value anywhere a peak can be, no pattern with these decisions is worse than that value.
//
// Pixels out of reach are never decided. Each adds what it may to every form by itself; what
// those of one direction do together with others goes as if all of them changed at once.

// form is a pixel's part in the quadratic forms, of one of its levels, or the part of the
// pixels out of reach in one direction.
type form struct {
	pixel int
	level float64
	share float64   // of its field in that of the pixel's first level
	lin   []float64 // of each form, while all other near pixels are dark; the most it may be
	least []float64 // the least it may be, where that is not lin
}

// bounder proves bounds for the pixel that a disturbance is aimed at.
type bounder struct {
	w      *disturbance
	lit    bool
	most   int           // other pixels that may be on
	forms  [][]form      // by pixel, those that matter most first, then by direction
	pair   [][][]float64 // of the first levels of two pixels, the first before the second
	base   []float64     // the forms with all near pixels dark
	beside []int         // the neighbour on every side that a drop can leave by, −1 for none
	order  map[int]int   // of the near pixels
	peaks  []peak        // where the mean pressure can be greatest
	start  node          // nothing decided
	state  []float64     // levels, as decided
}

// peak is a place where the mean pressure of the cell can be greatest, as indices of forms:
// rises that are then not negative, and for every side that a drop can leave by the falls
// on the way out.
type peak struct {
	rises []int
	ways  [][]int
}

// leastFollowed is how much of the rows' turns a fluid must follow for the second order to
// be that of the turns alone.
const leastFollowed = 0.98

// boundNodes is how many partial patterns a proof may look at.
const boundNodes = 4000

// newBounder works out the forms for the pattern last set, its near pixels dark.
func (w *disturbance) newBounder(own float64) *bounder {
	g := w.grid
	b := &bounder{w: w, lit: g.StateOf(own) != grid.Dark, most: w.others(own), order: map[int]int{}}
	levels := append([]float64(nil), w.levels...)
	for n, k := range w.near {
		levels[k], b.order[k] = 0, n
	}
	w.set(levels)
	b.state = levels
	look := b.looks()
	read := func() []float64 {
		w.hold.average(w.plane, w.hold.looks(w.row, w.col))
		return look(w.hold.mean)
	}
	b.base = read()
	turns := make([][]tangent, len(w.parts))
	for t := range w.parts {
		turns[t] = b.tangents(&w.parts[t])
	}
	bearer, far := w.bearer(own), w.far()
	all := len(w.near) + len(far)
	b.pair = make([][][]float64, all)
	for n := range b.pair {
		b.pair[n] = make([][]float64, all)
	}
	scale := 1 / float64(len(w.parts))
	fill := func(value func(n int) float64) []float64 {
		w.each(func(n, at int) { w.plane.Pi[at] = value(n) * scale })
		return read()
	}
	// parts are what each pixel or direction adds in each turn.
	parts := make([][][]moved, all)
	pairs := func(n int) {
		for m := range n {
			var q []float64
			for t, tangents := range turns {
				one, other := parts[n][t], parts[m][t]
				if one != nil && other != nil {
					add(&q, fill(func(n int) float64 { return one[n].second(tangents[n], other[n], false, g.InStep()) }))
				}
			}
			b.pair[m][n] = q
		}
	}
	for n, k := range w.near {
		parts[n] = make([][]moved, len(turns))
		tangents, part := turns[g.TurnOf(k)], b.moved(k, turns[g.TurnOf(k)])
		parts[n][g.TurnOf(k)] = part
		var of []form
		for _, level := range w.allow[1:] {
			if k == bearer && g.StateOf(level) == grid.Lit {
				continue
			}
			f := form{pixel: k, level: level, share: w.share(level)}
			f.lin = fill(func(n int) float64 {
				return f.share * (part[n].first(tangents[n]) + f.share/2*part[n].second(tangents[n], part[n], true, g.InStep()))
			})
			of = append(of, f)
		}
		b.forms = append(b.forms, of)
		pairs(n)
	}
	var lone [][]switched // of the pixels out of reach by form
	for n, group := range far {
		n += len(w.near)
		f := form{pixel: -1, share: 1, lin: make([]float64, len(b.base)), least: make([]float64, len(b.base))}
		widen := func(by float64, v []float64) {
			for i, x := range v {
				f.lin[i], f.least[i] = max(f.lin[i], f.lin[i]+by*x), min(f.least[i], f.least[i]+by*x)
			}
		}
		parts[n] = make([][]moved, len(turns))
		for _, k := range group {
			t := g.TurnOf(k)
			part := b.moved(k, turns[t])
			most, least := 0.0, 0.0
			for _, level := range w.allow {
				by := w.share(level) - w.share(levels[k])
				most, least = max(most, by), min(least, by)
			}
			v := fill(func(n int) float64 { return part[n].first(turns[t][n]) })
			of := make([]switched, len(v))
			off := -w.share(levels[k])
			for i, x := range v {
				of[i] = switched{off * x, math.Inf(-1), math.Inf(1)}
			}
			for _, level := range w.allow[1:] {
				by := w.share(level) + off
				for i, x := range v {
					of[i].most, of[i].least = max(of[i].most, by*x), min(of[i].least, by*x)
				}
			}
			lone = append(lone, of)
			if parts[n][t] == nil {
				parts[n][t] = make([]moved, len(part))
			}
			by := most
			if -least > most {
				by = least
			}
			for i, m := range part {
				parts[n][t][i].add(by, m)
			}
		}
		for t, part := range parts[n] {
			if part != nil {
				total := fill(func(n int) float64 { return part[n].second(turns[t][n], part[n], true, g.InStep()) })
				widen(0.5, total)
				if len(w.allow) > 2 { // some one way, some the other
					widen(-0.5, total)
				}
			}
		}
		of := []form{f}
		if len(w.allow) > 2 {
			f.share = -1
			of = append(of, f)
		}
		b.forms = append(b.forms, of)
		pairs(n)
	}
	b.spread(lone)
	b.start = b.root()
	return b
}

// switched is what a pixel out of reach adds to a form, against the pattern about which the
// forms stand, when it is off, and at most and at least when it is on.
type switched struct{ off, most, least float64 }

// spread adds to the first direction's part what the pixels out of reach may do by
// themselves, no more of them on than may be.
func (b *bounder) spread(lone [][]switched) {
	if len(lone) == 0 {
		return
	}
	gains := make([]float64, 0, len(lone))
	may := func(i int, sign float64) (sum float64) {
		gains = gains[:0]
		for _, of := range lone {
			on := of[i].most
			if sign < 0 {
				on = of[i].least
			}
			sum += of[i].off
			if gain := sign * (on - of[i].off); gain > 0 {
				gains = append(gains, gain)
			}
		}
		if b.most < len(gains) {
			slices.Sort(gains)
		}
		for _, v := range gains[max(0, len(gains)-b.most):] {
			sum += sign * v
		}
		return sum
	}
	f := b.forms[len(b.w.near)][0]
	for i := range b.base {
		f.lin[i] += may(i, 1)
		f.least[i] += may(i, -1)
	}
}

// undecided is a proof before any pixel is decided, with the most and the least of each form.
func (b *bounder) undecided() (p *proof, high, low []float64) {
	p = &proof{bounder: b, count: len(b.base)}
	p.index()
	high, low = slices.Clone(b.start.base), slices.Clone(b.start.base)
	p.reckon(b.start, 0, high, low)
	return p, high, low
}

// relaxed is the bound of what any pattern can come to.
func (b *bounder) relaxed() float64 {
	_, high, low := b.undecided()
	return b.reach(high, low, 0)
}

// trimmed leaves out what is no peak in any pattern, or makes no difference.
func (b *bounder) trimmed() *bounder {
	_, high, low := b.undecided()
	never := b.w.hold.fallOf(boundFloor * b.w.grid.Design.Limits.FalseOn)
	if b.lit {
		never = math.Inf(1)
	}
	b, _ = b.only(never, 0, high, low)
	b.start = b.root()
	return b
}

// add adds to a sum that may be nil.
func add(sum *[]float64, v []float64) {
	if *sum == nil {
		*sum = v
		return
	}
	for i, x := range v {
		(*sum)[i] += x
	}
}

// share is the part that a level's field has of that of the pixel's first level.
func (w *disturbance) share(level float64) float64 {
	return w.at(level).by / w.at(w.allow[1]).by
}

// far are the pixels out of reach, by directions and by which way their levels can change.
func (w *disturbance) far() [][]int {
	d := w.grid.Design.Grid
	near := map[int]bool{w.row*d.Cols + w.col: true}
	for _, k := range w.near {
		near[k] = true
	}
	by := map[int][]int{}
	for k := range w.levels {
		if !near[k] {
			way := (int(math.Round(math.Atan2(float64(k/d.Cols-w.row), float64(k%d.Cols-w.col))*4/math.Pi)) + 8) % 8
			if w.levels[k] > 0 {
				way += 8
			}
			by[way] = append(by[way], k)
		}
	}
	var list [][]int
	for way := range 16 {
		if by[way] != nil {
			list = append(list, by[way])
		}
	}
	return list
}

// tangent is the pressure about a field at a sample: half slopes and curvatures by the
// squares of the field along the axis and across it.
type tangent struct {
	b                         r3.Vec
	s                         grid.Swing
	along, across             float64 // 2 ∂Π/∂(B_z²), 2 ∂Π/∂(B_r²)
	alongs, acrosses, between float64 // second derivatives
}

func (b *bounder) tangents(p *part) []tangent {
	g := b.w.grid
	list := make([]tangent, len(p.b))
	typical := math.Pow(g.Kernel.At(0, 0).Z*b.w.current(1).Mean, 2)
	for n, field := range p.b {
		t := tangent{b: field, s: p.swing[n]}
		u, v := field.Z*field.Z, field.X*field.X+field.Y*field.Y
		if g.InStep() {
			u, v = u+t.s.Z*t.s.Z, v+t.s.X*t.s.X+t.s.Y*t.s.Y
		} else {
			u, v = u+max(0, t.s.Z), v+max(0, t.s.X)
		}
		h := 1e-2 * (u + v + 1e-2*typical)
		pi := func(i, j float64) float64 { return g.Pressure.Pi(u+h+i*h, v+h+j*h) }
		mid := pi(0, 0)
		// One sample off the corner of the quadrant, then back to it.
		t.alongs, t.acrosses = (pi(1, 0)+pi(-1, 0)-2*mid)/(h*h), (pi(0, 1)+pi(0, -1)-2*mid)/(h*h)
		t.between = (pi(1, 1) + pi(-1, -1) - pi(1, -1) - pi(-1, 1)) / (4 * h * h)
		t.along = (pi(1, 0)-pi(-1, 0))/h - 2*h*(t.alongs+t.between)
		t.across = (pi(0, 1)-pi(0, -1))/h - 2*h*(t.acrosses+t.between)
		list[n] = t
	}
	return list
}

// moved is what a pixel at its first level adds at a sample: to the field, to the swing in
// step or to its squares, and by the first order to the squares along the axis and across.
type moved struct {
	b, s   r3.Vec
	du, dv float64
}

func (b *bounder) moved(k int, tangents []tangent) []moved {
	w, g := b.w, b.w.grid
	a := w.current(w.allow[1])
	by, rock := g.Pixel.Iron.Effective(a.Mean), g.Rock(a)
	stamp := w.passing(k)
	list := make([]moved, 0, len(tangents))
	var counted box
	counted.i0, counted.i1, counted.j0, counted.j1 = g.RippleBlock(k)
	for y := w.block.i0; y < w.block.i1; y++ {
		for x := w.block.j0; x < w.block.j1; x++ {
			v, t := stamp[len(list)], tangents[len(list)]
			m := moved{b: r3.Scale(by, v)}
			if counted.holds(y, x) {
				m.s = rock.Add(grid.Swing{}, v)
			}
			m.du, m.dv = 2*t.b.Z*m.b.Z, 2*(t.b.X*m.b.X+t.b.Y*m.b.Y)
			if g.InStep() {
				m.du += 2 * t.s.Z * m.s.Z
				m.dv += 2 * (t.s.X*m.s.X + t.s.Y*m.s.Y)
			}
			list = append(list, m)
		}
	}
	return list
}

// add adds times another.
func (m *moved) add(times float64, o moved) {
	m.b, m.s = r3.Add(m.b, r3.Scale(times, o.b)), r3.Add(m.s, r3.Scale(times, o.s))
	m.du, m.dv = m.du+times*o.du, m.dv+times*o.dv
}

// first is the pressure's part of the first order.
func (m moved) first(t tangent) float64 { return (t.along*m.du + t.across*m.dv) / 2 }

// second is that of the second order with another pixel, or twice that with itself.
func (m moved) second(t tangent, o moved, same, inStep bool) float64 {
	z, r := m.b.Z*o.b.Z, m.b.X*o.b.X+m.b.Y*o.b.Y
	switch {
	case inStep:
		z, r = z+m.s.Z*o.s.Z, r+m.s.X*o.s.X+m.s.Y*o.s.Y
	case same:
		z, r = z+m.s.Z, r+m.s.X
	}
	return t.along*z + t.across*r + t.alongs*m.du*o.du + t.acrosses*m.dv*o.dv + t.between*(m.du*o.dv+m.dv*o.du)
}

// looks prepares the forms: it fills in the peaks and returns what reads the forms from
// means. A way out leads between the columns, so falls half a sample to both sides are
// forms of their own, and between the samples, so falls halfway along are, too.
func (b *bounder) looks() func(mean []float64) []float64 {
	h, g := b.w.hold, b.w.grid
	r := g.Raster
	// A node is a sum of means, or of nodes before it, which count from base on.
	type term struct {
		at int
		by float64
	}
	base := r.Len()
	var nodes [][]term
	made := map[[5]int]int{}
	node := func(key [5]int, terms func() []term) int {
		k, ok := made[key]
		if !ok {
			k = -1
			if list := terms(); list != nil {
				nodes = append(nodes, list)
				k = base + len(nodes) - 1
			}
			made[key] = k
		}
		return k
	}
	var forms []int // nodes
	known := map[int]int{}
	form := func(node int) int {
		k, ok := known[node]
		if !ok {
			k = len(forms)
			known[node], forms = k, append(forms, node)
		}
		return k
	}
	i0, j0 := r.Cell(b.w.row, b.w.col)
	sides := [][2]int{{h.down(), 0}}
	if !h.vertical() {
		sides = [][2]int{{1, 0}, {-1, 0}, {0, 1}, {0, -1}}
	}
	for _, s := range sides {
		d := g.Design.Grid
		k, row, col := -1, b.w.row+s[0], b.w.col+s[1]
		if !h.vertical() && row >= 0 && row < d.Rows && col >= 0 && col < d.Cols { // a standing one leaves downwards whatever is lit
			k = row*d.Cols + col
		}
		b.beside = append(b.beside, k)
	}
	inside := func(i, j int) bool { return i >= 0 && i < r.Rows && j >= 0 && j < r.Cols }
	// slope is the fall per sample at (i, j) towards a side; −1 where climb has none.
	slope := func(i, j, di, dj int) int {
		return node([5]int{i, j, di, dj, 0}, func() (list []term) {
			for _, c := range [][]float64{{672, -168, 32, -3}, {8, -1}} {
				n, total := len(c), 840.0
				if n == 2 {
					total = 12
				}
				if !inside(i-n*di, j-n*dj) || !inside(i+n*di, j+n*dj) {
					continue
				}
				for k, v := range c {
					list = append(list, term{(i-(k+1)*di)*r.Cols + j - (k+1)*dj, v / total}, term{(i+(k+1)*di)*r.Cols + j + (k+1)*dj, -v / total})
				}
				return list
			}
			return nil
		})
	}
	// between is the slope half a sample to a side of the way; off is −1, 0 or 1.
	between := func(i, j, di, dj, off int) int {
		if off == 0 || !inside(i-3*dj, j-3*di) || !inside(i+3*dj, j+3*di) {
			return slope(i, j, di, dj)
		}
		first := -2
		if off < 0 {
			first = -3
		}
		return node([5]int{i, j, di, dj, off}, func() (list []term) {
			for m, v := range grid.Lagrange(float64(off)/2 - float64(first)) {
				if k := slope(i+(first+m)*dj, j+(first+m)*di, di, dj); k >= 0 {
					list = append(list, term{k, v})
				}
			}
			return list
		})
	}
	// rise is how far (i, j) stands above (a, c).
	rise := func(i, j, a, c int) int {
		return form(node([5]int{i, j, a, c, 9}, func() []term {
			return []term{{i*r.Cols + j, 1}, {a*r.Cols + c, -1}}
		}))
	}
	for i := i0; i < i0+r.Samples; i++ {
		for j := j0; j < j0+r.Samples; j++ {
			var p peak
			for _, n := range [8][2]int{{-1, 0}, {1, 0}, {0, -1}, {0, 1}, {-1, -1}, {-1, 1}, {1, -1}, {1, 1}} {
				a, c := i+n[0], j+n[1]
				if b.lit && (a < i0 || a >= i0+r.Samples || c < j0 || c >= j0+r.Samples) {
					continue // the greatest of the cell, though a neighbour's be greater
				}
				p.rises = append(p.rises, rise(i, j, a, c))
			}
			// The greatest of the cell is no less than what stands in its middle.
			for _, c := range [4][2]int{{(r.Samples - 1) / 2, (r.Samples - 1) / 2}, {r.Samples / 2, r.Samples / 2}, {(r.Samples - 1) / 2, r.Samples / 2}, {r.Samples / 2, (r.Samples - 1) / 2}} {
				if a, c := i0+c[0], j0+c[1]; a != i || c != j {
					p.rises = append(p.rises, rise(i, j, a, c))
				}
			}
			for _, d := range sides {
				var way []int
				for n := range r.Samples {
					for off := -1; off <= 1; off++ {
						y, x := i+n*d[0], j+n*d[1]
						here := between(y, x, d[0], d[1], off)
						if here < 0 {
							continue
						}
						way = append(way, form(here))
						before, after := between(y-d[0], x-d[1], d[0], d[1], off), between(y+d[0], x+d[1], d[0], d[1], off)
						if n == 0 || n == r.Samples-1 || before < 0 || after < 0 {
							continue
						}
						for _, half := range []float64{-0.5, 0.5} {
							way = append(way, form(node([5]int{here, before, after, int(2 * half), 8}, func() []term {
								return []term{{here, 1 - half*half}, {before, half*half/2 - half/2}, {after, half*half/2 + half/2}}
							})))
						}
					}
				}
				p.ways = append(p.ways, way)
			}
			b.peaks = append(b.peaks, p)
		}
	}
	values := make([]float64, len(nodes))
	return func(mean []float64) []float64 {
		for k, list := range nodes {
			sum := 0.0
			for _, t := range list {
				if t.at < base {
					sum += t.by * mean[t.at]
				} else {
					sum += t.by * values[t.at-base]
				}
			}
			values[k] = sum
		}
		v := make([]float64, len(forms))
		for k, of := range forms {
			v[k] = values[of-base]
		}
		return v
	}
}

// reach is the bound of what a pattern can come to, given upper and lower bounds of the
// forms: of a dark pixel the steepest fall on the way from any peak, of a lit one the least
// over the peaks of the steepest.
func (b *bounder) reach(high, low []float64, decided int) float64 {
	worst := math.Inf(-1)
	if b.lit {
		worst = math.Inf(1)
	}
	// A drop leaves by the weakest of the sides whose neighbour is not lit, of all where
	// every one is.
	open, sure, all := make([]bool, len(b.beside)), make([]bool, len(b.beside)), true
	for s, k := range b.beside {
		lit := k >= 0 && b.w.grid.StateOf(b.state[k]) == grid.Lit
		at, near := b.order[k]
		unknown := near && at >= decided
		open[s], sure[s] = unknown || !lit, !unknown && !lit
		all = all && lit && !unknown
	}
	for _, p := range b.peaks {
		possible := true
		for _, k := range p.rises {
			possible = possible && high[k] >= 0
		}
		if !possible {
			continue
		}
		// Of a lit pixel the least that any way may come to; of a dark one the least of
		// the ways that are open for sure, or the most of those that may be.
		least, surely, most := math.Inf(1), math.Inf(1), 0.0
		for s, way := range p.ways {
			steepest := 0.0
			for _, k := range way {
				if b.lit {
					steepest = max(steepest, low[k])
				} else {
					steepest = max(steepest, high[k])
				}
			}
			if all || open[s] {
				least, most = min(least, steepest), max(most, steepest)
			}
			if all || sure[s] {
				surely = min(surely, steepest)
			}
		}
		if b.lit {
			worst = min(worst, least)
		} else {
			worst = max(worst, min(surely, most))
		}
	}
	return worst
}

// node is a partial pattern: the forms with what is decided, and for every level of the
// pixels that are not, one after another, what it adds at most and at least.
type node struct{ base, high, low []float64 }

// proof is the search for a pattern beyond a target, on the forms that can be.
type proof struct {
	*bounder
	target float64 // per sample
	count  int     // forms
	first  []int   // of each pixel's levels among all
	nodes  []node  // one for every number of pixels decided
	left   *int    // partial patterns still to be looked at
}

// proves tells whether no pattern goes beyond a fall per sample: above it for a dark pixel,
// below it for a lit one. It gives a pattern that does, or none where the effort ended.
func (b *bounder) proves(ctx context.Context, target float64) (proven bool, found []float64, err error) {
	p, high, low := b.undecided()
	left := boundNodes
	p.target, p.left = target, &left
	found, err = p.smaller(b.start, 0, high, low).walk(ctx, 0)
	if err != nil {
		return false, nil, fmt.Errorf("bounding the worst pattern: %w", err)
	}
	return found == nil && left > 0, found, nil
}

// smaller is the proof from a node on, n pixels decided, with the forms that still may go
// beyond the target, given bounds of all.
func (p *proof) smaller(at node, n int, high, low []float64) *proof {
	small, act := p.only(p.target, n, high, low)
	q := *p
	q.bounder, q.count = small, len(act)
	q.nodes = make([]node, len(p.forms)+1)
	size := p.first[len(p.forms)] * len(act)
	for k := n; k < len(q.nodes); k++ {
		q.nodes[k] = node{base: make([]float64, len(act)), high: make([]float64, size)}
		if p.lit {
			q.nodes[k].low = make([]float64, size)
		}
	}
	for i, k := range act {
		q.nodes[n].base[i] = at.base[k]
		for v := p.first[n]; v < p.first[len(p.forms)]; v++ {
			q.nodes[n].high[v*len(act)+i] = at.high[v*p.count+k]
			if p.lit {
				q.nodes[n].low[v*len(act)+i] = at.low[v*p.count+k]
			}
		}
	}
	return &q
}

// shrinkEvery is after how many decisions the forms that still matter are looked for.
const shrinkEvery = 4

// index counts the levels of the pixels.
func (p *proof) index() {
	p.first = append(p.first, 0)
	for n, of := range p.forms {
		p.first = append(p.first, p.first[n]+len(of))
	}
}

// root is the node with nothing decided.
func (b *bounder) root() node {
	r := node{base: b.base}
	for n, of := range b.forms {
		for _, f := range of {
			high, low := append([]float64(nil), f.lin...), append([]float64(nil), f.lin...)
			if f.least != nil {
				copy(low, f.least)
			}
			for m := range b.forms {
				b.mayAdd(high, low, n, f.share, m, 0.5)
			}
			r.high, r.low = append(r.high, high...), append(r.low, low...)
		}
	}
	return r
}

// only is the bounder with the peaks and forms that may go beyond a target, given bounds of
// all forms with some pixels decided, and which forms these are; low may be nil.
func (b *bounder) only(target float64, decided int, high, low []float64) (*bounder, []int) {
	c := *b
	c.peaks = nil
	as := map[int]int{}
	var act []int
	keep := func(k int) int {
		if _, known := as[k]; !known {
			as[k] = len(act)
			act = append(act, k)
		}
		return as[k]
	}
	for _, p := range b.peaks {
		one := *b
		one.peaks = []peak{p}
		if r := one.reach(high, low, decided); b.lit && r >= target || !b.lit && r <= target {
			continue
		}
		var q peak
		for _, k := range p.rises {
			if low == nil || low[k] < 0 { // the others are not in doubt
				q.rises = append(q.rises, keep(k))
			}
		}
		for _, way := range p.ways {
			var of []int
			for _, k := range way {
				// A fall that stays below the target is not what goes beyond it; of a lit
				// pixel one that may do the most counts.
				if high[k] > target || b.lit {
					of = append(of, keep(k))
				}
			}
			q.ways = append(q.ways, of)
		}
		c.peaks = append(c.peaks, q)
	}
	pick := func(v []float64) []float64 {
		if v == nil {
			return nil
		}
		out := make([]float64, len(act))
		for i, k := range act {
			out[i] = v[k]
		}
		return out
	}
	c.base, c.forms, c.pair = pick(b.base), make([][]form, len(b.forms)), make([][][]float64, len(b.pair))
	for n, of := range b.forms {
		for _, f := range of {
			f.lin, f.least = pick(f.lin), pick(f.least)
			c.forms[n] = append(c.forms[n], f)
		}
		c.pair[n] = make([][]float64, len(b.pair[n]))
		for m, q := range b.pair[n] {
			c.pair[n][m] = pick(q)
		}
	}
	return &c, act
}

// mayAdd adds times the most and the least that any level of pixel m may add to pixel n at
// a share of its field; low may be nil.
func (b *bounder) mayAdd(high, low []float64, n int, share float64, m int, times float64) {
	q := b.pair[min(n, m)][max(n, m)]
	if q == nil {
		return
	}
	var most, least float64
	for _, f := range b.forms[m] {
		most, least = max(most, times*share*f.share), min(least, times*share*f.share)
	}
	if times < 0 {
		most, least = least, most
	}
	for k, v := range q {
		a, c := most*v, least*v
		if (a > c) != (times > 0) {
			a, c = c, a
		}
		high[k] += a
		if low != nil {
			low[k] += c
		}
	}
}

// reckon adds to the forms what the pixels that are not decided may add at most and least,
// no more of the near ones than may still be on; low may be nil.
func (p *proof) reckon(at node, decided int, high, low []float64) {
	near := len(p.w.near)
	room := p.most - p.on(min(decided, near))
	for _, side := range []struct {
		sum, by []float64
		sign    float64
	}{{high, at.high, 1}, {low, at.low, -1}} {
		var some []float64
		for k := range side.sum {
			some = some[:0]
			for m := decided; m < len(p.forms); m++ {
				most := 0.0
				for v := p.first[m]*p.count + k; v < p.first[m+1]*p.count; v += p.count {
					most = max(most, side.sign*side.by[v])
				}
				if m < near && room < near-decided {
					some = append(some, most)
				} else {
					side.sum[k] += side.sign * most
				}
			}
			if len(some) > 0 {
				slices.Sort(some)
				for _, v := range some[len(some)-max(0, room):] {
					side.sum[k] += side.sign * v
				}
			}
		}
	}
}

// on is how many of the first near pixels are on.
func (p *proof) on(decided int) (n int) {
	for _, k := range p.w.near[:decided] {
		if p.state[k] != 0 {
			n++
		}
	}
	return n
}

// walk looks for a pattern beyond the target, its first n pixels decided.
func (p *proof) walk(ctx context.Context, n int) ([]float64, error) {
	if *p.left--; *p.left <= 0 {
		return nil, nil
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	at := p.nodes[n]
	high, low := append([]float64(nil), at.base...), []float64(nil)
	if p.lit { // of a dark one the lower bounds do not count
		low = append(low, at.base...)
	}
	p.reckon(at, n, high, low)
	r := p.reach(high, low, n)
	if p.lit && r >= p.target || !p.lit && r <= p.target {
		return nil, nil
	}
	if n == len(p.w.near) {
		return p.leaf(at.base), nil
	}
	if n > 0 && n%shrinkEvery == 0 {
		p = p.smaller(at, n, high, low)
		at = p.nodes[n]
	}
	next := p.nodes[n+1]
	levels := len(p.forms[n])
	if p.on(n) >= p.most {
		levels = 0
	}
	for l := -1; l < levels; l++ {
		copy(next.base, at.base)
		from := p.first[n+1] * p.count
		copy(next.high[from:], at.high[from:])
		if p.lit {
			copy(next.low[from:], at.low[from:])
		}
		share := 0.0
		p.state[p.w.near[n]] = 0
		if l >= 0 {
			f := p.forms[n][l]
			share = f.share
			p.state[f.pixel] = f.level
			p.decide(next.base, n, f)
		}
		for m := n + 1; m < len(p.forms); m++ {
			for o, f := range p.forms[m] {
				v := (p.first[m] + o) * p.count
				up, down := next.high[v:v+p.count], []float64(nil)
				if p.lit {
					down = next.low[v : v+p.count]
				}
				p.mayAdd(up, down, m, f.share, n, -0.5)
				if q := p.pair[n][m]; share != 0 && q != nil {
					for k, x := range q {
						up[k] += share * f.share * x
					}
					for k := range down {
						down[k] += share * f.share * q[k]
					}
				}
			}
		}
		found, err := p.walk(ctx, n+1)
		if found != nil || err != nil || *p.left <= 0 {
			return found, err
		}
	}
	p.state[p.w.near[n]] = 0
	return nil, nil
}

// leafCost is what it takes to play a whole pattern, in partial ones.
const leafCost = 20

// leaf plays the pattern decided: forms know it only to the second order. Where it is those
// out of reach that may make it go beyond the target, nothing is proven.
func (p *proof) leaf(base []float64) []float64 {
	*p.left -= leafCost
	levels := slices.Clone(p.state)
	p.w.cap(levels, p.most)
	p.w.set(levels)
	_, ratio := p.w.score()
	if fall := p.w.hold.fallOf(ratio); p.lit && fall < p.target || !p.lit && fall > p.target {
		return levels
	}
	if r := p.reach(base, base, len(p.forms)); len(p.forms) > len(p.w.near) && (p.lit && r >= p.target || !p.lit && r <= p.target) {
		*p.left = 0
	}
	return nil
}

// decide adds a level of pixel n with what is decided of those before it.
func (b *bounder) decide(base []float64, n int, f form) {
	for k, v := range f.lin {
		base[k] += v
	}
	for m := range n {
		level, q := b.state[b.w.near[m]], b.pair[m][n]
		if level == 0 || q == nil {
			continue
		}
		for _, o := range b.forms[m] {
			if o.level == level {
				for k, v := range q {
					base[k] += v * o.share * f.share
				}
			}
		}
	}
}

// model is the forms of a whole pattern.
func (b *bounder) model(levels []float64) []float64 {
	v := append([]float64(nil), b.base...)
	copy(b.state, levels)
	for n, of := range b.forms[:len(b.w.near)] {
		for _, f := range of {
			if levels[f.pixel] == f.level {
				b.decide(v, n, f)
			}
		}
	}
	return v
}

// boundSteps are the factors on the worst fall found at which a bound is looked for, of a dark
// pixel; of a lit one their inverses. Between the last that is proven and the next it is
// narrowed down boundHalves times.
var boundSteps = []float64{1024, 256, 64, 16, 8, 4, 2, 1.3, 1.1, 1.02, 1.001}

const boundHalves = 2

// boundNear is the factor at which a bound is near enough not to be narrowed down.
const boundNear = 1.03

// boundFloor is what part of the limit for dark pixels makes no difference.
const boundFloor = 0.1

// bound is the hold ratio that no pattern goes beyond; where none was proven within the
// effort, of a dark pixel what the relaxation gives, of a lit one 0. A worse pattern than
// the one given may be found on the way. The error of the second order is counted as it is
// in the pattern found.
func (w *disturbance) bound(ctx context.Context, own float64, levels []float64) (bound, ratio float64, worst []float64, err error) {
	lit := w.grid.StateOf(own) != grid.Dark
	worst = levels
	w.set(worst)
	_, ratio = w.score()
	none := math.Inf(1)
	if lit {
		none = 0
	}
	if math.IsInf(ratio, 1) { // a drop needs nothing to stay, wherever
		return ratio, ratio, worst, nil
	}
	if w.follows < leastFollowed {
		return none, ratio, worst, nil
	}
	b := w.newBounder(own)
	b = b.trimmed()
	bound = none
	last, next, halves := 0.0, 0.0, 0 // factors proven and not; rounds of narrowing down
	for k := 0; k < len(boundSteps) || halves > 0; k++ {
		step := math.Sqrt(last * next)
		if halves == 0 {
			step = boundSteps[k]
		}
		fall, slip := w.hold.fallOf(ratio), b.slip(worst, ratio)
		target := (fall + w.hold.fallOf(boundFloor*w.grid.Design.Limits.FalseOn)) * step
		if lit {
			target = fall / step
		}
		proven, found, err := b.proves(ctx, target)
		switch {
		case err != nil:
			return 0, 0, nil, err
		case found != nil:
			w.set(found)
			score, r := w.score()
			if _, r, err = w.climb(ctx, score, r); err != nil {
				return 0, 0, nil, err
			}
			ratio, worst, bound, k, halves = r, append([]float64(nil), w.levels...), none, -1, 0
			continue
		case !proven && (last == 0 || bound == none):
			if !lit { // what holds before anything is decided
				bound = max(w.hold.ratio(b.relaxed()), ratio) + slip
			}
			return bound, ratio, worst, nil
		case !proven && last < boundNear: // near enough
			return bound, ratio, worst, nil
		case !proven && halves == 0:
			next, halves = step, boundHalves+1
		case !proven:
			next = step
		default:
			last, bound = step, max(w.hold.ratio(target), ratio)+slip
			if lit {
				bound = max(0, min(w.hold.ratio(target), ratio)-slip)
			} else if bound <= w.grid.Design.Limits.FalseOn/2 { // nearer is of no use
				return bound, ratio, worst, nil
			}
		}
		if halves > 0 {
			if halves--; halves == 0 {
				break
			}
		}
	}
	return bound, ratio, worst, nil
}

// slip is how far the forms are off for a pattern of a hold ratio.
func (b *bounder) slip(levels []float64, ratio float64) float64 {
	v := b.model(levels)
	return math.Abs(b.w.hold.ratio(b.reach(v, v, len(b.forms))) - ratio)
}

// within tells whether branch and bound shows that no pattern makes the dark pixel hold more
// than a limit, given one that is bad for it; worse is one that does, where it was found.
func (w *disturbance) within(ctx context.Context, limit float64, levels []float64) (ok bool, worse []float64, err error) {
	w.set(levels)
	_, ratio := w.score()
	if ratio > limit {
		return false, levels, nil
	}
	if w.follows < leastFollowed {
		return false, nil, nil
	}
	b := w.newBounder(0)
	b = b.trimmed()
	target := w.hold.fallOf(limit - b.slip(levels, ratio))
	if target <= w.hold.fallOf(ratio) {
		return false, nil, nil
	}
	ok, found, err := b.proves(ctx, target)
	if err == nil && found != nil {
		w.set(found)
		if _, r := w.score(); r > limit {
			worse = found
		}
	}
	return ok, worse, err
}

package tank

import (
	"math"
	"slices"
)

// Distances between drops, in cells: apart is the least within one layer, aware the
// greatest that is looked at. A facet counts up to reachCells from another, and between
// two looks a drop moves by no more than travel.
const (
	apart  = reachCells + 2*travel
	aware  = apart + 1
	travel = 0.5

	// Drops in one layer that are farther apart may not touch; those much farther, at cells
	// far finer than the gap, close by themselves.
	bridgeCells, bridgeMost = 0.9, 8
)

// maxLayers is how many layers there may be. Drops that lie in a plane need four; one
// that finds none free shares a layer and merges when the cells cannot tell it apart.
const maxLayers = 6

// piece is a stretch of one row that holds fluid.
type piece struct {
	run
	layer int32
	up    int32 // a piece of the same drop, nearer to its root
	drop  int32
}

// drop is fluid of one layer that hangs together, by corners too.
type drop struct {
	layer, next              int32 // layer it is in and is to be in
	top, bottom, left, right int32 // cells, right and bottom exclusive
	first, last              int32 // its facets among Tank.order
	area                     float64
	group                    int32 // drop that it merges with
	near                     bool  // to another group
}

// pair is two drops that are near.
type pair struct {
	a, b           int32
	distance       float64 // cells
	ax, ay, bx, by float64 // middles of the nearest facets
	merge          bool
}

// listed is a facet by layer and place.
type listed struct{ layer, at int32 }

// arrange keeps drops that are near in different layers and joins in one those that
// have come within Params.MergeGap and are not parting. The distance is that between
// facets, so it does not depend on the cells.
func (t *Tank) arrange() {
	t.travelled = 0
	t.label()
	t.nearPairs()
	changed := t.assign()
	// No pair comes within the merge gap unseen, or farther into it than a tenth.
	t.lookAfter = travel
	bridged := false
	for n := range t.pairs {
		p := &t.pairs[n]
		if !p.merge {
			t.lookAfter = min(t.lookAfter, max(0.5*(p.distance-t.mergeCells), 0.05*t.mergeCells))
		}
		bridged = bridged || p.bridges()
	}
	if !changed && !bridged {
		return
	}
	for _, p := range t.pieces {
		d := &t.drops[p.drop]
		if d.next != d.layer {
			t.carryOver(t.layers[d.layer], t.layers[d.next], p.run)
		}
	}
	for n := range t.pairs {
		if p := &t.pairs[n]; p.bridges() {
			t.bridge(t.layers[t.drops[p.a].next], p)
		}
	}
	for _, l := range t.layers {
		t.rebuild(l)
		t.cutFacets(l)
	}
}

func (p *pair) bridges() bool {
	return p.merge && p.distance > bridgeCells && p.distance < bridgeMost
}

// bridge fills the cells between two drops that merge, with fluid from about them, where
// the merge gap is more than the cells would close by themselves.
func (t *Tank) bridge(l *layer, p *pair) {
	half := min(max(0.5*t.mergeCells, 0.75), 2)
	wide, high := t.dx/t.cell, t.dy/t.cell
	dx, dy := p.bx-p.ax, p.by-p.ay
	weight := 0.0 // of the interface that is to give the fluid
	for _, k := range l.cells {
		weight += l.c[k] * (1 - l.c[k])
	}
	if weight < 4*(p.distance+2*half)*2*half {
		return
	}
	for i := max(int((min(p.ay, p.by)-half)/high), 0); i < min(int((max(p.ay, p.by)+half)/high)+1, t.ny); i++ {
		for j := max(int((min(p.ax, p.bx)-half)/wide), 0); j < min(int((max(p.ax, p.bx)+half)/wide)+1, t.nx); j++ {
			x, y := (float64(j)+0.5)*wide-p.ax, (float64(i)+0.5)*high-p.ay
			s := min(max((x*dx+y*dy)/(dx*dx+dy*dy), 0), 1)
			if k := i*t.nx + j; math.Hypot(x-s*dx, y-s*dy) < half && l.c[k] < 1 {
				l.over = append(l.over, remnant{int32(k), l.c[k] - 1})
				l.c[k] = 1
			}
		}
	}
}

// carryOver moves the fluid of a stretch of a row to another layer.
func (t *Tank) carryOver(from, to *layer, r run) {
	base := int(r.row) * t.nx
	for k := base + int(r.lo); k < base+int(r.hi); k++ {
		if from.c[k] == 0 {
			continue
		}
		sum := to.c[k] + from.c[k]
		from.c[k] = 0
		if sum > 1 {
			to.over = append(to.over, remnant{int32(k), sum - 1})
			sum = 1
		}
		to.c[k] = sum
		if to.grip != nil {
			if math.IsNaN(to.grip[k]) {
				to.grip[k] = from.grip[k]
			}
			from.grip[k] = math.NaN()
		}
	}
}

// label finds the drops of all layers.
func (t *Tank) label() {
	nx := int32(t.nx)
	t.pieces = t.pieces[:0]
	for li, l := range t.layers {
		l.owner = resize(l.owner, len(l.cells))
		above, here := len(t.pieces), len(t.pieces)
		for i := range int32(t.ny) {
			base := i * nx
			open, at := int32(-1), int32(0)
			shut := func(hi int32) {
				if open >= 0 {
					t.pieces = append(t.pieces, piece{run: run{i, open, hi}, layer: int32(li), up: int32(len(t.pieces))})
					open = -1
				}
			}
			// Between listed cells all are alike.
			pure := func(hi int32) {
				if at >= hi {
					return
				}
				if l.c[base+at] == 0 {
					shut(at)
				} else if open < 0 {
					open = at
				}
			}
			for s := l.first[i]; s < l.first[i+1]; s++ {
				j := l.cells[s] - base
				pure(j)
				if open < 0 {
					open = j
				}
				l.owner[s] = int32(len(t.pieces))
				at = j + 1
			}
			pure(nx)
			shut(nx)
			// Join with the row above.
			a, b := above, here
			for a < here && b < len(t.pieces) {
				p, q := &t.pieces[a], &t.pieces[b]
				if p.lo <= q.hi && q.lo <= p.hi {
					t.join(int32(a), int32(b))
				}
				if p.hi < q.hi {
					a++
				} else {
					b++
				}
			}
			above, here = here, len(t.pieces)
		}
	}
	t.drops = t.drops[:0]
	for n := range t.pieces {
		p := &t.pieces[n]
		root := t.root(int32(n))
		if root == int32(n) {
			p.drop = int32(len(t.drops))
			t.drops = append(t.drops, drop{layer: p.layer, next: p.layer, top: p.row, left: p.lo, right: p.hi, group: p.drop})
		} else {
			p.drop = t.pieces[root].drop
		}
		d := &t.drops[p.drop]
		d.bottom = p.row + 1
		d.left, d.right = min(d.left, p.lo), max(d.right, p.hi)
		d.area += float64(p.hi - p.lo)
	}
	// The facets drop by drop.
	for _, l := range t.layers {
		for _, p := range l.owner {
			t.drops[t.pieces[p].drop].last++
		}
	}
	sum := int32(0)
	for n := range t.drops {
		d := &t.drops[n]
		d.first, sum = sum, sum+d.last
		d.last = d.first
	}
	t.order = resize(t.order, int(sum))
	for li, l := range t.layers {
		for s, p := range l.owner {
			d := &t.drops[t.pieces[p].drop]
			t.order[d.last] = listed{int32(li), int32(s)}
			d.last++
		}
	}
}

// root is the first piece of a piece's drop; join makes two drops one.
func (t *Tank) root(n int32) int32 {
	for t.pieces[n].up != n {
		t.pieces[n].up = t.pieces[t.pieces[n].up].up
		n = t.pieces[n].up
	}
	return n
}

func (t *Tank) join(a, b int32) {
	a, b = t.root(a), t.root(b)
	t.pieces[max(a, b)].up = min(a, b)
}

// nearPairs finds the drops that are less than aware apart.
func (t *Tank) nearPairs() {
	t.pairs = t.pairs[:0]
	t.byTop = resize(t.byTop, len(t.drops))
	for n := range t.byTop {
		t.byTop[n] = int32(n)
	}
	slices.SortFunc(t.byTop, func(a, b int32) int {
		if d := t.drops[a].top - t.drops[b].top; d != 0 {
			return int(d)
		}
		return int(a - b)
	})
	far := int32(math.Ceil(max(aware, t.mergeCells)*t.cell/min(t.dx, t.dy))) + 1
	for n, ia := range t.byTop {
		a := &t.drops[ia]
		for _, ib := range t.byTop[n+1:] {
			b := &t.drops[ib]
			if b.top > a.bottom+far {
				break
			}
			if b.left > a.right+far || a.left > b.right+far {
				continue
			}
			if p, near := t.distance(min(ia, ib), max(ia, ib), far); near {
				t.pairs = append(t.pairs, p)
			}
		}
	}
}

// distance is that between two drops, if it is less than aware or the merge gap.
func (t *Tank) distance(ia, ib, far int32) (pair, bool) {
	a, b := &t.drops[ia], &t.drops[ib]
	best := max(aware, t.mergeCells)
	var pa, pb listed
	wide, high := t.dx/t.cell, t.dy/t.cell
	left, right := float64(b.left-far)*wide, float64(b.right+far)*wide
	top, bottom := float64(b.top-far)*high, float64(b.bottom+far)*high
	found := false
	for _, m := range t.order[a.first:a.last] {
		f := &t.layers[m.layer].facets[m.at]
		if f.x < left || f.x > right || f.y < top || f.y > bottom {
			continue
		}
		for _, n := range t.order[b.first:b.last] {
			g := &t.layers[n.layer].facets[n.at]
			reach := best + 0.5*(f.length+g.length)
			dx, dy := g.x-f.x, g.y-f.y
			if dx*dx+dy*dy >= reach*reach {
				continue
			}
			if d := gapBetween(f, g); d < best {
				best, pa, pb, found = d, m, n, true
			}
		}
	}
	if !found {
		return pair{}, false
	}
	la, lb := t.layers[pa.layer], t.layers[pb.layer]
	f, g := &la.facets[pa.at], &lb.facets[pb.at]
	p := pair{a: ia, b: ib, distance: best, ax: f.x, ay: f.y, bx: g.x, by: g.y}
	if best < t.mergeCells {
		ua, va := t.speedIn(int(la.cells[pa.at]))
		ub, vb := t.speedIn(int(lb.cells[pb.at]))
		p.merge = best < 0.5*t.mergeCells || (ua-ub)*(f.nx-g.nx)+(va-vb)*(f.ny-g.ny) >= 0
	}
	return p, true
}

// speedIn is the velocity in the middle of a cell, y down.
func (t *Tank) speedIn(k int) (u, v float64) {
	i := k / t.nx
	return 0.5 * (t.u[k+i] + t.u[k+i+1]), 0.5 * (t.v[k] + t.v[k+t.nx])
}

// gapBetween is the distance between two facets.
func gapBetween(f, g *facet) float64 {
	if crosses(f, g) && crosses(g, f) {
		return 0
	}
	return math.Sqrt(min(fromEnds(f, g), fromEnds(g, f)))
}

// crosses tells whether the ends of f lie on different sides of the line through g.
func crosses(f, g *facet) bool {
	n := (f.x-g.x)*g.nx + (f.y-g.y)*g.ny
	return math.Abs(n) < 0.5*f.length*math.Abs(f.nx*g.ny-f.ny*g.nx)
}

// fromEnds is the least distance from either end of f to g, squared.
func fromEnds(f, g *facet) float64 {
	best := math.Inf(1)
	for _, e := range [2]float64{-0.5, 0.5} {
		dx, dy := f.x-e*f.length*f.ny-g.x, f.y+e*f.length*f.nx-g.y
		s := dy*g.nx - dx*g.ny
		s -= min(max(s, -0.5*g.length), 0.5*g.length)
		n := dx*g.nx + dy*g.ny
		best = min(best, s*s+n*n)
	}
	return best
}

// assign decides the layer each drop is to be in and tells whether any is to change.
func (t *Tank) assign() bool {
	for n := range t.pairs {
		if p := &t.pairs[n]; p.merge {
			a, b := t.groupOf(p.a), t.groupOf(p.b)
			t.drops[max(a, b)].group = min(a, b)
		}
	}
	for n := range t.pairs {
		p := &t.pairs[n]
		p.a, p.b = t.groupOf(p.a), t.groupOf(p.b)
		if p.a != p.b {
			p.a, p.b = min(p.a, p.b), max(p.a, p.b)
			t.drops[p.a].near, t.drops[p.b].near = true, true
		}
	}
	slices.SortFunc(t.pairs, func(a, b pair) int { return int(a.b - b.b) })
	rest := t.pairs
	for n := range t.drops {
		d := &t.drops[n]
		if d.group != int32(n) {
			continue
		}
		// What the drops near this one, decided already, take up.
		var taken [maxLayers]bool
		for ; len(rest) > 0 && rest[0].b <= int32(n); rest = rest[1:] {
			if p := rest[0]; p.b == int32(n) && p.a != p.b && p.distance < apart {
				taken[t.drops[p.a].next] = true
			}
		}
		if !d.near {
			d.next = 0
		} else if taken[d.layer] {
			for k := range taken {
				if !taken[k] {
					d.next = int32(k)
					break
				}
			}
		}
	}
	changed := false
	for n := range t.drops {
		d := &t.drops[n]
		d.next = t.drops[t.groupOf(int32(n))].next
		for int(d.next) >= len(t.layers) {
			t.layers = append(t.layers, t.newLayer())
		}
		changed = changed || d.next != d.layer
	}
	return changed
}

func (t *Tank) groupOf(n int32) int32 {
	for t.drops[n].group != n {
		n = t.drops[n].group
	}
	return n
}

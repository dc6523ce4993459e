package artwork

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/spatial/r2"

	"lodegrid/field/root"
)

// addPlanes draws the copper that board.planes states: a feeder as a straight track through
// the cell, along the rows on the first such layer and along the columns on the next where
// there is room, and a pour as a hatch as wide as gives the share that the heat is computed
// with, its lines left out where they would come too near other copper.
func (b *Board) addPlanes(ctx context.Context) error {
	d := b.design
	along := true
	for i := range b.Layers {
		feeders, pour, exposed := d.PlaneOn(i)
		switch {
		case feeders:
			if !b.feeder(i, along, exposed) && !b.feeder(i, !along, exposed) {
				return &Misfit{"board.planes", fmt.Sprintf("a feeder of %.3g mm finds no straight way past the coils and holes of layer %d", d.Drive.FeederWidth*1e3, i+1),
					"none on that layer, or a narrower drive.feeder_width"}
			}
			along = !along
		case pour > 0:
			if err := b.pour(ctx, i, pour, exposed); err != nil {
				return err
			}
		}
	}
	return nil
}

// closedTo is a map of the squares that the middle of other copper so wide keeps out of.
func (b *Board) closedTo(layer int, width float64) *roads {
	m := b.newMap()
	gap := b.leastGap()
	for _, t := range b.Pixel.Tracks {
		if t.Layer == layer {
			m.blockLine(t.Points, t.Width/2+gap+width/2)
		}
	}
	for _, h := range b.Pixel.Holes {
		r := h.Pad/2 + gap
		if !h.Plated() {
			r = h.Drill/2 + b.design.Board.HoleClearance
		}
		m.blockLine([]r2.Vec{h.At}, r+width/2)
	}
	return m
}

// straight is the square in the middle of the widest way straight through the cell for copper
// so wide, along the row or the column; false where there is none.
func (m *roads) straight(row bool) (middle int, ok bool) {
	open := func(k int) bool {
		for i := range m.n {
			x, y := i, k
			if !row {
				x, y = k, i
			}
			if m.closed[m.index(x, y)] {
				return false
			}
		}
		return true
	}
	best := 0
	for k, run := 0, 0; k < 2*m.n; k++ { // round twice, for a run across the cell's border
		if !open(k) {
			run = 0
			continue
		}
		if run = min(run+1, m.n); run > best {
			best, middle = run, k-run/2
		}
	}
	return middle % m.n, best > 0
}

// feeder draws a feeder in the widest such way; false where there is none.
func (b *Board) feeder(layer int, row, exposed bool) bool {
	w := b.design.Drive.FeederWidth
	m := b.closedTo(layer, w)
	middle, ok := m.straight(row)
	if !ok {
		return false
	}
	at := (float64(middle)+0.5)*m.step - b.Pitch/2
	line := []r2.Vec{{X: -b.Pitch / 2, Y: at}, {X: b.Pitch / 2, Y: at}}
	if !row {
		line = []r2.Vec{{X: at, Y: -b.Pitch / 2}, {X: at, Y: b.Pitch / 2}}
	}
	b.Pixel.Planes = append(b.Pixel.Planes, Track{Layer: layer, Width: w, Points: line, Exposed: exposed})
	return true
}

// addReturn draws the copper that the coils' second ends share, on a layer without windings: as
// wide a line as passes straight along the row and along the column, and from there a spoke to
// the second wire's hole; false where there is no way.
func (b *Board) addReturn() bool {
	layer, s := b.lanes.common, b.Coil.Spec()
	end := b.Wire(WireOut)
	for w := b.Pitch / 4; w >= s.Track; w /= 1.25 {
		m := b.closedTo(layer, w)
		y, ok := m.straight(true)
		x, also := m.straight(false)
		if !ok || !also {
			continue
		}
		half, at := b.Pitch/2, m.middle(x, y)
		// The spoke leaves the pad as a track of the coil's width, over its own pad and lead alone.
		own := Pixel{Holes: slices.DeleteFunc(slices.Clone(b.Pixel.Holes), func(h Hole) bool { return h.Kind == WireOut }),
			Tracks: slices.DeleteFunc(slices.Clone(b.Pixel.Tracks), func(t Track) bool { return t.ends(end.At) })}
		others := *b
		others.Pixel = own
		spoke := others.closedTo(layer, s.Track).spoke(end.At, at)
		if spoke == nil {
			return false
		}
		add := func(width float64, line ...r2.Vec) {
			for k := 1; k < len(line); k++ {
				b.Pixel.Planes = append(b.Pixel.Planes, Track{Layer: layer, Width: width, Points: []r2.Vec{line[k-1], line[k]}})
			}
		}
		add(w, r2.Vec{X: -half, Y: at.Y}, r2.Vec{X: half, Y: at.Y})
		add(w, r2.Vec{X: at.X, Y: -half}, r2.Vec{X: at.X, Y: half})
		add(s.Track, spoke...)
		return true
	}
	return false
}

// spoke is a way from a point to the nearest place that it reaches on the two lines through
// another, within the same cell: beyond the grid's rim there is no other.
func (m *roads) spoke(from, at r2.Vec) []r2.Vec {
	var places []r2.Vec
	const each = 48
	for i := range each {
		along := (float64(i)+0.5)/each*m.pitch - m.pitch/2
		places = append(places, r2.Vec{X: along, Y: at.Y}, r2.Vec{X: at.X, Y: along})
	}
	slices.SortFunc(places, func(p, q r2.Vec) int {
		return cmp.Compare(r2.Norm2(r2.Sub(p, from)), r2.Norm2(r2.Sub(q, from)))
	})
	for _, p := range places {
		if line := m.path(from, p); line != nil && line[len(line)-1] == p {
			return line
		}
	}
	return nil
}

// Common is the layer of the return that the coils' second ends share; false without one.
func (b *Board) Common() (layer int, ok bool) { return b.lanes.common, b.lanes.common > 0 }

// FeederAlongRow tells whether the feeders of a layer run along the rows; false where it has
// none.
func (b *Board) FeederAlongRow(layer int) (along, ok bool) {
	feeders, _, _ := b.design.PlaneOn(layer)
	for _, t := range b.Pixel.Planes {
		if feeders && t.Layer == layer {
			return t.Points[0].Y == t.Points[1].Y, true
		}
	}
	return false, false
}

// pour draws a hatch that covers a share of what the coils leave free.
func (b *Board) pour(ctx context.Context, layer int, share float64, exposed bool) error {
	want := share * b.design.Free(layer) * b.Pitch * b.Pitch
	s := b.Coil.Spec()
	const off = 0.02       // of the share, that what is drawn may be
	nearest := math.Inf(1) // of what can be drawn, m²
	nearer := func(area float64) {
		if area > 0 && math.Abs(area-want) < math.Abs(nearest-want) {
			nearest = area
		}
	}
	// Lines on the cell's border, and where straight ones pass best: joints may bar the border.
	lattices := [][2]int{{}}
	m := b.closedTo(layer, s.Track)
	across, right := m.straight(true)
	up, also := m.straight(false)
	if right && also {
		lattices = append(lattices, [2]int{up, across})
	}
	for i := range 6 * len(lattices) {
		lines, shift := []int{12, 24, 36, 6, 3, 1}[i%6], lattices[i/6] // each way in a cell
		space := b.Pitch / float64(lines)
		narrow, wide := s.Track, space-s.Gap
		if wide <= narrow {
			continue
		}
		enough := func(w float64) (bool, error) {
			area := b.covers(b.hatch(layer, lines, shift, w))
			nearer(area)
			return area >= want, nil
		}
		if area := b.covers(b.hatch(layer, lines, shift, narrow)); area == 0 || area > (1+off)*want {
			nearer(area)
			continue // none passes, or too much copper in the thinnest lines: fewer of them
		}
		// As wide as still passes between the coils.
		passes := func(w float64) (bool, error) {
			return b.hatch(layer, lines, shift, w) != nil, nil
		}
		wide, _, err := root.Edge(ctx, passes, narrow, wide, 10e-6)
		if err != nil {
			return err
		}
		ok, err := enough(wide)
		for w := wide; !ok && err == nil && w > narrow; { // wide lines may no longer pass between coils
			w -= (wide - narrow) / 8
			if ok, err = enough(w); ok {
				wide = w
			}
		}
		if err != nil || !ok {
			continue
		}
		w, _, err := root.Edge(ctx, enough, wide, narrow, 2e-6)
		if err != nil {
			return err
		}
		tracks := b.hatch(layer, lines, shift, w)
		if math.Abs(b.covers(tracks)/want-1) > off {
			continue
		}
		for i := range tracks {
			tracks[i].Exposed = exposed
		}
		b.Pixel.Planes = append(b.Pixel.Planes, tracks...)
		return nil
	}
	if math.IsInf(nearest, 1) {
		return &Misfit{"board.planes", fmt.Sprintf("a pour on layer %d does not pass from pixel to pixel beside the coils and holes", layer+1), "none on that layer, a smaller coil.outer or a larger grid.pitch"}
	}
	return &Misfit{"board.planes", fmt.Sprintf("a pour of %.3g %% of the free area of layer %d cannot be drawn", 100*share, layer+1),
		fmt.Sprintf("%g %% there, the nearest that can be", math.Floor(1e4*nearest/(b.design.Free(layer)*b.Pitch*b.Pitch))/100)}
}

// hatch is a lattice of lines of one width, so many each way, shifted by squares from the
// cell's border: the largest piece that hangs together and passes from pixel to pixel both
// ways, or nothing.
func (b *Board) hatch(layer, lines int, shift [2]int, width float64) []Track {
	m := b.closedTo(layer, width)
	side := m.n + 1                                             // with the neighbours' first lines, so that the grid's rim has its own
	onLine := [2][]bool{make([]bool, side), make([]bool, side)} // by x, and by y
	var at [2][]int
	for axis, on := range onLine {
		for k := range lines {
			on[(k*m.n/lines+shift[axis])%m.n] = true
		}
		on[m.n] = on[0]
		for i, is := range on {
			if is {
				at[axis] = append(at[axis], i)
			}
		}
	}
	// Squares of lines that hang together within the cell.
	piece := make([]int, side*side)
	sizes := []int{0}
	live := func(x, y int) bool {
		return x >= 0 && y >= 0 && x < side && y < side && !m.closed[m.index(x, y)] && (onLine[0][x] || onLine[1][y])
	}
	for _, y := range at[1] {
		for _, x := range at[0] {
			if piece[y*side+x] != 0 || !live(x, y) {
				continue
			}
			sizes = append(sizes, 0)
			id := len(sizes) - 1
			piece[y*side+x] = id
			for todo := [][2]int{{x, y}}; len(todo) > 0; {
				p := todo[len(todo)-1]
				todo = todo[:len(todo)-1]
				sizes[id]++
				for _, q := range [][2]int{{p[0] + 1, p[1]}, {p[0] - 1, p[1]}, {p[0], p[1] + 1}, {p[0], p[1] - 1}} {
					if live(q[0], q[1]) && piece[q[1]*side+q[0]] == 0 {
						piece[q[1]*side+q[0]] = id
						todo = append(todo, q)
					}
				}
			}
		}
	}
	largest := 0
	for id, n := range sizes {
		if n > sizes[largest] {
			largest = id
		}
	}
	if largest == 0 {
		return nil
	}
	var list []Track
	passes := [2]bool{}
	for way := range 2 {
		for _, k := range at[1-way] {
			mine := func(i int) bool {
				if way == 0 {
					return piece[k*side+i] == largest
				}
				return piece[i*side+k] == largest
			}
			place := func(i int) r2.Vec {
				if way == 0 {
					return m.middle(i, k)
				}
				return m.middle(k, i)
			}
			passes[way] = passes[way] || mine(0) && mine(m.n)
			for i := 0; i < side; i++ {
				from := i
				for i < side && mine(i) {
					i++
				}
				if i-from > 1 {
					list = append(list, Track{Layer: layer, Width: width, Points: []r2.Vec{place(from), place(i - 1)}})
				}
			}
		}
	}
	if !passes[0] || !passes[1] {
		return nil
	}
	return list
}

// covers is the area of a cell that tracks of a hatch cover, m².
func (b *Board) covers(list []Track) float64 {
	// Of each of finer squares the share that is covered, as of one that a straight edge crosses.
	const fine = 997 // no fraction of a lattice
	squares := &roads{pitch: b.Pitch, n: fine, step: b.Pitch / fine}
	covered := make([]float64, fine*fine)
	for _, t := range list {
		p, q := t.Points[0], t.Points[1]
		half := t.Width / 2
		reach := r2.Vec{X: half + squares.step, Y: half + squares.step}
		x0, y0 := squares.square(r2.Sub(r2.Vec{X: min(p.X, q.X), Y: min(p.Y, q.Y)}, reach))
		x1, y1 := squares.square(r2.Add(r2.Vec{X: max(p.X, q.X), Y: max(p.Y, q.Y)}, reach))
		for y := y0; y <= y1; y++ {
			for x := x0; x <= x1; x++ {
				c := &covered[squares.index(x, y)]
				*c = max(*c, min(0.5+(half-toSegment(squares.middle(x, y), p, q))/squares.step, 1))
			}
		}
	}
	return floats.Sum(covered) * squares.step * squares.step
}

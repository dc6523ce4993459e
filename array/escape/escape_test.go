package escape

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
	"lodegrid/field/coil"
)

// channels is the graph that wires run in: the crossings of the channels, each cut in two
// from corner to corner, a place in the middle of each piece of channel that the pixels on
// both sides reach, and the edge.
type channels struct {
	to     [][]int // by node, of arcs
	head   []int
	left   []int // of an arc's capacity; arc k^1 is its reverse
	pixels []int // arcs from the source to them
	source int
	sink   int
}

func (g *channels) arc(a, b, cap int) int {
	g.head = append(g.head, b, a)
	g.left = append(g.left, cap, 0)
	g.to[a] = append(g.to[a], len(g.head)-2)
	g.to[b] = append(g.to[b], len(g.head)-1)
	return len(g.head) - 2
}

func (g *channels) both(a, b, cap int) {
	g.arc(a, b, cap)
	g.arc(b, a, cap)
}

// build cuts the crossing under row i, right of column j, from its lower left to its upper
// right corner where rising says so, else from the upper left to the lower right one.
func build(rows, cols, wires int, w Ways, rising func(i, j int) bool) *channels {
	g := &channels{source: 0, sink: 1, to: make([][]int, 2)}
	node := func() int { g.to = append(g.to, nil); return len(g.to) - 1 }
	const n, s, west, east = 0, 1, 2, 3
	sides := map[[2]int][4]int{} // of a crossing, by the piece of channel that comes in
	for i := range rows + 1 {
		for j := range cols + 1 {
			switch a := g.sink; {
			case i == 0 || j == 0 || i == rows || j == cols:
				sides[[2]int{i, j}] = [4]int{a, a, a, a}
			case rising(i, j):
				a, b := node(), node()
				g.both(a, b, w.Rising)
				sides[[2]int{i, j}] = [4]int{n: a, west: a, s: b, east: b}
			default:
				a, b := node(), node()
				g.both(a, b, w.Falling)
				sides[[2]int{i, j}] = [4]int{n: a, east: a, s: b, west: b}
			}
		}
	}
	middle := map[[4]int]int{}
	piece := func(i, j, k, l int) int {
		key := [4]int{i, j, k, l}
		if m, known := middle[key]; known {
			return m
		}
		m := g.sink
		switch first, second := sides[[2]int{i, j}], sides[[2]int{k, l}]; {
		case i == k && i > 0 && i < rows:
			m = node()
			g.both(m, first[east], w.Row)
			g.both(m, second[west], w.Row)
		case j == l && j > 0 && j < cols:
			m = node()
			g.both(m, first[s], w.Col)
			g.both(m, second[n], w.Col)
		}
		middle[key] = m
		return m
	}
	for i := range rows {
		for j := range cols {
			p := node()
			g.pixels = append(g.pixels, g.arc(g.source, p, wires))
			for _, m := range []int{piece(i, j, i, j+1), piece(i+1, j, i+1, j+1), piece(i, j, i+1, j), piece(i, j+1, i+1, j+1)} {
				g.arc(p, m, wires)
			}
		}
	}
	return g
}

// flow is the greatest flow, by shortest ways (Edmonds & Karp).
func (g *channels) flow() (total int) {
	for {
		from := make([]int, len(g.to))
		for k := range from {
			from[k] = -1
		}
		queue := []int{g.source}
		for len(queue) > 0 && from[g.sink] < 0 {
			n := queue[0]
			queue = queue[1:]
			for _, a := range g.to[n] {
				if h := g.head[a]; g.left[a] > 0 && from[h] < 0 && h != g.source {
					from[h] = a
					queue = append(queue, h)
				}
			}
		}
		if from[g.sink] < 0 {
			return total
		}
		for n := g.sink; n != g.source; n = g.head[from[n]^1] {
			g.left[from[n]]--
			g.left[from[n]^1]++
		}
		total++
	}
}

// alike are ways of so many tracks between any two neighbours, with room at the crossings
// for all that turn.
func alike(tracks int) Ways { return Ways{tracks, tracks, 2 * tracks, 2 * tracks} }

// On 3 × 3 and 4 × 4 pixels the count is the least maximum flow over all ways to cut the
// crossings in two: tracks that turn there pass both cuts, and a ring of pixels round a
// block uses one of them at each.
func TestCountByEveryCut(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 3))
	for n := 3; n <= 4; n++ {
		for try := range 60 / n {
			w := Ways{Row: rng.IntN(4), Col: rng.IntN(4)}
			least := max(w.Row, w.Col) // a crossing is at least as wide as the channels
			w.Falling, w.Rising = least+rng.IntN(3), least+rng.IntN(3)
			wires, cols := 1+rng.IntN(6), n-rng.IntN(2)*(try%2)
			best := math.MaxInt
			inside := (n - 1) * (cols - 1)
			for set := range 1 << inside {
				rising := func(i, j int) bool { return set>>((i-1)*(cols-1)+j-1)&1 == 1 }
				best = min(best, build(n, cols, wires, w, rising).flow())
			}
			if got := Out(n, cols, wires, w); got != best {
				t.Errorf("%d × %d, %d wires, %+v: %d come out, the least flow is %d", n, cols, wires, w, got, best)
			}
		}
	}
}

// On larger grids it is the maximum flow, too, with the crossings cut round two opposite
// corners one way and elsewhere the other; and one track fewer than Tracks is too few.
func TestCountIsMaximumFlow(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 5))
	tight := 0
	for range 60 {
		rows, cols, wires := 1+rng.IntN(12), 1+rng.IntN(12), 1+rng.IntN(4)
		w := Ways{Row: rng.IntN(6), Col: rng.IntN(6)}
		least := max(w.Row, w.Col)
		w.Falling, w.Rising = least+rng.IntN(4), least+rng.IntN(4)
		best := math.MaxInt
		for a := range (rows+cols)/2 + 1 {
			rising := func(i, j int) bool { return i+j <= a || rows+cols-i-j <= a }
			best = min(best, build(rows, cols, wires, w, rising).flow())
		}
		got := Out(rows, cols, wires, w)
		if got != best {
			t.Errorf("%d × %d, %d wires, %+v: %d come out, the maximum flow is %d", rows, cols, wires, w, got, best)
		}
		wide := w
		wide.Falling, wide.Rising = 2*least, 2*least
		if got < Out(rows, cols, wires, wide) {
			tight++
		}
		n := Tracks(rows, cols, wires)
		if all := wires * rows * cols; Out(rows, cols, wires, alike(n)) != all || n > 0 && Out(rows, cols, wires, alike(n-1)) == all {
			t.Errorf("%d × %d, %d wires: %d tracks are told to do, %d come out of %d", rows, cols, wires, n, Out(rows, cols, wires, alike(n)), all)
		}
	}
	if tight < 5 {
		t.Errorf("only in %d cases the crossings decide", tight)
	}
}

// The same by SciPy on grids of up to 40 × 40 pixels (.ci/checks/escape_flow.py).
func TestAgainstSciPy(t *testing.T) {
	data, err := os.ReadFile("../../testdata/escape/flows.json")
	if err != nil {
		t.Fatal(err)
	}
	var list []struct{ Rows, Cols, Wires, Row, Col, Falling, Rising, Out int }
	if err := json.Unmarshal(data, &list); err != nil || len(list) < 40 {
		t.Fatal(len(list), err)
	}
	for _, c := range list {
		if got := Out(c.Rows, c.Cols, c.Wires, Ways{c.Row, c.Col, c.Falling, c.Rising}); got != c.Out {
			t.Errorf("%+v: %d come out", c, got)
		}
	}
}

// board is a board drawn on squares a track wide: coils, channels between and round them,
// and holes.
type board struct {
	rows, cols     int // of pixels
	body, channel  int // squares
	holes          map[[2]int]bool
	height, length int // squares
}

func newBoard(rows, cols, body, channel int, holes ...[2]int) *board {
	b := &board{rows: rows, cols: cols, body: body, channel: channel, holes: map[[2]int]bool{}}
	p := body + channel
	b.height, b.length = rows*p+channel, cols*p+channel
	for i := -1; i <= rows; i++ { // those of pixels beside the board reach into it, too
		for j := -1; j <= cols; j++ {
			for _, h := range holes { // from the pixel's upper left square
				b.holes[[2]int{channel + i*p + h[0], channel + j*p + h[1]}] = true
			}
		}
	}
	return b
}

// pixel is which coil a square belongs to, −1 for none.
func (b *board) pixel(i, j int) int {
	p := b.body + b.channel
	if i, j = i-b.channel, j-b.channel; i < 0 || j < 0 || i >= b.rows*p || j >= b.cols*p || i%p >= b.body || j%p >= b.body {
		return -1
	}
	return i/p*b.cols + j/p
}

func (b *board) inside(i, j int) bool { return i >= 0 && j >= 0 && i < b.height && j < b.length }

var beside = [][2]int{{0, 1}, {1, 0}, {0, -1}, {-1, 0}}

// across is the fewest free squares on a chain of squares that touch, corners too, from one
// coil to another: no more tracks pass between the two.
func (b *board) across(from, to int) int {
	far := map[[2]int]int{}
	var layer, next [][2]int
	for i := range b.height {
		for j := range b.length {
			if b.pixel(i, j) == from {
				layer = append(layer, [2]int{i, j})
				far[[2]int{i, j}] = 0
			}
		}
	}
	for d := 0; len(layer) > 0; d++ {
		for k := 0; k < len(layer); k++ {
			at := layer[k]
			if far[at] < d {
				continue
			}
			for di := -1; di <= 1; di++ {
				for dj := -1; dj <= 1; dj++ {
					to2 := [2]int{at[0] + di, at[1] + dj}
					coil := b.pixel(to2[0], to2[1])
					if coil == to {
						return d
					}
					if !b.inside(to2[0], to2[1]) || coil >= 0 {
						continue
					}
					cost := d + 1
					if b.holes[to2] {
						cost = d
					}
					if old, seen := far[to2]; seen && old <= cost {
						continue
					}
					if far[to2] = cost; cost == d {
						layer = append(layer, to2)
					} else {
						next = append(next, to2)
					}
				}
			}
		}
		layer, next = next, nil
	}
	return math.MaxInt
}

// waysOf are those between such coils with others all round.
func waysOf(body, channel int, holes ...[2]int) Ways {
	const n, k = 4, 5 // pixels in a row, and the second of the second row
	b := newBoard(n, n, body, channel, holes...)
	return Ways{Row: b.across(k, k+n), Col: b.across(k, k+1), Falling: b.across(k, k+n+1), Rising: b.across(k+1, k+n)}
}

// route is the greatest number of wires, so many of each inside pixel and of any square
// beside it, that reach the outside on tracks that share no square: a flow through squares
// of one track each (Menger, Fundamenta Mathematicae 10 (1927) 96-115, from memory).
func (b *board) route(wires int) int {
	g := &channels{source: 0, sink: 1, to: make([][]int, 2)}
	node := func() int { g.to = append(g.to, nil); return len(g.to) - 1 }
	in, out := map[[2]int]int{}, map[[2]int]int{}
	free := func(i, j int) bool { return b.inside(i, j) && b.pixel(i, j) < 0 && !b.holes[[2]int{i, j}] }
	for i := range b.height {
		for j := range b.length {
			if free(i, j) {
				in[[2]int{i, j}], out[[2]int{i, j}] = node(), node()
				g.arc(in[[2]int{i, j}], out[[2]int{i, j}], 1)
			}
		}
	}
	pixels := make([]int, b.rows*b.cols)
	for k := range pixels {
		pixels[k] = node()
		if i, j := k/b.cols, k%b.cols; i == 0 || j == 0 || i == b.rows-1 || j == b.cols-1 {
			g.arc(g.source, g.sink, wires) // straight out
		} else {
			g.arc(g.source, pixels[k], wires)
		}
	}
	for i := range b.height {
		for j := range b.length {
			for _, d := range beside {
				to := [2]int{i + d[0], j + d[1]}
				switch k := b.pixel(i, j); {
				case k >= 0 && free(to[0], to[1]):
					g.arc(pixels[k], in[to], 1)
				case free(i, j) && !b.inside(to[0], to[1]):
					g.arc(out[[2]int{i, j}], g.sink, 1)
				case free(i, j) && free(to[0], to[1]):
					g.arc(out[[2]int{i, j}], in[to], 1)
				}
			}
		}
	}
	return g.flow()
}

// lay looks exhaustively for such tracks, one after the other, every choice taken back where
// it ends. A track that touches itself or its coil farther on could be shorter, and is left
// out; so is what goes on along the board's edge. The channels are one track wide.
func (b *board) lay(wires int) bool {
	owner := map[[2]int]int{} // of squares, by the track's number from 1
	var list []int
	for k := range b.rows * b.cols {
		if i, j := k/b.cols, k%b.cols; i > 0 && j > 0 && i < b.rows-1 && j < b.cols-1 {
			for range wires {
				list = append(list, k)
			}
		}
	}
	var starts [][][2]int // by wire
	for _, k := range list {
		seen := map[[2]int]bool{}
		var at [][2]int
		for i := range b.height {
			for j := range b.length {
				for _, d := range beside {
					if to := [2]int{i + d[0], j + d[1]}; b.pixel(i, j) == k && b.pixel(to[0], to[1]) < 0 && !seen[to] {
						seen[to] = true
						at = append(at, to)
					}
				}
			}
		}
		starts = append(starts, at)
	}
	var place func(n, from int) bool
	var walk func(at [2]int, n, from, length int) bool
	walk = func(at [2]int, n, from, length int) bool {
		if b.pixel(at[0], at[1]) >= 0 || b.holes[at] || owner[at] > 0 {
			return false
		}
		touches := 0
		for _, d := range beside {
			to := [2]int{at[0] + d[0], at[1] + d[1]}
			if owner[to] == n+1 {
				touches++
			}
			if length > 0 && b.pixel(to[0], to[1]) == list[n] {
				return false
			}
		}
		if touches > 1 {
			return false
		}
		owner[at] = n + 1
		defer delete(owner, at)
		if at[0] == 0 || at[1] == 0 || at[0] == b.height-1 || at[1] == b.length-1 {
			if n+1 < len(list) && list[n+1] == list[n] {
				return place(n+1, from) // a coil's wires are alike: the next begins farther on
			}
			return place(n+1, 0)
		}
		for _, d := range beside {
			if walk([2]int{at[0] + d[0], at[1] + d[1]}, n, from, length+1) {
				return true
			}
		}
		return false
	}
	place = func(n, from int) bool {
		if n == len(list) {
			return true
		}
		for k := from; k < len(starts[n]); k++ {
			if walk(starts[n][k], n, k+1, 0) {
				return true
			}
		}
		return false
	}
	return place(0, 0)
}

// Boards of 3 × 3 and 4 × 4 pixels with holes in their channels, drawn square by square: as
// many tracks as the count says can be laid side by side, and no more. The smallest are laid by
// trying everything, too.
func TestCountAgainstRoutedBoards(t *testing.T) {
	limited := 0
	for _, holes := range [][][2]int{
		nil,
		{{1, 3}},                 // in the channel between two columns, beside the coil
		{{3, 1}},                 // between two rows
		{{1, 3}, {3, 1}},         // in both
		{{3, 3}},                 // at the crossing, by the coil's corner
		{{4, 4}},                 // farther in
		{{3, 3}, {4, 4}},         // a row of joints over the crossing
		{{3, 4}, {4, 3}},         // the other way
		{{0, 3}, {1, 4}},         // a staircase over the channel
		{{1, 3}, {1, 4}},         // side by side over it
		{{1, 3}, {3, 3}, {4, 1}}, // here and there
	} {
		for n := 3; n <= 4; n++ {
			for channel := 1; channel <= 3; channel++ {
				b := newBoard(n, n, 3, channel, holes...)
				w := waysOf(3, channel, holes...)
				for wires := 1; wires <= 3; wires++ {
					count, routed := Out(n, n, wires, w), b.route(wires)
					if count != routed {
						t.Errorf("%d × %d, channel %d, holes %v, %d wires, %+v: %d come out, %d are routed", n, n, channel, holes, wires, w, count, routed)
					}
					if plain := Out(n, n, wires, waysOf(3, channel)); routed < plain {
						limited++
					}
				}
			}
		}
		for _, c := range []struct{ n, wires int }{{3, 1}, {3, 2}, {3, 4}, {3, 5}, {4, 1}, {4, 2}, {4, 3}} {
			b := newBoard(c.n, c.n, 3, 1, holes...)
			if all := Out(c.n, c.n, c.wires, waysOf(3, 1, holes...)) == c.wires*c.n*c.n; all != b.lay(c.wires) {
				t.Errorf("%+v, holes %v: all come out %v, laid by trying everything %v", c, holes, all, !all)
			}
		}
	}
	if limited < 10 {
		t.Errorf("holes are in the way in %d cases only", limited)
	}
}

func answer(t *testing.T, changes ...string) (Answer, design.Design) {
	t.Helper()
	d := trial.Sign(t, changes...)
	return Of(d, wind(t, d), 0.1), d
}

func wind(t *testing.T, d design.Design) *coil.Coil {
	t.Helper()
	spec := d.CoilSpec()
	c, err := coil.New(spec, d.Board.Rules)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// The demo by hand: 16 × 10 pixels of two wires, 14 · 8 of them inside; 224 wires pass the
// 48 gaps of the rim, so 5 in each; in 1 mm between coils fit 4 tracks of 4 mil with 5 gaps
// of 4 mil (0.914 mm), on each of 8 layers. One of the three joints at the coil's edge, in a
// pad of 0.454 mm a gap outside it, looks at the next column: it leaves 0.445 mm, a track.
func TestDemoByHand(t *testing.T) {
	a, _ := answer(t)
	if a.Wires != 2 || a.Connections != 320 || a.Need != 5 || a.Between != 4 || a.Have != 8 || a.Past.Row != 32 || a.Past.Col != 8 || a.Out != 320 || a.Free != 0 || !a.Fits() {
		t.Errorf("%+v", a)
	}
	for _, c := range []struct {
		what    string
		changes []string
		need    int
		have    int
		fits    bool
	}{
		{"no channel", []string{"grid.pitch=11.2 mm"}, 5, 0, false},
		{"two layers free", []string{"grid.pitch=11.2 mm", "coil.layers=6"}, 5, 2 * 44, true},
		{"common return without a layer", []string{"drive.bridge=low-side"}, 3, 8, false},
		{"common return on one", []string{"drive.bridge=low-side", "coil.layers=7"}, 3, 7, true},
		{"behind a sheet", []string{"drive.place=back", "coil.layers=6"}, 2, 2, false},
		{"no sheet", []string{"drive.place=back", "coil.layers=6", "iron.model=none", "iron.core_radius=0 mm"}, 2, 2, true},
		{"pins through a sheet", []string{"drive.place=second-board"}, 0, 0, false},
		{"not judged", []string{"drive.place=any", "grid.pitch=11.2 mm"}, 0, 0, true},
		{"rows of 16 coils at once, 5 mm wide", []string{"drive.mode=scan"}, 2, 0, false},
		{"rows of 1.6 A on layers of their own", []string{"drive.mode=scan", "coil.layers=6", "iron.model=none", "iron.core_radius=0 mm"}, 2, 8, true},
		{"a diode at each coil behind a steel sheet", []string{"drive.mode=scan", "coil.layers=6"}, 2, 8, false},
		{"rows and columns of one coil", []string{"drive.mode=scan", "grid.cols=1", "iron.model=none", "iron.core_radius=0 mm"}, 2, 8, true},
		{"a column cut into eight, four tracks of it at either end", []string{"drive.mode=scan", "grid.cols=1", "grid.rows=16", "drive.scan_rows=8", "iron.model=none", "iron.core_radius=0 mm"}, 2, 8, true},
		{"into nine, five at one end", []string{"drive.mode=scan", "grid.cols=1", "grid.rows=18", "drive.scan_rows=9", "iron.model=none", "iron.core_radius=0 mm"}, 3, 8, true},
	} {
		a, _ := answer(t, c.changes...)
		if c.what == "two layers free" {
			c.have = a.Free * a.Across
		}
		if a.Need != c.need || a.Have != c.have || a.Fits() != c.fits {
			t.Errorf("%s: %+v", c.what, a)
		}
	}
	// One row of ten on at a time: while it is, a coil carries ten times its mean of 0.1 A, which a
	// column's line carries one after the other, and a row's line the root of a tenth of 16 A
	// squared; its area goes with the current's power of 1/0.725 (IPC-2221).
	wide, _ := answer(t, "drive.mode=scan")
	if got, want := wide.Width/wide.Column, math.Pow(16/math.Sqrt(10), 1/0.725); math.Abs(got/want-1) > 1e-9 {
		t.Errorf("a row's line is %g times as wide as a column's, want %g", got, want)
	}
	// A line along each of ten rows, and along each of sixteen columns one for each row at once;
	// six at once take two turns, and so do five.
	for rows, pieces := range map[string]int{"3": 3, "6": 5} {
		if a, _ := answer(t, "drive.mode=scan", "drive.scan_rows="+rows); a.Connections != 10+pieces*16 {
			t.Errorf("%d connections of ten rows, %s at once, want %d", a.Connections, rows, 10+pieces*16)
		}
	}
}

// Tracks of 1 mm, 1 mm apart, between round bodies of 4 mm at 10 mm, reckoned by hand: in 6 mm
// fit two, over the crossing, 14.14 − 4 mm, four. A pad of 1 mm in the middle between two
// leaves 2.5 mm on either side, none of which takes a track with both its gaps, and 8.68 mm
// slantwise to the next but one, three tracks. Three pads over a crossing leave 3.16 mm beyond the
// last of them, one track, and the middle one 4.61 mm to the bodies left and right.
func TestWaysByHand(t *testing.T) {
	body := round(2e-3)
	mm := func(x, y, radius float64) disc { return disc{r2.Vec{X: x * 1e-3, Y: y * 1e-3}, radius * 1e-3} }
	for _, c := range []struct {
		what string
		pads []disc
		want Ways
	}{
		{"nothing", nil, Ways{2, 2, 4, 4}},
		{"in the middle of the row's channel", []disc{mm(0, 5, 0.5)}, Ways{0, 2, 3, 3}},
		{"in the middle, as the neighbour's pad", []disc{mm(0, -5, 0.5)}, Ways{0, 2, 3, 3}},
		{"by the coil, 4 mm left", []disc{mm(2.5, 0, 0.5)}, Ways{2, 2, 4, 4}},
		{"from it half a gap, 3.4 mm left", []disc{mm(3.1, 0, 0.5)}, Ways{2, 1, 4, 4}},
		{"two that leave 4 mm from coil to coil in turn", []disc{mm(2.5, 1, 0.5), mm(-2.5, 1, 0.5)}, Ways{2, 1, 4, 4}},
		{"at the crossing, 4.57 mm to either side", []disc{mm(5, 5, 0.5)}, Ways{2, 2, 4, 2}},
		{"a chain over it", []disc{mm(3, 3, 0.5), mm(4.5, 4.5, 0.5), mm(6, 6, 0.5)}, Ways{1, 1, 4, 1}},
	} {
		if got := (cell{body, c.pads}).ways(10e-3, 1e-3, 1e-3); got != c.want {
			t.Errorf("%s: %+v, want %+v", c.what, got, c.want)
		}
	}
	// Squares of 4 mm, their corners as they are and rounded to 1 mm: 6 √2 mm between the corners, and
	// (√2 − 1) more at each of two.
	for radius, want := range map[float64]float64{0: 6 * math.Sqrt2, 1e-3: 6*math.Sqrt2 + 2*(math.Sqrt2-1)} {
		s := coil.Spec{Shape: coil.Square, Outer: 4e-3}
		if radius > 0 {
			s.Shape, s.CornerRadius = coil.RoundedSquare, radius
		}
		if got := 2e3 * outline(s)(r2.Vec{X: 5e-3, Y: 5e-3}); math.Abs(got-want) > 0.01 {
			t.Errorf("corners rounded to %g m: %g mm between them, want %g mm", radius, got, want)
		}
	}
}

// A coil of an odd number of layers in series ends in its middle, and needs a layer without a
// coil to come out on, as the drawn board does.
func TestEndInTheMiddle(t *testing.T) {
	for changes, fits := range map[[2]string]bool{
		{"coil.layers=8", "coil.parallel_groups=8"}: false, {"coil.layers=8", "coil.parallel_groups=4"}: true,
		{"coil.layers=7", "coil.parallel_groups=1"}: true, {"coil.layers=8", "coil.parallel_groups=1"}: true,
	} {
		if a, _ := answer(t, append(changes[:], "board.layers=8", "grid.pitch=14 mm")...); a.Fits() != fits {
			t.Errorf("%v: %+v", changes, a)
		}
	}
}

// More current never opens a way, on any of some hundred displays drawn by lot, whatever their drive and
// place; and some are stopped by it. Ten pieces of a column's line, which two layers without windings carry,
// are not refused where they are so narrow that they fit between the coils, too.
func TestMoreCurrentOpensNoWay(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 4))
	stopped, open, mixed := 0, 0, 0
	for range 400 {
		rows, board := 1+rng.IntN(24), []int{2, 4, 6, 8}[rng.IntN(4)]
		place := []string{"edge", "edge", "edge", "back", "second-board"}[rng.IntN(5)]
		d := trial.Sign(t, "board.layers="+fmt.Sprint(board), "coil.layers="+fmt.Sprint(1+rng.IntN(board)), "coil.parallel_groups=1", "drive.place="+place,
			fmt.Sprintf("grid.pitch=%.2f mm", 11.11+3*rng.Float64()), fmt.Sprintf("grid.rows=%d", rows), fmt.Sprintf("grid.cols=%d", 1+rng.IntN(24)), "drive.most_lit=1",
			"iron.model="+[]string{"none", "auto"}[rng.IntN(2)], "iron.core_radius=0 mm", "drive.mode="+[]string{"scan", "scan", "stagger"}[rng.IntN(3)], fmt.Sprintf("drive.scan_rows=%d", 1+rng.IntN(rows)))
		c := wind(t, d)
		before := Of(d, c, 0)
		for amperes := 0.01; amperes < 30; amperes *= 1.25 {
			a := Of(d, c, amperes)
			if a.Out > before.Out || a.Fits() && !before.Fits() {
				t.Errorf("%+v at %.3g A comes of %+v with less", a, amperes, before)
			}
			if a.Fits() != (a.Out == a.Connections && a.Obstacle == "") || a.Wires == 0 && a.Obstacle == "" && a.Fits() != (a.Have >= a.Need) {
				t.Errorf("%+v", a)
			}
			if before.Fits() && !a.Fits() {
				stopped++
			}
			if a.Fits() && a.Wires == 0 && a.Need > 2 && a.Wound > 0 && a.Free > 0 {
				mixed++
			}
			before = a
		}
		if before.Fits() {
			open++
		}
	}
	if stopped < 50 || open < 10 || mixed < 10 {
		t.Errorf("%d are stopped by their current, %d never, %d scans need three layers and more: too few to tell", stopped, open, mixed)
	}
	if a, _ := answer(t, "drive.mode=scan", "drive.bridge=low-side", "drive.scan_rows=10", "grid.cols=2", "drive.most_lit=2", "iron.model=none", "iron.core_radius=0 mm", "board.layers=4", "coil.layers=2", "coil.parallel_groups=1"); !a.Fits() {
		t.Errorf("ten pieces beside two layers without windings: %+v", a)
	}
}

// What is told to mend it does, and a little less does not.
func TestRemedies(t *testing.T) {
	a, d := answer(t, "grid.pitch=11.2 mm", "grid.cols=64", "grid.rows=64")
	if a.Fits() {
		t.Fatalf("%+v", a)
	}
	pitch, layers := a.Wider(d, wind(t, d), 0.1), a.Fewer(d, 0.1)
	if pitch == 0 || layers == 0 {
		t.Fatalf("pitch %g, %d layers", pitch, layers)
	}
	for _, c := range []struct {
		pitch  float64
		layers int
		fits   bool
	}{{pitch, 8, true}, {pitch - 0.02e-3, 8, false}, {d.Grid.Pitch, layers, true}, {d.Grid.Pitch, layers + 1, false}} {
		e := d
		e.Grid.Pitch, e.Coil.Layers = c.pitch, c.layers
		if got := Of(e, wind(t, e), 0.1); got.Fits() != c.fits {
			t.Errorf("pitch %g, %d layers: %+v", c.pitch, c.layers, got)
		}
	}
	e := d
	if e.Coil.Outer = a.Smaller(d, wind(t, d), 0.1); e.Coil.Outer == 0 || e.Coil.Outer >= d.Coil.Outer {
		t.Errorf("smaller coils of %g m", e.Coil.Outer)
	}
}

package escape

import (
	"math"
	"math/rand/v2"
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
	"lodegrid/field/coil"
)

// channels is the graph that wires run in: the crossings of the channels, a place in the
// middle of each piece of channel that the pixels on both sides reach, and the edge.
type channels struct {
	to       [][]int // by node, of arcs
	head     []int
	left     []int // of an arc's capacity; arc k^1 is its reverse
	pixels   []int // arcs from the source to them
	source   int
	sink     int
	crossing []int // nodes of the crossings inside
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

func build(rows, cols, wires, tracks int) *channels {
	g := &channels{source: 0, sink: 1, to: make([][]int, 2)}
	node := func() int { g.to = append(g.to, nil); return len(g.to) - 1 }
	rim := func(i, j int) bool { return i == 0 || j == 0 || i == rows || j == cols }
	cross := map[[2]int]int{}
	for i := range rows + 1 {
		for j := range cols + 1 {
			if rim(i, j) {
				cross[[2]int{i, j}] = g.sink
			} else {
				cross[[2]int{i, j}] = node()
				g.crossing = append(g.crossing, cross[[2]int{i, j}])
			}
		}
	}
	middle := map[[4]int]int{}
	piece := func(i, j, k, l int) int {
		key := [4]int{i, j, k, l}
		if n, known := middle[key]; known {
			return n
		}
		along := i == k && (i == 0 || i == rows) || j == l && (j == 0 || j == cols)
		n := g.sink
		if !along {
			n = node()
			g.both(n, cross[[2]int{i, j}], tracks)
			g.both(n, cross[[2]int{k, l}], tracks)
		}
		middle[key] = n
		return n
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

// route looks exhaustively for ways for so many wires of the pixels inside the rim.
func (g *channels) route(inside []int, wires int) bool {
	var place func(k int) bool
	var walk func(n, k int, seen map[int]bool) bool
	walk = func(n, k int, seen map[int]bool) bool {
		if n == g.sink {
			return place(k + 1)
		}
		seen[n] = true
		defer delete(seen, n)
		for _, a := range g.to[n] {
			h := g.head[a]
			if a%2 == 1 || g.left[a] == 0 || seen[h] || h == g.source {
				continue
			}
			g.left[a]--
			ok := walk(h, k, seen)
			g.left[a]++
			if ok {
				return true
			}
		}
		return false
	}
	place = func(k int) bool {
		return k == len(inside)*wires || walk(g.head[g.pixels[inside[k/wires]]], k, map[int]bool{})
	}
	return place(0)
}

// least is the least cut, over all sets of pixels inside the rim and crossings on the
// source's side; a piece's middle stands where it costs least, and a pixel of the rim, of
// which either side costs its wires, on the sink's.
func least(rows, cols, wires, tracks int) int {
	g := build(rows, cols, wires, tracks)
	nodes := append([]int{}, g.crossing...)
	chosen := map[int]bool{g.source: true, g.sink: true}
	for k, a := range g.pixels {
		if i, j := k/cols, k%cols; i > 0 && j > 0 && i < rows-1 && j < cols-1 {
			nodes = append(nodes, g.head[a])
		}
		chosen[g.head[a]] = true
	}
	side := make([]bool, len(g.to))
	side[g.source] = true
	for _, n := range nodes {
		chosen[n] = true
	}
	best := math.MaxInt
	for set := range 1 << len(nodes) {
		for k, n := range nodes {
			side[n] = set>>k&1 == 1
		}
		cut := 0
		for n := range g.to {
			if chosen[n] { // arcs to nodes that are chosen, too
				for _, a := range g.to[n] {
					if h := g.head[a]; a%2 == 0 && chosen[h] && side[n] && !side[h] {
						cut += g.left[a]
					}
				}
				continue
			}
			in, out := 0, 0 // what the middle costs on the sink's side and on the source's
			for _, a := range g.to[n] {
				h := g.head[a]
				if a%2 == 0 && !side[h] {
					out += g.left[a]
				}
				if a%2 == 1 && side[h] {
					in += g.left[a^1]
				}
			}
			cut += min(in, out)
		}
		best = min(best, cut)
	}
	return best
}

// On 3 × 3 and 4 × 4 pixels the count is what exhaustive search finds: ways for all that it
// says, and a cut that lets no more through.
func TestCountByBruteForce(t *testing.T) {
	for wires := 1; wires <= 5; wires++ {
		for tracks := range 3 {
			for n := 3; n <= 4; n++ {
				want := Out(n, n, wires, tracks)
				if got := least(n, n, wires, tracks); got != want {
					t.Errorf("%d × %d, %d wires, %d tracks: %d come out, the least cut is %d", n, n, wires, tracks, want, got)
				}
			}
		}
	}
	// Ways laid one by one, with every other choice taken back where they end.
	for _, c := range []struct {
		n, wires, tracks int
		inside           []int
	}{{3, 2, 1, []int{4}}, {3, 8, 1, []int{4}}, {4, 1, 1, []int{5, 6, 9, 10}}, {4, 3, 1, []int{5, 6, 9, 10}}} {
		if Out(c.n, c.n, c.wires, c.tracks) != c.wires*c.n*c.n || !build(c.n, c.n, c.wires, c.tracks).route(c.inside, c.wires) {
			t.Errorf("%d × %d, %d wires, %d tracks: not all come out", c.n, c.n, c.wires, c.tracks)
		}
	}
}

// On larger grids it is the maximum flow, and one track fewer than Tracks is too few.
func TestCountIsMaximumFlow(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 5))
	for range 60 {
		rows, cols, wires, tracks := 1+rng.IntN(12), 1+rng.IntN(12), 1+rng.IntN(4), rng.IntN(6)
		if got, want := Out(rows, cols, wires, tracks), build(rows, cols, wires, tracks).flow(); got != want {
			t.Errorf("%d × %d, %d wires, %d tracks: %d come out, the maximum flow is %d", rows, cols, wires, tracks, got, want)
		}
		n := Tracks(rows, cols, wires)
		if all := wires * rows * cols; Out(rows, cols, wires, n) != all || n > 0 && Out(rows, cols, wires, n-1) == all {
			t.Errorf("%d × %d, %d wires: %d tracks are told to do, %d come out of %d", rows, cols, wires, n, Out(rows, cols, wires, n), all)
		}
	}
}

func answer(t *testing.T, changes ...string) (Answer, design.Design) {
	t.Helper()
	d := trial.Sign(t, changes...)
	spec, err := d.CoilSpec()
	if err != nil {
		t.Fatal(err)
	}
	c, err := coil.New(spec, d.Board.Rules)
	if err != nil {
		t.Fatal(err)
	}
	return Of(d, c, 0.1), d
}

// The demo by hand: 16 × 10 pixels of two wires, 14 · 8 of them inside; 224 wires pass the
// 48 gaps of the rim, so 5 in each; in 1 mm between coils fit 4 tracks of 4 mil with 5 gaps
// of 4 mil (0.914 mm), on each of 8 layers.
func TestDemoByHand(t *testing.T) {
	a, _ := answer(t)
	if a.Wires != 2 || a.Connections != 320 || a.Need != 5 || a.Between != 4 || a.Have != 32 || a.Out != 320 || a.Free != 0 || !a.Fits() {
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
		{"common return without a layer", []string{"drive.bridge=low-side"}, 3, 32, false},
		{"common return on one", []string{"drive.bridge=low-side", "coil.layers=7"}, 3, 28, true},
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

// What is told to mend it does, and a little less does not.
func TestRemedies(t *testing.T) {
	a, d := answer(t, "grid.pitch=11.2 mm", "grid.cols=64", "grid.rows=64")
	if a.Fits() {
		t.Fatalf("%+v", a)
	}
	pitch, layers := a.Wider(d), a.Fewer(d)
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
		spec, err := d.CoilSpec()
		if err != nil {
			t.Fatal(err)
		}
		wound, err := coil.New(spec, d.Board.Rules)
		if err != nil {
			t.Fatal(err)
		}
		if got := Of(e, wound, 0.1); got.Fits() != c.fits {
			t.Errorf("pitch %g, %d layers: %+v", c.pitch, c.layers, got)
		}
	}
	e := d
	if e.Coil.Outer = a.Smaller(d); e.Coil.Outer == 0 || e.Coil.Outer >= d.Coil.Outer {
		t.Errorf("smaller coils of %g m", e.Coil.Outer)
	}
}

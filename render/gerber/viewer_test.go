package gerber

import (
	"bytes"
	"fmt"
	"image"
	"image/draw"
	"image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"golang.org/x/image/vector"
	"gonum.org/v1/gonum/spatial/r2"

	"lodegrid/array/artwork"
	"lodegrid/array/design/trial"
	"lodegrid/array/escape"
)

// What a general-purpose viewer makes of the files, against a picture of the board's own
// copper, and the nets traced from the viewer's pictures and the drill file alone. Needs
// gerbv, which .ci/install brings.
func TestViewer(t *testing.T) {
	if _, err := exec.LookPath("gerbv"); err != nil {
		if os.Getenv("LODEGRID_CI") != "" {
			t.Fatal(err)
		}
		t.Skip("gerbv is not installed")
	}
	for name, changes := range map[string][]string{
		"demo":          {"grid.cols=2", "grid.rows=2"},
		"parallel":      {"coil.parallel_groups=2", "board.layers=4", "coil.layers=4", "grid.cols=2", "grid.rows=1"},
		"three of four": {"board.layers=4", "coil.layers=3", "iron.core_radius=0 mm", "grid.cols=1", "grid.rows=2"},
		"square":        {"board.layers=2", "coil.layers=2", "coil.shape=square", "coil.outer=10 mm", "iron.core_radius=0 mm", "grid.cols=2", "grid.rows=1"},
	} {
		t.Run(name, func(t *testing.T) { view(t, board(t, changes...)) })
	}
	t.Run("planes", func(t *testing.T) {
		view(t, board(t, "grid.cols=2", "grid.rows=2", "board.layers=4", "coil.layers=2", "coil.outer=10 mm", "iron.core_radius=0 mm", "drive.feeder_width=0.8 mm", "board.planes=[feeders, none, pour 50 %, pour 30 % exposed]"))
	})
	t.Run("of no whole dots", func(t *testing.T) { // 70 mm are 3307.1 of them
		view(t, board(t, "grid.cols=2", "grid.rows=2", "order.height=70 mm", "order.width=41.3 mm"))
	})
	t.Run("test board", func(t *testing.T) {
		view(t, panel(t, 28e-3, 18e-3, nil, []string{"iron.model=none", "coil.layers=1"}))
	})
	t.Run("ways to the edge", func(t *testing.T) {
		view(t, connected(t, "grid.cols=4", "grid.rows=2", "board.layers=2", "coil.layers=2"))
	})
	t.Run("common return", func(t *testing.T) {
		view(t, connected(t, "grid.cols=3", "grid.rows=2", "board.layers=4", "coil.layers=2", "drive.bridge=low-side"))
	})
	t.Run("a scan's lines", func(t *testing.T) {
		changes := []string{"grid.cols=3", "grid.rows=4", "drive.mode=scan", "drive.bridge=low-side", "drive.scan_rows=2", "board.layers=4", "coil.layers=2", "iron.model=none", "iron.core_radius=0 mm"}
		d := trial.Sign(t, changes...)
		b, err := artwork.Draw(t.Context(), d, escape.Of(d, board(t, changes...).Coil, 0.02))
		if err != nil || !b.Scanned() {
			t.Fatal(b.NoWays, err)
		}
		view(t, b)
	})
	t.Run("ways along the columns", func(t *testing.T) {
		b := connected(t, "grid.cols=10", "grid.rows=1", "board.layers=2", "coil.layers=2")
		if b.Edges() != "upper and lower" {
			t.Fatal(b.Edges())
		}
		view(t, b)
	})
	// A board with step and repeat shows as one whose pixels are drawn one by one.
	t.Run("step and repeat", func(t *testing.T) {
		b := board(t, "grid.cols=2", "grid.rows=2")
		one := written(t, func(w *bytes.Buffer) error { return Copper(w, b, 0) })
		repeated := written(t, func(w *bytes.Buffer) error { return copper(w, b, 0, false) })
		p, q := shoot(t, b, "one.gbr", one), shoot(t, b, "repeated.gbr", repeated)
		if len(repeated)*2 > len(one) || !strings.Contains(repeated, "%SRX2Y2I12.000000J12.000000*%") {
			t.Error("the repeated file is not one")
		}
		if p.area() == 0 || !bytes.Equal(p.Pix, q.Pix) {
			t.Error("they differ")
		}
	})
}

// dot is the size of the pictures' dots, m: the viewer rounds the width of a track to
// whole ones, so a track of 5 mil is a whole number of them.
const dot = 25.4e-3 / 1200

// picture is a grey picture of the board, black where there is nothing. It ends where the
// outline's line does.
type picture struct {
	*image.Gray
	low r2.Vec // lower left corner
}

func blank(b *artwork.Board) picture {
	w, h := b.Width+outlineLine, b.Height+outlineLine
	return picture{image.NewGray(image.Rect(0, 0, int(math.Round(w/dot)), int(math.Round(h/dot)))), r2.Vec{X: -w / 2, Y: -h / 2}}
}

// shoot has the viewer draw a file.
func shoot(t *testing.T, b *artwork.Board, name, text string) picture {
	t.Helper()
	p := blank(b)
	dir := t.TempDir()
	in, out := filepath.Join(dir, name), filepath.Join(dir, "out.png")
	if err := os.WriteFile(in, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
	edge := filepath.Join(dir, "edge.gbr")
	if err := os.WriteFile(edge, []byte(written(t, func(w *bytes.Buffer) error { return Profile(w, b) })), 0o666); err != nil {
		t.Fatal(err)
	}
	// The outline is drawn in black: it gives the picture its size.
	talk, err := exec.Command("gerbv", "-x", "png", "-a", "-B", "0", "-D", "1200",
		"-b", "#000000", "-f", "#ffffffff", "-f", "#000000ff", "-o", out, in, edge).CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %s", err, talk)
	}
	understood(t, name, string(talk))
	p.take(t, out)
	return p
}

// understood tells what the viewer had to say, except that it does not know attributes.
func understood(t *testing.T, name, talk string) {
	t.Helper()
	for _, l := range strings.Split(talk, "\n") {
		if l = strings.TrimSpace(l); l != "" && !regexp.MustCompile(`Unknown RS-274X extension found %T[FAOD]%`).MatchString(l) {
			t.Errorf("%s: the viewer says %s", name, l)
		}
	}
}

// take reads a picture file, which may be a little larger on every side.
func (p picture) take(t *testing.T, path string) {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, err := png.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	more := img.Bounds().Size().Sub(p.Rect.Size())
	if min(more.X, more.Y) < 0 || max(more.X, more.Y) > 4 {
		t.Fatalf("the viewer's picture is %v, want %v", img.Bounds(), p.Rect)
	}
	draw.Draw(p.Gray, p.Rect, img, more.Div(2), draw.Src)
}

// own draws the copper of a layer from the outlines of its tracks.
func own(b *artwork.Board, layer int) picture {
	p := blank(b)
	r := vector.NewRasterizer(p.Rect.Dx(), p.Rect.Dy())
	place := func(q r2.Vec) (float32, float32) {
		return float32((q.X - p.low.X) / dot), float32((-p.low.Y - q.Y) / dot)
	}
	polygon := func(line []r2.Vec, by r2.Vec) {
		area := 0.0
		for i, q := range line {
			area += r2.Cross(q, line[(i+1)%len(line)])
		}
		for i := range line {
			if area < 0 { // all one way round, so that overlaps do not cancel
				i = len(line) - 1 - i
			}
			x, y := place(r2.Add(line[i], by))
			if area > 0 && i == 0 || area < 0 && i == len(line)-1 {
				r.MoveTo(x, y)
			} else {
				r.LineTo(x, y)
			}
		}
		r.ClosePath()
	}
	disc := func(at r2.Vec, diameter float64, by r2.Vec) {
		line := make([]r2.Vec, 120)
		for i := range line {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(len(line)))
			line[i] = r2.Add(at, r2.Vec{X: diameter / 2 * cos, Y: diameter / 2 * sin})
		}
		polygon(line, by)
	}
	bent := func(t artwork.Track, by r2.Vec) { // the viewer rounds sharp corners
		from := 0
		for k := 1; k < len(t.Points); k++ {
			if k == len(t.Points)-1 || r2.Dot(r2.Unit(r2.Sub(t.Points[k], t.Points[k-1])), r2.Unit(r2.Sub(t.Points[k+1], t.Points[k]))) < 0.95 {
				polygon(artwork.Track{Width: t.Width, Points: t.Points[from : k+1]}.Outline(), by)
				disc(t.Points[from], t.Width, by)
				from = k
			}
		}
		disc(t.Points[len(t.Points)-1], t.Width, by)
	}
	pixels(b, func(row, col int, by r2.Vec) {
		for _, t := range b.At(row, col).Tracks {
			if t.Layer == layer {
				bent(t, by)
			}
		}
		for _, t := range b.Pixel.Planes {
			if t.Layer == layer {
				t.Width = math.Round(t.Width/dot) * dot // as the viewer has it
				polygon(t.Outline(), by)
				disc(t.Points[0], t.Width, by)
				disc(t.Points[1], t.Width, by)
			}
		}
		for _, h := range b.At(row, col).Holes {
			if h.Plated() {
				disc(h.At, h.Pad, by)
			}
		}
	})
	for _, w := range b.Ways {
		if disc(w.End.At, w.End.Pad, r2.Vec{}); w.Track.Layer == layer {
			if w.Line > 0 {
				w.Track.Width = math.Round(w.Track.Width/dot) * dot // as the viewer has it
			}
			bent(w.Track, r2.Vec{})
		}
	}
	whole := image.NewAlpha(p.Rect)
	r.Draw(whole, p.Rect, image.Opaque, image.Point{})
	p.Pix = whole.Pix
	return p
}

// area is what is lit, m².
func (p picture) area() float64 {
	sum := 0.0
	for _, v := range p.Pix {
		sum += float64(v)
	}
	return sum / 255 * dot * dot
}

// beyond counts the well lit dots that have none of another picture's but dark ones beside
// them and in their place.
func (p picture) beyond(other picture) int {
	n := 0
	for y := 1; y < p.Rect.Dy()-1; y++ {
		for x := 1; x < p.Rect.Dx()-1; x++ {
			if p.Pix[y*p.Stride+x] < 192 {
				continue
			}
			most := uint8(0)
			for k := -1; k <= 1; k++ {
				row := other.Pix[(y+k)*p.Stride+x-1:]
				most = max(most, row[0], row[1], row[2])
			}
			if most < 64 {
				n++
			}
		}
	}
	return n
}

// label numbers the pieces that hang together, 0 for what is not lit, or for what is.
func (p picture) label(lit bool) (labels []int32, pieces int) {
	labels = make([]int32, len(p.Pix))
	var todo []int
	for i := range p.Pix {
		if labels[i] != 0 || (p.Pix[i] >= 128) != lit {
			continue
		}
		pieces++
		labels[i] = int32(pieces)
		todo = append(todo[:0], i)
		for len(todo) > 0 {
			at := todo[len(todo)-1]
			todo = todo[:len(todo)-1]
			x := at % p.Stride
			for _, n := range []int{at - p.Stride, at + p.Stride, at - 1, at + 1} {
				if n < 0 || n >= len(p.Pix) || n == at-1 && x == 0 || n == at+1 && x == p.Stride-1 || labels[n] != 0 || (p.Pix[n] >= 128) != lit {
					continue
				}
				labels[n] = int32(pieces)
				todo = append(todo, n)
			}
		}
	}
	return labels, pieces
}

// index is the picture's dot at a place.
func (p picture) index(q r2.Vec) int {
	return int((-p.low.Y-q.Y)/dot)*p.Stride + int((q.X-p.low.X)/dot)
}

func view(t *testing.T, b *artwork.Board) {
	drills := written(t, func(w *bytes.Buffer) error { return Drill(w, b, true) })
	var holes []r2.Vec
	for _, m := range regexp.MustCompile(`(?m)^X(.+)Y(.+)$`).FindAllStringSubmatch(drills, -1) {
		x, err := strconv.ParseFloat(m[1], 64)
		y, also := strconv.ParseFloat(m[2], 64)
		if err != nil || also != nil {
			t.Fatal(err, also)
		}
		holes = append(holes, r2.Vec{X: x * 1e-3, Y: y * 1e-3})
	}
	// Pieces of all layers joined at the holes, by union and find.
	parent := []int{}
	var find func(i int) int
	find = func(i int) int {
		if parent[i] != i {
			parent[i] = find(parent[i])
		}
		return parent[i]
	}
	at := make([][]int, len(b.Layers)) // the piece each hole stands in
	for layer := range b.Layers {
		text := written(t, func(w *bytes.Buffer) error { return Copper(w, b, layer) })
		seen, mine := shoot(t, b, fmt.Sprintf("copper-%d.gbr", layer+1), text), own(b, layer)
		if off := seen.area()/mine.area() - 1; math.Abs(off) > 0.005 {
			t.Errorf("layer %d: %.3f mm² in the viewer, %.3f mm² drawn: %+.2f %%", layer+1, seen.area()*1e6, mine.area()*1e6, off*100)
		}
		if n := seen.beyond(mine) + mine.beyond(seen); n > 0 {
			t.Errorf("layer %d: %d dots of copper stand more than a dot from where they should", layer+1, n)
		}
		labels, pieces := seen.label(true)
		// A turn that touches the next, or a loop, would cut off what is between.
		if _, grounds := seen.label(false); grounds != 1 && !slices.ContainsFunc(b.Pixel.Planes, func(t artwork.Track) bool { return t.Layer == layer }) {
			t.Errorf("layer %d: what is free of copper comes in %d pieces", layer+1, grounds)
		}
		base := len(parent)
		for i := range pieces {
			parent = append(parent, base+i)
		}
		for _, h := range holes {
			l := labels[seen.index(h)]
			if l == 0 {
				t.Fatalf("layer %d: no copper at the hole %.3f, %.3f mm", layer+1, h.X*1e3, h.Y*1e3)
			}
			at[layer] = append(at[layer], base+int(l)-1)
		}
	}
	for i := range holes {
		for layer := 1; layer < len(b.Layers); layer++ {
			parent[find(at[layer][i])] = find(at[0][i])
		}
	}
	nets := map[int]bool{}
	for i := range parent {
		nets[find(i)] = true
	}
	want := b.Cols * b.Rows
	for layer := range b.Layers {
		planes := map[string]bool{}
		if slices.ContainsFunc(b.Pixel.Planes, func(t artwork.Track) bool { return t.Layer == layer }) {
			pixels(b, func(row, col int, _ r2.Vec) { planes[planeNet(b, layer, row, col)] = true })
		}
		want += len(planes)
	}
	_, shared := b.Common()
	if shared {
		want = 1
	}
	if b.Scanned() {
		want = len(b.Ends()) // a row's line each, and a column's or a piece of it, with its coils
	}
	if len(nets) != want {
		t.Errorf("%d pieces of copper for %d nets", len(nets), want)
	}
	hole := func(p r2.Vec) int {
		for i, h := range holes {
			if r2.Norm(r2.Sub(h, p)) < 1e-6 {
				return i
			}
		}
		t.Fatalf("no hole at %v", p)
		return 0
	}
	seen := map[int]bool{}
	lines := map[string][]int{} // the pieces that each line of a scan should be one of
	pixels(b, func(row, col int, by r2.Vec) {
		p := b.At(row, col)
		in := find(at[0][hole(r2.Add(by, p.Wire(artwork.WireIn).At))])
		out := find(at[0][hole(r2.Add(by, p.Wire(artwork.WireOut).At))])
		if in != out || !b.Scanned() && seen[in] != shared && len(seen) > 0 {
			t.Errorf("row %d, column %d: its wires are not joined, or joined with another pixel's", row+1, col+1)
		}
		seen[in] = true
		if line := p.Wire(artwork.WireRow); line.Plated() {
			lines[rowNet(row)] = append(lines[rowNet(row)], find(at[0][hole(r2.Add(by, line.At))]))
			lines[Net(b, row, col)] = append(lines[Net(b, row, col)], in)
		}
		for _, w := range b.Ways {
			if b.Scanned() && w.End.Plated() && w.Row == row && w.Col == col {
				lines[WayNet(b, w)] = append(lines[WayNet(b, w)], find(at[0][hole(w.End.At)]))
			}
			if !b.Scanned() && w.Row == row && w.Col == col && find(at[0][hole(w.End.At)]) != in {
				t.Errorf("row %d, column %d: a way ends at a hole of another pixel's", row+1, col+1)
			}
		}
	})
	pieces := map[int]bool{}
	for name, list := range lines {
		slices.Sort(list)
		if list = slices.Compact(list); len(list) != 1 || pieces[list[0]] {
			t.Errorf("the line %s is %d pieces of copper, or one with another", name, len(list))
		}
		pieces[list[0]] = true
	}
	for name, write := range map[string]func(w *bytes.Buffer) error{
		"mask-front.gbr": func(w *bytes.Buffer) error { return Mask(w, b, true) }, "mask-back.gbr": func(w *bytes.Buffer) error { return Mask(w, b, false) },
		"legend-back.gbr": func(w *bytes.Buffer) error { return Legend(w, b) }, "outline.gbr": func(w *bytes.Buffer) error { return Profile(w, b) },
		"plated.drl": func(w *bytes.Buffer) error { return Drill(w, b, true) }, "bare.drl": func(w *bytes.Buffer) error { return Drill(w, b, false) },
	} {
		got, want := shoot(t, b, name, written(t, write)).area(), 0.0
		add := func(h artwork.Hole, n int) {
			switch d := h.Drill; {
			case name == "plated.drl" && h.Plated(), name == "bare.drl" && !h.Plated():
				want += math.Pi / 4 * d * d * float64(n)
			case strings.HasPrefix(name, "mask") && h.Kind != artwork.Via:
				d = max(h.Pad, h.Drill) + 2*maskSwell
				want += math.Pi / 4 * d * d * float64(n)
			}
		}
		pixels(b, func(row, col int, _ r2.Vec) {
			for _, h := range b.At(row, col).Holes {
				add(h, 1)
			}
		})
		for _, h := range b.Others() {
			add(h, 1)
		}
		switch name {
		case "mask-back.gbr":
			if bare := own(b, len(b.Layers)-1).area(); slices.ContainsFunc(b.Pixel.Planes, func(t artwork.Track) bool { return t.Exposed }) {
				if got < want+0.2*bare {
					t.Error("the exposed pour lies under the mask")
				}
				want = got
			}
		case "outline.gbr":
			want = got // painted over in black, to give the other pictures their size
		case "legend-back.gbr":
			want = got // a picture to look at: only that there is one
		}
		if got == 0 && name != "outline.gbr" || math.Abs(got-want) > 0.005*want {
			t.Errorf("%s: %.4f mm² in the viewer, %.4f mm² drawn", name, got*1e6, want*1e6)
		}
	}
}

package gerber

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"lodegrid/array/artwork"
	"lodegrid/array/design"
	"lodegrid/array/design/trial"
	"lodegrid/array/escape"
)

// board draws the demo's board, changed.
func board(t *testing.T, changes ...string) *artwork.Board {
	t.Helper()
	d := trial.Sign(t, changes...)
	b, err := artwork.Draw(context.Background(), d, escape.Answer{})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// connected draws one with ways to drivers at its edge.
func connected(t *testing.T, changes ...string) *artwork.Board {
	t.Helper()
	d := trial.Sign(t, changes...)
	without := board(t, changes...)
	b, err := artwork.Draw(context.Background(), d, escape.Of(d, without.Coil, 0.1))
	wires := 2
	if _, shared := b.Common(); shared {
		wires = 1
	}
	if err != nil || len(b.Ways) != wires*d.Pixels() {
		t.Fatalf("%d ways: %s, %v", len(b.Ways), b.NoWays, err)
	}
	return b
}

// panel draws a test board of the demo on four layers, changed in each coil.
func panel(t *testing.T, width, height float64, coils ...[]string) *artwork.Board {
	t.Helper()
	var list []design.Design
	for _, c := range coils {
		list = append(list, trial.Sign(t, append([]string{"board.layers=4", "coil.layers=4"}, c...)...))
	}
	b, _, err := artwork.Panel(t.Context(), list, width, height)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func written(t *testing.T, write func(b *bytes.Buffer) error) string {
	t.Helper()
	var b bytes.Buffer
	if err := write(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// Arcs stay within a micrometre of the points they replace, and leave corners alone.
func TestArcs(t *testing.T) {
	for name, changes := range map[string][]string{
		"round": nil, "square": {"coil.shape=square", "coil.outer=10 mm", "iron.core_radius=0 mm"},
		"rounded square": {"coil.shape=rounded-square", "coil.outer=10 mm", "iron.core_radius=0 mm"},
	} {
		t.Run(name, func(t *testing.T) {
			b := board(t, changes...)
			for _, track := range b.Pixel.Tracks {
				p := arcs(track.Points)
				from, k, length := p.start, 0, 0.0
				for _, piece := range p.pieces {
					radius := r2.Norm(r2.Sub(from, piece.centre))
					if piece.turn == line {
						length += r2.Norm(r2.Sub(piece.to, from))
					} else {
						a, c := r2.Sub(from, piece.centre), r2.Sub(piece.to, piece.centre)
						angle := math.Abs(math.Atan2(r2.Cross(a, c), r2.Dot(a, c)))
						length += radius * angle
						if way := r2.Cross(a, c) > 0; way != (piece.turn == counterclockwise) {
							t.Fatalf("an arc turns the wrong way at %v", from)
						}
					}
					for track.Points[k] != piece.to {
						if off := math.Abs(r2.Norm(r2.Sub(track.Points[k], piece.centre)) - radius); piece.turn != line && off > 1e-6 {
							t.Fatalf("a point lies %g m off its arc", off)
						}
						if k++; k == len(track.Points) {
							t.Fatal("an arc ends beside the track")
						}
					}
					from = piece.to
				}
				if off := length/track.Length() - 1; math.Abs(off) > 1e-4 {
					t.Errorf("layer %d: %g m as arcs, %g m of track", track.Layer+1, length, track.Length())
				}
				if name != "square" && len(p.pieces)*8 > len(track.Points) && !track.Lead {
					t.Errorf("layer %d: %d arcs for %d chords", track.Layer+1, len(p.pieces), len(track.Points))
				}
			}
		})
	}
}

// Every line is a command of the format, every net and pad of the grid is named once a
// layer, and the file ends as it must.
func TestCopperFile(t *testing.T) {
	command := regexp.MustCompile(`^(%(TF|TA|TO|TD)[.][A-Za-z,0-9._-]+\*%|%TO[.][NP],[rc0-9,]*\*%|%FSLAX46Y46\*%|%MOMM\*%|%LPD\*%|%ADD[0-9]+C,[0-9.]+\*%|%SRX[0-9]+Y[0-9]+I[0-9.]+J[0-9.]+\*%|%SR\*%|%TD\*%|G0[123]\*|G75\*|D[1-9][0-9]\*|X-?[0-9]+Y-?[0-9]+(I-?[0-9]+J-?[0-9]+)?D0[123]\*|M02\*)$`)
	padName := regexp.MustCompile(`%TO\.P,[^*]*\*%`)
	for _, c := range []struct {
		changes []string
		named   bool
	}{{[]string{"grid.cols=3", "grid.rows=2"}, true}, {[]string{"grid.cols=64", "grid.rows=64"}, false}} {
		b := board(t, c.changes...)
		for layer := range b.Layers {
			text := written(t, func(w *bytes.Buffer) error { return Copper(w, b, layer) })
			lines := strings.Split(strings.TrimSuffix(text, "\n"), "\n")
			for _, l := range lines {
				if !command.MatchString(l) {
					t.Fatalf("%q is no command", l)
				}
			}
			if lines[len(lines)-1] != "M02*" {
				t.Error("the file does not end")
			}
			pads := map[string]int{}
			for _, m := range padName.FindAllString(text, -1) {
				pads[m]++
			}
			for row := range b.Rows {
				for col := range b.Cols {
					for pin := range 2 {
						name := fmt.Sprintf("%%TO.P,r%dc%d,%d*%%", row+1, col+1, pin+1)
						if pads[name] != 1 {
							t.Fatalf("layer %d: %s stands there %d times", layer+1, name, pads[name])
						}
						delete(pads, name)
					}
				}
			}
			if len(pads) > 0 {
				t.Errorf("layer %d: pads of no pixel: %v", layer+1, pads)
			}
			if blocks := strings.Count(text, "%SR"); Named(b) != c.named || c.named != (blocks == 0) {
				t.Errorf("%d × %d pixels: named %v, %d step and repeat commands", b.Cols, b.Rows, Named(b), blocks)
			}
			if len(text) > 700e3 {
				t.Errorf("layer %d takes %d bytes", layer+1, len(text))
			}
		}
	}
}

// A scan's lines have their names beside the holes that they end at, towards the edge, also where
// a line ends beside another's pixels.
func TestLegendOfAScan(t *testing.T) {
	for pieces := 1; pieces <= 2; pieces++ {
		changes := []string{"grid.cols=3", "grid.rows=4", "drive.mode=scan", "drive.bridge=low-side", fmt.Sprintf("drive.scan_rows=%d", pieces), "board.layers=4", "coil.layers=2", "iron.model=none", "iron.core_radius=0 mm"}
		b, err := artwork.Draw(t.Context(), trial.Sign(t, changes...), escape.Of(trial.Sign(t, changes...), board(t, changes...).Coil, 0.02))
		if err != nil || !b.Scanned() {
			t.Fatal(b.NoWays, err)
		}
		var points []r2.Vec
		for _, m := range regexp.MustCompile(`X(-?\d+)Y(-?\d+)D0[12]`).FindAllStringSubmatch(written(t, func(w *bytes.Buffer) error { return Legend(w, b) }), -1) {
			x, _ := strconv.ParseFloat(m[1], 64)
			y, _ := strconv.ParseFloat(m[2], 64)
			points = append(points, r2.Vec{X: x * 1e-9, Y: y * 1e-9})
		}
		strokes := map[string]int{}
		for _, w := range b.Ways {
			if !w.End.Plated() {
				continue
			}
			out := r2.Vec{X: -1}
			if w.From != artwork.WireRow {
				out = r2.Vec{Y: math.Copysign(1, w.End.At.Y)}
			}
			for _, p := range points {
				if d := r2.Sub(p, w.End.At); r2.Dot(d, out) > w.End.Pad/2 && math.Abs(r2.Cross(d, out)) < b.Pitch/2 && r2.Norm(d) < 5e-3 {
					strokes[WayNet(b, w)]++
				}
			}
		}
		// A name alike beside each: of as many points as its letters have.
		want := map[string]int{"row1": 12, "row2": 13, "row3": 13, "row4": 12}
		if pieces == 1 {
			want["column1.1"], want["column2.1"], want["column3.1"] = 16, 17, 17
		}
		for net, n := range want {
			if strokes[net] != n {
				t.Errorf("%d pieces: %d points beside the hole of %s, want %d", pieces, strokes[net], net, n)
			}
		}
		if len(strokes) != b.Rows+b.Cols*pieces {
			t.Errorf("%d pieces: names beside %d holes: %v", pieces, len(strokes), strokes)
		}
	}
}

// The holes of the drill files are those of the board.
func TestDrillFiles(t *testing.T) {
	b := board(t, "grid.cols=3", "grid.rows=2")
	for _, c := range []struct {
		plated bool
		holes  int
		want   string
	}{
		{true, 6 * (7 + 2), "; #@! TF.FileFunction,Plated,1,8,PTH\n"},
		{false, 6 + 4, "; #@! TF.FileFunction,NonPlated,1,8,NPTH\n"},
	} {
		text := written(t, func(w *bytes.Buffer) error { return Drill(w, b, c.plated) })
		if !strings.HasPrefix(text, "M48\n") || !strings.HasSuffix(text, "M30\n") || !strings.Contains(text, c.want) {
			t.Errorf("not a drill file of its kind: %.80q", text)
		}
		if n := len(regexp.MustCompile(`(?m)^X-?[0-9]+\.[0-9]+Y-?[0-9]+\.[0-9]+$`).FindAllString(text, -1)); n != c.holes {
			t.Errorf("%d holes, want %d", n, c.holes)
		}
	}
}

func BenchmarkCopper64(b *testing.B) {
	d, err := trial.Lit().With(change(b, "grid.cols=64"), change(b, "grid.rows=64"))
	if err != nil {
		b.Fatal(err)
	}
	drawn, err := artwork.Draw(context.Background(), d, escape.Answer{})
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		var out bytes.Buffer
		if err := Copper(&out, drawn, 0); err != nil {
			b.Fatal(err)
		}
		b.SetBytes(int64(out.Len()))
	}
}

func change(b *testing.B, text string) design.Change {
	c, err := design.ParseChange(text)
	if err != nil {
		b.Fatal(err)
	}
	return c
}

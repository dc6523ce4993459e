package generate

import (
	"context"
	"math"
	"reflect"
	"strings"
	"testing"

	"lodegrid/scenes"
)

// drawn shows a frame as text: '#' full, '.' dark, '+' between.
func drawn(levels []float64, cols int) string {
	var b strings.Builder
	for p, v := range levels {
		switch {
		case v == 0:
			b.WriteByte('.')
		case v == 1:
			b.WriteByte('#')
		default:
			b.WriteByte('+')
		}
		if p%cols == cols-1 {
			b.WriteByte('\n')
		}
	}
	return b.String()
}

func expectDrawn(t *testing.T, what string, f scenes.Frame, cols int, want string) {
	t.Helper()
	want = strings.TrimLeft(strings.ReplaceAll(want, "\t", ""), "\n")
	if got := drawn(f.Levels, cols); got != want {
		t.Errorf("%s:\n%swant\n%s", what, got, want)
	}
}

func generated(t *testing.T, kind string, rows, cols int, change func(p *Params)) scenes.Scene {
	t.Helper()
	p, err := Defaults(kind, rows, cols)
	if err != nil {
		t.Fatal(err)
	}
	if change != nil {
		change(&p)
	}
	s, err := Scene(context.Background(), kind, p)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// TestEveryKind: defaults give a valid scene of brightness 0…1 on the demo grid
// and on odd ones, the same one twice.
func TestEveryKind(t *testing.T) {
	kinds := Kinds()
	if len(kinds) != 9 {
		t.Fatalf("%d kinds, want 9", len(kinds))
	}
	for _, k := range kinds {
		for _, grid := range [][2]int{{10, 16}, {16, 40}, {7, 25}, {40, 33}} {
			s := generated(t, k.Name, grid[0], grid[1], nil)
			if s.Name != k.Name || s.Rows != grid[0] || s.Cols != grid[1] {
				t.Errorf("%s: made scene %q of %d × %d", k.Name, s.Name, s.Rows, s.Cols)
			}
			lit := false
			for _, f := range s.Frames {
				for _, v := range f.Levels {
					if v < 0 {
						t.Fatalf("%s: level %g", k.Name, v)
					}
					lit = lit || v > 0
				}
			}
			if !lit {
				t.Errorf("%s on %v: nothing is ever lit", k.Name, grid)
			}
			if grid[1] != 16 {
				continue
			}
			if again := generated(t, k.Name, grid[0], grid[1], nil); !reflect.DeepEqual(s, again) {
				t.Errorf("%s: the same parameters gave another scene", k.Name)
			}
			if _, err := scenes.DefaultMapping().Scene(context.Background(), s); err != nil {
				t.Errorf("%s: %v", k.Name, err)
			}
		}
		if k.About == "" || len(k.Uses) == 0 {
			t.Errorf("%s: not described", k.Name)
		}
	}
}

// TestSeeds: another seed gives another scene where a seed is used, the same
// where not.
func TestSeeds(t *testing.T) {
	for _, k := range Kinds() {
		uses := strings.Contains(strings.Join(k.Uses, " "), "seed")
		change := func(seed uint64) func(p *Params) {
			return func(p *Params) {
				p.Seed = seed
				if k.Name == "walk" {
					p.Order = "random"
				}
			}
		}
		differs := !reflect.DeepEqual(generated(t, k.Name, 10, 16, change(1)), generated(t, k.Name, 10, 16, change(2)))
		if differs != uses {
			t.Errorf("%s: seed listed %v, scene changes with it %v", k.Name, uses, differs)
		}
	}
}

func TestGenerateErrors(t *testing.T) {
	for _, test := range []struct {
		kind   string
		change func(p *Params)
		want   string
	}{
		{"tide", func(p *Params) { p.Period = 0 }, "scene tide: period 0 s: want more than 0"},
		{"tide", func(p *Params) { p.High = 1.5 }, "high water 1.5: want 0.2…1"},
		{"tide", func(p *Params) { p.Low = math.NaN() }, "low water NaN: want 0…1"},
		{"tide", func(p *Params) { p.WaveHeight = -1 }, "wave height -1: want 0…10"},
		{"tide", func(p *Params) { p.Wavelength = math.Inf(1) }, "wavelength +Inf pixels"},
		{"tide", func(p *Params) { p.FrameTime = 0 }, "frame time 0 s: want more than 0"},
		{"tide", func(p *Params) { p.Duration = 1e5 }, "the limit is"},
		{"tide", func(p *Params) { p.FrameTime = 1e-300 }, "too many frames"},
		{"tide", func(p *Params) { p.Rows = 0 }, "grid of 0 rows × 16 columns"},
		{"tide", func(p *Params) { p.Rows, p.Cols = math.MaxInt, math.MaxInt }, "1 to 512 pixels along a side are possible"},
		{"ticker", func(p *Params) { p.Text = " " }, "text is empty"},
		{"ticker", func(p *Params) { p.Text = "a☂" }, `no glyph for '☂' (character 2) in the 5 × 7 font; it has the printable ASCII`},
		{"ticker", func(p *Params) { p.Text = "a\xff" }, "not UTF-8"},
		{"ticker", func(p *Params) { p.Text = "a\n" }, `no glyph for '\n'`},
		{"ticker", func(p *Params) { p.Text = strings.Repeat("x", 5000) }, "5000 characters: want at most 4096"},
		{"ticker", func(p *Params) { p.Rows = 6 }, "a grid of 6 rows is too low for text: want at least 7"},
		{"ticker", func(p *Params) { p.Speed = -1 }, "speed -1 columns/s"},
		{"clock", func(p *Params) { p.TimeOfDay = 86400 }, "time of day 86400 s since midnight"},
		{"clock", func(p *Params) { p.Rows = 4 }, "too small for a clock"},
		{"clock", func(p *Params) { p.Cols = 14 }, "too small for a clock: want 5 × 15"},
		{"checker", func(p *Params) { p.Cell = 0 }, "cell 0 pixels"},
		{"walk", func(p *Params) { p.Order = "zigzag" }, `order "zigzag": want rows, serpentine or random`},
		{"all-on", func(p *Params) { p.Duration = -1 }, "duration -1 s"},
		{"all-on", func(p *Params) { p.Duration = 1e9 }, "lasts 1e+09 s, the limit is"},
		{"gauge", func(p *Params) { p.Axis = "diagonal" }, "want vertical or horizontal"},
		{"gauge", func(p *Params) { p.Low = 2 }, "low 2: want 0…1"},
		{"hand-over", func(p *Params) { p.Order = "rows" }, `order "rows": want ring or serpentine`},
		{"hand-over", func(p *Params) { p.Overlap = 1.1 }, "overlap 1.1: want 0…1"},
		{"hand-over", func(p *Params) { p.Duration = -1 }, "duration -1 s"},
		{"plasma", func(p *Params) { p.Wavelength = 0 }, "wavelength 0 pixels"},
	} {
		p, err := Defaults(test.kind, 10, 16)
		if err != nil {
			t.Fatal(err)
		}
		test.change(&p)
		if _, err := Scene(context.Background(), test.kind, p); err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("%s: error %v, want it to say %q", test.kind, err, test.want)
		}
	}
	want := `scene kind "rain": want one of tide, ticker, clock, checker, walk, hand-over, all-on, gauge, plasma`
	if _, err := Scene(context.Background(), "rain", Params{Rows: 1, Cols: 1}); err == nil || err.Error() != want {
		t.Errorf("unknown kind: error %v", err)
	}
	if _, err := Defaults("rain", 1, 1); err == nil || err.Error() != want {
		t.Errorf("unknown kind: error %v", err)
	}
	if _, err := Defaults("tide", 0, 1); err == nil {
		t.Error("defaults on no grid")
	}
}

// TestTideVolume: without fade the lit area is the integral of the surface; over
// a whole number of waves that is the still level, which goes as the stated
// cosine.
func TestTideVolume(t *testing.T) {
	s := generated(t, "tide", 10, 16, func(p *Params) { p.Low, p.High, p.Period, p.Duration = 0.3, 0.7, 20, 20 })
	for i, f := range s.Frames {
		var area float64
		for _, v := range f.Levels {
			area += v
		}
		at := float64(i) * 0.05
		want := 160 * (0.3 + 0.4*(1-math.Cos(2*math.Pi*at/20))/2)
		if math.Abs(area-want) > 1e-9 {
			t.Fatalf("frame %d: %g pixels lit, want %g", i, area, want)
		}
		for p := range 144 { // the water is below what it covers
			if f.Levels[p] > f.Levels[p+16] {
				t.Fatalf("frame %d: pixel %d brighter than the one under it", i, p)
			}
		}
	}
}

// TestTideTravels: after a quarter of the wave's period the picture has moved a
// quarter of its length to the right.
func TestTideTravels(t *testing.T) {
	s := generated(t, "tide", 10, 16, func(p *Params) {
		p.Low, p.High, p.Fade = 0.5, 0.5, 0.5
		p.WavePeriod, p.FrameTime = 2, 0.5
	})
	for p := range s.Frames[0].Levels {
		row, col := p/16, p%16
		if got, want := s.Frames[1].Levels[row*16+(col+4)%16], s.Frames[0].Levels[p]; math.Abs(got-want) > 1e-12 {
			t.Fatalf("row %d, column %d: %g a quarter period on, want %g", row, (col+4)%16, got, want)
		}
	}
	faded := s.Frames[0].Levels
	if !(faded[9*16] < faded[8*16]) {
		t.Errorf("fade: bottom row %g is not darker than the row above, %g", faded[9*16], faded[8*16])
	}
}

func TestTicker(t *testing.T) {
	s := generated(t, "ticker", 8, 9, func(p *Params) { p.Text = "Ai" })
	// 9 columns to cross and the text's own 5 + 1 + 3.
	if len(s.Frames) != 18 || math.Abs(s.Duration()-18.0/8) > 1e-12 {
		t.Fatalf("%d frames, %g s; want 18 frames, 2.25 s", len(s.Frames), s.Duration())
	}
	expectDrawn(t, "first column", s.Frames[0], 9, `
	.........
	........#
	........#
	........#
	........#
	........#
	........#
	.........
	`)
	expectDrawn(t, "whole", s.Frames[8], 9, `
	.###...#.
	#...#....
	#...#.##.
	#####..#.
	#...#..#.
	#...#..#.
	#...#.###
	.........
	`)
	expectDrawn(t, "gone", s.Frames[17], 9, strings.Repeat(".........\n", 8))

	// Twice as fast as the frames: every second column is shown; then again.
	fast := generated(t, "ticker", 8, 9, func(p *Params) { p.Text, p.Speed, p.Duration = "Ai", 16, 18.0/8 })
	for i, f := range fast.Frames {
		if !reflect.DeepEqual(f.Levels, s.Frames[2*i%18].Levels) {
			t.Fatalf("frame %d is not frame %d of the slow one", i, 2*i%18)
		}
	}
	// A character the tall font lacks is set in the lower one.
	tall, low := generated(t, "ticker", 13, 9, func(p *Params) { p.Text = "A" }), generated(t, "ticker", 13, 9, func(p *Params) { p.Text = "Ä" })
	if len(tall.Frames) != 9+6 || len(low.Frames) != 9+5 {
		t.Errorf("passes of %d and %d frames, want 15 and 14", len(tall.Frames), len(low.Frames))
	}
}

func TestClock(t *testing.T) {
	s := generated(t, "clock", 7, 16, func(p *Params) { p.TimeOfDay, p.Duration = 23*3600+59*60+59, 2 })
	expectDrawn(t, "23:59, colon lit", s.Frames[0], 16, `
	................
	###.###.###.###.
	..#...###...#.#.
	###..##.###.###.
	#.....##..#...#.
	###.###.###.###.
	................
	`)
	expectDrawn(t, "00:00, colon dark", s.Frames[3], 16, `
	................
	###.###.###.###.
	#.#.#.#.#.#.#.#.
	#.#.#.#.#.#.#.#.
	#.#.#.#.#.#.#.#.
	###.###.###.###.
	................
	`)
	stacked := generated(t, "clock", 11, 7, nil)
	expectDrawn(t, "12 over 34", stacked.Frames[0], 7, `
	.#..###
	##....#
	.#..###
	.#..#..
	###.###
	.......
	###.#.#
	..#.#.#
	.##.###
	..#...#
	###...#
	`)
	// Backwards through midnight, a minute a second.
	back := generated(t, "clock", 5, 15, func(p *Params) { p.TimeOfDay, p.Speed, p.Duration, p.FrameTime = 0, -60, 2, 1 })
	expectDrawn(t, "23:59 again", back.Frames[1], 15, `
	###.###.###.###
	..#...###...#.#
	###..##.###.###
	#.....##..#...#
	###.###.###.###
	`)
}

func TestChecker(t *testing.T) {
	s := generated(t, "checker", 3, 5, func(p *Params) { p.Cell, p.Duration = 2, 2.5 })
	if len(s.Frames) != 3 || s.Frames[2].Duration != 0.5 {
		t.Fatalf("%d frames, the last of %g s; want 3, the last of 0.5 s", len(s.Frames), s.Frames[len(s.Frames)-1].Duration)
	}
	expectDrawn(t, "first half", s.Frames[0], 5, `
	##..#
	##..#
	..##.
	`)
	expectDrawn(t, "second half", s.Frames[1], 5, `
	..##.
	..##.
	##..#
	`)
}

// TestWalk: every order visits every pixel once per pass.
func TestWalk(t *testing.T) {
	first := map[string][]int{"rows": {0, 1, 2, 3, 4, 5}, "serpentine": {0, 1, 2, 5, 4, 3}}
	for _, order := range []string{"rows", "serpentine", "random"} {
		s := generated(t, "walk", 4, 3, func(p *Params) { p.Order, p.Duration = order, 24*p.FrameTime })
		if len(s.Frames) != 24 {
			t.Fatalf("%s: %d frames, want 24", order, len(s.Frames))
		}
		var path []int
		for _, f := range s.Frames {
			lit := -1
			for p, v := range f.Levels {
				if v != 0 {
					if lit >= 0 || v != 1 {
						t.Fatalf("%s: frame %v", order, f.Levels)
					}
					lit = p
				}
			}
			path = append(path, lit)
		}
		seen := map[int]bool{}
		for _, p := range path[:12] {
			seen[p] = true
		}
		if len(seen) != 12 || !reflect.DeepEqual(path[:12], path[12:]) {
			t.Errorf("%s: path %v", order, path)
		}
		if want := first[order]; want != nil && !reflect.DeepEqual(path[:6], want) {
			t.Errorf("%s: begins %v, want %v", order, path[:6], want)
		}
	}
	if s := generated(t, "walk", 4, 3, nil); len(s.Frames) != 12 {
		t.Errorf("one pass has %d frames, want 12", len(s.Frames))
	}
}

func TestAllOn(t *testing.T) {
	s := generated(t, "all-on", 2, 3, nil)
	if len(s.Frames) != 1 || s.Duration() != 10 {
		t.Errorf("%d frames, %g s", len(s.Frames), s.Duration())
	}
	expectDrawn(t, "all on", s.Frames[0], 3, "###\n###\n")
}

func TestGauge(t *testing.T) {
	s := generated(t, "gauge", 4, 2, func(p *Params) { p.Low, p.High, p.Period, p.FrameTime = 0, 0.75, 8, 1; p.Duration = 16 })
	for i, want := range []float64{0, 0.75, 1.5, 2.25, 3, 2.25, 1.5, 0.75, 0} { // pixels filled of a column
		f := s.Frames[i]
		if got := f.Levels[0] + f.Levels[2] + f.Levels[4] + f.Levels[6]; math.Abs(got-want) > 1e-12 {
			t.Errorf("frame %d: %g pixels filled, want %g", i, got, want)
		}
	}
	expectDrawn(t, "from the bottom", s.Frames[2], 2, "..\n..\n++\n##\n")
	flat := generated(t, "gauge", 1, 4, func(p *Params) { p.Period, p.FrameTime, p.Axis = 8, 1, "horizontal" })
	expectDrawn(t, "from the left", flat.Frames[1], 4, "#...\n")
}

// TestPlasma: it varies over the grid, stays in 0…1 (TestEveryKind) and repeats
// after its period.
func TestPlasma(t *testing.T) {
	s := generated(t, "plasma", 10, 16, func(p *Params) { p.Duration = 24 })
	half := len(s.Frames) / 2
	for _, i := range []int{0, 7, half - 1} {
		for p, v := range s.Frames[i].Levels {
			if math.Abs(v-s.Frames[i+half].Levels[p]) > 1e-9 {
				t.Fatalf("frame %d, pixel %d: %g, a period later %g", i, p, v, s.Frames[i+half].Levels[p])
			}
		}
	}
	low, high := 1.0, 0.0
	for _, v := range s.Frames[0].Levels {
		low, high = math.Min(low, v), math.Max(high, v)
	}
	if high-low < 0.3 {
		t.Errorf("first frame spans %g…%g only", low, high)
	}
}

// TestFrameTimes: frames add up to the duration, the last one cut short.
func TestFrameTimes(t *testing.T) {
	for _, duration := range []float64{0.01, 0.3, 1, 3.14159, 20} {
		s := generated(t, "tide", 2, 2, func(p *Params) { p.Duration, p.FrameTime = duration, 0.1 })
		if n := int(math.Ceil(duration/0.1 - 1e-6)); len(s.Frames) != n || math.Abs(s.Duration()-duration) > 1e-9 {
			t.Errorf("%g s: %d frames of together %g s, want %d", duration, len(s.Frames), s.Duration(), n)
		}
	}
}

// TestHandOver: every step is to a neighbour, the drop is never without a pixel, and
// the path comes back to where it began.
func TestHandOver(t *testing.T) {
	for _, grid := range [][2]int{{4, 3}, {1, 5}, {5, 1}, {2, 2}, {1, 1}, {3, 16}} {
		for _, order := range []string{orderRing, orderSerpentine} {
			for _, overlap := range []float64{0, 0.25, 0.75} {
				rows, cols := grid[0], grid[1]
				s := generated(t, "hand-over", rows, cols, func(p *Params) { p.Order, p.Overlap = order, overlap })
				var visited []int
				before := map[int]bool{}
				for i, f := range s.Frames {
					now := map[int]bool{}
					for k, v := range f.Levels {
						if v == 1 {
							now[k] = true
						}
					}
					if len(now) < 1 || len(now) > 2 {
						t.Fatalf("%v %s overlap %g, frame %d: %d pixels lit", grid, order, overlap, i, len(now))
					}
					for k := range now {
						if before[k] {
							continue
						}
						if n := len(visited); n > 0 {
							last := visited[n-1]
							if d := abs(k/cols-last/cols) + abs(k%cols-last%cols); d != 1 {
								t.Fatalf("%v %s: step from %d to %d", grid, order, last, k)
							}
							if overlap > 0 && !now[last] {
								t.Fatalf("%v %s overlap %g: pixel %d is off while %d takes its drop", grid, order, overlap, last, k)
							}
						}
						visited = append(visited, k)
					}
					before = now
				}
				first, last := visited[0], visited[len(visited)-1]
				if d := abs(first/cols-last/cols) + abs(first%cols-last%cols); rows*cols > 1 && d != 1 {
					t.Errorf("%v %s: ends at %d, which is no neighbour of %d", grid, order, last, first)
				}
				seen := map[int]bool{}
				for _, k := range visited {
					seen[k] = true
				}
				if order == orderSerpentine && len(seen) != rows*cols {
					t.Errorf("%v: serpentine visits %d of %d pixels", grid, len(seen), rows*cols)
				}
				if want := float64(len(visited)) * 0.5; math.Abs(s.Duration()-want) > 1e-9 {
					t.Errorf("%v %s overlap %g: lasts %g s, want %g", grid, order, overlap, s.Duration(), want)
				}
			}
		}
	}
}

func abs(v int) int { return max(v, -v) }

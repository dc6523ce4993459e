package artwork

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
	"lodegrid/array/escape"
)

// with is the demo's design, changed.
func with(t *testing.T, changes ...string) design.Design {
	t.Helper()
	return trial.Sign(t, changes...)
}

var boards = map[string][]string{
	"demo":            nil,
	"no core":         {"iron.core_radius=0 mm"},
	"square":          {"coil.shape=square", "coil.outer=10 mm", "iron.core_radius=0 mm"},
	"rounded square":  {"coil.shape=rounded-square", "coil.outer=10 mm", "iron.core_radius=0 mm"},
	"hexagon":         {"coil.shape=hexagon", "coil.outer=10 mm", "iron.core_radius=0 mm"},
	"two layers":      {"board.layers=2", "coil.layers=2"},
	"half turns":      {"coil.turns=15.5"},
	"parallel":        {"coil.parallel_groups=2"},
	"parallel layers": {"coil.parallel_groups=4"},
	"three of four":   {"board.layers=4", "coil.layers=3", "iron.core_radius=0 mm"},
	"one of two":      {"board.layers=2", "coil.layers=1", "iron.core_radius=0 mm"},
	"one pixel":       {"grid.cols=1", "grid.rows=1"},
	"two ounces":      {"board.copper_outer=2 oz", "board.copper_inner=2 oz", "coil.track=8 mil", "coil.gap=8 mil", "coil.turns=8"},
}

// The drawn copper is the copper that the model computes with: length, area and resistance
// within 0.5 %, and no rule of the board house is broken.
func TestDrawnIsModelled(t *testing.T) {
	for name, changes := range boards {
		t.Run(name, func(t *testing.T) {
			b, err := Draw(context.Background(), with(t, changes...), escape.Answer{})
			if err != nil {
				t.Fatal(err)
			}
			near := func(what string, have, want float64) {
				if off := have/want - 1; math.Abs(off) > 0.005 {
					t.Errorf("%s: drawn %g, modelled %g: %+.2f %%", what, have, want, off*100)
				}
			}
			length, area := 0.0, 0.0
			for _, track := range b.Pixel.Tracks {
				if !track.Lead {
					length += track.Length()
					area += track.Area()
				}
			}
			layers := b.Coil.Spec().Layers
			modelled := b.Coil.Length()
			for _, v := range b.Coil.Vias() {
				modelled -= layers[v.From].Z - layers[v.To].Z
			}
			near("length", length, modelled)
			near("area", area, b.Coil.CopperArea()*float64(len(layers)))
			net, err := b.Trace()
			if err != nil {
				t.Fatal(err)
			}
			near("resistance", net.Coil(), b.Coil.Resistance(293.15))
			if net.Leads <= 0 || net.Leads > 0.02*net.Resistance {
				t.Errorf("leads of %g Ω in %g Ω", net.Leads, net.Resistance)
			}
			for _, c := range b.Checks() {
				if c.Broken() {
					t.Errorf("%s: %.4f mm, least %.4f mm, %s", c.Name, c.Least*1e3, c.Rule*1e3, c.Where)
				}
			}
		})
	}
}

// The field of the drawn path, leads and all, against the closed turns that the whole
// model computes with, on the fluid plane.
func TestDrawnField(t *testing.T) {
	for name, changes := range boards {
		t.Run(name, func(t *testing.T) {
			d := with(t, changes...)
			b, err := Draw(context.Background(), d, escape.Answer{})
			if err != nil {
				t.Fatal(err)
			}
			net, err := b.Trace()
			if err != nil {
				t.Fatal(err)
			}
			drawn, model := net.Source(), b.Coil.Source(d.Fluid.Height, 1e-4)
			axis := r3.Vec{Z: d.Fluid.Height}
			peak := model.B(axis).Z
			worst := 0.0
			for i := range 13 {
				for k := range 12 {
					sin, cos := math.Sincos(2 * math.Pi * float64(k) / 12)
					p := r3.Vec{X: cos * float64(i) / 8 * d.Coil.Outer / 2, Y: sin * float64(i) / 8 * d.Coil.Outer / 2, Z: d.Fluid.Height}
					worst = max(worst, r3.Norm(r3.Sub(drawn.B(p), model.B(p)))/peak)
				}
			}
			off := drawn.B(axis).Z/peak - 1
			t.Logf("axis %+.2f %%, worst out to 1.5 coil radii %.2f %% of the peak", off*100, worst*100)
			// The straight line between the wires' holes, which no real pair of wires makes,
			// is most of what is off beside the axis of a coil with few layers.
			if math.Abs(off) > 0.01 || worst > 0.025 {
				t.Errorf("the drawn copper's field is off by %+.2f %% on the axis, %.2f %% of the peak elsewhere", off*100, worst*100)
			}
		})
	}
}

// Broken drawings are found out.
func TestChecksFindMistakes(t *testing.T) {
	draw := func(t *testing.T) *Board {
		b, err := Draw(context.Background(), with(t, "board.layers=2", "coil.layers=2"), escape.Answer{})
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	broken := func(b *Board, key string) bool {
		for _, c := range b.Checks() {
			if c.Key == key {
				return c.Broken()
			}
		}
		return false
	}
	for key, spoil := range map[string]func(b *Board){
		"track":        func(b *Board) { b.Pixel.Tracks[1].Width = 90e-6 },
		"gap":          func(b *Board) { b.Pixel.Tracks[0].Width += 3e-6 },
		"ring":         func(b *Board) { b.Pixel.Holes[0].Pad -= 5e-6 },
		"drill":        func(b *Board) { b.Pixel.Holes[0].Drill = 0.19e-3 },
		"hole_spacing": func(b *Board) { b.Pixel.Holes[0].At = r2.Vec{X: 1.1e-3} },
		"bare_hole":    func(b *Board) { b.Pixel.Holes[0].At = r2.Vec{X: 1.1e-3} },
		"edge":         func(b *Board) { b.Width = 192.3e-3 },
	} {
		t.Run(key, func(t *testing.T) {
			b := draw(t)
			if broken(b, key) {
				t.Fatal("broken before")
			}
			if spoil(b); !broken(b, key) {
				t.Error("not found")
			}
		})
	}
	// A pad of the neighbour's in the way counts as the pixel's own.
	b := draw(t)
	hole := b.Pixel.Holes[len(b.Pixel.Holes)-1]
	hole.At = r2.Vec{X: b.Pitch - 4e-3}
	b.Pixel.Holes = append(b.Pixel.Holes, hole)
	if !broken(b, "gap") {
		t.Error("a pad in the neighbour's coil is not found")
	}
	for name, spoil := range map[string]func(b *Board){
		"nowhere": func(b *Board) {
			b.Pixel.Tracks = append(b.Pixel.Tracks, Track{Width: 1e-4, Points: []r2.Vec{{X: 5e-3, Y: 5e-3}, {X: 5.5e-3, Y: 5e-3}}})
		},
		"cut":  func(b *Board) { b.Pixel.Tracks[1].Points = b.Pixel.Tracks[1].Points[1:] },
		"ways": func(b *Board) { b.Pixel.Tracks = append(b.Pixel.Tracks, b.Pixel.Tracks[0]) },
	} {
		t.Run(name, func(t *testing.T) {
			b := draw(t)
			if _, err := b.Trace(); err != nil {
				t.Fatal(err)
			}
			spoil(b)
			if _, err := b.Trace(); err == nil {
				t.Error("not found")
			}
		})
	}
}

// connected draws a design's board with its ways to drivers at the edge.
func connected(t *testing.T, changes ...string) *Board {
	t.Helper()
	d := with(t, changes...)
	b, err := Draw(context.Background(), d, escape.Answer{})
	if err != nil {
		t.Fatal(err)
	}
	if b, err = Draw(context.Background(), d, escape.Of(d, b.Coil, 0.1)); err != nil {
		t.Fatal(err)
	}
	return b
}

// Every wire of every pixel has a way of its own from its hole to one in the margin, where
// package escape says that all find one; what the drawing cannot do is told.
func TestWays(t *testing.T) {
	for name, c := range map[string]struct {
		changes []string
		why     string
	}{
		"demo":             {nil, ""},
		"two layers":       {[]string{"board.layers=2", "coil.layers=2", "grid.cols=8"}, ""},
		"no channel":       {[]string{"grid.pitch=11.2 mm"}, "2 beside each other on 8 layers, and 0 fit"},
		"a free layer":     {[]string{"coil.layers=6", "grid.rows=1"}, ""},
		"large":            {[]string{"grid.cols=64", "grid.rows=64"}, "64 tracks go to either side in each channel, 8 beside each other on 8 layers, and 4 fit"},
		"large, wider":     {[]string{"grid.cols=64", "grid.rows=64", "coil.outer=10.2 mm", "coil.turns=14", "order.width=860 mm"}, ""},
		"columns":          {[]string{"grid.cols=24", "grid.rows=6", "coil.outer=11.3 mm", "order.height=120 mm"}, ""},
		"one in a channel": {[]string{"grid.cols=8", "coil.outer=11.3 mm"}, ""},
		"no margin":        {[]string{"order.width=197 mm"}, "an order.width of 2"},
		"no margin at all": {[]string{"grid.cols=8", "grid.rows=6", "order.width=97 mm", "order.height=73 mm"}, "; along the columns: the margin has no room for the holes that the tracks end at: an order.height of "},
		"one layer":        {[]string{"coil.layers=1", "board.layers=2", "iron.core_radius=0 mm", "grid.cols=8", "order.width=101 mm"}, "an order.width of "},
		"common return":    {[]string{"drive.bridge=low-side", "coil.layers=6", "grid.cols=8"}, ""},
		"returning inside": {[]string{"drive.bridge=low-side", "coil.layers=7", "grid.cols=8", "iron.core_radius=0 mm"}, ""},
		"scan":             {[]string{"drive.mode=scan", "drive.scan_rows=2", "grid.rows=10", "grid.cols=16"}, "no way for a diode at each coil"},
		"behind":           {[]string{"drive.place=second-board"}, ""},
		"pour in between":  {[]string{"coil.layers=6", "grid.cols=8", "board.planes=[none, none, none, none, none, none, pour 60 %, feeders]"}, ""},
	} {
		t.Run(name, func(t *testing.T) {
			b := connected(t, c.changes...)
			if !strings.Contains(b.NoWays, c.why) || (b.NoWays == "") != (c.why == "") {
				t.Fatalf("%q, want %q", b.NoWays, c.why)
			}
			if len(b.Ways) == 0 {
				if c.why == "" && name != "behind" {
					t.Fatal("no ways")
				}
				// What was tried left nothing behind.
				plain, err := Draw(context.Background(), b.design, escape.Answer{})
				if err != nil {
					t.Fatal(err)
				}
				if !reflect.DeepEqual(b.Pixel, plain.Pixel) {
					t.Error("the pixel is not that of a board without ways")
				}
				return
			}
			seen, ends := map[[3]int]bool{}, map[r2.Vec]bool{}
			for _, w := range b.Ways {
				seen[[3]int{w.Row, w.Col, int(w.From)}], ends[w.End.At] = true, true
				p := w.Track.Points
				if p[0] != r2.Add(b.Center(w.Row, w.Col), b.Wire(w.From).At) || p[len(p)-1] != w.End.At {
					t.Fatalf("row %d, column %d: from %v to %v", w.Row, w.Col, p[0], p[len(p)-1])
				}
				if feeders, pour, _ := b.design.PlaneOn(w.Track.Layer); feeders || pour > 0 {
					t.Fatal("a way cuts a plane")
				}
			}
			wires, want := 2, b.Rows*b.Cols
			if _, shared := b.Common(); shared {
				wires, want = 1, 1
			}
			if n := wires * b.Rows * b.Cols; len(b.Ways) != n || len(seen) != n || len(ends) != n {
				t.Errorf("%d ways of %d wires to %d holes, want %d", len(b.Ways), len(seen), len(ends), n)
			}
			for _, c := range b.Checks() {
				if c.Broken() {
					t.Errorf("%s: %.4f mm, least %.4f mm, %s", c.Name, c.Least*1e3, c.Rule*1e3, c.Where)
				}
			}
			if nets, err := b.Joined(); err != nil || nets != want {
				t.Errorf("%d nets: %v", nets, err)
			}
			if net, err := b.Trace(); err != nil || math.Abs(net.Coil()/b.Coil.Resistance(293.15)-1) > 0.005 {
				t.Errorf("the coil's net: %v Ω, %v", net.Coil(), err)
			}
			if b.turned != (name == "columns") {
				t.Errorf("turned: %v", b.turned)
			}
		})
	}
	// By hand: 0.1016 mm of 1 oz over 100 mm are 1.7241e-8 · 0.1 / (0.1016e-3 · 34.8e-6) = 0.4876 Ω.
	b := connected(t)
	w := b.Ways[0]
	if got, want := b.Resistance(w)/w.Track.Length(), 4.876; math.Abs(got/want-1) > 2e-3 {
		t.Errorf("%g Ω/m, want %g", got, want)
	}
}

// A way that is moved, widened or bent comes too near something, and is found out.
func TestWayMistakes(t *testing.T) {
	for name, c := range map[string]struct {
		key   string
		spoil func(b *Board)
	}{
		"wider":          {"gap", func(b *Board) { b.Ways[10].Track.Width *= 1.1 }},
		"narrower":       {"track", func(b *Board) { b.Ways[10].Track.Width *= 0.9 }},
		"into the coils": {"gap", func(b *Board) { b.Ways[10].Track.Points[1].Y -= 0.5e-3; b.Ways[10].Track.Points[2].Y -= 0.5e-3 }},
		"onto another's pad": {"gap", func(b *Board) {
			b.Ways[0].Track.Points[2].X = b.Ways[1].End.At.X
			b.Ways[0].Track.Points[3] = b.Ways[1].End.At
		}},
		"a hole moved":        {"hole_spacing", func(b *Board) { b.Ways[0].End.At = r2.Add(b.Ways[1].End.At, r2.Vec{X: 0.8e-3}) }},
		"over the edge":       {"edge", func(b *Board) { b.Ways[0].End.At.X = -b.Width/2 + 1e-3 }},
		"over the lower edge": {"edge", func(b *Board) { b.Ways[0].End.At.Y = -b.Height/2 + 1e-3 }},
		"a hole beside a pixel's": {"hole_spacing", func(b *Board) {
			b.Ways[0].End.At = r2.Add(b.Center(b.Ways[0].Row, 0), r2.Add(b.Wire(WireIn).At, r2.Vec{X: 0.8e-3}))
			b.Ways[0].Track.Points[3] = b.Ways[0].End.At
		}},
		"a hole beside a screw": {"hole_spacing", func(b *Board) {
			b.Ways[0].End.At = r2.Add(b.Mounts[0].At, r2.Vec{X: (b.Mounts[0].Drill+b.Ways[0].End.Drill)/2 + 0.1e-3})
		}},
		"past a core": {"bare_hole", func(b *Board) {
			p, core := b.Ways[0].Track.Points, r2.Add(b.Center(b.Ways[0].Row, b.Ways[0].Col), r2.Vec{X: b.design.Iron.CoreRadius + 0.1e-3})
			p[1].X = core.X
			p[0] = r2.Vec{X: core.X, Y: core.Y - math.Copysign(2e-3, p[1].Y-core.Y)}
		}},
		"over a screw": {"bare_hole", func(b *Board) { b.Ways[0].Track.Points[3] = b.Mounts[0].At }},
		"over a core":  {"bare_hole", func(b *Board) { b.Ways[0].Track.Points[1].Y -= b.Pitch / 2; b.Ways[0].Track.Points[2].Y -= b.Pitch / 2 }},
		"thin ring":    {"ring", func(b *Board) { b.Ways[0].End.Pad = b.Ways[0].End.Drill + 0.2e-3 }},
	} {
		t.Run(name, func(t *testing.T) {
			b := connected(t, "board.layers=2", "coil.layers=2", "grid.cols=8", "grid.rows=3")
			c.spoil(b)
			for _, check := range b.Checks() {
				if check.Key == c.key && !check.Broken() {
					t.Errorf("not found: %+v", check)
				}
			}
		})
	}
}

// A way that touches another pixel's copper, or does not reach its own, is found by the nets.
func TestNetMistakes(t *testing.T) {
	for name, spoil := range map[string]func(b *Board){
		"two ways": func(b *Board) {
			b.Ways[0].Track.Points[1].Y = b.Ways[2].Track.Points[1].Y
			b.Ways[0].Track.Points[2].Y = b.Ways[2].Track.Points[1].Y
		},
		"another's hole": func(b *Board) { b.Ways[3].End.At = b.Ways[4].End.At },
		"another's coil": func(b *Board) {
			b.Ways[5].Track.Points[1].Y = b.Center(b.Ways[5].Row, 0).Y
			b.Ways[5].Track.Points[2].Y = b.Ways[5].Track.Points[1].Y
		},
		"short of its own": func(b *Board) { b.Ways[6].Track.Points = b.Ways[6].Track.Points[1:] },
		"coils":            func(b *Board) { b.Pixel.Holes[0].At = b.Pixel.Tracks[1].Points[5] },
	} {
		t.Run(name, func(t *testing.T) {
			b := connected(t, "board.layers=2", "coil.layers=2", "grid.cols=8", "grid.rows=3")
			if nets, err := b.Joined(); nets != 24 || err != nil {
				t.Fatalf("%d nets: %v", nets, err)
			}
			spoil(b)
			nets, err := b.Joined()
			if err == nil {
				t.Errorf("not found: %d nets", nets)
			}
			t.Log(err)
		})
	}
}

// A return that is cut, or that touches another's copper, is found.
func TestReturnMistakes(t *testing.T) {
	draw := func() *Board {
		return connected(t, "drive.bridge=low-side", "board.layers=4", "coil.layers=2", "grid.cols=4", "grid.rows=3")
	}
	for name, spoil := range map[string]func(b *Board){
		"no spoke":  func(b *Board) { b.Pixel.Planes = b.Pixel.Planes[:2] },
		"no row":    func(b *Board) { b.Pixel.Planes = b.Pixel.Planes[1:] },
		"no column": func(b *Board) { b.Pixel.Planes = slices.Delete(b.Pixel.Planes, 1, 2) },
		"short":     func(b *Board) { b.Pixel.Planes[0].Points[1].X = 0 },
	} {
		b := draw()
		if nets, err := b.Joined(); nets != 1 || err != nil || len(b.Ways) != 12 {
			t.Fatalf("%d nets, %d ways: %s, %v", nets, len(b.Ways), b.NoWays, err)
		}
		spoil(b)
		if _, err := b.Joined(); err == nil {
			t.Errorf("%s: not found", name)
		}
	}
	b := draw()
	b.Pixel.Planes[0].Width = 0.8 * b.Pitch // over a joint
	if gap := b.Checks()[1]; !gap.Broken() {
		t.Errorf("%+v", gap)
	}
}

// A way that begins between two columns, level with the cores, is far from them.
func TestWayBetweenCores(t *testing.T) {
	b := connected(t, "board.layers=2", "coil.layers=2", "grid.cols=8", "grid.rows=3")
	w := b.Ways[0]
	at := b.Center(w.Row, w.Col)
	w.Track.Points[0] = r2.Vec{X: at.X + b.Pitch/2, Y: at.Y}
	w.Track.Points[1].X = w.Track.Points[0].X
	for _, c := range b.Checks() {
		if c.Key == "bare_hole" && c.Broken() {
			t.Errorf("%+v", c)
		}
	}
}

// The copper of board.planes covers the share that the heat is computed with, measured by
// points thrown at one cell, keeps every rule, and is no part of a coil's net.
func TestPlanes(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 3))
	base := []string{"board.layers=4", "coil.layers=2", "coil.outer=10 mm", "iron.core_radius=0 mm", "drive.feeder_width=0.8 mm"}
	for _, c := range []struct {
		planes, misfit string
		more           []string
	}{
		{"feeders, none, feeders, pour 60 % exposed", "", nil},
		{"pour 40 %, none, pour 20 %, pour 75 %", "", nil},
		{"pour 90 %, none, none, none", "cannot be drawn", nil},
		{"pour 4 %, none, none, none", "cannot be drawn", nil},
		// Past joints that stand on the cell's border, with little copper.
		{"none, pour 7 %, none, none, none, none, none, pour 40 %", "", []string{"board.layers=8", "coil.layers=8", "coil.outer=11 mm", "grid.pitch=12 mm", "drive.feeder_width=0.2 mm"}},
		// The wires' holes leave the pour its way between the coils.
		{"pour 60 %, none, none, none, pour 60 %, none, none, none", "", []string{"board.layers=8", "coil.layers=8"}},
		// Square coils leave the holes no other room: a pour that passes beside them all the same.
		{"none, none, none, none, pour 40 %, none, none, none", "", []string{"board.layers=8", "coil.layers=8", "coil.shape=square"}},
	} {
		d := with(t, slices.Concat(base, c.more, []string{"board.planes=[" + c.planes + "]"})...)
		b, err := Draw(context.Background(), d, escape.Answer{})
		var m *Misfit
		if errors.As(err, &m) && c.misfit != "" && strings.Contains(m.Problem, c.misfit) {
			// What it says can be drawn is.
			var percent float64
			if _, err := fmt.Sscanf(m.Accept, "%g %%", &percent); err != nil {
				t.Fatalf("%s: accepted is %q: %v", c.planes, m.Accept, err)
			}
			near := with(t, append(base, fmt.Sprintf("board.planes=[pour %g %%, none, none, none]", percent))...)
			if _, err := Draw(context.Background(), near, escape.Answer{}); err != nil {
				t.Errorf("%s: %q cannot be drawn either: %v", c.planes, m.Accept, err)
			}
			continue
		}
		if err != nil || c.misfit != "" {
			t.Fatalf("%s: %v", c.planes, err)
		}
		for _, check := range b.Checks() {
			if check.Broken() {
				t.Errorf("%s: %+v", c.planes, check)
			}
		}
		if net, err := b.Trace(); err != nil || math.Abs(net.Coil()/b.Coil.Resistance(293.15)-1) > 0.005 {
			t.Errorf("%s: the coil's net: %v Ω, %v", c.planes, net.Coil(), err)
		}
		for layer := range b.Layers {
			feeders, pour, exposed := d.PlaneOn(layer)
			want := pour * d.Free(layer)
			if feeders {
				want = d.Drive.FeederWidth / d.Grid.Pitch
			}
			var near []Track // the cell's copper, and what reaches into it
			half := r2.Vec{X: b.Pitch / 2, Y: b.Pitch / 2}
			for _, track := range b.Pixel.Planes {
				if track.Layer != layer {
					continue
				}
				if track.Exposed != exposed {
					t.Fatal("exposed copper is not told")
				}
				for _, shift := range b.around() {
					moved := track
					moved.Points = []r2.Vec{r2.Add(track.Points[0], shift), r2.Add(track.Points[1], shift)}
					low, high := Pixel{Tracks: []Track{moved}}.bounds()
					if low.X <= half.X && -half.X <= high.X && low.Y <= half.Y && -half.Y <= high.Y {
						near = append(near, moved)
					}
				}
			}
			const n = 400
			hits := 0
			for range n * n {
				p := r2.Vec{X: (rng.Float64() - 0.5) * b.Pitch, Y: (rng.Float64() - 0.5) * b.Pitch}
				if slices.ContainsFunc(near, func(t Track) bool { return toSegment(p, t.Points[0], t.Points[1]) < t.Width/2 }) {
					hits++
				}
			}
			if got := float64(hits) / n / n; math.Abs(got-want) > 0.025*want {
				t.Errorf("%s, layer %d: %.4f of the cell is copper, the heat is computed with %.4f", c.planes, layer+1, got, want)
			}
		}
		// Nearer by a hundredth of a millimetre, and it is found out.
		for i := range b.Pixel.Planes {
			b.Pixel.Planes[i].Width += 0.1e-3
		}
		if gap := b.Checks()[1]; !gap.Broken() {
			t.Errorf("%s: wider planes are not found out: %+v", c.planes, gap)
		}
	}
}

// What does not fit is told with the value that would.
func TestMisfits(t *testing.T) {
	for _, c := range []struct {
		key     string
		changes []string
	}{
		{"order.wire_drill", []string{"order.wire_drill=3 mm"}},
		{"order.wire_drill", []string{"coil.shape=square", "coil.outer=11.8 mm", "iron.core_radius=0 mm"}},
		{"coil.layers", []string{"coil.layers=1", "board.layers=1", "board.layers_on_offer=1", "iron.core_radius=0 mm"}},
		{"coil.inner", []string{"coil.layers=1", "board.layers=2", "coil.turns=23.5", "iron.core_radius=0 mm"}},
	} {
		_, err := Draw(context.Background(), with(t, c.changes...), escape.Answer{})
		var m *Misfit
		if !errors.As(err, &m) || m.Key != c.key {
			t.Errorf("%v: %v", c.changes, err)
			continue
		}
		t.Log(err)
		if value, _, ok := strings.Cut(m.Accept, " or less"); ok {
			if _, err := Draw(context.Background(), with(t, append(c.changes, m.Key+"="+value)...), escape.Answer{}); err != nil {
				t.Errorf("%v with the value accepted: %v", c.changes, err)
			}
		}
	}
}

func TestCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Draw(ctx, trial.Lit(), escape.Answer{}); !errors.Is(err, context.Canceled) {
		t.Errorf("drawing in a context that is done: %v", err)
	}
}

// What the drawing brings out past joints and holes, the count must let out: it is an upper
// bound, and boards are drawn here of every shape, with joints at every place.
func TestDrawnWaysAreCounted(t *testing.T) {
	if testing.Short() {
		t.Skip("draws some thirty boards")
	}
	drawn, refused := 0, 0
	for _, shape := range []string{"round", "square", "rounded-square", "hexagon"} {
		for _, layers := range []string{"2", "8"} {
			for _, pitch := range []string{"11.4 mm", "13 mm"} {
				for _, place := range []string{"h-bridge", "low-side"} {
					d := trial.Sign(t, "coil.shape="+shape, "coil.layers="+layers, "grid.pitch="+pitch, "drive.bridge="+place, "grid.cols=9", "grid.rows=7")
					b, err := begin(d)
					if err != nil {
						continue // the coil's turns do not fit
					}
					a := escape.Of(d, b.Coil, 0.2)
					if b, err = Draw(t.Context(), d, a); err != nil || len(b.Ways) == 0 {
						refused++
						continue
					}
					drawn++
					if !a.Fits() {
						t.Errorf("%s, %s layers, %s, %s: drawn, but by the count %d of %d come out (%+v)", shape, layers, pitch, place, a.Out, a.Connections, a.Past)
					}
				}
			}
		}
	}
	if drawn < 10 {
		t.Errorf("%d boards drawn, %d not: too few to tell anything", drawn, refused)
	}
}

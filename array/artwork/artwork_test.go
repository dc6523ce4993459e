package artwork

import (
	"context"
	"errors"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
)

// with is the demo's design, changed.
func with(t *testing.T, changes ...string) design.Design {
	t.Helper()
	return trial.Demo(t, changes...)
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
			b, err := Draw(context.Background(), with(t, changes...))
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
			b, err := Draw(context.Background(), d)
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
		b, err := Draw(context.Background(), with(t, "board.layers=2", "coil.layers=2"))
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
		_, err := Draw(context.Background(), with(t, c.changes...))
		var m *Misfit
		if !errors.As(err, &m) || m.Key != c.key {
			t.Errorf("%v: %v", c.changes, err)
			continue
		}
		t.Log(err)
		if value, _, ok := strings.Cut(m.Accept, " or less"); ok {
			if _, err := Draw(context.Background(), with(t, append(c.changes, m.Key+"="+value)...)); err != nil {
				t.Errorf("%v with the value accepted: %v", c.changes, err)
			}
		}
	}
}

func TestCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Draw(ctx, design.Demo()); !errors.Is(err, context.Canceled) {
		t.Errorf("drawing in a context that is done: %v", err)
	}
}

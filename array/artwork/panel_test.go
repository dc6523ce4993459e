package artwork

import (
	"errors"
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
	"lodegrid/array/escape"
)

// A test board holds as many coils as fit, each design's copper as it is drawn alone and a
// voltmeter's hole beside each wire's; what belongs to two coils keeps every rule's distance.
func TestPanel(t *testing.T) {
	var list []design.Design
	for _, c := range []string{"coil.layers=4", "coil.layers=1", "iron.model=none"} {
		list = append(list, trial.Sign(t, "board.layers=4", "coil.layers=4", c))
	}
	b, nets, err := Panel(t.Context(), list, 45e-3, 35e-3)
	if err != nil || b.Cols != 3 || b.Rows != 2 || len(b.Variants) != 3 || len(nets) != 3 {
		t.Fatalf("%+v, %d nets, %v", b, len(nets), err)
	}
	least := max(list[0].Order.HoleSpacing, list[0].Coil.Gap)
	var boxes [][2]r2.Vec
	for row := range b.Rows {
		for col := range b.Cols {
			p := b.At(row, col)
			if want := &b.Variants[(3*row+col)%3].Pixel; p != want {
				t.Errorf("row %d, column %d: another design's coil", row, col)
			}
			low, high := p.bounds()
			low, high = r2.Add(low, b.Center(row, col)), r2.Add(high, b.Center(row, col))
			if min(low.X+b.Width/2, b.Width/2-high.X, low.Y+b.Height/2, b.Height/2-high.Y) < list[0].Order.EdgeClearance {
				t.Errorf("row %d, column %d: too near the edge: %v to %v", row, col, low, high)
			}
			_, middle, width, height := b.Label(row, col)
			boxes = append(boxes, [2]r2.Vec{low, high}, [2]r2.Vec{{X: middle.X - width/2 + least, Y: middle.Y - height/2 + least}, {X: middle.X + width/2 - least, Y: middle.Y + height/2}})
		}
	}
	for i, p := range boxes {
		for _, q := range boxes[:i] {
			if max(p[0].X-q[1].X, q[0].X-p[1].X, p[0].Y-q[1].Y, q[0].Y-p[1].Y) < 0.99*least && (i%2 == 0 || q != boxes[i-1]) {
				t.Errorf("%v and %v are nearer than %g m", p, q, least)
			}
		}
	}
	for i, v := range b.Variants {
		alone, err := Draw(t.Context(), list[i], escape.Answer{})
		if err != nil {
			t.Fatal(err)
		}
		net, err := alone.Trace()
		if err != nil || math.Abs(nets[i].Resistance/net.Resistance-1) > 1e-9 {
			t.Errorf("coil %d: %g Ω, alone %g Ω, %v", i+1, nets[i].Resistance, net.Resistance, err)
		}
		if len(v.Pixel.Tracks) != len(alone.Pixel.Tracks)+2 || len(v.Pixel.Holes) != len(alone.Pixel.Holes)+2 {
			t.Errorf("coil %d: %d tracks and %d holes, alone %d and %d", i+1, len(v.Pixel.Tracks), len(v.Pixel.Holes), len(alone.Pixel.Tracks), len(alone.Pixel.Holes))
		}
		for _, k := range [][2]HoleKind{{WireIn, SenseIn}, {WireOut, SenseOut}} {
			from, to := v.Pixel.Wire(k[0]).At, v.Pixel.Wire(k[1]).At
			if !slices.ContainsFunc(v.Pixel.Tracks, func(t Track) bool { return t.Points[0] == from && t.Points[len(t.Points)-1] == to }) {
				t.Errorf("coil %d: no track from %v to %v", i+1, from, to)
			}
		}
	}
	var misfit *Misfit
	if _, _, err := Panel(t.Context(), list, 30e-3, 18e-3); !errors.As(err, &misfit) || misfit.Key != "--board" {
		t.Errorf("three coils on 30 mm × 18 mm: %v", err)
	}
	misfit = nil
	if _, _, err := Panel(t.Context(), list[:1], 0.1e-3, 0.1e-3); !errors.As(err, &misfit) || misfit.Key != "--board" {
		t.Errorf("a coil on 0.1 mm × 0.1 mm: %v", err)
	}
	// Of coils of unlike gaps the wider one stands between any two.
	wide := trial.Sign(t, "board.layers=4", "coil.layers=1", "coil.outer=9 mm", "coil.gap=0.6 mm", "coil.turns=2", "coil.track=0.127 mm", "iron.model=none")
	mixed, _, err := Panel(t.Context(), []design.Design{list[0], wide}, 45e-3, 35e-3)
	if err != nil {
		t.Fatal(err)
	}
	size := func(v *Board) float64 { low, high := v.Pixel.bounds(); return high.X - low.X }
	if got := mixed.Pitch - max(size(mixed.Variants[0]), size(mixed.Variants[1])); got < wide.Coil.Gap*(1-1e-9) || size(mixed.Variants[0]) <= size(mixed.Variants[1]) {
		t.Errorf("%g m between coils, want %g m", got, wide.Coil.Gap)
	}
}

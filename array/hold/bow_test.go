package hold

import (
	"fmt"
	"math"
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
	"lodegrid/array/grid"
)

// The pull on a lone drop falls with the distance of the gap's middle as the magnetic
// pressure on the pixel's axis is taken to fall.
func TestBowPull(t *testing.T) {
	for _, more := range [][]string{nil, {"coil.outer=5 mm", "coil.turns=4", "fluid.drop_diameter=4 mm"}} {
		g := trial.Build(t, grid.New, 8, more...)
		flat := LoneHold(g)
		for _, out := range []float64{-0.15e-3, 0.15e-3} {
			moved := trial.Build(t, grid.New, 8, append(more, fmt.Sprintf("fluid.height=%.9g mm", 2+out*1e3))...)
			want := LoneHold(moved)
			got := flat * math.Exp(-BowOf(g, g.Design).decay*out)
			if math.Abs(got/want-1) > 0.03 {
				t.Errorf("%v, %+.2g m: hold %.4f, a grid there has %.4f", more, out, got, want)
			}
		}
	}
}

// What a bow does to a drop, at every pixel by hand; the weakest counts.
func TestBowHold(t *testing.T) {
	thin := []string{"tank.front=0.7 mm", "tank.front_material=acrylic", "tank.rear=1 mm", "grid.rows=8", "grid.cols=6", "fluid.contact_line=0.1 mN/m"}
	g := trial.Build(t, grid.New, 4, thin...)
	d := g.Design
	b := BowOf(g, d)
	bowed := b.Panes.Bow()
	const ratio = 2.5
	weight, pinned := d.Fluid.DensityDifference*9.80665, g.Pinning().Value/g.Weight().Value
	least, push := math.Inf(1), 0.0
	for row := range 8 {
		for col := range 6 {
			front, rear, sx, sy := bowed.At((float64(col)+1.5)*d.Grid.Pitch, (float64(row)+1.5)*d.Grid.Pitch)
			k := 2 * d.Fluid.SurfaceTension / math.Pow(d.Fluid.TankGap+front+rear, 2)
			need := math.Hypot(weight+k*sy, k*sx) / weight
			least = min(least, ((ratio-pinned)*math.Exp(-b.decay*(front-rear)/2)+pinned)/need)
			push = max(push, k*math.Hypot(sx, sy))
		}
	}
	if got := b.Hold(ratio); math.Abs(got/least-1) > 1e-12 || !(got < 0.97*ratio) {
		t.Errorf("hold %g of %g, by hand %g", got, ratio, least)
	}
	if math.Abs(b.Push/push-1) > 1e-12 {
		t.Errorf("push %g N/m³, by hand %g", b.Push, push)
	}
	thick := d
	thick.Tank.Front, thick.Tank.FrontMaterial = 0.1, "glass"
	thick.Board.Thickness = 0.1
	if stiff := BowOf(g, thick); math.Abs(stiff.Hold(ratio)/ratio-1) > 1e-3 || stiff.Widest-d.Fluid.TankGap > 1e-7 {
		t.Errorf("stiff panes: hold %g of %g, gap to %g", stiff.Hold(ratio), ratio, stiff.Widest)
	}
	close := d
	close.Tank.Spacers = 2 * d.Grid.Pitch
	if s := BowOf(g, close); !(s.Hold(ratio) > b.Hold(ratio)) || !(s.Front < b.Front/5) {
		t.Errorf("with spacers %+v: hold %g", s, s.Hold(ratio))
	}
	lying := d
	lying.Heat.Orientation = design.FaceUp
	if s := BowOf(g, lying); s.Narrowest >= d.Fluid.TankGap {
		t.Errorf("the upper pane does not sag: %+v", s)
	}
}

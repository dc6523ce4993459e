package choreograph

import (
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/scenes/player"
)

// On a display that lies a drop which another has pushed back as it passed takes longer than one by
// itself, and a kick lasts so long; upright, where limits.hold asks for more, it does not.
func TestLyingDropsArePushed(t *testing.T) {
	up, _ := demoCorner(t)
	for _, way := range []design.Orientation{design.FaceUp, design.Vertical} {
		d, err := up.Design.With(design.Change{Key: "heat.orientation", Value: string(way)})
		if err != nil {
			t.Fatal(err)
		}
		g, err := grid.NewWith(t.Context(), d, up.Pixel, up.Raster.Samples)
		if err != nil {
			t.Fatal(err)
		}
		timing, err := Solve(t.Context(), g, ForLiquid(), UsualHop, d.Drive.MaxDuty)
		if err != nil {
			t.Fatal(err)
		}
		p, err := small(t.Context(), g, timing)
		if err != nil {
			t.Fatal(err)
		}
		longer := 1 + player.CellError(d, tryCells)
		alone, err := timing.arrives(t.Context(), p, right, 1+unlike, 0)
		if err != nil {
			t.Fatal(err)
		}
		if err := timing.InTank(t.Context(), g); err != nil {
			t.Fatal(err)
		}
		kick, least := timing.Kick[right].Value, longer*alone
		t.Logf("%s: %.3f s right, a drop by itself %.3f s; %s", way, kick, least, timing.Kick[right].Why)
		if longest := kick > 1.02*least; longest != (way == design.FaceUp) {
			t.Errorf("%s: a kick of %.3f s, a drop by itself takes %.3f s", way, kick, least)
		}
	}
}

package pixel

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/design/trial"
)

// The coil's share in front of saturated steel at currents between those it is kept for,
// against finite elements solved at these currents, both ways round: on the axis and beside
// it. With the slope at full level alone it would be off by several times as much.
func TestShareBetweenLevels(t *testing.T) {
	steel := []string{"iron.model=fem", "iron.thickness=0.3 mm", "iron.gap=1.3 mm", "iron.radius=4.9 mm",
		"magnet.kind=pixel", "magnet.diameter=6 mm", "magnet.length=1 mm", "magnet.depth=0.1 mm", "magnet.remanence=1.3 T", "coil.turns=6", "supply.voltage=24 V"}
	at := func(duty float64) Pixel {
		d := trial.Design(t, append(steel, fmt.Sprintf("drive.max_duty=%g %%", duty))...)
		p, err := New(t.Context(), d, d.Fluid.Height)
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	full := at(100)
	worst, slope := 0.0, 0.0
	for _, duty := range []float64{12, 25, 35, 75, 88} {
		p := at(duty)
		for _, l := range p.Iron.Levels { // this pixel's own levels, each solved by elements
			axis := r3.Vec{Z: 2e-3}
			solved := l.Field / l.Current
			told := full.CoilField().B(axis).Z
			slope = max(slope, math.Abs(told/solved-1))
			told *= full.Iron.Share(l.Current)
			worst = max(worst, math.Abs(told/solved-1))
			if off := told/solved - 1; math.Abs(off) > 0.002 {
				t.Errorf("duty %g %%, level %g: %+.2f %% off", duty, l.Level, 100*off)
			}
		}
		for _, r := range []float64{1e-3, 2e-3, 4e-3} {
			beside := r3.Vec{X: r, Z: 2e-3}
			solved, told := p.CoilField().B(beside), r3.Scale(full.Iron.Share(p.Iron.current), full.CoilField().B(beside))
			if off := r3.Norm(r3.Sub(told, solved)) / r3.Norm(p.CoilField().B(r3.Vec{Z: 2e-3})); off > 0.005 {
				t.Errorf("duty %g %%, %g mm beside the axis: %.2f %% off", duty, r*1e3, 100*off)
			}
		}
	}
	t.Logf("on the axis within %.2f %%, by one slope %.2f %%; shares %.4v", 100*worst, 100*slope, full.Iron.Levels)
	if slope < 3*worst || slope < 0.005 {
		t.Errorf("one slope would do: %g against %g; a harder case is wanted", slope, worst)
	}
}

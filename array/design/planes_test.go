package design

import (
	"math"
	"slices"
	"testing"
)

// Shares by hand: feeders of 0.6 mm at a pitch of 12 mm cover a twentieth of a layer and conduct
// each way by half of that, crowded into what an 11 mm coil leaves free, 1 − π/4 (11/12)².
func TestPlanes(t *testing.T) {
	d, err := lit(t).With(Change{"drive.feeder_width", "0.6 mm"}, Change{"board.planes", "feeders, none, none, none, none, none, feeders, pour 60 % exposed"})
	if err != nil {
		t.Fatal(err)
	}
	free := 1 - math.Pi/4*11*11/144
	for layer, want := range map[int][2]float64{0: {1. / 40 / free, 0}, 1: {0, 0}, 6: {1. / 40 / free, 0}, 7: {0.6, 0.6 * free}} {
		if got := [2]float64{d.PlaneShare(layer), d.Bare(layer)}; math.Abs(got[0]-want[0]) > 1e-12 || math.Abs(got[1]-want[1]) > 1e-12 {
			t.Errorf("layer %d conducts by %v and is bare by %v, want %v", layer+1, got[0], got[1], want)
		}
	}
	if want := (2./20 + 0.6*free) / 8; math.Abs(d.Heat.CopperFraction-want) > 1e-12 || d.PlanesGuessed() {
		t.Errorf("heat.copper_fraction follows as %g, want %g; guessed: %v", d.Heat.CopperFraction, want, d.PlanesGuessed())
	}
	guess := lit(t)
	two := guess.WithPlanes(slices.Concat([]string{"feeders"}, slices.Repeat([]string{"none"}, 6), []string{"feeders"})...)
	if !guess.PlanesGuessed() || guess.Heat.CopperFraction != two.Heat.CopperFraction {
		t.Errorf("the guess is %g, feeders on two layers are %g", guess.Heat.CopperFraction, two.Heat.CopperFraction)
	}
	own, err := d.With(Change{"heat.copper_fraction", "10 %"})
	if err != nil {
		t.Fatal(err)
	}
	if got := own.PlaneShare(1); math.Abs(got-0.05/free) > 1e-12 || own.PlanesGuessed() {
		t.Errorf("a share of 10 %% given conducts by %g on a layer of none, want %g", got, 0.05/free)
	}
	if again := own.WithPlanes(slices.Repeat([]string{"none"}, 8)...); again.PlaneShare(1) != 0 || again.Heat.CopperFraction != 0 {
		t.Errorf("planes of none leave %g", again.PlaneShare(1))
	}
}

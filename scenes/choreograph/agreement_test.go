package choreograph

import (
	"errors"
	"math"
	"os"
	"testing"

	"lodegrid/array/design"
	"lodegrid/scenes"
	"lodegrid/scenes/generate"
	"lodegrid/scenes/player"
	"lodegrid/scenes/shown"
)

// The drop model against the tank on planned scenes: kicks, guards and holds. One scene
// always, with the tank's cells a preview; with LODEGRID_CI four with its usual cells.
// Package shown does the same where pixels are just switched.
func TestDropModelAgreesOnCarriedScenes(t *testing.T) {
	full, cells := os.Getenv("LODEGRID_CI") != "", 8
	if full {
		cells = 0
	}
	off, worst, cases := 0.0, 0.0, 0
	type scene struct {
		kind           string
		seconds, frame float64
	}
	for _, k := range []struct {
		hold   string
		played []scene
	}{{"6 %", []scene{{"random", 20, 4}, {"tide", 20, 1}}}, {"3.863 %", []scene{{"ticker", 24, 3}, {"walk", 16, 1}}}} {
		if !full && cases > 0 {
			break
		}
		g := moving(t, "grid.rows=7", "drive.max_duty="+k.hold)
		timing, err := Solve(t.Context(), g, ForLiquid(), UsualHop, 0)
		if err != nil {
			t.Fatal(err)
		}
		at, err := player.New(g)
		if err != nil {
			t.Fatal(err)
		}
		if at, err = at.With(func(d *design.Design) { *d = Planned(*d, timing.Duty) }); err != nil {
			t.Fatal(err)
		}
		for _, m := range k.played {
			if !full && cases > 0 {
				break
			}
			s := random(1, g, 5, 12, m.frame)
			if m.kind != "random" {
				p, err := generate.Defaults(m.kind, s.Rows, s.Cols)
				if err != nil {
					t.Fatal(err)
				}
				p.Duration, p.FrameTime, p.Seed = m.seconds, m.frame, 1
				if m.kind == "tide" {
					p.Band = 2
				}
				if s, err = generate.Scene(t.Context(), m.kind, p); err != nil {
					t.Fatal(err)
				}
				if s, err = (scenes.Mapping{Kind: scenes.Threshold, Threshold: 0.5, Gamma: 1, Level: 1}).Scene(t.Context(), s); err != nil {
					t.Fatal(err)
				}
			}
			plan, err := Scene(t.Context(), g, s, timing, Defaults())
			if err != nil {
				t.Fatal(err)
			}
			follow := func(m shown.Model, f shown.Fluid, err error) float64 {
				t.Helper()
				at.Reset()
				r, errFollow := shown.Follow(t.Context(), at, plan.Scene, plan.Wanted, m, f, nil)
				if err = errors.Join(err, errFollow); err != nil {
					t.Fatal(err)
				}
				share, _ := r.Share()
				return share
			}
			inTank, err := player.NewTank(at.Grid(), cells, 0)
			tank := follow(shown.Tank, inTank, err)
			droplets, err := player.NewDroplets(at.Grid(), 0)
			quick := follow(shown.Drops, droplets, err)
			t.Logf("| hold %s | %s | %.3f | %.3f |", k.hold, m.kind, tank, quick)
			cases++
			off += math.Abs(quick - tank)
			worst = max(worst, math.Abs(quick-tank))
		}
	}
	if off /= float64(cases); off > 0.05 || worst > 0.2 {
		t.Errorf("%d scenes: off by %.3f on average, %.3f at worst", cases, off, worst)
	}
}

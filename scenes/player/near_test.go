package player

import (
	"math"
	"testing"

	"lodegrid/array/grid"
)

// What the ledger of a scene is told to be on a display a little off, by how much and which
// way, against the scene played there.
func TestNearIsThatOfThePlayedScene(t *testing.T) {
	s := pictures(0.5, [3]string{"####", "#..#", "####"}, [3]string{"....", ".##.", "...."}, [3]string{"#.#.", ".#.#", "#.#."}, [3]string{"##..", "##..", "...."})
	played := func(g *grid.Grid, p *Player) (*Player, *Ledger) {
		t.Helper()
		p.Reset()
		if _, err := p.Warm(t.Context(), s); err != nil {
			t.Fatal(err)
		}
		l, err := p.Play(t.Context(), s, nil)
		if err != nil {
			t.Fatal(err)
		}
		return p, l
	}
	build := func(changes ...string) (*grid.Grid, *Player) {
		t.Helper()
		g, err := grid.New(t.Context(), small(t, append([]string{"iron.model=image", "iron.factor=0.9", "grid.pitch=11.2 mm", "drive.bridge=h-bridge", "fluid.density_difference=10 kg/m³", "fluid.height=2.4 mm"}, changes...)...), 0)
		if err != nil {
			t.Fatal(err)
		}
		p, err := New(g)
		if err != nil {
			t.Fatal(err)
		}
		return g, p
	}
	own, p := build()
	p, base := played(own, p)
	from, err := p.Probe(t.Context(), s, base, nil, true)
	if err != nil {
		t.Fatal(err)
	}
	figures := func(l *Ledger) map[string]float64 {
		z := l.Summary()
		mean, energy := 0.0, 0.0
		for i, v := range l.PixelMean {
			mean += v
			energy += l.PixelEnergy[i]
		}
		return map[string]float64{"least hold": z.LeastHold, "hottest": z.Hottest, "touch": z.Touch, "pixels' mean": mean, "pixels' energy": energy,
			"average power": z.AveragePower, "peak power": z.PeakPower, "margin": l.Entries[1].CrosstalkMargin}
	}
	before := figures(base)
	for _, change := range []string{"supply.voltage=12.4 V", "heat.ambient=28 degC", "board.copper_inner=0.9 oz", "fluid.density_difference=11 kg/m³", "fluid.height=2.5 mm", "iron.factor=0.88", "limits.false_on=0.4"} {
		t.Run(change, func(t *testing.T) {
			g, q := build(change)
			_, whole := played(g, q)
			n, err := own.Near(t.Context(), g.Design)
			if err != nil {
				t.Fatal(err)
			}
			if q, err = p.Near(n); err != nil {
				t.Fatal(err)
			}
			warm := from
			if !p.AsWarm(g.Design) {
				warm = nil
			}
			to, err := q.Probe(t.Context(), s, base, warm, true)
			if err != nil {
				t.Fatal(err)
			}
			got, want := figures(base.Near(from, to, g.Design.Limits)), figures(whole)
			for name, was := range before {
				moved := want[name] - was
				t.Logf("%s: %g by %g, told %g", name, was, moved, got[name]-was)
				if math.Abs(got[name]-was-moved) > 0.1*math.Abs(moved)+1e-4*math.Abs(was) {
					t.Errorf("%s moves by %g, told to by %g", name, moved, got[name]-was)
				}
			}
		})
	}
}

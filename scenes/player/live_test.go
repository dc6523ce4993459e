package player

import (
	"math"
	"slices"
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
	"lodegrid/array/grid"
	"lodegrid/scenes"
)

// Live against Show, which computes everything anew every time, in each drive mode:
// power and heat to rounding, field and hold within the band.
func TestLiveIsShow(t *testing.T) {
	for _, mode := range []string{"direct", "stagger", "scan", "kick"} {
		d, err := trial.Lit().With(
			design.Change{Key: "grid.cols", Value: "6"}, design.Change{Key: "grid.rows", Value: "4"},
			design.Change{Key: "drive.mode", Value: mode}, design.Change{Key: "iron.model", Value: "none"},
		)
		if err != nil {
			t.Fatal(err)
		}
		show, live := newPlayer(t, d), newPlayer(t, d)
		stepper := NewLive(live)
		const dt = 1.0 / 60
		levels := make([]float64, d.Pixels())
		for tick := range 90 {
			if tick%7 == 0 {
				clear(levels)
				levels[tick%24], levels[(tick*5+3)%24], levels[(tick*11+7)%24] = 1, 0.5, -1
			}
			want, err := show.Step(t.Context(), scenes.Frame{Levels: levels, Duration: dt})
			if err != nil {
				t.Fatal(err)
			}
			got, err := stepper.Tick(levels, dt)
			if err != nil {
				t.Fatal(err)
			}
			for _, c := range []struct {
				name            string
				got, want, band float64
			}{
				{"power", got.SupplyPower, want.SupplyPower, 1e-12},
				{"current", got.SupplyCurrent, want.SupplyCurrent, 1e-12},
				{"hottest", got.Hottest, want.Hottest, 1e-12},
				{"greatest false-on hold", got.GreatestFalseOn, want.GreatestFalseOn, 0.02},
				{"least hold", got.LeastHold, want.LeastHold, 0.02},
			} {
				if math.Abs(c.got-c.want) > c.band*math.Abs(c.want)+1e-12 {
					t.Fatalf("%s, tick %d: %s is %g, Step gives %g", mode, tick, c.name, c.got, c.want)
				}
			}
			if tick%7 < 4 && math.Abs(got.SupplyPeakPower-want.SupplyPeakPower) > 0.01*want.SupplyPeakPower {
				t.Fatalf("%s, tick %d: peak power is %g, Step gives %g", mode, tick, got.SupplyPeakPower, want.SupplyPeakPower)
			}
		}
		top := slices.Max(show.Plane().Abs)
		for k, b := range show.Plane().Abs {
			if math.Abs(live.Plane().Abs[k]-b) > 3*liveBand*top {
				t.Fatalf("%s: |B| of sample %d is %g, Show gives %g", mode, k, live.Plane().Abs[k], b)
			}
		}
	}
}

// Look between ticks shows the settled currents and changes nothing that follows.
func TestLook(t *testing.T) {
	for _, mode := range []string{"stagger", "kick"} {
		d, err := trial.Lit().With(design.Change{Key: "grid.cols", Value: "4"}, design.Change{Key: "grid.rows", Value: "3"},
			design.Change{Key: "drive.mode", Value: mode}, design.Change{Key: "iron.model", Value: "none"})
		if err != nil {
			t.Fatal(err)
		}
		plain, looking := newPlayer(t, d), newPlayer(t, d)
		a, b := NewLive(plain), NewLive(looking)
		on, off := make([]float64, 12), make([]float64, 12)
		on[5], off[2] = 1, -1
		for tick := range 12 {
			want, err := a.Tick(on, 1.0/60)
			if err != nil {
				t.Fatal(err)
			}
			for _, levels := range [][]float64{off, on} {
				e, err := b.Look(levels)
				if err != nil {
					t.Fatal(err)
				}
				steady, err := looking.Steady(t.Context(), levels)
				if err != nil {
					t.Fatal(err)
				}
				// Steady is warmer in the end, so it draws a little less.
				if e.SupplyPower < steady.Power || e.SupplyPower > 1.5*steady.Power {
					t.Errorf("%s: looking shows %g W, held continuously it takes %g W", mode, e.SupplyPower, steady.Power)
				}
			}
			got, err := b.Tick(on, 1.0/60)
			if err != nil {
				t.Fatal(err)
			}
			if got.SupplyPower != want.SupplyPower || got.Hottest != want.Hottest || got.Lit != 1 {
				t.Fatalf("%s, tick %d: after looking %g W and %g K, without %g W and %g K", mode, tick, got.SupplyPower, got.Hottest, want.SupplyPower, want.Hottest)
			}
		}
	}
}

func newPlayer(t *testing.T, d design.Design) *Player {
	t.Helper()
	g, err := grid.New(t.Context(), d, 0)
	if err != nil {
		t.Fatal(err)
	}
	p, err := New(g)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestLiveDoesNotAllocate(t *testing.T) {
	p := newPlayer(t, trial.Lit())
	live := NewLive(p)
	levels := make([]float64, p.grid.Design.Pixels())
	tick := func() {
		levels[int(p.time*240)%len(levels)] = 1
		if _, err := live.Tick(levels, 1.0/60); err != nil {
			t.Fatal(err)
		}
	}
	for range 30 {
		tick()
	}
	if n := testing.AllocsPerRun(30, tick); n > 0.5 {
		t.Errorf("a tick allocates %g times", n)
	}
}

// The tank's own substeps against ones a quarter as long.
func TestTankSubsteps(t *testing.T) {
	d, err := trial.Lit().With(design.Change{Key: "grid.cols", Value: "6"}, design.Change{Key: "grid.rows", Value: "4"},
		design.Change{Key: "supply.voltage", Value: "36 V"}, design.Change{Key: "iron.model", Value: "none"})
	if err != nil {
		t.Fatal(err)
	}
	p := newPlayer(t, d)
	own, err := NewTank(p.grid, 0, 0)
	if err != nil {
		t.Fatal(err)
	}
	short, err := NewTank(p.grid, 0, 1e-3)
	if err != nil {
		t.Fatal(err)
	}
	levels := make([]float64, d.Pixels())
	for col := range 6 {
		levels[3*6+col] = 1
	}
	levels[2*6+2] = 1
	s := scenes.Scene{Rows: 4, Cols: 6, Frames: []scenes.Frame{{Levels: make([]float64, 24), Duration: 1}, {Levels: levels, Duration: 1}}}
	for _, b := range []*Tank{own, short} {
		if _, err := b.FillFor(s); err != nil {
			t.Fatal(err)
		}
	}
	for range 120 {
		if _, err := p.Show(t.Context(), scenes.Frame{Levels: levels, Duration: 1.0 / 60}); err != nil {
			t.Fatal(err)
		}
		for _, b := range []*Tank{own, short} {
			if err := b.Step(1.0/60, p.Plane()); err != nil {
				t.Fatal(err)
			}
		}
	}
	wet, off := 0.0, 0.0
	for k, v := range own.Fraction() {
		wet += v
		off += math.Abs(v - short.Fraction()[k])
	}
	if off > 5e-3*wet {
		t.Errorf("after two seconds %.2g of the fluid lies elsewhere, want at most 0.005", off/wet)
	}
}

package hold

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"lodegrid/array/design/trial"
	"lodegrid/array/grid"
)

// every walks through every pattern of the other pixels, one pixel at a time, and returns
// the worst hold ratio of the pixel that w is aimed at.
func (w *disturbance) every(t *testing.T, own float64) float64 {
	t.Helper()
	g := w.grid
	at, bearer := w.row*g.Design.Grid.Cols+w.col, w.bearer(own)
	levels := make([]float64, g.Design.Pixels())
	levels[at] = own
	w.set(levels)
	_, worst := w.score()
	var walk func(k int)
	walk = func(k int) {
		if k == len(levels) {
			return
		}
		walk(k + 1)
		for _, level := range append(append([]float64(nil), w.allow[1:]...), 0) {
			if k == at || k == bearer && g.StateOf(level) == grid.Lit || level != 0 && w.levels[k] == 0 && w.on >= w.others(own) {
				continue
			}
			w.keep(k, level)
			if _, r := w.score(); g.StateOf(own) == grid.Dark {
				worst = max(worst, r)
			} else {
				worst = min(worst, r)
			}
			if level != 0 {
				walk(k + 1)
			}
		}
	}
	walk(0)
	return worst
}

// Against every pattern of small grids, drawn by lot: none worse by a hundredth is missed, few
// at all, and no bound is passed.
func TestBoundAgainstAllPatterns(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 12))
	missed, loose, looseFar, cases, unproven, old := 0, 0.0, 0.0, 0, 0, 0
	pick := func(of ...string) string { return of[rng.IntN(len(of))] }
	designs := 80
	if os.Getenv("LODEGRID_CI") != "" {
		designs = 200
	}
	for range designs {
		changes := []string{
			"grid.cols=3", "grid.rows=3", "fluid.density_difference=10 kg/m3",
			"grid.pitch=" + pick("10 mm", "9.5 mm", "11 mm"), "drive.mode=" + pick("direct", "direct", "stagger", "scan"),
			"drive.max_duty=" + pick("30 %", "100 %"), "drive.bridge=" + pick("low-side", "low-side", "h-bridge"),
		}
		if rng.IntN(2) == 0 {
			changes = append(changes, append(trial.Magnets, fmt.Sprintf("magnet.remanence=%.2f T", 0.2+1.1*rng.Float64()))...)
		}
		if rng.IntN(5) == 0 {
			changes = append(changes, "heat.orientation=face-up", "fluid.contact_line=0.5 mN/m")
		}
		switch bridge := slices.Contains(changes, "drive.bridge=h-bridge"); {
		case bridge && os.Getenv("LODEGRID_CI") == "": // three levels a pixel make many patterns
			changes = append(changes, "grid.rows=2", "grid.cols=3")
		case rng.IntN(4) == 0:
			changes = append(changes, "grid.rows=2", "grid.cols=4")
		}
		if rng.IntN(3) == 0 {
			changes = append(changes, fmt.Sprintf("drive.most_lit=%d", 1+rng.IntN(6)))
		}
		g := trial.Build(t, grid.New, 4, changes...)
		place := [2]int{rng.IntN(g.Design.Grid.Rows), rng.IntN(g.Design.Grid.Cols)}
		s := Search{Seed: 1}
		if rng.IntN(3) == 0 {
			s.Reach = 1 // the pixels across a corner, and all beyond the next, count as far
		}
		list, err := Margins(t.Context(), g, s, [][2]int{place})
		if err != nil {
			t.Fatal(err)
		}
		w := newDisturbance(g, Search{})
		w.aim(place[0], place[1])
		m := list[0]
		for _, levels := range [][]float64{m.OnLevels, m.OffLevels} {
			if on := len(levels) - len(slices.DeleteFunc(slices.Clone(levels), func(v float64) bool { return v != 0 })); on > g.Design.Drive.MostLit {
				t.Errorf("%v, place %v: %v has %d pixels on", changes, place, levels, on)
			}
		}
		for _, c := range []struct{ own, found, bound float64 }{{0, m.FalseOn, m.OnBound}, {g.FullLevel(), m.FalseOff, m.OffBound}} {
			truth := w.every(t, c.own)
			if r, _, _, _ := w.worst(t.Context(), c.own); math.Abs(r-truth) > 1e-6*(1+truth) {
				old++
			}
			cases++
			if s.Reach == 0 && math.Abs(c.found-truth) > 1e-6*(1+truth) {
				missed++
			}
			if s.Reach == 0 && math.Abs(c.found-truth) > 1e-2*(1+truth) { // the forms' third order
				t.Errorf("%v, place %v, own %g: found %g, worst %g", changes, place, c.own, c.found, truth)
			}
			if c.own == 0 && c.bound < truth*(1-1e-9)-1e-9 || c.own != 0 && c.bound > truth*(1+1e-9) {
				t.Errorf("%v, place %v, own %g: bound %g, worst %g", changes, place, c.own, c.bound, truth)
			}
			if math.IsInf(c.bound, 0) || c.own != 0 && c.bound == 0 {
				if s.Reach == 0 {
					unproven++
				}
			} else {
				of := &loose
				if s.Reach > 0 {
					of = &looseFar
				}
				*of = max(*of, math.Abs(c.bound-truth)/(0.1+truth))
			}
		}
	}
	if missed > cases/50 {
		t.Errorf("%d of %d missed", missed, cases)
	}
	if old == 0 && designs > 80 || unproven > cases/50 {
		t.Errorf("the search alone misses %d, %d of %d cases have no bound: hard cases are wanted, and proofs", old, unproven, cases)
	}
	t.Logf("%d by the search alone, %d of %d missed; %d without a bound, the others within %.3f, of what lies out of reach %.3f", old, missed, cases, unproven, loose, looseFar)
}

// The bounds of the forms hold for every pattern, from the start and with the first pixels
// decided, and the forms that are kept tell of every pattern whether it goes beyond a target
// as all of them do.
func TestFormsAreBounded(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	for _, changes := range [][]string{
		{"drive.bridge=h-bridge"}, append(trial.Magnets, "drive.bridge=h-bridge", "magnet.remanence=1 T"),
		{"drive.mode=stagger", "drive.max_duty=30 %"}, append(trial.Magnets, "heat.orientation=face-up", "fluid.contact_line=0.5 mN/m"),
		{"drive.most_lit=2"}, {"drive.bridge=h-bridge", "drive.most_lit=4"},
	} {
		g := trial.Build(t, grid.New, 4, append(changes, "grid.cols=3", "grid.rows=3")...)
		w := newDisturbance(g, Search{})
		w.aim(1, 1)
		for _, own := range []float64{0, g.FullLevel()} {
			levels := make([]float64, 9)
			levels[4] = own
			w.set(levels)
			b := w.newBounder(own)
			root, left := b.root(), 1000
			p := &proof{bounder: b, count: len(b.base), left: &left}
			p.index()
			high, low := append([]float64(nil), root.base...), append([]float64(nil), root.base...)
			p.reckon(root, 0, high, low)
			for range 200 {
				for k := range levels {
					if k != 4 {
						levels[k] = w.allow[rng.IntN(len(w.allow))]
					}
				}
				if k := w.bearer(own); k >= 0 && g.StateOf(levels[k]) == grid.Lit {
					levels[k] = 0
				}
				w.cap(levels, w.others(own))
				v := b.model(levels)
				size := 0.0
				for _, x := range v {
					size = max(size, math.Abs(x))
				}
				for k, x := range v {
					if x > high[k]+1e-9*size || x < low[k]-1e-9*size {
						t.Fatalf("%v, own %g: form %d of %v is %g, bounds %g and %g", changes, own, k, levels, x, low[k], high[k])
					}
				}
				p.target = b.reach(v, v, len(b.forms)) * (0.7 + 0.6*rng.Float64())
				small, act := b.only(p.target, 0, high, low)
				u := make([]float64, len(act))
				for i, k := range act {
					u[i] = v[k]
				}
				copy(small.state, levels)
				beyond := func(r float64) bool { return b.lit && r < p.target || !b.lit && r > p.target }
				if all, kept := beyond(b.reach(v, v, len(b.forms))), beyond(small.reach(u, u, len(b.forms))); all != kept {
					t.Fatalf("%v, own %g: %v goes beyond %g by all forms: %v, by those kept: %v", changes, own, levels, p.target, all, kept)
				}
			}
		}
	}
}

// Pixels out of reach change the forms by no more than their directions may, and directions
// may little more than what some pattern does; played patterns of all pixels, to the third order.
func TestFarPixelsAreBounded(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 8))
	for _, changes := range [][]string{{}, {"drive.bridge=h-bridge"}, append(trial.Magnets, "drive.bridge=h-bridge", "magnet.remanence=1 T"), {"drive.mode=scan", "fluid.relaxation=0 s"}, {"drive.most_lit=12"}} {
		g := trial.Build(t, grid.New, 4, append(changes, "grid.cols=9", "grid.rows=8")...)
		w := newDisturbance(g, Search{})
		w.aim(4, 4)
		for _, own := range []float64{0, g.FullLevel()} {
			levels := make([]float64, 72)
			pick := func() {
				for k := range levels {
					levels[k] = w.allow[rng.IntN(len(w.allow))]
				}
				if most := w.others(own); most < 71 && rng.IntN(2) == 0 { // all that may be on, out of reach
					for k := range levels {
						levels[k] = 1
						if slices.Contains(w.near, k) {
							levels[k] = 0
						}
					}
				}
				levels[40] = own
				w.cap(levels, w.others(own))
			}
			pick()
			w.set(levels)
			b := w.newBounder(own)
			look := (&bounder{w: w, lit: b.lit, order: map[int]int{}}).looks()
			from := slices.Clone(levels)
			out, most, room, spread := 0.0, 0.0, 0.0, 0.0
			for range 30 {
				pick()
				v := b.model(levels)
				high, low := slices.Clone(v), slices.Clone(v)
				for m := len(w.near); m < len(b.forms); m++ {
					for i := range high {
						high[i] += b.forms[m][0].lin[i]
						low[i] += b.forms[m][0].least[i]
					}
					for n, k := range w.near {
						if levels[k] != 0 {
							b.mayAdd(high, low, n, w.share(levels[k]), m, 1)
						}
					}
					for o := len(w.near); o < len(b.forms); o++ {
						b.mayAdd(high, low, m, 1, o, 0.5)
					}
				}
				w.set(levels)
				w.hold.average(w.plane, w.hold.looks(w.row, w.col))
				truth := look(w.hold.mean)
				for k := range levels { // those out of reach as they were
					if !slices.Contains(w.near, k) {
						levels[k] = from[k]
					}
				}
				w.set(levels)
				w.hold.average(w.plane, w.hold.looks(w.row, w.col))
				still := look(w.hold.mean)
				for i := range v {
					change := truth[i] - still[i]
					out = max(out, change-(high[i]-v[i]), low[i]-v[i]-change)
					most = max(most, math.Abs(change))
					room, spread = room+high[i]-low[i], spread+math.Abs(change)
				}
			}
			t.Logf("%v, own %g: out of bounds by %.2g of the largest change, the room %.3g times a change", changes, own, out/most, room/spread)
			if out > 0.03*most || room > 40*spread {
				t.Errorf("%v, own %g: out of bounds by %.2g of the largest change, the room is %.3g times a change", changes, own, out/most, room/spread)
			}
		}
	}
}

// Where a drop needs nothing to stay every ratio is endless, and so is what is proven of a
// lit pixel; nothing is proven of a dark one.
func TestBoundOfWhatNeedsNothing(t *testing.T) {
	g := trial.Build(t, grid.New, 4, "heat.orientation=face-up", "grid.cols=3", "grid.rows=2")
	list, err := Margins(t.Context(), g, Search{}, [][2]int{{0, 1}, {1, 0}})
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range list {
		if !math.IsInf(m.FalseOff, 1) || !math.IsInf(m.OffBound, 1) || len(m.OffLevels) != 6 || m.OnBound < m.FalseOn {
			t.Errorf("%+v", m)
		}
	}
}

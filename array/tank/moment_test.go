package tank

import (
	"math"
	"slices"
	"testing"
)

// A tank that goes on from a moment comes to the same as before, with pool, drops that
// pass each other in layers of their own, a field and panes that hold the contact line.
func TestMoment(t *testing.T) {
	p := demo(t, 4, 4, 1, 8)
	p.ContactLine = 2e-3
	tk := newTank(t, p)
	tk.FillBelow(0.012)
	disc(t, tk, -0.006, 0.006, 0.004)
	disc(t, tk, 0.0025, 0.006, 0.004)
	pi := make([]float64, p.Rows*p.Cols)
	for k := range pi {
		pi[k] = 40 * math.Sin(float64(k%p.Cols)/8) * math.Cos(float64(k/p.Cols)/9)
	}
	step(t, tk, 0.2, pi)
	m := tk.Moment()
	var grip [][]float64
	held := 0
	for _, l := range tk.layers {
		grip = append(grip, slices.Clone(l.grip))
		for _, g := range l.grip {
			if g > 0 || g < 0 {
				held++
			}
		}
	}
	if held < 8 {
		t.Fatalf("the panes hold the fluid's edge in %d cells: this checks nothing of it", held)
	}
	step(t, tk, 0.2, pi)
	volume := tk.Volume()
	want := append([]float64(nil), tk.Fraction()...)
	moved := 0.0
	tk.Resume(m)
	for n, list := range grip {
		for k, g := range list {
			if now := tk.layers[n].grip[k]; math.Abs(now-g) > 1e-6*math.Abs(g) || math.IsNaN(now) != math.IsNaN(g) {
				t.Fatalf("layer %d, cell %d: the panes hold with %g Pa, did with %g", n, k, now, g)
			}
		}
	}
	for k, c := range tk.Fraction() {
		moved = max(moved, math.Abs(c-want[k]))
	}
	if moved < 0.3 {
		t.Fatalf("the fluid has hardly moved in between: by %g of a cell", moved)
	}
	st := step(t, tk, 0.2, pi)
	worst := 0.0
	for k, c := range tk.Fraction() {
		worst = max(worst, math.Abs(c-want[k]))
	}
	t.Logf("differs by %.2g of a cell at most, moved %.2g in between, %d bytes", worst, moved, m.Bytes())
	if worst > 2e-3 || math.Abs(tk.Volume()/volume-1) > 1e-7 || math.Abs(st.MassError) > 1e-9 {
		t.Errorf("from a moment kept the fluid differs by %g of a cell at most, its volume is %g of what it was", worst, tk.Volume()/volume)
	}
	if n := m.Bytes(); n > 24*p.Rows*p.Cols {
		t.Errorf("a moment takes %d bytes for %d cells", n, p.Rows*p.Cols)
	}
}

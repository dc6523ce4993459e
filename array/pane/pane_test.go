package pane

import (
	"math"
	"testing"
)

// R. J. Roark, Formulas for Stress and Strain, table 11.4 case 1a (a copy of the table seen):
// y = α q b⁴/Et³ at ν = 0.3, all edges simply supported. The series is within 0.5 % of every row
// (0.0774 for 0.0770 at 1.4, 0.1106 for 0.1110 at 2) and within 2e-4 of most.
func TestUniformLoad(t *testing.T) {
	for _, c := range [][2]float64{{1, 0.0444}, {1.2, 0.0616}, {1.4, 0.0770}, {1.6, 0.0906}, {1.8, 0.1017}, {2, 0.1110}, {3, 0.1335}, {4, 0.1400}, {5, 0.1417}} {
		for _, lying := range []bool{false, true} {
			w, h := 1.0, c[0]
			if lying {
				w, h = h, w
			}
			bow, at := NewPlate(w, h, 1, 1, 1).Most()
			if alpha := bow * 12 * (1 - 0.3*0.3); math.Abs(alpha/c[1]-1) > 5.5e-3 || math.Abs(at-h/2) > 1e-9 {
				t.Errorf("sides 1 to %g: α %.4f at %g, handbook %.4f in the middle", c[0], alpha, at, c[1])
			}
		}
	}
}

// Under a pressure that grows from nothing, Timoshenko's table 9 gives half the even load's
// bow in the middle and 0.00206 a little below it for a square (from memory).
func TestHydrostaticLoad(t *testing.T) {
	bow, at := NewPlate(1, 1, 1, 0, 1).Most()
	if math.Abs(bow-0.00206) > 1e-5 || at < 0.5 || at > 0.6 {
		t.Errorf("bow %.5f at %g", bow, at)
	}
	up, above := NewPlate(1, 1, 1, 1, 0).Most()
	if math.Abs(up-bow) > 1e-9 || math.Abs(above-(1-at)) > 1e-9 {
		t.Errorf("upside down %g at %g, upright %g at %g", up, above, bow, at)
	}
}

// Slopes are those of the bow.
func TestSlopes(t *testing.T) {
	p := NewPlate(0.2, 0.15, 3, 50, 900)
	const h = 1e-6
	at := func(x, y float64) float64 { w, _, _ := p.At(x, y); return w }
	for _, c := range [][2]float64{{0.03, 0.02}, {0.1, 0.13}, {0.19, 0.08}} {
		_, sx, sy := p.At(c[0], c[1])
		dx := (at(c[0]+h, c[1]) - at(c[0]-h, c[1])) / (2 * h)
		dy := (at(c[0], c[1]+h) - at(c[0], c[1]-h)) / (2 * h)
		if math.Abs(dx-sx)+math.Abs(dy-sy) > 1e-6*(math.Abs(dx)+math.Abs(dy)) {
			t.Errorf("at %v: slopes %g, %g, by differences %g, %g", c, sx, sy, dx, dy)
		}
	}
}

// Timoshenko's table of panels on equidistant columns has 0.00581 in the middle of a square
// (from memory). The sum itself is taken here.
func TestBowBetween(t *testing.T) {
	sum := 0.0
	const n = 400
	for i := -n; i <= n; i++ {
		for j := -n; j <= n; j++ {
			if (i+j)%2 != 0 {
				k := float64(i*i + j*j)
				sum += 2 / (k * k)
			}
		}
	}
	sum /= math.Pow(2*math.Pi, 4)
	got := BowBetween(1, 1, 1)
	if math.Abs(got-0.00581) > 2e-5 || math.Abs(got/sum-1) > 1e-5 {
		t.Errorf("%.6f, by the sum %.6f", got, sum)
	}
}

// 3 mm of glass: E t³/12(1−ν²), by hand.
func TestStiffness(t *testing.T) {
	if d := (Sheet{"glass", 3e-3}).Stiffness(); math.Abs(d-165.51) > 0.02 {
		t.Errorf("%g N·m", d)
	}
	if (Sheet{"paper", 1}).Stiffness() != 0 {
		t.Error("paper has a stiffness")
	}
}

// A rear pane that leans on a board as stiff as itself bows half as far; with air between,
// by half of what is left when it touches; with more air than it bows, freely.
func TestLeaning(t *testing.T) {
	rear := Sheet{"acrylic", 2e-3}
	tank := Tank{Width: 0.2, Height: 0.15, Gap: 2e-3, Density: 1300, Gravity: 9.81, Front: Sheet{"glass", 4e-3}, Rear: rear}
	bow := func(air, backing float64) float64 {
		tank.AirGap, tank.Backing = air, backing
		_, _, w, _ := tank.Bow().Most()
		return w
	}
	free := bow(0, 0)
	if w := bow(0, rear.Stiffness()); math.Abs(w/free-0.5) > 1e-12 {
		t.Errorf("on its equal %g of the free bow", w/free)
	}
	if w := bow(free/2, rear.Stiffness()); math.Abs(w/free-0.75) > 1e-12 {
		t.Errorf("half the way free: %g", w/free)
	}
	if w := bow(2*free, rear.Stiffness()); w != free {
		t.Errorf("with room: %g of %g", w, free)
	}
	tank.Spacers = 0.05
	if w := bow(0, 0); math.Abs(w/BowBetween(0.05, rear.Stiffness(), 1300*9.81*0.15)-1) > 1e-12 {
		t.Errorf("between spacers %g", w)
	}
}

// A tank that lies: the upper pane sags by its own weight into the gap, the lower one out of
// it by its own and the liquid's.
func TestLying(t *testing.T) {
	tank := Tank{Width: 0.3, Height: 0.3, Gap: 2e-3, Density: 1000, Gravity: 10, Lie: FrontUp, Front: Sheet{"acrylic", 2e-3}, Rear: Sheet{"glass", 2e-3}, AirGap: 1}
	if p, _ := tank.Load(true); p != -1190*10*2e-3 {
		t.Errorf("upper pane %g Pa", p)
	}
	if p, _ := tank.Load(false); p != 2500*10*2e-3+1000*10*2e-3 {
		t.Errorf("lower pane %g Pa", p)
	}
	front, _, rear, _ := tank.Bow().Most()
	if front >= 0 || rear <= 0 {
		t.Errorf("bows %g and %g", front, rear)
	}
	f, r, sx, sy := tank.Bow().At(0.15, 0.15)
	if math.Abs(f-front)+math.Abs(r-rear) > 1e-9 || math.Abs(sx)+math.Abs(sy) > 1e-9 {
		t.Errorf("in the middle %g %g, slopes %g %g", f, r, sx, sy)
	}
}

// The gap is deepest where both panes bow most, which is at one height, and narrowest near the
// upper edge, where there is no load.
func TestDepths(t *testing.T) {
	b := Tank{Width: 0.2, Height: 0.15, Gap: 2e-3, Density: 1300, Gravity: 9.81, Front: Sheet{"glass", 4e-3}, Rear: Sheet{"glass", 3e-3}, AirGap: 1}.Bow()
	front, _, rear, _ := b.Most()
	least, most := b.Depths()
	if e := (most-2e-3)/(front+rear) - 1; !(front > 0 && rear > front) || e > 1e-9 || e < -0.01 {
		t.Errorf("%g m at most, flat 2 mm, bows of %g m and %g m", most, front, rear)
	}
	if bows := least - 2e-3; !(bows > 0 && bows < 0.2*(front+rear)) {
		t.Errorf("%g m at least, flat 2 mm", least)
	}
}

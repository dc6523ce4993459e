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
			bow, at := Bow(w, h, 1, 1, 1)
			if alpha := bow * 12 * (1 - 0.3*0.3); math.Abs(alpha/c[1]-1) > 5.5e-3 || math.Abs(at-h/2) > 1e-9 {
				t.Errorf("sides 1 to %g: α %.4f at %g, handbook %.4f in the middle", c[0], alpha, at, c[1])
			}
		}
	}
}

// Under a pressure that grows from nothing, Timoshenko's table 9 gives half the even load's
// bow in the middle and 0.00206 a little below it for a square (from memory).
func TestHydrostaticLoad(t *testing.T) {
	bow, at := Bow(1, 1, 1, 0, 1)
	if math.Abs(bow-0.00206) > 1e-5 || at < 0.5 || at > 0.6 {
		t.Errorf("bow %.5f at %g", bow, at)
	}
	up, above := Bow(1, 1, 1, 1, 0)
	if math.Abs(up-bow) > 1e-9 || math.Abs(above-(1-at)) > 1e-9 {
		t.Errorf("upside down %g at %g, upright %g at %g", up, above, bow, at)
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
	if a := Spacing(BowBetween(0.05, 7, 200), 7, 200); math.Abs(a-0.05) > 1e-12 {
		t.Errorf("spacing %g, want 0.05", a)
	}
}

// 3 mm of glass: E t³/12(1−ν²), by hand.
func TestStiffness(t *testing.T) {
	if d := Stiffness("glass", 3e-3); math.Abs(d-165.51) > 0.02 {
		t.Errorf("%g N·m", d)
	}
	if Stiffness("paper", 1) != 0 {
		t.Error("paper has a stiffness")
	}
}

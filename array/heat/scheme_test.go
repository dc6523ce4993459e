package heat

import (
	"fmt"
	"math"
	"testing"
)

func gap(a, b []float64) (most float64) {
	for i, x := range a {
		most = math.Max(most, math.Abs(x-b[i]))
	}
	return most
}

// edged gives every layer edges that the air cools.
func edged(p Params) Params {
	for l := range p.Layers {
		p.Layers[l].Rim = 2e-5
	}
	p.Edge = Film{Orientation: Vertical, Length: 0.002, Emissivity: 0.9}
	return p
}

func mustNew(t testing.TB, p Params) *Network {
	t.Helper()
	n := New(p)
	return n
}

// play steps a network through seconds in equal steps and returns its rises.
func play(t *testing.T, p Params, m Method, load Load, seconds float64, steps int) []float64 {
	t.Helper()
	p.Method = m
	n := mustNew(t, p)
	n.Start(p.Ambient + 12) // clear of the kink of natural convection at the air's temperature
	for range steps {
		if err := n.Step(t.Context(), seconds/float64(steps), load); err != nil {
			t.Fatalf("%q: %v", m, err)
		}
	}
	balanced(t, fmt.Sprintf("%q, %d steps", m, steps), n)
	return append([]float64(nil), n.rise...)
}

// Every scheme against every other, on boards of one to four layers, uniform and
// not, and the order of each: halving the step divides the error by 4 (split)
// or 8 (implicit).
func TestSchemesConverge(t *testing.T) {
	for layers := 1; layers <= 4; layers++ {
		for _, uneven := range []bool{false, true} {
			p := board(8, 8, layers)
			if uneven {
				p = edged(p)
			}
			if layers == 3 {
				p.Heated = 1
			}
			load, show := frames(64)
			load.Volts = 2.2
			show(0)
			const seconds = 16
			truth := play(t, p, Implicit, load, seconds, 128)
			top, _ := hottest(truth)
			orders := map[Method]float64{Split: 2, Implicit: 3}
			for _, m := range []Method{Split, Implicit} {
				// Coarse enough to be in the error, fine enough to be in the asymptote.
				steps := map[Method]int{Split: 64, Implicit: 16}[m]
				coarse := gap(truth, play(t, p, m, load, seconds, steps))
				fine := gap(truth, play(t, p, m, load, seconds, 2*steps))
				order := math.Log2(coarse / fine)
				t.Logf("%d layers, uneven %v, %s: %.2g K at %.3g s, %.2g K at half: order %.2f (rise %.3g K)",
					layers, uneven, m, coarse, seconds/float64(steps), fine, order, top)
				if order < orders[m]-0.3 || order > orders[m]+0.8 {
					t.Errorf("%d layers, uneven %v: %s converges with order %.2f, want %g", layers, uneven, m, order, orders[m])
				}
				if fine > 1e-3*top {
					t.Errorf("%d layers, uneven %v: %s is %.2g K off the implicit scheme", layers, uneven, m, fine)
				}
			}
		}
	}
}

// What auto promises: at a frame's step the error stays below a thousandth of the
// rise, and long steps stay near their tolerance, while the load jumps about.
func TestAutoAccuracy(t *testing.T) {
	for _, layers := range []int{1, 3} {
		for _, uneven := range []bool{false, true} {
			p := board(10, 9, layers)
			if uneven {
				p = edged(p)
			}
			load, show := frames(90)
			load.Volts = 2.5
			run := func(m Method, parts int) []float64 {
				p.Method = m
				n := mustNew(t, p)
				for frame := range 6 {
					show(frame * 3)
					for range parts {
						if err := n.Step(t.Context(), 1.5/float64(parts), load); err != nil {
							t.Fatal(err)
						}
					}
				}
				balanced(t, "auto", n)
				return n.rise
			}
			truth := run(Implicit, 24)
			top, _ := hottest(truth)
			if e := gap(truth, run(auto, 45)); e > 3e-4*top {
				t.Errorf("%d layers, uneven %v: frames of 33 ms are %.2g K off, rise %.3g K", layers, uneven, e, top)
			} else {
				t.Logf("%d layers, uneven %v: frames of 33 ms within %.2g K, rise %.3g K", layers, uneven, e, top)
			}
			if e := gap(truth, run(auto, 1)); e > 0.05 {
				t.Errorf("%d layers, uneven %v: steps of 1.5 s are %.2g K off", layers, uneven, e)
			} else {
				t.Logf("%d layers, uneven %v: steps of 1.5 s within %.2g K", layers, uneven, e)
			}
		}
	}
}

// Any scheme stays bounded at any step: from a sharply uneven start, steps of up
// to 1e4 s end between the air's temperature and the start's, and auto and the
// implicit scheme end at the steady state.
func TestStableAtAnyStep(t *testing.T) {
	for _, layers := range []int{1, 2, 4} {
		for _, uneven := range []bool{false, true} {
			p := board(8, 8, layers)
			if uneven {
				p = edged(p)
			}
			load := &FixedPower{make([]float64, 64)}
			load.Watts[31] = 0.5
			want, err := mustNew(t, p).Steady(t.Context(), load)
			if err != nil {
				t.Fatal(err)
			}
			for _, m := range []Method{auto, Split, Implicit} {
				for _, dt := range []float64{0.03, 1, 30, 1e4} {
					p.Method = m
					n := mustNew(t, p)
					start := make([][]float64, layers)
					for l := range start {
						start[l] = make([]float64, 64)
						for i := range start[l] {
							start[l][i] = 293.15
							if (i+l)%2 == 0 {
								start[l][i] = 393.15
							}
						}
					}
					n.StartFrom(start)
					for range 10 {
						if err := n.Step(t.Context(), dt, load); err != nil {
							t.Fatalf("%d layers, uneven %v, %q at %g s: %v", layers, uneven, m, dt, err)
						}
						for i, r := range n.rise {
							if !(r > -30 && r < 130) {
								t.Fatalf("%d layers, uneven %v, %q at %g s: node %d at rise %g", layers, uneven, m, dt, i, r)
							}
						}
					}
					balanced(t, fmt.Sprintf("%d layers, uneven %v, %q at %g s", layers, uneven, m, dt), n)
					if dt < 1e4 || m == Split {
						continue
					}
					for l := range layers {
						for i, v := range n.Temperatures(l) {
							if math.Abs(v-want.Layers[l][i]) > 5e-3 {
								t.Fatalf("%d layers, uneven %v, %q at %g s: %g K, steady %g K", layers, uneven, m, dt, v, want.Layers[l][i])
							}
						}
					}
				}
			}
		}
	}
}

// A run allocates nothing once each scheme has been used.
func TestStepAllocatesNothing(t *testing.T) {
	for _, layers := range []int{1, 2, 3, 4} {
		for _, uneven := range []bool{false, true} {
			for _, m := range []Method{auto, Split, Implicit} {
				p := board(8, 10, layers)
				if uneven {
					p = edged(p)
				}
				p.Method = m
				n := mustNew(t, p)
				load, show := frames(80)
				step := func() {
					show(1)
					for _, dt := range []float64{1.0 / 30, 2} {
						if err := n.Step(t.Context(), dt, load); err != nil {
							t.Fatal(err)
						}
					}
					n.Temperatures(0)
					n.Balance()
				}
				for range 5 {
					step()
				}
				if a := testing.AllocsPerRun(10, step); a > 0 {
					t.Errorf("%d layers, uneven %v, %q: %g allocations per step", layers, uneven, m, a)
				}
			}
		}
	}
}

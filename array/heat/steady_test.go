package heat

import (
	"errors"
	"math"
	"testing"
)

// All pixels on is one pixel's balance: the steady state of the whole board is
// that of a single stack solved by itself, and the heat made is the heat lost.
func TestSteadyAllOn(t *testing.T) {
	for layers := 1; layers <= 4; layers++ {
		p := board(12, 16, layers)
		drive := &VoltageDrive{Copper: Copper{3, 0.00393}, Volts: 1.2, Series: 0.15}
		r := steady(t, p, drive)
		near(t, "loss", r.Loss, r.Power, 1e-9)
		one := p
		one.Rows, one.Cols = 1, 1 // the film keeps the length of the whole board
		s := steady(t, one, drive)
		for l := range r.Layers {
			for _, v := range r.Layers[l] {
				near(t, "temperature", v, s.Layers[l][0], 1e-10)
			}
		}
		// The stack by hand, from the film itself rather than its table: what
		// leaves the last node through the links is what its face loses.
		front, _ := p.Front.Flux(s.Layers[0][0], p.Ambient, p.Ambient)
		back, _ := p.Back.Flux(s.Layers[layers-1][0], p.Ambient, p.Ambient)
		lost := p.Layers[0].Front*front + p.Layers[layers-1].Back*back
		coil := drive.Copper.Resistance(s.Layers[0][0])
		near(t, "front", s.Front, p.Layers[0].Front*front, 1e-4)
		near(t, "back", s.Back, p.Layers[layers-1].Back*back, 1e-4)
		near(t, "power by hand", lost, 1.2*1.2*coil/((coil+0.15)*(coil+0.15)), 1e-4)
		if layers > 1 {
			near(t, "flow by hand", p.Layers[0].Down*(s.Layers[0][0]-s.Layers[1][0]),
				p.Layers[layers-1].Back*back, 1e-4)
		}
	}
}

// The steady state is where the run ends.
func TestSteadyIsTheEnd(t *testing.T) {
	for _, uneven := range []bool{false, true} {
		p := board(10, 8, 3)
		if uneven {
			p = edged(p)
		}
		load, show := frames(80)
		load.Volts = 3
		show(2)
		n := mustNew(t, p)
		want := steady(t, p, load)
		if err := n.Step(t.Context(), 1e6, load); err != nil {
			t.Fatal(err)
		}
		for l := range want.Layers {
			for i, v := range n.Temperatures(l) {
				if math.Abs(v-want.Layers[l][i]) > 1e-3 {
					t.Fatalf("uneven %v: %g K after a long run, steady %g K", uneven, v, want.Layers[l][i])
				}
			}
		}
		if n.Growing(load) {
			t.Error("a voltage drive does not run away")
		}
		// Once there, any scheme stays.
		for _, m := range []Method{Split, Implicit} {
			p.Method = m
			s := mustNew(t, p)
			s.StartFrom(want.Layers)
			for range 100 {
				if err := s.Step(t.Context(), 1.0/30, load); err != nil {
					t.Fatal(err)
				}
			}
			bound := 1e-6
			if m == Split {
				bound = 2e-3 // its own splitting error
			}
			for l := range want.Layers {
				for i, v := range s.Temperatures(l) {
					if math.Abs(v-want.Layers[l][i]) > bound {
						t.Fatalf("uneven %v: %s leaves the steady state, %g K to %g K", uneven, m, want.Layers[l][i], v)
					}
				}
			}
		}
	}
}

// The bigger boards that the tool is for converge to the promised residual.
func TestSteadyResidual(t *testing.T) {
	for _, uneven := range []bool{false, true} {
		p := board(40, 40, 2)
		if uneven {
			p = edged(p)
		}
		load, show := frames(1600)
		load.Volts = 3
		show(0)
		r := steady(t, p, load)
		near(t, "faces", r.Front+r.Back+r.Edge, r.Loss, 1e-12)
		t.Logf("uneven %v: %d Newton steps, residual %.1e of %.3g W", uneven, r.Iterations, r.Residual, r.Power)
	}
}

// One linear pixel driven by a constant current: the values of the project's
// reference table, section 7: I 0.8 A, R20 3 Ω, R_th 20 K/W, air 20 °C, α 0.00393:
// rise 45.224994346876 K; runaway from 1/√(α R20 R_th) = 2.05934021 A on.
func TestSelfHeatingAndRunawayCurrent(t *testing.T) {
	copper := Copper{3, 0.00393}
	p := Params{Rows: 1, Cols: 1, Ambient: 293.15,
		Layers: []Layer{{Capacity: 15, Front: 0.01}}, Front: Film{Coefficient: 5}}
	n := mustNew(t, p)
	r, err := n.Steady(t.Context(), &CurrentDrive{copper, 0.8, nil})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "rise", r.Hottest-293.15, 45.224994346876, 1e-11)
	l := Lumped{Resistance: 20, Capacity: 15, Ambient: 293.15}
	near(t, "lumped rise", l.SelfHeating(0.8, copper), 45.224994346876, 1e-12)
	near(t, "lumped runaway", l.RunawayCurrent(copper), 2.05934021, 3e-9)

	h, err := n.Highest(t.Context(), func(a float64) Load { return &CurrentDrive{copper, a, nil} }, 0, 10, math.Inf(1), 1e-9)
	if err != nil {
		t.Fatal(err)
	}
	if !h.Bounded || !h.Runaway {
		t.Errorf("%+v", h)
	}
	near(t, "runaway current of the network", h.Level, 2.05934021, 1e-7)

	// With a limit in the way the limit decides: x/(1−αx) = 100 K at x = 71.788…
	h, err = n.Highest(t.Context(), func(a float64) Load { return &CurrentDrive{copper, a, nil} }, 0, 10, 393.15, 1e-9)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "current to 120 °C", h.Level, math.Sqrt(100/(1+0.393)/60), 1e-8)
	if h.Runaway {
		t.Error("the limit decides, not a runaway")
	}
}

// A grid, all on, runs away at the current of one pixel by itself; one pixel alone
// in the grid stands more. Below it a run settles, above it the run is stopped and
// told as a runaway.
func TestRunawayOfAGrid(t *testing.T) {
	copper := Copper{3, 0.00393}
	for _, uneven := range []bool{false, true} {
		p := board(6, 8, 2)
		p.Front, p.Back = Film{Coefficient: 9}, Film{Coefficient: 7}
		if uneven {
			p = edged(p)
			p.Edge = Film{Coefficient: 5}
		}
		n := mustNew(t, p)
		all := func(a float64) Load { return &CurrentDrive{copper, a, nil} }
		alone := make([]float64, 48)
		alone[20] = 1
		one := func(a float64) Load { return &CurrentDrive{copper, a, alone} }
		grid, err := n.Highest(t.Context(), all, 0, 5, math.Inf(1), 1e-7)
		if err != nil {
			t.Fatal(err)
		}
		single, err := n.Highest(t.Context(), one, 0, 5, math.Inf(1), 1e-7)
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("uneven %v: runs away at %.6f A all on, %.6f A alone", uneven, grid.Level, single.Level)
		if !grid.Runaway || !single.Runaway || single.Level < 1.2*grid.Level {
			t.Errorf("uneven %v: %g A, %g A", uneven, grid.Level, single.Level)
		}
		if !uneven {
			// By hand: α I² R20 = the stack's conductance seen from the coil,
			// front + link·back/(link+back).
			g := 1.44e-4*9 + 0.086*1.44e-4*7/(0.086+1.44e-4*7)
			near(t, "all on by hand", grid.Level, math.Sqrt(g/(0.00393*3)), 1e-6)
		}
		for _, over := range []bool{false, true} {
			level := grid.Level * 0.98
			if over {
				level = grid.Level * 1.02
			}
			n.Start(p.Ambient)
			n.p.Ceiling = 1e5 // below the runaway a linear board still gets this hot
			var stopped *RunawayError
			for k := 0; k < 60 && err == nil; k++ {
				err = n.Step(t.Context(), 2e4, all(level))
			}
			if over != errors.As(err, &stopped) {
				t.Errorf("uneven %v: at %g A of %g A the run ends with %v", uneven, level, grid.Level, err)
			}
			if over && (!stopped.Growing || !n.Growing(all(level))) {
				t.Errorf("not told as growing: %+v", stopped)
			}
			balanced(t, "runaway", n)
			_, err = n.Steady(t.Context(), all(level))
			if over != errors.As(err, &stopped) {
				t.Errorf("steady at %g A of %g A: %v", level, grid.Level, err)
			}
		}
	}
}

// A pulse far above the runaway current follows the growing closed form, in small
// steps and in one long one alike.
func TestGrowingPulse(t *testing.T) {
	copper := Copper{3, 0.00393}
	const amps, c, rth = 8.0, 15.0, 20.0
	p := Params{Rows: 1, Cols: 1, Ambient: 293.15, Ceiling: 3000, Tolerance: 1e-4,
		Layers: []Layer{{Capacity: c, Front: 1 / (5 * rth)}}, Front: Film{Coefficient: 5}}
	l := Lumped{rth, c, 293.15}
	gain := amps * amps * 3 * 0.00393
	for _, seconds := range []float64{0.5, 10, 30} {
		want := l.Temperature(seconds, 293.15, amps*amps*3, gain)
		for _, parts := range []int{1, 300} {
			n := mustNew(t, p)
			for range parts {
				if err := n.Step(t.Context(), seconds/float64(parts), &CurrentDrive{copper, amps, nil}); err != nil {
					t.Fatal(err)
				}
			}
			near(t, "pulse", n.Temperatures(0)[0]-293.15, want-293.15, 2e-4)
			if !n.Growing(&CurrentDrive{copper, amps, nil}) {
				t.Error("growth not told")
			}
			balanced(t, "pulse", n)
		}
	}
}

// With the power off the board settles between the air and the walls; as warm as
// both if they are alike.
func TestSteadyOff(t *testing.T) {
	off := &FixedPower{make([]float64, 30)}
	p := board(5, 6, 2)
	r := steady(t, p, off)
	near(t, "off", r.Hottest, p.Ambient, 1e-14)
	p.Surroundings = p.Ambient + 20
	r = steady(t, p, off)
	if !(r.Hottest > p.Ambient+5 && r.Hottest < p.Surroundings) {
		t.Errorf("between 293 and 313 K walls: %g K", r.Hottest)
	}
	q, _ := p.Front.Flux(r.Hottest, p.Ambient, p.Surroundings)
	if math.Abs(q) > 0.05 { // of some 60 W/m² radiated and carried off each
		t.Errorf("net flux %g W/m²", q)
	}
}

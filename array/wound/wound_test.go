package wound

import (
	"errors"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/design/trial"
	"lodegrid/array/grid"
	"lodegrid/field/iron"
	"lodegrid/field/param"
)

// A wound electromagnet: current by Ohm's law from the wire's length, iron strengthens
// it, a pot more so, and the finite elements do not depend on their number.
func TestWound(t *testing.T) {
	s := Default()
	w, err := New(t.Context(), s)
	if err != nil {
		t.Fatal(err)
	}
	r := w.Winding.WireLength() / 58e6 / (math.Pi / 4 * s.Wire * s.Wire)
	if math.Abs(w.Current-s.Voltage/r) > 1e-9*w.Current {
		t.Errorf("current %g A; %g V over %g Ω", w.Current, s.Voltage, r)
	}
	at := r3.Vec{Z: 2e-3}
	air, core := w.Air(at).Z, w.Field(at).Z
	s.Shell = 2e-3
	pot, err := New(t.Context(), s)
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%d turns, %.3g Ω, %.3g A: %.3g mT in air, %.3g mT with its core, %.3g mT in a pot, core peak %.3g T", w.Winding.Spec().Turns, r, w.Current, air*1e3, core*1e3, pot.Field(at).Z*1e3, w.Steel.Peak)
	if !(core > 1.5*air && pot.Field(at).Z > core) {
		t.Errorf("air %g T, core %g T, pot %g T", air, core, pot.Field(at).Z)
	}
	for _, m := range []*Magnet{w, pot} {
		p := m.Steel.Problem()
		p.Nodes = 25_000
		fine, err := iron.Solve(t.Context(), p)
		if err != nil {
			t.Fatal(err)
		}
		for _, z := range []float64{1e-3, 2e-3, 5e-3} {
			at := r3.Vec{Z: z}
			if d := math.Abs(fine.B(at).Z-m.Steel.B(at).Z) / m.Field(at).Z; d > 2e-3 {
				t.Errorf("shell %g: at %g mm more elements change the field by %.2f %%", m.Spec.Shell, z*1e3, d*100)
			}
		}
	}
}

// The comparison by hand: 5 V on the winding is V²/R of heat, the flat coil's is I² R at its
// full current; the figure of merit is field over the root of that. The winding of 9 to
// 20 mm has 1584 turns, π × 14.5 mm round on average: 72.2 m of 0.2 mm wire, 39.6 Ω at 1/58
// Ω·mm²/m, so 25 V²/39.6 Ω = 0.631 W.
func TestWoundAgainst(t *testing.T) {
	s := Default()
	s.Core = 0
	w, err := New(t.Context(), s)
	if err != nil {
		t.Fatal(err)
	}
	g := trial.Build(t, grid.New, 4)
	flat, wound, fits := w.Against(g.Design, g.Pixel)
	r := w.Winding.Resistance(293.15)
	if trial.Off(wound.Power, 0.631) > 0.02 || trial.Off(wound.Resistance, 39.6) > 0.02 {
		t.Errorf("wound: %g W in %g Ω; by hand 0.631 W in 39.6 Ω", wound.Power, wound.Resistance)
	}
	if trial.Off(wound.Power, 25/r) > 1e-9 || trial.Off(wound.Current, 5/r) > 1e-9 || trial.Off(wound.PerRootWatt, wound.Field/math.Sqrt(25/r)) > 1e-9 || wound.Field != wound.Alone {
		t.Errorf("wound: %+v; by hand %g W, %g A", wound, 25/r, 5/r)
	}
	i, cold := g.Pixel.Full.On.Average, g.Pixel.Coil.Resistance(293.15)
	if trial.Off(flat.Power, i*i*cold) > 1e-12 || trial.Off(flat.PerRootWatt, flat.Field/math.Sqrt(i*i*cold)) > 1e-12 || flat.Width != 9e-3 {
		t.Errorf("flat: %+v; by hand %g W", flat, i*i*cold)
	}
	dark := g.Pixel
	dark.Full.On.Average = 0
	if still, _, _ := w.Against(g.Design, dark); trial.Off(still.PerRootWatt, flat.PerRootWatt) > 1e-9 || still.Power != 0 {
		t.Errorf("never driven: %+v", still)
	}
	if fits || wound.Width != 20e-3 {
		t.Errorf("20 mm fit a pitch of 10 mm: %v, %g m", fits, wound.Width)
	}
	if _, _, fits := w.Against(trial.Design(t, "grid.cols=1", "grid.rows=1"), g.Pixel); !fits {
		t.Error("it does not fit a board of one pixel")
	}
}

func TestWoundErrors(t *testing.T) {
	for part, change := range map[string]func(*Spec){
		"outer":  func(s *Spec) { s.Outer = 0 },
		"inner":  func(s *Spec) { s.Inner = 21e-3 },
		"height": func(s *Spec) { s.Height = math.NaN() },
		"wire":   func(s *Spec) { s.Wire = -1 },
		"volts":  func(s *Spec) { s.Voltage = math.Inf(1) },
		"core":   func(s *Spec) { s.Core = 9e-3 },
		"shell":  func(s *Spec) { s.Shell = -1e-3 },
	} {
		s := Default()
		change(&s)
		_, err := New(t.Context(), s)
		var e *param.Error
		if !errors.As(err, &e) || e.Key != part || e.Accept == "" {
			t.Errorf("%s: error %v", part, err)
		}
	}
	s := Default()
	s.Wire = 8e-3
	if _, err := New(t.Context(), s); err == nil {
		t.Error("wire thicker than the window is accepted")
	}
	s = Default()
	s.Steel = "cheese"
	if _, err := New(t.Context(), s); err == nil {
		t.Error("an unknown steel is accepted")
	}
}

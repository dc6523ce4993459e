package fit

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat"

	"lodegrid/array/design/trial"
)

// The error that is told is the spread of boards drawn at random, or a little more.
func TestExpectIsTheSpread(t *testing.T) {
	d := trial.Design(t, "iron.model=slab")
	all := Incoming(293.15, 0.2, 2)
	readings := []Reading{all[0], all[2]}
	if err := Expect(context.Background(), d, readings); err != nil {
		t.Fatal(err)
	}
	m, err := NewModel(d, readings)
	if err != nil {
		t.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(7, 8))
	const boards = 40
	seen := make([][]float64, len(readings))
	for range boards {
		x := make([]float64, len(m.Doubts))
		for k := range x {
			x[k] = rng.NormFloat64()
		}
		got, err := m.Predict(context.Background(), x)
		if err != nil {
			t.Fatal(err)
		}
		for i, v := range got {
			seen[i] = append(seen[i], v)
		}
	}
	for i, r := range readings {
		instrument := 0.0
		for _, c := range columns {
			if c.kind == r.Kind {
				instrument = c.share*math.Abs(r.Value) + c.amount
			}
		}
		mean, sd := stat.MeanStdDev(seen[i], nil)
		all := math.Hypot(sd, instrument)
		// 40 boards tell a spread to 11 %; a gap that can only grow is told with its whole sd.
		if all > 1.25*r.Error || all < 0.55*r.Error || math.Abs(mean-r.Value) > 0.5*r.Error {
			t.Errorf("%s: %g ± %g expected, boards are %g ± %g", r.Kind, r.Value, r.Error, mean, all)
		}
	}
}

// On the bench a coil is alone on its supply, whatever it shares an output with in the display.
func TestBenchHasNoStrings(t *testing.T) {
	var want []float64
	for _, series := range []string{"1", "2"} {
		readings := append(Incoming(293.15, 0.2, 1), Reading{Kind: Moves, Setup: Setup{Air: 293.15}}, Reading{Kind: Slides, Setup: Setup{Air: 293.15, Voltage: 6}})
		if err := Expect(t.Context(), trial.Design(t, "fluid.contact_line=0.01 mN/m", "drive.in_series="+series), readings); err != nil {
			t.Fatal(err)
		}
		for i, r := range readings {
			if want = append(want, r.Value); r.Value != want[i] || !(r.Value > 0) {
				t.Errorf("%s: %g with %s in series, %g alone", r.Kind, r.Value, series, want[i])
			}
		}
	}
}

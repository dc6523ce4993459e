package drive

import (
	"errors"
	"math"
	"slices"
	"testing"
)

// inSeries is a drive of 2 rows of 6 coils, three of a row on an output.
func inSeries(t *testing.T, mode Mode) *Drive {
	t.Helper()
	return mustNew(t, Params{Mode: mode, Bridge: LowSide, Rows: 2, Cols: 6, Series: 3, Voltage: 12, BoostVoltage: 24, Frequency: 50e3, Inductance: 16e-6,
		OnResistance: 0.3, DiodeDrop: 0.5, MaxDuty: 0.6, FrameTime: 0.1, KickTime: 2e-3, HoldDuty: 0.3, Slots: 64})
}

func TestMeterCountsAStringOnce(t *testing.T) {
	levels := []float64{1, 1, 1, 0.4, 0.4, 0.4, 0, 0, 0, 0.7, 0.7, 0.7}
	ohms := []float64{2, 2.3, 2.6, 2.1, 2, 2, 2, 2, 2, 2.5, 2.4, 2}
	for _, mode := range []Mode{Direct, Stagger, Kick} {
		d := inSeries(t, mode)
		states := make([]PixelState, 12)
		m := d.NewMeter()
		load, err := m.FrameLoad(t.Context(), nil, levels, ohms, 0.02)
		if err != nil {
			t.Fatal(err)
		}
		if err := d.FrameFor(states, levels, ohms, 0.02); err != nil {
			t.Fatal(err)
		}
		if mode != Kick { // whose load spans the frame, the others a settled period
			err = d.Steady(states, levels, ohms)
		}
		rail, boost, power, heat := 0.0, 0.0, 0.0, 0.0
		for _, s := range states {
			rail, boost, power = rail+s.RailAverage, boost+s.BoostAverage, power+s.Power
			heat += s.Copper + s.Switch + s.Diode + s.Stored
		}
		if err != nil || math.Abs(rail-load.Supply.Average) > 1e-9*rail || math.Abs(boost-load.Boost.Average) > 1e-9*rail {
			t.Errorf("mode %s: pixels take %v A and %v A, the meter counts %v A and %v A (%v)", mode, rail, boost, load.Supply.Average, load.Boost.Average, err)
		}
		if want := 12*rail + 24*boost; math.Abs(power-want) > 1e-9*want || math.Abs(heat-power) > 1e-9*power {
			t.Errorf("mode %s: %v W from rails that give %v W, of which %v W are told", mode, power, want, heat)
		}
	}
	d := inSeries(t, Stagger)
	starts, _, err := d.NewMeter().Stagger(t.Context(), levels, ohms)
	if err != nil {
		t.Fatal(err)
	}
	for i := range starts {
		if starts[i] != starts[i-i%3] {
			t.Errorf("the coils of a string start at %v and %v", starts[i], starts[i-i%3])
		}
	}
	sum, at := 0.0, make([]float64, 4000)
	if err := d.Sample(at, levels, ohms, starts); err != nil {
		t.Fatal(err)
	}
	for _, v := range at {
		sum += v / float64(len(at))
	}
	load, err := d.NewMeter().Load(t.Context(), levels, ohms)
	if peak := slices.Max(at); err != nil || math.Abs(sum-load.Supply.Average) > 1e-3*sum || math.Abs(peak-load.Supply.Peak) > 1e-2*peak {
		t.Errorf("the waveform's mean is %v A and its peak %v A, the meter's %v A and %v A (%v)", sum, peak, load.Supply.Average, load.Supply.Peak, err)
	}
}

// Each coil of a string gets from the rail what it makes of it, its steel's heat too; and the
// rail is the whole string's, whether told for all pixels or each by itself.
func TestEachCoilOfAStringGetsWhatItHeats(t *testing.T) {
	levels := []float64{1, 1, 1, 0.4, 0.4, 0.4, 0, 0, 0, 0.7, 0.7, 0.7}
	ohms := []float64{2, 2.3, 2.6, 2.1, 2, 2, 2, 2, 2, 2.5, 2.4, 2}
	var got [2][]PixelState
	for k := range got {
		q := inSeries(t, Direct).Params()
		q.SteelResistance = 3
		if k == 1 {
			q.PixelVoltage = slices.Repeat([]float64{q.Voltage}, 12)
		}
		d := mustNew(t, q)
		got[k] = make([]PixelState, 12)
		if err := d.Steady(got[k], levels, ohms); err != nil {
			t.Fatal(err)
		}
	}
	for i, s := range got[0] {
		if heat := s.Copper + s.Switch + s.Diode + s.Stored; math.Abs(s.Power-heat) > 1e-9*s.Power || levels[i] > 0 && !(s.Steel > 0) {
			t.Errorf("coil %d: %v W, of which %v W are told, %v W in its steel", i, s.Power, heat, s.Steel)
		}
		if s != got[1][i] {
			t.Errorf("coil %d: %+v, by its own rail %+v", i, s, got[1][i])
		}
	}
}

func TestStringsLightTogether(t *testing.T) {
	d := inSeries(t, Direct)
	levels, ohms := make([]float64, 12), make([]float64, 12)
	for i := range ohms {
		ohms[i] = 2
	}
	levels[4] = 0.5
	var refused *LevelError
	if err := d.Steady(make([]PixelState, 12), levels, ohms); !errors.As(err, &refused) || refused.Pixel != 4 {
		t.Errorf("a pixel lit alone in its string: %v", err)
	}
}

func TestHeatingOfAStringFollowsEachCoil(t *testing.T) {
	h := Heating{Drive: inSeries(t, Direct), Levels: []float64{1, 1, 1, 0, 0, 0, 0, 0, 0, 0.5, 0.5, 0.5}, Resistance20: 2, Alpha: 0.00393}
	coil, watts, slope := make([]float64, 12), make([]float64, 12), make([]float64, 12)
	for i := range coil {
		coil[i] = 300 + 7*float64(i)
	}
	h.Power(watts, slope, coil)
	ohms, states := make([]float64, 12), make([]PixelState, 12)
	for i, k := range coil {
		ohms[i] = 2 * (1 + 0.00393*(k-293.15))
	}
	if err := h.Drive.Steady(states, h.Levels, ohms); err != nil {
		t.Fatal(err)
	}
	more, unused := make([]float64, 12), make([]float64, 12)
	for i := range coil {
		if math.Abs(watts[i]-states[i].Copper) > 1e-12 {
			t.Errorf("coil %d: %v W, driven %v W", i, watts[i], states[i].Copper)
		}
		coil[i] += 0.01
		h.Power(more, unused, coil)
		coil[i] -= 0.01
		if got := (more[i] - watts[i]) / 0.01; math.Abs(got-slope[i]) > 1e-3*math.Abs(slope[i]) {
			t.Errorf("coil %d: its heat rises by %v W/K, said %v W/K", i, got, slope[i])
		}
	}
}

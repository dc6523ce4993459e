package drive

import (
	"encoding/json"
	"math"
	"os"
	"slices"
	"testing"
)

// spiceFile holds what ngspice made of circuits with switches, a diode and
// resistors; .ci/checks/drive_ngspice.py writes it and names a fresh one in
// LODEGRID_SPICE when it runs this test live.
const spiceFile = "../../testdata/drive/ngspice.json"

// spiceTolerance is ngspice's own error, as a share of the highest current: it moves
// by this much between steps of 1/4000 and 1/16000 period and between its methods.
const spiceTolerance = 8e-5

func TestAgainstSpice(t *testing.T) {
	path := os.Getenv("LODEGRID_SPICE")
	if path == "" {
		path = spiceFile
	}
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	var s struct {
		PWM []struct {
			Name         string
			Bridge       Bridge
			Voltage      float64
			Resistance   float64
			Inductance   float64
			OnResistance float64 `json:"on_resistance"`
			DiodeDrop    float64 `json:"diode_drop"`
			PathDrop     float64 `json:"path_drop"`
			Duty         float64
			Frequency    float64
			First        bool
			Average, RMS float64
			Max, Min     float64
			Rail         float64
		}
		Strings []struct {
			Name         string
			Bridge       Bridge
			Voltage      float64
			Resistance   []float64
			Inductance   float64
			OnResistance float64 `json:"on_resistance"`
			DiodeDrop    float64 `json:"diode_drop"`
			Duty         float64
			Frequency    float64
			Coupling     []float64
			Average, RMS float64
			Max, Min     float64
			Rail         float64
		}
		Grid struct {
			Rows, Cols    int
			Voltage       float64
			RowSegment    float64 `json:"row_segment"`
			RowBus        float64 `json:"row_bus"`
			ColumnSegment float64 `json:"column_segment"`
			ColumnBus     float64 `json:"column_bus"`
			Lead          float64
			Conductance   []float64
			Volts         []float64
			Total         float64
		}
	}
	if err := json.Unmarshal(data, &s); err != nil {
		t.Fatal(err)
	}
	if len(s.PWM) < 7 || len(s.Grid.Volts) != 64 {
		t.Fatalf("%s holds %d PWM cases and %d grid voltages", path, len(s.PWM), len(s.Grid.Volts))
	}
	broke := 0
	for _, c := range s.PWM {
		circuit := Circuit{c.Bridge, c.Voltage, c.Resistance, c.Inductance, c.OnResistance, c.DiodeDrop, c.PathDrop, 0, 0}
		p := circuit.PWM(c.Duty, 1/c.Frequency)
		if c.First {
			p = circuit.Run(0, c.Duty, 1/c.Frequency, 5/c.Frequency)
		}
		if p.Discontinuous {
			broke++
		}
		for _, v := range []struct {
			what      string
			got, want float64
		}{
			{"average", p.Average, c.Average}, {"RMS", p.RMS, c.RMS}, {"ripple", p.Ripple(), c.Max - c.Min},
			{"highest", p.Max, c.Max}, {"lowest", p.Min, c.Min}, {"rail", p.RailAverage, c.Rail},
		} {
			t.Logf("%s, %s: %.7g A, ngspice %.7g A", c.Name, v.what, v.got, v.want)
			if math.Abs(v.got-v.want) > spiceTolerance*c.Max {
				t.Errorf("%s, %s: %.7g A, ngspice %.7g A", c.Name, v.what, v.got, v.want)
			}
		}
	}
	if broke != 2 {
		t.Errorf("%d cases ran discontinuously, want 2", broke)
	}

	if len(s.Strings) < 5 {
		t.Fatalf("%s holds %d coils in series", path, len(s.Strings))
	}
	for _, c := range s.Strings {
		n := len(c.Resistance)
		inductance := InString(n, c.Inductance, func(apart int) float64 {
			if c.Coupling == nil {
				return 0
			}
			return c.Coupling[apart-1] * c.Inductance
		})
		d := mustNew(t, Params{Mode: Direct, Bridge: c.Bridge, Rows: 1, Cols: n, Series: n, Voltage: c.Voltage, Frequency: c.Frequency,
			Inductance: inductance, OnResistance: c.OnResistance, DiodeDrop: c.DiodeDrop, MaxDuty: c.Duty, FrameTime: 0.1})
		states := make([]PixelState, n)
		if err := d.Steady(states, slices.Repeat([]float64{1}, n), c.Resistance); err != nil {
			t.Fatal(err)
		}
		rail := 0.0
		for i, p := range states {
			rail += p.RailAverage
			for _, v := range []struct {
				what      string
				got, want float64
			}{
				{"average", p.Average, c.Average}, {"RMS", p.RMS, c.RMS}, {"highest", p.Max, c.Max}, {"lowest", p.Min, c.Min},
				{"heat over R RMS", p.Copper / (c.Resistance[i] * c.RMS), c.RMS},
			} {
				if math.Abs(v.got-v.want) > 2*spiceTolerance*c.Max {
					t.Errorf("%s, coil %d, %s: %.7g A, ngspice %.7g A", c.Name, i, v.what, v.got, v.want)
				}
			}
		}
		t.Logf("%s: average %.7g A, rail %.7g A; ngspice %.7g A, %.7g A", c.Name, states[0].Average, rail, c.Average, c.Rail)
		if math.Abs(rail-c.Rail) > spiceTolerance*c.Max {
			t.Errorf("%s: rail %.7g A, ngspice %.7g A", c.Name, rail, c.Rail)
		}
	}

	g := s.Grid
	net, err := NewNetwork(Wiring{
		Rows: g.Rows, Cols: g.Cols, Voltage: g.Voltage, Lead: g.Lead,
		Row: Feeders{g.RowSegment, g.RowBus, FeedBoth}, Column: Feeders{g.ColumnSegment, g.ColumnBus, FeedNear},
	})
	if err != nil {
		t.Fatal(err)
	}
	d, err := net.Solve(g.Conductance, nil)
	if err != nil {
		t.Fatal(err)
	}
	var worst float64
	for i, v := range g.Volts {
		worst = math.Max(worst, math.Abs(d.Voltage[i]-v)/v)
	}
	t.Logf("8 × 8 grid: voltages apart by %.1e at most, total %.9g A, ngspice %.9g A, worst drop %.4g V", worst, d.Total, g.Total, d.WorstDrop)
	if worst > 1e-9 || math.Abs(d.Total-g.Total) > 1e-8*g.Total {
		t.Errorf("8 × 8 grid: voltages apart by %v, total %v A, ngspice %v A", worst, d.Total, g.Total)
	}
}

package heat

import (
	"errors"
	"math"
	"strings"
	"testing"
)

// New does not keep the caller's slices, and fills the defaults in.
func TestParamsKept(t *testing.T) {
	p := board(2, 2, 1)
	p.Layers[0].Capacity = 2
	n := mustNew(t, p)
	p.Layers[0].Capacity = 99
	if n.p.Layers[0].Capacity != 2 {
		t.Error("the network follows the caller's slice")
	}
	if q := n.Params(); q.Surroundings != q.Ambient || q.Ceiling != 700 || q.Tolerance != 0.01 {
		t.Errorf("%+v", q)
	}
}

// nonsense is a load of somebody else's making.
type nonsense struct{}

func (nonsense) Power(watts, perKelvin, coil []float64) {
	clear(perKelvin)
	for i := range watts {
		watts[i] = math.NaN()
	}
}

func TestStepErrors(t *testing.T) {
	n := mustNew(t, board(2, 3, 2))
	for _, dt := range []float64{0, -1, math.NaN(), math.Inf(1), 1e9} {
		if err := n.Step(t.Context(), dt, &FixedPower{make([]float64, 6)}); err == nil {
			t.Errorf("step of %g s accepted", dt)
		}
	}
	var r *RunawayError
	for _, load := range []Load{nonsense{}, &FixedPower{[]float64{0, math.NaN(), 0, 0, 0, 0}}, &VoltageDrive{Copper: Copper{3, 0.004}, Volts: math.NaN()}, &CurrentDrive{Copper: Copper{3, 0.004}, Amps: math.Inf(1)}} {
		if err := n.Step(t.Context(), 1, load); !errors.As(err, &r) {
			t.Errorf("power of %T that is no number: %v", load, err)
		}
		n.Start(300)
		if _, err := n.Steady(t.Context(), load); err == nil {
			t.Errorf("a steady state of %T that is no number", load)
		}
		n.Start(300)
	}
	n.Start(300)
	if err := n.Step(t.Context(), 1, &FixedPower{[]float64{0, 0, 0, 0, 1e9, 0}}); !errors.As(err, &r) || r.Row != 1 || r.Col != 1 || r.Layer != 0 {
		t.Errorf("power of a gigawatt: %v", err)
	}
	if !strings.Contains(r.Error(), "row 2, column 2") || !strings.Contains(r.Error(), "ceiling") {
		t.Errorf("message %q", r)
	}
}

// Rim areas count the open sides at the edge of the board.
func TestRim(t *testing.T) {
	p := board(3, 3, 1)
	p.Layers[0].Rim = 1e-5
	p.Edge = Film{Coefficient: 5}
	n := mustNew(t, p)
	got := map[int]float64{}
	for _, r := range n.rim {
		got[r.node] = math.Round(r.area / 1e-5)
	}
	for i := range 9 {
		want := []float64{2, 1, 2, 1, 0, 1, 2, 1, 2}[i]
		if got[i] != want {
			t.Errorf("pixel %d has %g open sides, want %g", i, got[i], want)
		}
	}
}

// Surface: what a hand touches in front of a pane is cooler than the board.
func TestSurface(t *testing.T) {
	p := board(1, 1, 1)
	p.Front.Insulation = 0.02
	n := mustNew(t, p)
	f := p.Front
	s := n.Surface(&f, 353.15)
	if !(s > p.Ambient && s < 353.15) {
		t.Fatalf("surface %g K", s)
	}
	q, _ := f.Flux(353.15, p.Ambient, p.Ambient)
	near(t, "drop over the pane", 353.15-s, q*0.02, 1e-9)
}

// One node that nothing touches still takes its heat.
func TestLoneNode(t *testing.T) {
	for _, m := range []Method{auto, Split, Implicit} {
		n := mustNew(t, Params{Rows: 1, Cols: 1, Ambient: 300, Layers: []Layer{{Capacity: 2}}, Method: m})
		for _, dt := range []float64{0.1, 5, 20} {
			if err := n.Step(t.Context(), dt, &FixedPower{[]float64{3}}); err != nil {
				t.Fatal(err)
			}
		}
		near(t, string(m), n.Temperatures(0)[0], 300+25.1*3/2, 1e-12)
	}
}

// Whatever a design's numbers, and far beyond, the network runs: no panic, no silent NaN.
func FuzzNetwork(f *testing.F) {
	f.Add(uint8(3), uint8(4), uint8(2), 0.6, 0.03, 0.09, 1e-4, 0.1, 0.9, 0.0, 300.0, 0.5, 0.03)
	f.Add(uint8(1), uint8(1), uint8(1), 1e-9, 1e9, 0.0, 1e3, 1e-4, 1.0, 1e6, 150.0, 1e5, 1e8)
	f.Add(uint8(5), uint8(2), uint8(4), 1e9, 0.0, 1e9, 0.0, 100.0, 0.0, 0.01, 400.0, -1.0, 1e-9)
	f.Fuzz(func(t *testing.T, rows, cols, layers uint8, capacity, lateral, down, area, length, emissivity, insulation, ambient, watts, dt float64) {
		for _, b := range [][3]float64{{ambient, 150, 400}, {capacity, 1e-9, 1e9}, {lateral, 0, 1e9}, {down, 0, 1e9}, {area, 0, 1e3}, {length, 1e-4, 100}, {emissivity, 0, 1}, {insulation, 0, 1e6}} {
			if !(b[0] >= b[1] && b[0] <= b[2]) {
				return // no design and no bench table has it
			}
		}
		p := Params{Rows: 1 + int(rows%12), Cols: 1 + int(cols%12), Ambient: ambient,
			Front: Film{Length: length, Emissivity: emissivity, Insulation: insulation, Orientation: FaceUp}}
		for range 1 + layers%MaxLayers {
			p.Layers = append(p.Layers, Layer{Capacity: capacity, Lateral: lateral, Down: down, Front: area})
		}
		n := New(p)
		load := &FixedPower{make([]float64, p.Rows*p.Cols)}
		load.Watts[0] = watts
		for range 2 {
			if n.Step(t.Context(), dt, load) != nil {
				return
			}
		}
		for l := range p.Layers {
			for i, v := range n.Temperatures(l) {
				if math.IsNaN(v) {
					t.Fatalf("layer %d pixel %d is not a number", l, i)
				}
			}
		}
	})
}

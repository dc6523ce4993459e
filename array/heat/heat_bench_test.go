package heat

import (
	"fmt"
	"math"
	"testing"
)

// board returns a display of pixels at 12 mm pitch: coil and board, or coil,
// board and a 2 mm aluminium back plate. The numbers of the two-layer form are
// those of the scheme comparison that the design notes quote.
func board(rows, cols, layers int) Params {
	const a = 1.44e-4
	film := Film{Orientation: Vertical, Length: 0.012 * float64(rows), Emissivity: 0.9}
	p := Params{Rows: rows, Cols: cols, Ambient: 293.15, Front: film, Back: film}
	switch layers {
	case 1:
		p.Layers = []Layer{{Capacity: 1.2, Lateral: 0.05, Front: a, Back: a}}
	case 2:
		p.Layers = []Layer{
			{Capacity: 0.6, Lateral: 0.0285, Down: 0.086, Front: a},
			{Capacity: 1.04, Lateral: 0.1, Back: a},
		}
	case 3:
		p.Layers = []Layer{
			{Capacity: 0.2, Lateral: 0.01, Down: 0.25, Front: a},
			{Capacity: 0.4, Lateral: 0.0185, Down: 0.086},
			{Capacity: 0.7, Lateral: 0.4, Back: a},
		}
	case 4:
		p.Layers = []Layer{
			{Capacity: 0.2, Lateral: 0.01, Down: 0.25, Front: a},
			{Capacity: 0.3, Lateral: 0.0185, Down: 0.1},
			{Capacity: 0.3, Lateral: 0.02, Down: 0.1},
			{Capacity: 0.7, Lateral: 0.4, Back: a},
		}
	}
	return p
}

// frames is a load that changes every step, every tenth pixel lit and walking on.
func frames(pixels int) (*VoltageDrive, func(frame int)) {
	d := &VoltageDrive{Copper: Copper{3, 0.00393}, Volts: 1.3, Series: 0.1, Share: make([]float64, pixels)}
	return d, func(frame int) {
		for i := range d.Share {
			d.Share[i] = 0
			if (i+frame)%10 == 0 {
				d.Share[i] = 1
			}
		}
	}
}

func BenchmarkFrames(b *testing.B) {
	for _, c := range []struct {
		name   string
		method Method
		layers int
		holes  bool
	}{
		{"split", Split, 2, false}, {"split", Split, 3, false}, {"modal", Modal, 2, false}, {"modal", Modal, 3, false},
		{"split-holes", Split, 2, true}, {"split-holes", Split, 3, true}, {"implicit", Implicit, 2, true},
	} {
		b.Run(fmt.Sprintf("%s/64x64x%d", c.name, c.layers), func(b *testing.B) {
			p := board(64, 64, c.layers)
			p.Method = c.method
			if c.holes {
				absent := make([]bool, 64*64)
				for i := range absent {
					absent[i] = i%97 == 5
				}
				for l := range p.Layers {
					p.Layers[l].Absent = absent
					p.Layers[l].Rim = 2e-5
				}
				p.Edge = p.Front
			}
			n, err := New(p)
			if err != nil {
				b.Fatal(err)
			}
			load, show := frames(64 * 64)
			b.ReportAllocs()
			frame := 0
			show(0)
			for b.Loop() {
				show(frame)
				if err := n.Step(1.0/30, load); err != nil {
					b.Fatal(err)
				}
				frame++
			}
			b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "steps/s")
			b.ReportMetric(float64(b.N)*64*64/b.Elapsed().Seconds()/1e6, "Mpixel-steps/s")
			if bal := n.Balance(); math.Abs(bal.Residual) > 1e-8*bal.Supplied {
				b.Fatalf("balance %+v", bal)
			}
		})
	}
}

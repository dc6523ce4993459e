package tank

import (
	"fmt"
	"testing"
)

func TestDarcy(t *testing.T) {
	for _, r := range []float64{0.004, 0.008, 0.016} {
		p := base()
		p.Width, p.Height = 0.192, 0.192
		p.Cols, p.Rows = 256, 256
		p.Viscosity = 0.1
		for _, p.SurfaceTension = range []float64{0, 0.01} {
			tk, _ := New(p)
			tk.FillDisc(0, 0, r)
			u := 50 * 9.81 * p.Gap * p.Gap / 12 / p.Viscosity / 2
			tk.Step(0.1, nil)
			_, y0, _ := tk.Centroid()
			for k := 1; k <= 10; k++ {
				tk.Step(0.1, nil)
				_, y, _ := tk.Centroid()
				_, v := tk.Velocity(128, 128)
				fmt.Printf(" %.3f(%.3f %.3f)", (y0-y)/0.1/u, v/u, 1-2*tk.weight*tk.dx*tk.dx/(3.14159*r*r))
				y0 = y
			}
			fmt.Println(r, p.SurfaceTension)
		}
	}
}

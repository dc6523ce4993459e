package tank

import (
	"fmt"
	"math"
	"testing"
)

func TestFirst(t *testing.T) {
	for _, r := range []float64{0.004, 0.008, 0.016} {
		p := base()
		p.Width, p.Height = 0.192, 0.192
		p.Cols, p.Rows = 256, 256
		p.SurfaceTension = 0
		tk, _ := New(p)
		tk.FillDisc(0, 0, r)
		h := 1e-3
		tk.Step(h, nil)
		_, v := tk.Velocity(128, 128)
		want := -0.5 * 50 * 9.81 * h / 1000 * tk.damping(h)
		fmt.Println(r, v/want, tk.maxSpeed()/want)
		tau := p.Density * p.Gap * p.Gap / 12 / p.Viscosity
		u := 50 * 9.81 * p.Gap * p.Gap / 12 / p.Viscosity / 2
		y := 0.0
		var mx float64
		for k := 1; k <= 20; k++ {
			st, _ := tk.Step(0.02, nil)
			_, y, _ = tk.Centroid()
			tt := h + 0.02*float64(k)
			th := -u * (tt - tau*(1-math.Exp(-tt/tau)))
			mx = max(mx, math.Abs(st.MassError))
			fmt.Print(" ", y/th)
		}
		fmt.Println(" mass", mx)
	}
}

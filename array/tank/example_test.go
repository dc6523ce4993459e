package tank_test

import (
	"fmt"
	"math"

	"lodegrid/array/tank"
	"lodegrid/field"
)

// A drop of 10 mm is caught by the pixel 12 mm to its right.
func Example() {
	p := tank.Params{
		Gap: 4e-3, Density: 1000, DensityDifference: 50, Viscosity: 0.01, SurfaceTension: 0.01,
		GravityY: -field.Gravity,
	}
	const pitch = 0.012
	p = p.OverGrid(8, 5, 0, 8, pitch)
	t, err := tank.New(p)
	if err != nil {
		fmt.Println(err)
		return
	}
	if err := t.FillDisc(0.5*pitch, 0, 0.005); err != nil {
		fmt.Println(err)
		return
	}
	pi := make([]float64, p.Rows*p.Cols)
	for k := range pi {
		x := (float64(k%p.Cols)+0.5)*pitch/8 - p.Width/2
		y := p.Height/2 - (float64(k/p.Cols)+0.5)*pitch/8
		d := math.Hypot(x-1.5*pitch, y) / 0.007
		pi[k] = 80 * math.Exp(-d*d)
	}
	if _, err := t.Step(1, pi); err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("caught:", t.VolumeIn(1.5*pitch, 0, 0.009) > 0.95*t.Volume())
	// Output:
	// caught: true
}

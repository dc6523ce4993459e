package lattice_test

import (
	"context"
	"fmt"

	"lodegrid/array/lattice"
)

// Three pixels in a row, the field at their centres. A pixel does 1 at its own
// centre, 1/2 one pitch away and 1/5 two pitches away.
func ExampleNew() {
	kernel := func(dst []float64, dx, dy float64) { dst[0] = 1 / (1 + dx*dx + dy*dy) }
	e, err := lattice.New(context.Background(), lattice.Centres(1, 3, 1), kernel, lattice.Symmetry{X: []int{1}, Y: []int{1}})
	if err != nil {
		fmt.Println(err)
		return
	}
	planes := e.NewPlanes()
	if err := e.Superpose(planes, []float64{1, 0, -1}); err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.3f\n", planes.Component(0))
	if _, err := e.Update(planes, []float64{1, 1, -1}); err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.3f\n", planes.Component(0))
	// Output:
	// [0.800 0.000 -0.800]
	// [1.300 1.000 -0.300]
}

func ExampleEstimate() {
	m, err := lattice.Estimate(lattice.Shape{Rows: 64, Cols: 64, Samples: 8, Components: 3}, lattice.Field())
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("table %.1f MB, planes %.1f MB\n", m.Table/1e6, m.Planes/1e6)
	// Output: table 6.2 MB, planes 6.3 MB
}

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
	e, err := lattice.New(context.Background(), lattice.Shape{Rows: 1, Cols: 3, Samples: 1, Components: 1}, kernel, lattice.Symmetry{X: []int{1}, Y: []int{1}})
	if err != nil {
		fmt.Println(err)
		return
	}
	out := [][]float64{make([]float64, 3)}
	e.Superpose(out, []float64{1, 1, -1})
	fmt.Printf("%.3f\n", out[0])
	// Output: [1.300 1.000 -0.300]
}

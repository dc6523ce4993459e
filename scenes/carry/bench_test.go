package carry

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

// block is a solid body of as many columns as drops need, at the left or at the right.
func block(rows, cols, drops int, right bool) []bool {
	set := make([]bool, rows*cols)
	for k := range drops {
		col := k / rows
		if right {
			col = cols - 1 - col
		}
		set[k%rows*cols+col] = true
	}
	return set
}

func BenchmarkSolve(b *testing.B) {
	for _, c := range []struct{ rows, cols, drops int }{{10, 16, 32}, {32, 32, 250}, {32, 32, 800}, {64, 64, 100}, {64, 64, 1000}, {64, 64, 2000}} {
		r := rand.New(rand.NewPCG(5, uint64(c.drops)))
		cases := map[string]Problem{"scattered": random(r, c.rows, c.cols, c.drops, c.drops, 0)}
		if c.cols == 64 {
			cases["block"] = Problem{Rows: c.rows, Cols: c.cols, From: block(c.rows, c.cols, c.drops, false), To: block(c.rows, c.cols, c.drops, true)}
		}
		for name, p := range cases {
			b.Run(fmt.Sprintf("%dx%d/%d/%s", c.cols, c.rows, c.drops, name), func(b *testing.B) {
				for b.Loop() {
					plan, err := Solve(b.Context(), p)
					if err != nil {
						b.Fatal(err)
					}
					b.ReportMetric(float64(plan.Steps), "steps")
					b.ReportMetric(float64(len(plan.Moves)), "moves")
				}
			})
		}
	}
}

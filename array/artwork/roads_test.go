package artwork

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

// A line closes the squares whose middles are near to it, in whichever cell they lie, and no other.
func TestBlockLine(t *testing.T) {
	r := rand.New(rand.NewPCG(190, 1))
	for k := range 100 {
		n := 10 + r.IntN(60)
		m := &roads{n: n, pitch: 0.01, step: 0.01 / float64(n), closed: make([]bool, n*n)}
		line := make([]r2.Vec, 2+r.IntN(6))
		for i := range line {
			line[i] = r2.Vec{X: (r.Float64() - 0.5) * 0.03, Y: (r.Float64() - 0.5) * 0.03}
			if i > 0 && r.IntN(3) == 0 {
				line[i].X = line[i-1].X
			}
		}
		distance := r.Float64() * 0.002
		m.blockLine(line, distance)
		coarse := m.step / 4
		reach := distance + m.step*math.Sqrt2/2 + coarse
		want := make([]bool, n*n)
		spare := sparse(line, coarse)
		for i, a := range spare {
			for y := -3 * n; y < 4*n; y++ {
				for x := -3 * n; x < 4*n; x++ {
					if r2.Norm2(fromSegment(m.middle(x, y), a, spare[min(i+1, len(spare)-1)])) < reach*reach {
						want[m.index(x, y)] = true
					}
				}
			}
		}
		for i, closed := range m.closed {
			if closed != want[i] {
				t.Fatalf("map %d of %d squares: row %d, column %d closed %t, want %t", k, n, i/n, i%n, closed, want[i])
			}
		}
	}
}

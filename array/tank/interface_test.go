package tank

import (
	"math"
	"testing"
)

func TestLogarithm(t *testing.T) {
	for x := 1e-6; x < 2e6; x *= 1.0137 {
		if got := logarithm(x); math.Abs(got-math.Log(x)) > 1e-9 {
			t.Fatalf("ln %g = %.12g, want %.12g", x, got, math.Log(x))
		}
	}
}

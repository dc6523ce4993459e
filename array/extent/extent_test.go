package extent

import (
	"math"
	"testing"
)

func TestCheck(t *testing.T) {
	for _, side := range []int{1, MaxSide} {
		if err := Check(side, MaxSide+1-side); err != nil {
			t.Error(err)
		}
	}
	for _, side := range []int{math.MinInt, 0, MaxSide + 1, math.MaxInt} {
		if Check(side, 1) == nil || Check(1, side) == nil {
			t.Errorf("a side of %d is accepted", side)
		}
	}
}

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

func TestPlace(t *testing.T) {
	for pixel, want := range map[int]string{0: "row 1, column 1", 15: "row 1, column 16", 16: "row 2, column 1", 37: "row 3, column 6"} {
		if got := PlaceOf(pixel, 16); got != want {
			t.Errorf("pixel %d of rows of 16 is %s, want %s", pixel, got, want)
		}
	}
}

// The numbers 2^a 3^b 5^c, counted out by hand: 405 is 3⁴·5, 2250 is 2·3²·5³, 2430 is 2·3⁵·5.
func TestSmooth(t *testing.T) {
	for n, want := range map[int]int{1: 1, 7: 8, 16: 16, 17: 18, 401: 405, 2205: 2250, 2401: 2430} {
		if got := Smooth(n); got != want {
			t.Errorf("Smooth(%d) = %d, want %d", n, got, want)
		}
	}
}

package quantity

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// A bound that is written is one that may be set: it is never beyond what it stands for.
func TestBoundsAreWithin(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{AtMost(10.0968e-3, Length), "10.09 mm"},
		{AtLeast(10.3032e-3, Length), "10.31 mm"},
		{AtMost(10.3e-3, Length), "10.3 mm"},
		{AtLeast(12, Voltage), "12 V"},
		{AtLeast(0, Length), "0 mm"},
	} {
		if c.got != c.want {
			t.Errorf("a bound is written %q, want %q", c.got, c.want)
		}
	}
	random := rand.New(rand.NewPCG(1, 2))
	for range 5000 {
		for _, d := range []Dimension{Length, Voltage, Power} {
			v := math.Exp(10 * (random.Float64() - 0.5))
			low, err := Parse(AtMost(v, d), d)
			if err != nil {
				t.Fatal(err)
			}
			high, err := Parse(AtLeast(v, d), d)
			if err != nil {
				t.Fatal(err)
			}
			x := math.Abs(d.choose(v).of(v)) * d.choose(v).scale
			if low > v+1e-9*x || high < v-1e-9*x || high-low > 1.001e-3*x {
				t.Fatalf("%s of %g: at most %s, at least %s", strings.ToLower(d.Name()), v, AtMost(v, d), AtLeast(v, d))
			}
		}
	}
}

// A value is told to the second digit of its error, and never as −0.
func TestWithinItsError(t *testing.T) {
	for _, c := range []struct{ v, sd, want float64 }{
		{1.23456, 0.0789, 1.235}, {-1.23456, 0.789, -1.23}, {1234, 250, 1230}, {-5.79e-17, 2e-6, 0}, {3, 0, 3}, {3, math.Inf(1), 3}, {0.0789, 0.0789, 0.079},
	} {
		if got := Within(c.v, c.sd); math.Abs(got-c.want) > 1e-12*math.Abs(c.want) || math.Signbit(got) != (c.want < 0) {
			t.Errorf("%g ± %g is told as %g, want %g", c.v, c.sd, got, c.want)
		}
	}
}

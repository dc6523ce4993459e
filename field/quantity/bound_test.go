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

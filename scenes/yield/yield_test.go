package yield

import (
	"math"
	"testing"

	"lodegrid/array/design"
)

// Of independent pixels the share that works is the normal distribution's, and boards on which
// all do, or all but one, are its powers (binomial); pixels all alike work or fail together.
func TestDrawIsBinomial(t *testing.T) {
	m := Merit{Value: 2, Bound: 2 * math.Exp(-0.25), Slopes: []float64{0.1}} // 2.5 standard deviations
	p := 0.5 * (1 + math.Erf(2.5/math.Sqrt2))
	const n, boards = 160, 4000
	r := Draw([]design.Doubt{{Spread: 1}}, 10, 16, boards, 3, m)
	whole := math.Pow(p, n)
	one := whole + n*(1-p)*math.Pow(p, n-1)
	for _, c := range []struct {
		what             string
		got, want, error float64
	}{{"pixels", r.Pixels, p, 5e-4}, {"whole boards", r.Whole, whole, 0.03}, {"one bad at most", r.OneBad, one, 0.03}} {
		if math.Abs(c.got-c.want) > c.error {
			t.Errorf("%s: %.4f, want %.4f", c.what, c.got, c.want)
		}
	}
	r = Draw([]design.Doubt{{Spread: 0}}, 10, 16, boards, 3, m)
	if math.Abs(r.Whole-p) > 0.006 || math.Abs(r.Pixels-r.Whole) > 1e-9 || r.Uneven != 1 || r.OneBad != r.Whole {
		t.Errorf("pixels all alike: %+v", r)
	}
	// The greatest of 294 neighbours' ratios, each of √2 · 0.1: about 2.95 standard deviations of
	// the half-normal, within what neighbours share.
	r = Draw([]design.Doubt{{Spread: 1}}, 10, 16, boards, 3, m)
	if s := math.Log(r.Uneven) / (0.1 * math.Sqrt2); s < 2.7 || s > 3.3 {
		t.Errorf("worst neighbours differ by %.2f standard deviations", s)
	}
	// Whatever share differs from pixel to pixel, a pixel varies as much; neighbours differ by
	// the root of that share. A pixel must reach every bound.
	mixed := Draw([]design.Doubt{{Spread: 0.36}}, 10, 16, boards, 3, m)
	if math.Abs(mixed.Pixels-p) > 2e-3 || math.Abs(math.Log(mixed.Uneven)/math.Log(r.Uneven)-0.6) > 0.02 {
		t.Errorf("a third within a board: %+v against %+v", mixed, r)
	}
	other := Merit{Value: 1, Bound: math.Exp(0.5), Slopes: []float64{-0.5}} // reached below -1, by 16 %
	if both := Draw([]design.Doubt{{Spread: 1}}, 10, 16, boards, 3, m, other); math.Abs(both.Pixels-(0.158655-(1-p))) > 2e-3 {
		t.Errorf("two bounds against each other are reached by %.4f", both.Pixels)
	}
}

func BenchmarkDraw(b *testing.B) {
	list := make([]design.Doubt, 17)
	m := Merit{Value: 2, Bound: 1, Slopes: make([]float64, len(list))}
	for i := range list {
		list[i].Spread, m.Slopes[i] = 0.2, 0.05
	}
	for b.Loop() {
		Draw(list, 10, 16, 1000, 1, m, m)
	}
}

// Each figure keeps its bound as the normal distribution has it, two of independent doubts both as the
// product, two that need opposite of the same as what lies between; a figure that does not move keeps a bound it stands at.
func TestKeepIsNormal(t *testing.T) {
	phi := func(z float64) float64 { return 0.5 * (1 + math.Erf(z/math.Sqrt2)) }
	least := Bounded{Value: 5, Bound: 2, AtLeast: true, Slopes: []float64{-1.2, 1.6}} // 1.5 of 2
	most := Bounded{Value: 1, Bound: 2, Slopes: []float64{0.8, 0.6}}                  // 1 of 1, across the first
	same := Bounded{Value: 0, Bound: 1, Slopes: []float64{-0.6, 0.8}}                 // 1 of 1, along it
	still := Bounded{Value: 3, Bound: 3, Slopes: []float64{0, 0}}
	if s := least.Deviation(); math.Abs(s-2) > 1e-12 {
		t.Errorf("a standard deviation of %g, want 2", s)
	}
	for _, c := range []struct {
		list []Bounded
		all  float64
		each []float64
	}{
		{[]Bounded{least, most, still}, phi(1.5) * phi(1), []float64{phi(1.5), phi(1), 1}},
		{[]Bounded{least, same}, phi(1.5) - phi(-1), []float64{phi(1.5), phi(1)}},
	} {
		all, each := Keep(c.list, 2, 100_000, 7)
		for i, v := range append(each, all) {
			if want := append(c.each, c.all)[i]; math.Abs(v-want) > 0.005 {
				t.Errorf("no. %d of %d: %.4f, want %.4f", i, len(each), v, want)
			}
		}
	}
}

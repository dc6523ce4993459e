package scope

import (
	"math"
	"slices"
	"testing"

	"lodegrid/field"
)

// A probe has the last minute of its pixel, wherever it is put and whenever: what the display
// showed at each point's time, with the largest field since the point before. Time put back
// takes it along.
func TestProbes(t *testing.T) {
	c := newScope(t, 6, 4)
	const pixel = 18
	v := &View{}
	var want [probed][]float64
	most, last := 0.0, 0
	for range 130 {
		tick(t, c)
		c.Copy(v)
		most = max(most, 1e3*v.middle(v.plane.Abs, pixel))
		if n := v.history.Len(); n > last {
			want[ProbedField] = append(want[ProbedField], most)
			want[ProbedCoil] = append(want[ProbedCoil], v.coils[pixel]-field.ZeroCelsius)
			want[ProbedFluid] = append(want[ProbedFluid], 100*covered(c, 3*c.grid.Design.Grid.Cols))
			most, last = 0, n
		}
	}
	if last < 8 {
		t.Fatalf("%d points in 130 ticks", last)
	}
	same := func(when string, n int) {
		t.Helper()
		c.Copy(v)
		for q, w := range want {
			if d := float64(0); !slices.EqualFunc(v.Probes()[0].values[q], w[:n], func(a, b float64) bool {
				d = max(d, math.Abs(a-b))
				return math.Abs(a-b) <= 1e-3*math.Abs(b)+1e-4
			}) {
				t.Errorf("%s: quantity %d: %v, want %v (off by %g)", when, q, v.Probes()[0].values[q], w[:n], d)
			}
		}
	}
	c.Probe(pixel)
	same("put late", last)
	if low, high := slices.Min(want[ProbedFluid]), slices.Max(want[ProbedFluid]); high-low < 5 {
		t.Errorf("the pixel's fluid stays at %g to %g %%: this checks nothing", low, high)
	}
	if a, b, limit := v.ProbeSpan(ProbedCoil); !(a <= slices.Min(want[ProbedCoil]) && b > slices.Max(want[ProbedCoil])) || limit == limit && limit > b {
		t.Errorf("coil from %g to %g, limit %g", a, b, limit)
	}
	v.probing[0].values[ProbedCoil][0] = 3 // ambient was colder before
	if low, _, _ := v.ProbeSpan(ProbedCoil); low != 0 {
		t.Errorf("a coil of 3 °C is shown from %g °C", low)
	}
	c.playing = false
	c.Seek(1.3)
	arrive(t, c)
	same("put back", 5)
	c.Seek(130.0 / TicksPerSecond)
	arrive(t, c)
	same("and forth", last)
	for _, p := range []int{1, 2, 3} {
		c.Probe(p)
	}
	c.Probe(2)
	c.Copy(v)
	if p := v.Probes(); len(p) != 2 || p[0].Pixel != 1 || p[1].Pixel != 3 {
		t.Errorf("after a fourth and one taken away: %v", p)
	}
	if err := c.Rest(); err != nil {
		t.Fatal(err)
	}
	c.Copy(v)
	if now := v.Probes()[0].Now(ProbedField); now == now {
		t.Errorf("%g mT after a start from rest", now)
	}
}

// What was played over more than a minute, put back and leapt over again is a gap: what stands
// before it is not shown as if it led up to the present.
func TestProbesStopAtGaps(t *testing.T) {
	c := newScope(t, 4, 3)
	tick(t, c)
	c.Probe(0)
	at := func(points int) { c.history.points = points; c.trace(true) }
	shown := func() int { return len(c.probes(nil)[0].values[ProbedCoil]) }
	for k := range historyLen + 60 {
		at(k + 1)
	}
	if n := shown(); n != historyLen {
		t.Errorf("of %d points %d are shown", historyLen+60, n)
	}
	at(30)
	if n := shown(); n != 1 {
		t.Errorf("the point put back to has %d before it, want none", n-1)
	}
	c.history.points = 200 // points 31 to 60 are no longer there
	if n := shown(); n != 140 {
		t.Errorf("after a leap %d points are shown, want 140", n)
	}
}

// On a display too large to keep every pixel's past, a probe has what its pixel went through
// since the last probe was put.
func TestProbesOfALargeDisplay(t *testing.T) {
	defer func(n int) { mostTraced = n }(mostTraced)
	mostTraced = 23
	c := newScope(t, 6, 4)
	pixels := []int{18, 3}
	var want [2][probed][]float64
	most, since := [2]float64{}, 0
	step := func() {
		for range 40 {
			before := c.history.points
			tick(t, c)
			for k, i := range pixels {
				most[k] = max(most[k], 1e3*c.middle(c.plane.Abs, i))
				if c.history.points > before {
					for q, v := range [probed]float64{most[k], c.coils[i] - field.ZeroCelsius, 100 * covered(c, i)} {
						want[k][q] = append(want[k][q], v)
					}
					most[k] = 0
				}
			}
		}
	}
	step()
	for _, i := range pixels {
		c.Probe(i)
		since, most = c.history.points, [2]float64{}
		step()
	}
	for k, p := range c.probes(nil) {
		for q, got := range p.values {
			if w := want[k][q][since:]; p.Pixel != pixels[k] || len(got) < 2 || !slices.EqualFunc(got, w, func(a, b float64) bool { return math.Abs(a-b) <= 1e-5*math.Abs(b)+1e-6 }) {
				t.Errorf("probe %d, quantity %d: %v, want %v", k, q, got, w)
			}
		}
	}
	if n := len(c.traces.values[0]); n != historyLen*MostProbes {
		t.Errorf("%d values are kept", n)
	}
}

// covered is how full of fluid a pixel's place is.
func covered(c *Scope, pixel int) float64 {
	place := make([]float64, len(c.levels))
	c.tank.Cover(place, nil)
	return place[pixel]
}

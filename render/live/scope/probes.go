package scope

import (
	"image"
	"image/color"
	"math"
	"slices"

	"lodegrid/field"
)

// MostProbes is how many pixels can be probed at once.
const MostProbes = 3

// Probe is what a pixel went through in the last minute, the oldest first, a point each
// quarter of a second of simulated time.
type Probe struct {
	Pixel  int
	values [probed][]float64
}

// Probed is one of the quantities that a probe follows.
type Probed int

// The quantities.
const (
	ProbedField Probed = iota // mT over the pixel's middle, the most since the point before
	ProbedCoil                // °C
	ProbedFluid               // % of its drop's place that the fluid fills
	probed      = iota
)

// traces keep the last minute of all pixels, so that a probe has a past when it is put
// somewhere. They are rings, as History is. Of more than mostTraced pixels, the probed ones
// alone are kept, from when the last probe was put.
type traces struct {
	values [probed][]float32 // historyLen × pixels, as in Probe, or × MostProbes
	points [historyLen]int   // which of History's points is kept there, the first is 1; 0 for none
	most   []float32         // mT since the last point
}

// mostTraced pixels take 47 MB. Its test takes fewer.
var mostTraced = 1 << 14

// traced is how many pixels are kept, and whether those are all.
func (c *Scope) traced() (n int, all bool) {
	if n = len(c.levels); n > mostTraced {
		return MostProbes, false
	}
	return n, true
}

// trace follows all pixels through a step; point tells that the history has one more.
func (c *Scope) trace(point bool) {
	t := &c.traces
	n, all := c.traced()
	if len(t.most) != n {
		t.most = make([]float32, n)
		for q := range t.values {
			t.values[q] = make([]float32, historyLen*n)
		}
	}
	of := n
	if !all {
		of = len(c.probed)
	}
	pixel := func(k int) int {
		if !all {
			return c.probed[k]
		}
		return k
	}
	for k := range of {
		t.most[k] = max(t.most[k], float32(1e3*c.middle(c.plane.Abs, pixel(k))))
	}
	if !point {
		return
	}
	row := (c.history.points - 1) % historyLen
	t.points[row] = c.history.points
	at := row * n
	copy(t.values[ProbedField][at:], t.most)
	clear(t.most)
	c.count(c.wanted)
	for k := range of {
		i := pixel(k)
		t.values[ProbedCoil][at+k] = float32(c.coils[i] - field.ZeroCelsius)
		t.values[ProbedFluid][at+k] = float32(100 * c.covered[i])
	}
}

// untrace forgets what the pixels went through, for that was another display.
func (c *Scope) untrace() { c.traces = traces{} }

// Probe puts a probe on a pixel, or takes it away; the oldest goes where there are too many.
func (c *Scope) Probe(pixel int) {
	if k := slices.Index(c.probed, pixel); k >= 0 {
		c.probed = slices.Delete(c.probed, k, k+1)
	} else if c.probed = append(c.probed, pixel); len(c.probed) > MostProbes {
		c.probed = slices.Delete(c.probed, 0, 1)
	}
	if _, all := c.traced(); !all {
		c.untrace()
	}
	c.version++
}

// Unprobe takes all probes away.
func (c *Scope) Unprobe() {
	c.probed = c.probed[:0]
	c.version++
}

// probes are the probes with their last minute, in the memory of others.
func (c *Scope) probes(to []Probe) []Probe {
	for len(to) < len(c.probed) {
		to = append(to, Probe{})
	}
	to = to[:len(c.probed)]
	last := c.history.points
	n, all := c.traced()
	first := last // of those kept without a gap: time may have been put back and forth over more than a minute
	for first > 0 && c.traces.points[(first-1)%historyLen] == first {
		first--
	}
	for k, pixel := range c.probed {
		p := &to[k]
		p.Pixel = pixel
		if !all {
			pixel = k
		}
		for q := range p.values {
			p.values[q] = p.values[q][:0]
			for i := first; i < last; i++ {
				p.values[q] = append(p.values[q], float64(c.traces.values[q][i%historyLen*n+pixel]))
			}
		}
	}
	return to
}

// Now is the newest value, NaN where there is none yet.
func (p Probe) Now(q Probed) float64 {
	if n := len(p.values[q]); n > 0 {
		return p.values[q][n-1]
	}
	return math.NaN()
}

// Probes are the probes in the order they were put.
func (c *View) Probes() []Probe { return c.probing }

// Probe is the colour of a probe's curves.
func (t Theme) Probe(k int) color.RGBA { return [MostProbes]color.RGBA{t.Accent, t.Ink, t.Leaf}[k] }

// ProbeSpan is the range of a chart of the probes, and the limit across it, NaN for none.
func (c *View) ProbeSpan(q Probed) (low, high, limit float64) {
	if q == ProbedFluid {
		return 0, 100, math.NaN()
	}
	least := 0.1
	if q == ProbedCoil {
		least = 1
		low = fives(c.grid.Design.Heat.Ambient - field.ZeroCelsius)
		limit = c.grid.Design.Limits.Board - field.ZeroCelsius
	}
	top := low + least
	for _, p := range c.probing {
		for _, v := range p.values[q] {
			top = max(top, v)
			if q == ProbedCoil {
				low = min(low, fives(v)) // ambient may have been colder before
			}
		}
	}
	high = low + ceil(1.08*(top-low))
	if limit <= low || limit > high {
		limit = math.NaN()
	}
	return low, high, limit
}

// DrawProbes draws a chart of the probes' last minute over the whole of an image.
func (c *View) DrawProbes(img *image.RGBA, q Probed, t Theme, scale float64) {
	low, high, limit := c.ProbeSpan(q)
	a := axes{img, low, high, scale}
	a.draw(limit, t)
	for k, p := range c.probing {
		a.curve(len(p.values[q]), func(i int) float64 { return p.values[q][i] }, t.Probe(k))
	}
}

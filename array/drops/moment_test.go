package drops

import (
	"math"
	"testing"
)

// A pane that goes on from a moment under another pressure comes to the same as the one it was
// kept of, and one put back to nothing is empty.
func TestMoment(t *testing.T) {
	p := params(4, 4)
	d := pane(t, p)
	d.p.SampleCols, d.p.SampleRows = p.Cols, p.Rows
	pi := d.field(func(x, y float64) float64 { return 40 * math.Sin(x/12e-3) * math.Cos(y/13e-3) })
	d.Pour(5)
	d.Add(-0.006, 0.004)
	d.Add(0.004, 0.008)
	step := func(d *Pane, dt float64) { d.Step(dt, pi) }
	step(d, 0.2)
	m := d.Moment()
	was := m.parts[0]
	for k := range pi {
		pi[k] *= 1.1
	}
	step(d, 0.5)
	other := pane(t, p)
	other.Resume(m)
	if math.Abs(other.Volume()/d.Volume()-1) > 1e-12 || m.Bytes() < len(m.parts)*64 {
		t.Fatalf("a volume of %g of %g, in %d bytes", other.Volume(), d.Volume(), m.Bytes())
	}
	step(other, 0.5)
	worst := 0.0
	for i, o := range d.parts {
		q := other.parts[i]
		worst = max(worst, math.Hypot(o.X-q.X, o.Y-q.Y))
	}
	moved := math.Hypot(d.parts[0].X-was.X, d.parts[0].Y-was.Y)
	if moved < 1e-3 || worst > 0.01*moved {
		t.Errorf("from the moment on %g m elsewhere, having moved %g m", worst, moved)
	}
	if other.Resume(&Moment{}); other.Volume() != 0 {
		t.Errorf("put back to nothing it holds %g m³", other.Volume())
	}
}

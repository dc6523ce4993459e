package tank

import (
	"math"
	"testing"

	"lodegrid/field"
)

func centroid(t testing.TB, tk *Tank) (x, y float64) {
	t.Helper()
	x, y, ok := tk.Centroid()
	if !ok {
		t.Fatal("the tank is empty")
	}
	return x, y
}

// imageFactor is what the walls do, to first order, to the speed of a drop of
// radius r falling in the middle of a tank: the flow outside such a drop is that of
// a dipole, U R²(y²−x²)/(x²+y²)², and the walls are a lattice of its mirror images,
// turned round across every level wall.
func imageFactor(p Params, r float64) float64 {
	sum := 0.0
	const far = 60
	for m := -far; m <= far; m++ {
		for n := -far; n <= far; n++ {
			if m == 0 && n == 0 {
				continue
			}
			x, y := float64(m)*p.Width, float64(n)*p.Height
			q := x*x + y*y
			sign := 1.0
			if n%2 != 0 {
				sign = -1
			}
			sum += sign * (y*y - x*x) / (q * q)
		}
	}
	return 1 + r*r*sum
}

// A drop like the demo's, falling along an axis and across the cells, against SinkSpeed; the
// walls take off what they take off a drop without a shear layer.
func TestSink(t *testing.T) {
	for cells, most := range map[int]float64{8: 0.04, 12: 0.02, 16: 0.01} {
		for _, way := range [][2]float64{{0, -1}, {math.Sqrt2 / 2, -math.Sqrt2 / 2}} {
			p := demo(t, 4, 4, 2, cells)
			p.GravityX, p.GravityY = field.Gravity*way[0], field.Gravity*way[1]
			tk := newTank(t, p)
			disc(t, tk, 0.0002, 0.0003, 0.004)
			step(t, tk, 0.6, nil)
			x0, y0 := centroid(t, tk)
			step(t, tk, 2.4, nil)
			x1, y1 := centroid(t, tk)
			got := ((x1-x0)*way[0] + (y1-y0)*way[1]) / 2.4
			open := 0.5 * p.DensityDifference * field.Gravity * p.Gap * p.Gap / (12 * p.Viscosity)
			want := p.SinkSpeed(0.004) + open*(imageFactor(p, 0.004)-1)
			t.Logf("%d cells, %.1v: %.4g m/s, theory %.4g: %+.2f %%", cells, way, got, want, (got/want-1)*100)
			if math.Abs(got/want-1) > most {
				t.Errorf("%d cells, %v: falls at %g m/s, want %g", cells, way, got, want)
			}
		}
	}
}

// Other gaps and viscosities, at drags that keep the drop round.
func TestSinkElsewhere(t *testing.T) {
	for _, c := range []struct {
		gap, viscosity, r float64
	}{{4e-3, 0.05, 0.006}, {4e-3, 0.05, 0.012}, {1.5e-3, 0.01, 0.006}, {1.5e-3, 0.01, 0.003}} {
		p := base()
		p.Width, p.Height, p.Cols, p.Rows = 0.096, 0.096, 128, 128
		p.Gap, p.Viscosity = c.gap, c.viscosity
		tk := newTank(t, p)
		disc(t, tk, 0, 0, c.r)
		step(t, tk, 0.15, nil)
		_, y0 := centroid(t, tk)
		step(t, tk, 0.15, nil)
		_, y1 := centroid(t, tk)
		open := 0.5 * p.DensityDifference * field.Gravity * p.Gap * p.Gap / (12 * p.Viscosity)
		got, want := (y0-y1)/0.15, p.SinkSpeed(c.r)+open*(imageFactor(p, c.r)-1)
		t.Logf("b %g mm, R %g mm: %.5g m/s, theory %.5g: %+.2f %%", c.gap*1e3, c.r*1e3, got, want, (got/want-1)*100)
		if math.Abs(got/want-1) > 0.02 {
			t.Errorf("b %g R %g: falls at %g m/s, want %g", c.gap, c.r, got, want)
		}
	}
}

// Between panes that bow, the drag is that of the depth there: panes all as far apart as others
// give the very same fall, and a tank that is deeper on one side has a drop on either side fall
// as in a tank of that depth, of one viscosity and of two.
func TestSinkWhereThePanesBow(t *testing.T) {
	fall := func(p Params, depth func(x float64) float64, x float64) float64 {
		tk := newTank(t, p)
		all := make([]float64, p.SampleCols*p.SampleRows)
		for k := range all {
			all[k] = depth((float64(k%p.SampleCols)+0.5)/float64(p.SampleCols)*p.Width - p.Width/2)
		}
		tk.Bow(all)
		disc(t, tk, x, 0, 0.004)
		step(t, tk, 0.6, nil)
		_, y0 := centroid(t, tk)
		step(t, tk, 0.9, nil)
		_, y1 := centroid(t, tk)
		return (y0 - y1) / 0.9
	}
	for _, outer := range []float64{0, 0.0045} {
		p := demo(t, 8, 4, 1, 8)
		p.GravityY, p.OuterViscosity = -field.Gravity, outer
		p.SampleCols, p.SampleRows = 80, 48
		level := func(b float64) func(float64) float64 { return func(float64) float64 { return b } }
		flat := fall(p, level(p.Gap), 0)
		q := p
		q.Viscosity, q.OuterViscosity = p.Viscosity/1.21, outer/1.21
		deep := fall(p, level(1.1*p.Gap), 0)
		if want := fall(q, level(p.Gap), 0); math.Abs(deep/want-1) > 0.02 { // the friction along the panes is as before
			t.Errorf("outer %g: in a tank a tenth deeper it falls at %.4g m/s, with as much less viscosity at %.4g", outer, deep, want)
		}
		slope := func(x float64) float64 { return p.Gap * (1 + 0.1*min(max(x/0.02+0.5, 0), 1)) }
		for x, want := range map[float64]float64{-0.03: fall(p, level(p.Gap), -0.03), 0.03: fall(p, level(1.1*p.Gap), 0.03)} {
			got := fall(p, slope, x)
			t.Logf("outer %g, x %g: %.4g m/s, level tank %.4g, flat %.4g", outer, x, got, want, flat)
			if math.Abs(got/want-1) > 0.015 {
				t.Errorf("outer %g: at %g m it falls at %.4g m/s, in a level tank of that depth at %.4g", outer, x, got, want)
			}
		}
	}
}

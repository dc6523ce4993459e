package drops

import "math"

// looks is how often it is looked whether a drop leaves the pool while the pressure stands, s.
const looks = 0.25

// sink lets parts that have come down to the pool become part of it.
func (d *Pane) sink() {
	for i := 0; i < len(d.parts); i++ {
		if d.parts[i].Y-d.radius <= d.top()+d.p.MergeGap {
			d.remove(i)
			d.pool++
			i--
		}
	}
}

// lift lets drops leave the pool where they are drawn up.
func (d *Pane) lift() {
	if d.pool < thirds || d.pi == nil || d.since < looks {
		return
	}
	d.since = 0
	n := d.p.SampleCols
	from := math.Inf(-1) // as near as a drop may leave to the one before
	for d.pool >= thirds {
		top, best, at := d.top(), 0.0, 0.0
		columns := d.strongest(top)
		for k := range n {
			x := (float64(k)+0.5)/float64(n)*d.p.Width - d.p.Width/2
			if x < from || math.Abs(x) > d.p.Width/2-d.whole {
				continue
			}
			up := d.pullMost(x, columns) + thirds*d.weight - d.neck
			if up > best { // else it cannot be
				_, up, _ = d.pull(x, top, d.whole)
				up += thirds*d.weight - d.neck
			}
			if up > best && !d.crowded(x, top+d.whole+d.p.MergeGap) {
				best, at = up, x
			} else if best > 0 && x > at+d.whole {
				break // the first hill's top is found
			}
		}
		if best == 0 {
			return
		}
		d.pool -= thirds
		// Its parts reach out of its circle a little.
		d.Add(at, d.top()+1.15*d.whole+1.01*d.p.MergeGap)
		from = at + 2*d.whole + d.p.MergeGap
	}
}

// strongest is the greatest |Π| in every column of samples that the pull on a reference drop
// at a height is made of, Pa.
func (d *Pane) strongest(y float64) []float64 {
	cols, rows := d.p.SampleCols, d.p.SampleRows
	d.columns = append(d.columns[:0], make([]float64, cols)...)
	v, reach := (0.5-y/d.p.Height)*float64(rows)-0.5, d.whole*float64(rows)/d.p.Height
	row := func(v float64) int { return min(max(int(math.Floor(v)), 0), rows-1) }
	for i := row(v - reach - 2); i <= row(v+reach+3); i++ {
		for j, pi := range d.pi[i*cols:][:cols] {
			d.columns[j] = max(d.columns[j], math.Abs(pi))
		}
	}
	return d.columns
}

// pullMost is more than the pull upwards on a reference drop at x can be, N, by the strongest
// samples of the columns about it: no cubic weighs four of them by more than 5/4 each way.
func (d *Pane) pullMost(x float64, columns []float64) float64 {
	per := float64(d.p.SampleCols) / d.p.Width
	u, reach := x*per+0.5*float64(d.p.SampleCols)-0.5, d.whole*per
	column := func(u float64) int { return min(max(int(math.Floor(u)), 0), d.p.SampleCols-1) }
	most := 0.0
	for _, v := range columns[column(u-reach-2) : column(u+reach+3)+1] {
		most = max(most, v)
	}
	return d.p.Gap * d.whole * 2 * math.Pi / rim * upward * (5. / 4) * (5. / 4) * (1 + 1e-9) * most
}

// upward is the sum over the rim's places of how far each points up or down.
var upward = func() (sum float64) {
	for _, n := range around {
		sum += math.Abs(n[1])
	}
	return sum
}()

// crowded tells whether a reference drop at a place would touch another.
func (d *Pane) crowded(x, y float64) bool {
	for i := range d.parts {
		if o := &d.parts[i]; math.Hypot(o.X-x, o.Y-y) < d.radius+d.whole+d.p.MergeGap {
			return true
		}
	}
	return false
}

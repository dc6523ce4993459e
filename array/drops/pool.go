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
		for k := range n {
			x := (float64(k)+0.5)/float64(n)*d.p.Width - d.p.Width/2
			if x < from || math.Abs(x) > d.p.Width/2-d.whole {
				continue
			}
			_, up, _ := d.pull(x, top, d.whole)
			if up += thirds*d.weight - d.neck; up > best && !d.crowded(x, top+d.whole+d.p.MergeGap) {
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

// crowded tells whether a reference drop at a place would touch another.
func (d *Pane) crowded(x, y float64) bool {
	for i := range d.parts {
		if o := &d.parts[i]; math.Hypot(o.X-x, o.Y-y) < d.radius+d.whole+d.p.MergeGap {
			return true
		}
	}
	return false
}

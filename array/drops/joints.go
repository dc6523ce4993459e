package drops

import "math"

// joint is two parts that are joined, the first of lower number.
type joint struct{ a, b int32 }

// The distance of the middles of two joined parts at rest over their radius: of two halves
// of a round drop, of its thirds, and where there are more, of parts packed six round one,
// whose area is theirs.
var (
	pairRest  = 8 * math.Sqrt2 / (3 * math.Pi)
	thirdRest = middle * math.Sqrt(thirds) * math.Sqrt(3)
	heapRest  = math.Sqrt(2 * math.Pi / math.Sqrt(3))
)

// partAt is the distance, over the radius, at which two joined parts let go.
var partAt = pairRest + math.Pi*(2-math.Sqrt2)

// give is the way over the radius on which the tension of a thread comes up.
const give = 0.4

// strain adds the tension between joined parts: none at rest, rising to that of a thread,
// and as stiff where they are pressed together; and what the thread's fluid draws after it.
func (d *Pane) strain() {
	for _, j := range d.joints {
		p, q := &d.parts[j.a], &d.parts[j.b]
		if p.asleep && q.asleep {
			continue
		}
		dx, dy := q.X-p.X, q.Y-p.Y
		s := math.Hypot(dx, dy)
		if s == 0 {
			dx, s = 1e-9, 1e-9
		}
		rest := heapRest
		switch max(p.joined, q.joined) {
		case 1:
			rest = pairRest
		case 2:
			rest = thirdRest
		}
		stretched := min((s/d.radius-rest)/give, 1)
		f := stretched * d.neck * 2 / float64(p.joined+q.joined) / s
		p.fx += f * dx
		p.fy += f * dy
		q.fx -= f * dx
		q.fy -= f * dy
		if stretched > 0 {
			tail := p
			f = stretched * d.radius * d.p.Gap * (q.pi - p.pi) / s
			if f < 0 {
				tail = q
			}
			tail.fx += f * dx
			tail.fy += f * dy
		}
		p.asleep, q.asleep = false, false
	}
}

func (d *Pane) join(a, b int32) {
	j := joint{min(a, b), max(a, b)}
	d.joints, d.paired[j] = append(d.joints, j), true
	d.parts[a].joined++
	d.parts[b].joined++
}

func (d *Pane) split(k int) {
	j := d.joints[k]
	d.parts[j.a].joined--
	d.parts[j.b].joined--
	delete(d.paired, j)
	d.joints[k] = d.joints[len(d.joints)-1]
	d.joints = d.joints[:len(d.joints)-1]
}

// areJoined tells whether two parts are joined. Where a strong weight or field crowds parts
// on one another there are as many joints as pairs near each other, so the list of them is
// not looked through.
func (d *Pane) areJoined(a, b int32) bool { return d.paired[joint{min(a, b), max(a, b)}] }

// meet parts joined parts that have come apart and joins those whose edges touch.
func (d *Pane) meet() {
	for k := 0; k < len(d.joints); k++ {
		p, q := &d.parts[d.joints[k].a], &d.parts[d.joints[k].b]
		if math.Hypot(q.X-p.X, q.Y-p.Y) > partAt*d.radius {
			p.asleep, q.asleep = false, false
			d.split(k)
			k--
		}
	}
	d.bins.sort(d.parts)
	touch := 2*d.radius + d.p.MergeGap
	for i := range d.parts {
		if d.parts[i].asleep {
			continue
		}
		d.bins.near(d.parts, int32(i), func(n int32) {
			p, q := &d.parts[i], &d.parts[n]
			// Of two that are awake the first looks.
			if (int(n) < i && !q.asleep) || (q.X-p.X)*(q.X-p.X)+(q.Y-p.Y)*(q.Y-p.Y) > touch*touch || d.areJoined(int32(i), n) {
				return
			}
			q.asleep = false
			d.join(int32(i), n)
		})
	}
}

// remove takes a part out, and the last takes its number.
func (d *Pane) remove(i int) {
	last := int32(len(d.parts) - 1)
	for k := 0; k < len(d.joints); k++ {
		switch j := &d.joints[k]; {
		case j.a == int32(i) || j.b == int32(i):
			d.split(k)
			k--
		case j.b == last: // the greater of the two
			delete(d.paired, *j)
			*j = joint{min(j.a, int32(i)), max(j.a, int32(i))}
			d.paired[*j] = true
		}
	}
	d.parts[i] = d.parts[last]
	d.parts = d.parts[:last]
}

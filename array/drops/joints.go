package drops

import (
	"math"
	"slices"
)

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
	d.joints, d.paired = append(d.joints, joint{min(a, b), max(a, b)}), false
	d.parts[a].joined++
	d.parts[b].joined++
}

func (d *Pane) split(k int) {
	j := d.joints[k]
	d.parts[j.a].joined--
	d.parts[j.b].joined--
	d.joints[k] = d.joints[len(d.joints)-1]
	d.joints, d.paired = d.joints[:len(d.joints)-1], false
}

// partners lists every part's joined ones: those of part i from first[i] to first[i+1].
type partners struct {
	first, list []int32
	of          []int32 // per part, 1 + the last part that it was marked as a partner of
}

// look takes the partners of a number of parts from the joints.
func (l *partners) look(parts int, joints []joint) {
	l.first = append(l.first[:0], make([]int32, parts+2)...)
	l.of = append(l.of[:0], make([]int32, parts)...)
	l.list = slices.Grow(l.list[:0], 2*len(joints))[:2*len(joints)]
	count := l.first[2:] // of the part before, so that filling moves each to its place
	for _, j := range joints {
		count[j.a]++
		count[j.b]++
	}
	for i := 1; i < len(count); i++ {
		count[i] += count[i-1]
	}
	next := l.first[1:]
	for _, j := range joints {
		l.list[next[j.a]] = j.b
		next[j.a]++
		l.list[next[j.b]] = j.a
		next[j.b]++
	}
}

// mark marks the partners of part i until the next call.
func (l *partners) mark(i int) {
	for _, n := range l.list[l.first[i]:l.first[i+1]] {
		l.of[n] = int32(i) + 1
	}
}

// marked tells whether part n is a partner of part i, the last that mark was called for.
func (l *partners) marked(i int, n int32) bool { return l.of[n] == int32(i)+1 }

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
	if !d.paired || d.strayed() {
		d.pair()
	}
	touch := 2*d.radius + d.p.MergeGap
	for _, j := range d.pairs {
		p, q := &d.parts[j.a], &d.parts[j.b]
		if (q.X-p.X)*(q.X-p.X)+(q.Y-p.Y)*(q.Y-p.Y) <= touch*touch && !(p.asleep && q.asleep) {
			p.asleep, q.asleep = false, false
			d.join(j.a, j.b)
		}
	}
}

// slack is how far, over the radius, a part may go before it is looked anew which others it may touch.
const slack = 0.5

// strayed tells whether a part has gone farther than that.
func (d *Pane) strayed() bool {
	far := slack * d.radius
	for i := range d.parts {
		if o := &d.parts[i]; (o.X-o.pairX)*(o.X-o.pairX)+(o.Y-o.pairY)*(o.Y-o.pairY) > far*far {
			return true
		}
	}
	return false
}

// pair lists the parts that are not joined and may touch before one of them strays.
func (d *Pane) pair() {
	d.pairs, d.paired = d.pairs[:0], true
	d.bins.sort(d.parts)
	// Where a strong weight or field crowds parts on one another there are as many joints as
	// pairs near each other: they are not searched through for each of these.
	d.linked.look(len(d.parts), d.joints)
	reach := d.bins.side
	for i := range d.parts {
		p := &d.parts[i]
		p.pairX, p.pairY = p.X, p.Y
		d.linked.mark(i)
		d.bins.near(d.parts, int32(i), func(n int32) {
			if q := &d.parts[n]; int(n) > i && (q.X-p.X)*(q.X-p.X)+(q.Y-p.Y)*(q.Y-p.Y) <= reach*reach && !d.linked.marked(i, n) {
				d.pairs = append(d.pairs, joint{int32(i), n})
			}
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
			*j = joint{min(j.a, int32(i)), max(j.a, int32(i))}
		}
	}
	d.parts[i] = d.parts[last]
	d.parts, d.paired = d.parts[:last], false
}

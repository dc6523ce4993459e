package drops

import (
	"math"
	"slices"
)

// A part goes no farther in a step than stride of its radius, and no step is shorter than
// leastPart of the longest. Its pull is taken anew when it has gone reuse of its radius, a
// hundredth of a stride, since it was. What is slower than still, m/s, stays where it is until the
// pressure or a neighbour changes; so do the parts of a drop whose middle goes slower than
// idle under one pressure, though they may still turn about it.
const (
	stride    = 0.1
	leastPart = 1.0 / 32
	reuse     = 1e-3
	still     = 5e-6
	idle      = 20e-6
)

// Step moves the drops on by dt seconds under the magnetic pressure pi, Pa at the samples
// as tank.Tank.Step takes it; nil is no field.
func (d *Pane) Step(dt float64, pi []float64) {
	d.pi = pi
	defer func() { d.pi = nil }()
	if !slices.Equal(pi, d.was) {
		d.was = append(d.was[:0], pi...)
		d.since, d.calm = looks, 0
		d.wake()
	}
	for left := dt; left > 1e-12; {
		d.lift()
		fastest := d.forces()
		h := min(d.p.MaxStep, left)
		if fastest*h > stride*d.radius {
			h = max(stride*d.radius/fastest, d.p.MaxStep*leastPart)
			h = left / max(math.Ceil(left/h*(1-1e-12)), 1)
		}
		d.advance(h)
		d.meet()
		d.effort += len(d.parts) + len(d.joints)
		d.since += h
		if d.calm += h; d.calm >= looks {
			d.doze()
			d.calm = 0
		}
		left -= h
		if d.Resting() {
			break
		}
	}
}

// wake wakes the parts whose pull has changed by more than what leaves them idle since they
// fell asleep.
func (d *Pane) wake() {
	for i := range d.parts {
		o := &d.parts[i]
		o.markX, o.fromX = math.NaN(), math.NaN()
		if o.asleep {
			fx, fy, _ := d.pull(o.X, o.Y, d.radius)
			o.asleep = d.mobility*math.Hypot(fx-o.pullX, fy-o.pullY) < idle
		}
	}
}

// doze lets the parts of drops sleep whose middle is where it was a look before.
func (d *Pane) doze() {
	for i := range d.parts {
		d.parts[i].drop = int32(i)
	}
	for again := true; again; {
		again = false
		for _, j := range d.joints {
			p, q := &d.parts[j.a], &d.parts[j.b]
			if p.drop != q.drop {
				p.drop, q.drop, again = min(p.drop, q.drop), min(p.drop, q.drop), true
			}
		}
	}
	d.middles = append(d.middles[:0], make([][3]float64, len(d.parts))...)
	for i := range d.parts {
		o := &d.parts[i]
		m := &d.middles[o.drop]
		m[0], m[1], m[2] = m[0]+o.X, m[1]+o.Y, m[2]+1
	}
	for i := range d.parts {
		o := &d.parts[i]
		m := d.middles[o.drop]
		x, y := m[0]/m[2], m[1]/m[2]
		if math.Hypot(x-o.markX, y-o.markY) < idle*looks {
			o.asleep, o.VX, o.VY = true, 0, 0
		}
		o.markX, o.markY = x, y
	}
}

// Resting tells whether no part will move, nor a drop leave the pool, before the pressure changes.
func (d *Pane) Resting() bool {
	if d.pool >= thirds {
		return false
	}
	for i := range d.parts {
		if !d.parts[i].asleep {
			return false
		}
	}
	return true
}

// forces works out what acts on every part that is awake; it returns the greatest speed
// that any has or would take on, m/s.
func (d *Pane) forces() float64 {
	for i := range d.parts {
		if o := &d.parts[i]; !o.asleep {
			if near := reuse * d.radius; !((o.X-o.fromX)*(o.X-o.fromX)+(o.Y-o.fromY)*(o.Y-o.fromY) <= near*near) {
				o.pullX, o.pullY, o.pi = d.pull(o.X, o.Y, d.radius)
				o.fromX, o.fromY = o.X, o.Y
			}
			o.fx, o.fy = o.pullX+d.aside, o.pullY+d.weight
		}
	}
	d.strain()
	fastest := 0.0
	for i := range d.parts {
		if o := &d.parts[i]; !o.asleep {
			v, f := o.VX*o.VX+o.VY*o.VY, o.fx*o.fx+o.fy*o.fy
			fastest = max(fastest, v, d.mobility*d.mobility*f)
		}
	}
	return math.Sqrt(fastest)
}

// advance moves every part that is awake by h seconds, drag and grip implicit.
func (d *Pane) advance(h float64) {
	damp, gain := 1/(1+h/d.drag), d.mobility*h/d.drag
	atRest := still * still
	for i := range d.parts {
		o := &d.parts[i]
		if o.asleep {
			continue
		}
		vx, vy := (o.VX+gain*o.fx)*damp, (o.VY+gain*o.fy)*damp
		if grip := gain * damp * d.grip; grip > 0 {
			if v := math.Hypot(vx, vy); v <= grip {
				vx, vy = 0, 0
			} else {
				vx, vy = vx*(1-grip/v), vy*(1-grip/v)
			}
		}
		fromX, fromY := o.X, o.Y
		x, y := fromX+h*vx, fromY+h*vy
		o.X = min(max(x, -d.p.Width/2+d.radius), d.p.Width/2-d.radius)
		o.Y = min(max(y, d.floor()+d.radius), d.p.Height/2-d.radius)
		o.VX, o.VY = vx, vy
		if o.X != x {
			o.VX = 0
		}
		if o.Y != y {
			o.VY = 0
		}
		// As fast as it would be once drag and force are even, too.
		wx, wy := (o.X-fromX)/h, (o.Y-fromY)/h
		o.asleep = wx*wx+wy*wy < atRest && o.VX*o.VX+o.VY*o.VY < atRest
	}
	if d.pool > 0 {
		d.sink()
	}
}

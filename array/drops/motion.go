package drops

import (
	"fmt"
	"math"
	"slices"
)

// A part goes no farther in a step than stride of its radius, and no step is shorter than
// leastPart of the longest. What is slower than still, m/s, stays where it is until the
// pressure or a neighbour changes.
const (
	stride    = 0.1
	leastPart = 1.0 / 32
	still     = 5e-6
)

// Step moves the drops on by dt seconds under the magnetic pressure pi, Pa at the samples
// as tank.Tank.Step takes it; nil is no field. The error names a pi of the wrong length or
// a dt that is negative or not finite.
func (d *Pane) Step(dt float64, pi []float64) error {
	if !(dt >= 0) || math.IsInf(dt, 0) {
		return fmt.Errorf("drops: step of %g s: must be finite and not negative", dt)
	}
	if pi != nil && len(pi) != d.p.SampleCols*d.p.SampleRows {
		return fmt.Errorf("drops: magnetic pressure has %d values for %d×%d samples", len(pi), d.p.SampleCols, d.p.SampleRows)
	}
	d.pi = pi
	defer func() { d.pi = nil }()
	if !slices.Equal(pi, d.was) {
		d.was = append(d.was[:0], pi...)
		d.since = looks
		for i := range d.parts {
			d.parts[i].asleep = false
		}
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
		left -= h
		if d.resting() && d.pool < thirds {
			break
		}
	}
	return nil
}

// resting tells whether no part will move before something changes.
func (d *Pane) resting() bool {
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
			o.fx, o.fy, o.pi = d.pull(o.X, o.Y, d.radius)
			o.fx += d.aside
			o.fy += d.weight
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
		o.Y = min(max(y, -d.p.Height/2+d.radius), d.p.Height/2-d.radius)
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

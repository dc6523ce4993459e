package tank

import "math"

// Moment is a tank's fluid, motion and hold of its contact lines at one time, to seven
// digits: a tank that goes on from it comes to the same but for that rounding.
type Moment struct {
	layers []keptLayer
	u, v   []float32
	rate   float64
}

// keptLayer is the stretches of cells of a layer that hold fluid.
type keptLayer struct {
	from, to []int32
	c        []float32
	held     []int32 // cells whose contact line holds
	grip     []float32
}

// Bytes is the memory that a moment takes.
func (m *Moment) Bytes() int {
	n := 4 * (len(m.u) + len(m.v))
	for _, l := range m.layers {
		n += 4 * (2*len(l.from) + len(l.c) + 2*len(l.held))
	}
	return n
}

// Moment keeps how the tank is now.
func (t *Tank) Moment() *Moment {
	m := &Moment{u: narrow(t.u), v: narrow(t.v), rate: t.rate}
	for _, l := range t.layers {
		var k keptLayer
		for i := 0; i < len(l.c); i++ {
			if l.c[i] == 0 {
				continue
			}
			k.from = append(k.from, int32(i))
			for ; i < len(l.c) && l.c[i] != 0; i++ {
				k.c = append(k.c, float32(l.c[i]))
			}
			k.to = append(k.to, int32(i))
		}
		for i, g := range l.grip {
			if !math.IsNaN(g) {
				k.held, k.grip = append(k.held, int32(i)), append(k.grip, float32(g))
			}
		}
		m.layers = append(m.layers, k)
	}
	return m
}

// Resume puts the tank, or one with as many cells, back to how it was and returns the speed
// of its fastest cell, m/s.
func (t *Tank) Resume(m *Moment) float64 {
	t.Clear()
	for n, k := range m.layers {
		if n == len(t.layers) {
			t.layers = append(t.layers, t.newLayer())
		}
		l, at := t.layers[n], 0
		for s, from := range k.from {
			for i := from; i < k.to[s]; i++ {
				l.c[i] = float64(k.c[at])
				at++
			}
		}
		for s, i := range k.held {
			l.grip[i] = float64(k.grip[s])
		}
		l.before = append(l.before[:0], k.held...)
	}
	for i, v := range m.u {
		t.u[i] = float64(v)
	}
	for i, v := range m.v {
		t.v[i] = float64(v)
	}
	t.rate = m.rate
	return t.maxSpeed()
}

func narrow(from []float64) []float32 {
	to := make([]float32, len(from))
	for i, v := range from {
		to[i] = float32(v)
	}
	return to
}

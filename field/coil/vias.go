package coil

import "math"

// wiring tells how the layers are joined: groups of neighbouring layers in series,
// each wound outside-in on its first layer, inside-out on its second and so on;
// the groups in parallel.
type wiring struct {
	groups, perGroup int
}

// inward reports whether the current of layer i runs from the outside in.
func (w wiring) inward(i int) bool { return i%w.perGroup%2 == 0 }

// innerEnd reports whether the groups end in the middle of the coil.
func (w wiring) innerEnd() bool { return w.perGroup%2 == 1 }

// inner returns the number of through vias the middle must hold: one per joint of
// two layers there and, when the groups end there, one to bring that end out (all
// groups share it). A coil of one layer has a pad there and no via.
func (w wiring) inner() int {
	n := w.groups * (w.perGroup / 2)
	if w.innerEnd() && w.groups*w.perGroup > 1 {
		n++
	}
	return n
}

// outer returns the number of through vias at the edge: one per joint of two
// layers there, and one per terminal that joins parallel groups.
func (w wiring) outer() int {
	n := w.groups * ((w.perGroup - 1) / 2)
	if w.groups > 1 {
		n++
		if !w.innerEnd() {
			n++
		}
	}
	return n
}

// The inner vias stand on one ring, so that every layer's last turn can reach its
// own without crossing another: centres on a circle, copper rings at least a gap
// apart and a gap off the innermost turn.

// hole returns the free middle that n vias need: pad is the diameter of a via's
// copper, gap the clearance.
func hole(n int, pad, gap float64) float64 {
	if n == 0 {
		return 0
	}
	ring := 0.0
	if n > 1 {
		ring = (pad + gap) / (2 * math.Sin(math.Pi/float64(n)))
	}
	return 2*ring + pad + 2*gap
}

// capacity returns how many vias a free middle holds, the inverse of hole.
func capacity(inner, pad, gap float64) int {
	ring := (inner - pad - 2*gap) / 2
	reach := inner * slack // rounding
	if ring < -reach {
		return 0
	}
	half := (pad + gap) / 2
	if ring+reach < half {
		return 1
	}
	return int(math.Pi/math.Asin(min(1, half/(ring+reach))) + slack)
}

// around returns how many vias fit round the outer edge, a gap off it and a gap
// apart.
func around(outer, pad, gap float64) int {
	radius := outer/2 + gap + pad/2 // where the edge is closest to the axis
	return int(math.Pi/math.Asin(min(1, (pad+gap)/(2*radius))) + slack)
}

// edgeFor returns the outer size that n vias fit round, the inverse of around.
func edgeFor(n int, pad, gap float64) float64 {
	return (pad+gap)/math.Sin(math.Pi/float64(n)) - 2*gap - pad
}

package gerber

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// The ways of a piece of a path, as the codes that set them (4.7).
const (
	line             = 1
	clockwise        = 2
	counterclockwise = 3
)

// path is a line of straight pieces and arcs.
type path struct {
	start  r2.Vec
	pieces []piece
}

type piece struct {
	to     r2.Vec
	turn   int
	centre r2.Vec // of an arc
}

// fit is by how much an arc may miss the points it replaces, m.
const fit = 0.5e-6

const (
	widest     = math.Pi * 0.6 // rad, of one arc
	mostRadius = 1.0           // m: what is rounder than that is drawn straight
)

// arcs replaces runs of chords by arcs through their first, middle and last point, as long
// as every point, and every chord's middle as far as a chord may miss its arc, lies on it.
func arcs(points []r2.Vec) path {
	p := path{start: points[0]}
	for i := 0; i+1 < len(points); {
		best, to := piece{to: points[i+1], turn: line}, i+1
		for j := i + 2; j < len(points); j++ {
			arc, ok := through(points[i : j+1])
			if !ok {
				break
			}
			if j >= i+3 { // three points lie on a circle whatever they are
				best, to = arc, j
			}
		}
		p.pieces = append(p.pieces, best)
		i = to
	}
	return p
}

// through returns the arc for a run of points.
func through(points []r2.Vec) (piece, bool) {
	first, middle, last := points[0], points[len(points)/2], points[len(points)-1]
	centre, ok := circumcentre(first, middle, last)
	radius := r2.Norm(r2.Sub(first, centre))
	if !ok || radius > mostRadius {
		return piece{}, false
	}
	turn := 0.0
	for i := 1; i < len(points); i++ {
		a, b := r2.Sub(points[i-1], centre), r2.Sub(points[i], centre)
		half := r2.Scale(0.5, r2.Add(a, b))
		if math.Abs(r2.Norm(b)-radius) > fit || radius-r2.Norm(half) > 2*fit {
			return piece{}, false
		}
		step := math.Atan2(r2.Cross(a, b), r2.Dot(a, b))
		if turn*step < 0 {
			return piece{}, false
		}
		turn += step
	}
	if math.Abs(turn) > widest {
		return piece{}, false
	}
	way := counterclockwise
	if turn < 0 {
		way = clockwise
	}
	return piece{last, way, centre}, true
}

// circumcentre is the middle of the circle through three points; false when they lie on
// one line.
func circumcentre(a, b, c r2.Vec) (r2.Vec, bool) {
	p, q := r2.Sub(b, a), r2.Sub(c, a)
	d := 2 * r2.Cross(p, q)
	if math.Abs(d) < 1e-6*r2.Norm(p)*r2.Norm(q) {
		return r2.Vec{}, false
	}
	pp, qq := r2.Norm2(p), r2.Norm2(q)
	return r2.Add(a, r2.Vec{X: (q.Y*pp - p.Y*qq) / d, Y: (p.X*qq - q.X*pp) / d}), true
}

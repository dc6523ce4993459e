package coil

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Closed turns as polygons whose area is that of the true turn, so that the field
// far away is exact. What a polygon adds near by has the wavelength of a chord, and
// dies away as exp(−2π distance/chord).

// straightened returns the corners of a closed straight-sided turn, without
// repeating the first; a quarter arc becomes chords (2 or more).
func (s Spec) straightened(t turn, chords int) []r2.Vec {
	if s.Shape != RoundedSquare {
		points := s.ring(t.apothem, 0, 1)
		return points[:len(points)-1]
	}
	corner := min(t.corner, t.apothem)
	arc := arcCorners(corner, max(2, chords))
	points := make([]r2.Vec, 0, 4*len(arc))
	for side := range 4 {
		sin, cos := math.Sincos(math.Pi / 2 * float64(side))
		for _, p := range arc {
			x, y := t.apothem-corner+p.X, t.apothem-corner+p.Y
			points = append(points, r2.Vec{X: cos*x - sin*y, Y: sin*x + cos*y})
		}
	}
	return points
}

// Where the straight side is drawn out into the arc it lies outside, and the chords
// lie inside and outside by turns. firstCorner and firstChord are the angles, in
// chords, from the arc's beginning to the first corner and from there to the middle
// of the first chord, at which the areas on both sides cancel there too:
// s² = a² − 1/12 and s³ + a³ = a/4.
const (
	firstCorner = 0.31028
	firstChord  = 0.42380
)

// arcCorners returns the corners of n ≥ 2 chords that stand for a quarter arc around
// the origin from the x to the y axis. The first and last lie on the straight sides
// that the arc joins; the area is the arc's.
func arcCorners(radius float64, n int) []r2.Vec {
	chord := math.Pi / 2 / (float64(n-1) + 2*(firstCorner+firstChord))
	side := math.Tan(firstCorner * chord)
	points := make([]r2.Vec, 0, n+1)
	points = append(points, r2.Vec{X: radius, Y: radius * side})
	// r² tan + ρ R sin(first) + (n−2)/2 R² sin(chord) = π/4 r²
	rho := math.Hypot(1, side)
	b := rho * math.Sin((firstChord+0.5)*chord)
	a := float64(n-2) / 2 * math.Sin(chord)
	c := math.Pi/4 - side
	between := radius * 2 * c / (b + math.Sqrt(b*b+4*a*c)) // holds for a = 0
	angle := (firstCorner + firstChord + 0.5) * chord
	for range n - 1 {
		y, x := math.Sincos(angle)
		points = append(points, r2.Vec{X: between * x, Y: between * y})
		angle += chord
	}
	return append(points, r2.Vec{X: radius * side, Y: radius})
}

// circleRadius is the radius of the corners of a regular polygon with the area of a
// circle, chords of step turns.
func circleRadius(radius, step float64) float64 {
	x := 2 * math.Pi * step
	return radius * math.Sqrt(x/math.Sin(x))
}

// chordsFor returns the number of chords of a quarter arc that keeps what they add
// to the field at a distance below a share.
func chordsFor(radius, distance, share float64) int {
	n := math.Pi / 2 * radius * math.Log(1/share) / (2 * math.Pi * distance)
	return min(max(2, int(math.Ceil(n))+1), maxChords)
}

const maxChords = 256

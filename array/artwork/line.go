package artwork

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// length is the length of a line.
func length(line []r2.Vec) float64 {
	sum := 0.0
	for i := 1; i < len(line); i++ {
		sum += r2.Norm(r2.Sub(line[i], line[i-1]))
	}
	return sum
}

// after returns what is left of a line behind its first stretch of that length.
func after(line []r2.Vec, cut float64) []r2.Vec {
	for i := 1; i < len(line); i++ {
		step := r2.Norm(r2.Sub(line[i], line[i-1]))
		if cut < step {
			first := r2.Add(line[i-1], r2.Scale(cut/step, r2.Sub(line[i], line[i-1])))
			return append([]r2.Vec{first}, line[i:]...)
		}
		cut -= step
	}
	return line[len(line)-1:]
}

// sparse leaves out points that lie within tolerance of the line between those kept.
func sparse(line []r2.Vec, tolerance float64) []r2.Vec {
	kept := line[:1:1]
	for from, i := 0, 2; i <= len(line); i++ {
		fits := i < len(line)
		for k := from + 1; fits && k < i; k++ {
			fits = toSegment(line[k], line[from], line[i]) < tolerance
		}
		if !fits {
			from = i - 1
			kept = append(kept, line[from])
		}
	}
	return kept
}

// apart is the least distance between the segments a–b and c–d, either of which may be a
// point.
func apart(a, b, c, d r2.Vec) float64 {
	if crosses(a, b, c, d) {
		return 0
	}
	return min(toSegment(a, c, d), toSegment(b, c, d), toSegment(c, a, b), toSegment(d, a, b))
}

func crosses(a, b, c, d r2.Vec) bool {
	side := func(p, q, r r2.Vec) float64 { return r2.Cross(r2.Sub(q, p), r2.Sub(r, p)) }
	return side(a, b, c)*side(a, b, d) < 0 && side(c, d, a)*side(c, d, b) < 0
}

// toSegment is the distance of a point from a segment.
func toSegment(p, a, b r2.Vec) float64 { return r2.Norm(fromSegment(p, a, b)) }

func fromSegment(p, a, b r2.Vec) r2.Vec {
	ab, ap := r2.Sub(b, a), r2.Sub(p, a)
	t := 0.0
	if n := r2.Dot(ab, ab); n > 0 {
		t = math.Max(0, math.Min(1, r2.Dot(ap, ab)/n))
	}
	return r2.Sub(ap, r2.Scale(t, ab))
}

// Outline returns the edge of a track as a closed line, counter-clockwise or clockwise as
// the track bends: both sides of the middle line half a width off, square at the ends,
// mitred at bends of less than a right angle and cut off straight at sharper ones.
func (t Track) Outline() []r2.Vec {
	n := len(t.Points)
	left, right := make([]r2.Vec, 0, n), make([]r2.Vec, 0, n)
	half := t.Width / 2
	for i, p := range t.Points {
		before, behind := t.direction(i-1), t.direction(i)
		if before == (r2.Vec{}) {
			before = behind
		}
		if behind == (r2.Vec{}) {
			behind = before
		}
		normal := r2.Vec{X: -before.Y - behind.Y, Y: before.X + behind.X}
		// |normal| is twice the cosine of half the bend; the mitre is longer by its inverse.
		scale := 2 * half / r2.Dot(normal, normal)
		if r2.Dot(before, behind) < -0.01 {
			scale = half / r2.Norm(normal)
		}
		off := r2.Scale(scale, normal)
		left, right = append(left, r2.Add(p, off)), append(right, r2.Sub(p, off))
	}
	for i := len(right) - 1; i >= 0; i-- {
		left = append(left, right[i])
	}
	return left
}

// direction is that of the track's piece i, zero where there is none.
func (t Track) direction(i int) r2.Vec {
	if i < 0 || i+1 >= len(t.Points) || t.Points[i] == t.Points[i+1] {
		return r2.Vec{}
	}
	return r2.Unit(r2.Sub(t.Points[i+1], t.Points[i]))
}

// ends tells whether the track begins or ends at a point.
func (t Track) ends(at r2.Vec) bool { return t.Points[0] == at || t.Points[len(t.Points)-1] == at }

// Length is the length of the track's middle line, m.
func (t Track) Length() float64 { return length(t.Points) }

// Area is the area inside the track's outline, m².
func (t Track) Area() float64 {
	line := t.Outline()
	sum := 0.0
	for i, p := range line {
		sum += r2.Cross(p, line[(i+1)%len(line)])
	}
	return math.Abs(sum) / 2
}

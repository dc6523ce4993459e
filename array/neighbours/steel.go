package neighbours

import (
	"context"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/field/iron"
)

// Spec says whose answers are wanted and where.
type Spec struct {
	Answer *iron.Answer
	Height float64 // m, of the fluid plane
	Pitch  float64 // m
	// Reach is the largest number of pitches between a source and a place, along a row
	// and along a column.
	Cols, Rows int
}

// Steel is the steel of every pixel of a lattice.
type Steel struct {
	spec   Spec
	plane  *profile   // of the answers, on the fluid plane
	levels []*profile // and at the heights that the steel asks for
	powers int
}

// New tabulates the answers.
func New(ctx context.Context, s Spec) (*Steel, error) {
	if s.Answer == nil || !(s.Pitch > 0) || s.Cols < 1 || s.Rows < 1 {
		return nil, fmt.Errorf("answers of the neighbours' steel: pitch %g m, %d × %d offsets; need an answer, a pitch and offsets above 0", s.Pitch, s.Cols, s.Rows)
	}
	reach := s.Pitch * (math.Hypot(float64(s.Cols), float64(s.Rows)) + 1)
	out := &Steel{spec: s, powers: s.Answer.Powers()}
	var err error
	if out.plane, err = newProfile(ctx, s.Answer, s.Height, 0, 0.8*s.Pitch, s.Pitch, reach); err != nil {
		return nil, err
	}
	for _, z := range s.Answer.Nodes() {
		p, err := newProfile(ctx, s.Answer, z, 0.8*s.Pitch, 0.8*s.Pitch, s.Pitch, reach)
		if err != nil {
			return nil, err
		}
		out.levels = append(out.levels, p)
	}
	return out, nil
}

// strength is the stray field on the axis of a piece of steel, in powers of the height:
// axial, and along x and y.
type strength struct{ z, x, y []float64 }

func newStrength(n int) strength {
	all := make([]float64, 3*n)
	return strength{all[:n:n], all[n : 2*n : 2*n], all[2*n:]}
}

func (s strength) add(factor float64, o strength) {
	for k := range s.z {
		s.z[k] += factor * o.z[k]
		s.x[k] += factor * o.x[k]
		s.y[k] += factor * o.y[k]
	}
}

// piece is one pixel's steel on the lattice: where it stands (m from the source), its
// strength, and that strength's dipoles for those who are far.
type piece struct {
	x, y             float64
	strength         strength
	farZ, farX, farY float64
}

// lumped sums the powers' dipoles.
func (s *Steel) lumped(p *piece) {
	p.farZ, p.farX, p.farY = 0, 0, 0
	for k := range p.strength.z {
		p.farZ += p.strength.z[k] * s.plane.weightZ[k]
		p.farX += p.strength.x[k] * s.plane.weightX[k]
		p.farY += p.strength.y[k] * s.plane.weightX[k]
	}
}

// at is what a piece adds at an offset (m) from itself on a profile's plane.
func (f *profile) at(p *piece, x, y float64) r3.Vec {
	r := math.Sqrt(x*x + y*y)
	if r < f.far {
		return f.close(p.strength, x, y, r)
	}
	at := (r - f.far) / f.farStep
	k := min(int(at), len(f.tail)-2)
	t := at - float64(k)
	a, b := &f.tail[k], &f.tail[k+1]
	in := 1 / r
	u, v, cube := x*in, y*in, in*in*in
	z, along, aside := p.farZ*cube, (p.farX*u+p.farY*v)*cube, (p.farY*u-p.farX*v)*cube
	br := z*(a[0]+t*(b[0]-a[0])) + along*(a[2]+t*(b[2]-a[2]))
	bz := z*(a[1]+t*(b[1]-a[1])) + along*(a[4]+t*(b[4]-a[4]))
	bp := -aside * (a[3] + t*(b[3]-a[3]))
	return r3.Vec{X: br*u - bp*v, Y: br*v + bp*u, Z: bz}
}

// close is at near the piece, where each power has its own field.
func (f *profile) close(s strength, x, y, r float64) r3.Vec {
	u, v := 1.0, 0.0
	if r > 0 {
		u, v = x/r, y/r
	}
	var br, bp, bz float64
	for k := range s.z {
		c := f.read(k, r)
		along, aside := s.x[k]*u+s.y[k]*v, s.y[k]*u-s.x[k]*v
		br += s.z[k]*c[0] + along*c[2]
		bz += s.z[k]*c[1] + along*c[4]
		bp -= aside * c[3]
	}
	return r3.Vec{X: br*u - bp*v, Y: br*v + bp*u, Z: bz}
}

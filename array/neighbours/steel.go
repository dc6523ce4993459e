package neighbours

import (
	"context"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/field/iron"
	"lodegrid/field/memo"
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

// New tabulates the answers, those of one spec once.
func New(ctx context.Context, s Spec) (*Steel, error) {
	return known.Get(s, func() (*Steel, error) { return tabulate(ctx, s) })
}

var known = memo.New[Spec, *Steel](1 << 4)

func tabulate(ctx context.Context, s Spec) (*Steel, error) {
	reach := s.Pitch * (math.Hypot(float64(s.Cols), float64(s.Rows)) + 1)
	out := &Steel{spec: s, powers: s.Answer.Powers()}
	var err error
	if out.plane, err = newProfile(ctx, s.Answer, s.Height, 0, 0.8*s.Pitch, s.Pitch, reach); err != nil {
		return nil, err
	}
	from := 0.8 * s.Pitch
	if s.Answer.Orders() > 2 { // read on a ring about the axis
		from -= ringShare * s.Answer.Radius()
	}
	for _, z := range s.Answer.Nodes() {
		p, err := newProfile(ctx, s.Answer, z, from, 0.8*s.Pitch, s.Pitch, reach)
		if err != nil {
			return nil, err
		}
		out.levels = append(out.levels, p)
	}
	return out, nil
}

// strength is the stray field about the axis of a piece of steel, in powers of the height:
// axial, and of every order of the angle from 1 on the parts of cos mφ and sin mφ, of order
// 1 the field along x and y.
type strength struct {
	z    []float64
	turn [][2][]float64
}

func (s *Steel) newStrength() strength {
	out := strength{z: make([]float64, s.powers)}
	for range s.spec.Answer.Orders() - 1 {
		out.turn = append(out.turn, [2][]float64{make([]float64, s.powers), make([]float64, s.powers)})
	}
	return out
}

// each calls f for the powers of one component after another of both.
func (s strength) each(o strength, f func(mine, other []float64)) {
	f(s.z, o.z)
	for m := range s.turn {
		f(s.turn[m][0], o.turn[m][0])
		f(s.turn[m][1], o.turn[m][1])
	}
}

func (s strength) add(o strength) {
	s.each(o, func(mine, other []float64) {
		for k, v := range other {
			mine[k] += v
		}
	})
}

// mirrored fills s with o as mirrored at a place: left, below, and at the diagonal.
func (s strength) mirrored(o strength, left, below, swap bool) {
	copy(s.z, o.z)
	for m := range s.turn {
		order := m + 1
		a, b := 1.0, 1.0 // of cos mφ and sin mφ
		if left && order%2 == 0 {
			b = -b
		} else if left {
			a = -a
		}
		if below {
			b = -b
		}
		sin, cos := [4]float64{0, 1, 0, -1}[order%4], [4]float64{1, 0, -1, 0}[order%4]
		for k := range s.turn[m][0] {
			x, y := o.turn[m][0][k], o.turn[m][1][k]
			if swap {
				x, y = cos*x+sin*y, sin*x-cos*y
			}
			s.turn[m][0][k], s.turn[m][1][k] = a*x, b*y
		}
	}
}

// ringShare is how large the ring is, in radii of the steel, on which the orders from 2 on
// are read, at ringPlaces; ringReach (pitches) from how far. Eight places do for orders up to
// 4: from 5 and 6 they do not tell how those of 3 and 2 bend over the height.
const (
	ringShare  = 0.15
	ringPlaces = 8
	ringReach  = 1.5
)

var ringPlace = func() (s [ringPlaces][2]float64) {
	for i := range s {
		s[i][1], s[i][0] = math.Sincos(2 * math.Pi * float64(i) / ringPlaces)
	}
	return s
}()

// taken is the strength of a stray field, given it at the nodes' heights at an offset from
// the axis; the orders from 2 on if close.
func (s *Steel) taken(to strength, close bool, at func(node int, x, y float64) r3.Vec) {
	a := s.spec.Answer
	nodes := len(a.Nodes())
	bz, bx, by := make([]float64, nodes), make([]float64, nodes), make([]float64, nodes)
	for i := range nodes {
		b := at(i, 0, 0)
		bx[i], by[i], bz[i] = b.X, b.Y, b.Z
	}
	a.Coefficients(to.z, bz)
	a.Coefficients(to.turn[0][0], bx)
	a.Coefficients(to.turn[0][1], by)
	if !close || len(to.turn) == 1 {
		return
	}
	// B_x − i B_y of order m goes as m (C − iS) (r/a)^{m−1} e^{i(m−1)φ}.
	read := make([][]complex128, len(to.turn))
	for m := range read {
		read[m] = make([]complex128, nodes)
	}
	for i := range nodes {
		for p, u := range ringPlace {
			b := at(i, ringShare*a.Radius()*u[0], ringShare*a.Radius()*u[1])
			for m := 1; m < len(read); m++ {
				u := ringPlace[p*m%ringPlaces]
				read[m][i] += complex(b.X, -b.Y) * complex(u[0], -u[1]) * complex(math.Pow(ringShare, -float64(m))/ringPlaces/float64(m+1), 0)
			}
		}
	}
	for m := 1; m < len(read); m++ {
		for i, v := range read[m] {
			bx[i], by[i] = real(v), -imag(v)
		}
		a.Coefficients(to.turn[m][0], bx)
		a.Coefficients(to.turn[m][1], by)
	}
}

// piece is one pixel's steel on the lattice: where it stands (m from the source), its
// strength, and that strength's dipoles for those who are far.
type piece struct {
	place            place
	x, y             float64
	strength         strength
	farZ, farX, farY float64
}

// lumped sums the powers' dipoles.
func (s *Steel) lumped(p *piece) {
	p.farZ, p.farX, p.farY = 0, 0, 0
	for k := range p.strength.z {
		p.farZ += p.strength.z[k] * s.plane.weightZ[k]
		p.farX += p.strength.turn[0][0][k] * s.plane.weightX[k]
		p.farY += p.strength.turn[0][1][k] * s.plane.weightX[k]
	}
}

// at is what a piece adds at an offset (m) from itself on a profile's plane.
func (f *profile) at(p *piece, x, y float64) r3.Vec {
	r := math.Sqrt(x*x + y*y)
	if r < f.far {
		return f.close(p.strength, x, y, r)
	}
	return f.tailAt(x, y, p)
}

// tailAt is at beyond far, by the dipoles.
func (f *profile) tailAt(x, y float64, p *piece) r3.Vec {
	r := math.Sqrt(x*x + y*y)
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
	place, w := f.weigh(r)
	for k := range s.z {
		c := f.read(k, place, w)
		x, y := s.turn[0][0][k], s.turn[0][1][k]
		along, aside := x*u+y*v, y*u-x*v
		br += s.z[k]*c[0] + along*c[2]
		bz += s.z[k]*c[1] + along*c[4]
		bp -= aside * c[3]
	}
	cos, sin := u, v
	for m := range f.high {
		cos, sin = cos*u-sin*v, sin*u+cos*v
		for k := range s.z {
			c, x, y := f.readHigh(m, k, place, w), s.turn[m+1][0][k], s.turn[m+1][1][k]
			br += (x*cos + y*sin) * c[0]
			bp += (x*sin - y*cos) * c[1]
			bz += (x*cos + y*sin) * c[2]
		}
	}
	return r3.Vec{X: br*u - bp*v, Y: br*v + bp*u, Z: bz}
}

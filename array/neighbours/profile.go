package neighbours

import (
	"context"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/field"
	"lodegrid/field/iron"
)

// profile holds the answers of one piece of steel on a plane against the distance from
// its axis: for the axial powers Br and Bz, for the transverse ones, with the stray field
// along x, Br and Bz at φ = 0 and Bφ at φ = 90°; for those of a higher order m, near
// alone, the same at 0 and 90°/m.
//
// Near, the distance is divided evenly in asinh(r/h), which is fine over the steel and
// coarse far off, and read by the cubic through four places; beyond far, where all
// powers look alike, the first one's is kept times r³, which hardly changes.
type profile struct {
	from, far, scale  float64
	placesStart, step float64
	near              [][][5]float64   // power, place
	high              [][][][3]float64 // order from 2 on, power, place: Br, Bφ, Bz
	farStep           float64
	tail              [][5]float64 // of the first power, times r³
	weightZ, weightX  []float64    // the other powers' share there
}

const (
	nearPlaces = 64
	farPitches = 2.5 // from here on the powers look alike
)

// newProfile tabulates the answers at height z from a distance on. From a distance of
// simple on, few parts stand for the steel.
func newProfile(ctx context.Context, a *iron.Answer, z, from, simple, pitch, reach float64) (*profile, error) {
	n := a.Powers()
	p := &profile{from: from, far: farPitches * pitch, scale: pitch / 6, near: make([][][5]float64, n)}
	far := make([][]field.Source, a.Orders())
	for order := range far {
		for power := range n {
			far[order] = append(far[order], a.Far(order, power, 0.6*simple))
		}
	}
	of := func(order, power int, r float64) (along r3.Vec, around float64) {
		source := far[order][power]
		if r < simple {
			source = a.Of(order, power)
		}
		along = source.B(r3.Vec{X: r, Z: z})
		switch order {
		case 0:
			return along, 0
		case 1: // by symmetry along x alone
			return along, -source.B(r3.Vec{Y: r, Z: z}).X
		}
		s, c := math.Sincos(math.Pi / 2 / float64(order))
		b := source.B(r3.Vec{X: r * c, Y: r * s, Z: z})
		return along, b.Y*c - b.X*s
	}
	value := func(power int, r float64) [5]float64 {
		u, _ := of(0, power, r)
		v, around := of(1, power, r)
		return [5]float64{u.X, u.Z, v.X, around, v.Z}
	}
	p.placesStart = math.Asinh(from / p.scale)
	p.step = (math.Asinh(p.far/p.scale) - p.placesStart) / (nearPlaces - 1)
	p.high = make([][][][3]float64, a.Orders()-2)
	for m := range p.high {
		p.high[m] = make([][][3]float64, n)
	}
	for power := range n {
		for k := -1; k <= nearPlaces; k++ {
			if err := ctx.Err(); err != nil {
				return nil, fmt.Errorf("tabulating the neighbours' steel: %w", err)
			}
			s := p.placesStart + float64(k)*p.step
			f := value(power, math.Abs(math.Sinh(s)*p.scale))
			if s < 0 { // odd across the axis
				f[0], f[4] = -f[0], -f[4]
			}
			for _, v := range f {
				if math.IsNaN(v) || math.IsInf(v, 0) {
					return nil, fmt.Errorf("tabulating the neighbours' steel: its field is not finite %g m from its axis at height %g m", math.Sinh(s)*p.scale, z)
				}
			}
			p.near[power] = append(p.near[power], f)
			for m := range p.high {
				b, around := of(m+2, power, math.Abs(math.Sinh(s)*p.scale))
				h := [3]float64{b.X, around, b.Z}
				if s < 0 && m%2 == 0 { // Br and Bφ odd, of an even order
					h[0], h[1] = -h[0], -h[1]
				} else if s < 0 {
					h[2] = -h[2]
				}
				p.high[m][power] = append(p.high[m][power], h)
			}
		}
	}
	first := value(0, p.far)
	for power := range n {
		f := value(power, p.far)
		p.weightZ, p.weightX = append(p.weightZ, f[1]/first[1]), append(p.weightX, f[3]/first[3])
	}
	places := int(math.Max(reach-p.far, 0)/(pitch/4)) + 2
	p.farStep = pitch / 4
	for k := range places {
		r := p.far + float64(k)*p.farStep
		f := value(0, r)
		for c := range f {
			f[c] *= r * r * r
		}
		p.tail = append(p.tail, f)
	}
	return p, nil
}

// weigh gives the cubic through the places k − 1 … k + 2 about a distance short of far.
func (p *profile) weigh(r float64) (k int, w [4]float64) {
	x := (math.Asinh(r/p.scale) - p.placesStart) / p.step
	k = min(max(int(x), 0), nearPlaces-2)
	u := x - float64(k)
	return k, [4]float64{-u * (u - 1) * (u - 2) / 6, (u + 1) * (u - 1) * (u - 2) / 2, -(u + 1) * u * (u - 2) / 2, (u + 1) * u * (u - 1) / 6}
}

// read is a power's field there.
func (p *profile) read(power, k int, w [4]float64) (out [5]float64) {
	for i, v := range w {
		f := &p.near[power][k+i]
		for c := range out {
			out[c] += v * f[c]
		}
	}
	return out
}

// readHigh is that of a higher order.
func (p *profile) readHigh(m, power, k int, w [4]float64) (out [3]float64) {
	for i, v := range w {
		f := &p.high[m][power][k+i]
		for c := range out {
			out[c] += v * f[c]
		}
	}
	return out
}

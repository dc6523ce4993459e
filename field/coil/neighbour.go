package coil

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/field"
)

// Beside returns the mutual inductances in henries of the coil and one like it a distance away
// (m) along x, side by side, and with that one's mirror image in the plane z = face behind them
// (m): negative, but with an image deep down. The tracks are thin filaments along the closed
// turns; parallel groups carry their shares of the current by resistance.
func (c *Coil) Beside(away, face float64) (direct, image float64) {
	gap := away - c.spec.Outer + c.spec.Track // of the tracks' middles
	if !(gap >= c.spec.Track*(1-slack)) || math.IsInf(away, 0) {
		panic(fmt.Sprintf("coils beside each other: %s apart, want %s or more, their own size", mm(away), mm(c.spec.Outer)))
	}
	pair := neighbours(c, c, r3.Vec{X: away}, gap)
	known := map[int64]float64{}
	at := func(z float64) float64 {
		k := int64(math.Round(math.Abs(z) * 1e12))
		m, ok := known[k]
		if !ok {
			m = pair(z)
			known[k] = m
		}
		return m
	}
	for i, a := range c.spec.Layers {
		for j, b := range c.spec.Layers {
			share := c.share[i] * c.share[j]
			direct += share * at(b.Z-a.Z)
			if !math.IsInf(face, 0) {
				image += share * at(a.Z+b.Z-2*face)
			}
		}
	}
	return direct, image
}

// neighbours returns a function of the height of b's layer above a's: the mutual
// inductance of one layer of each. b is shifted by offset (m), and their copper is a gap apart
// at least.
//
// Round coils: the vector potential of one's turns (complete elliptic integrals)
// along the other's. Otherwise Neumann's integral over all pairs of straight
// filaments, circles as polygons of equal area.
func neighbours(a, b *Coil, offset r3.Vec, gap float64) func(z float64) float64 {
	const share = 1e-7 // what chords and sums over points may add
	at, bt := a.fewTurns(gap), b.fewTurns(gap)
	if a.spec.Shape == Round && b.spec.Shape == Round {
		// The trapezoidal rule around b's turns converges as exp(−n·gap/radius).
		n := int(math.Ceil(math.Log(1/share)*(1+b.spec.Outer/2/gap)/2)) + 8
		n = min(n, 4096)
		d := math.Hypot(offset.X, offset.Y)
		return func(z float64) float64 {
			sum := 0.0
			for _, tb := range bt {
				for k := range n {
					// Half of the way round is the mirror of the other.
					angle := math.Pi * (float64(k) + 0.5) / float64(n)
					sin, cos := math.Sincos(angle)
					x, y := d+tb.apothem*cos, tb.apothem*sin
					rho := math.Hypot(x, y)
					// φ̂ of a along the tangent of b.
					along := 1.0
					if rho > 0 {
						along = (y*sin + x*cos) / rho
					}
					potential := 0.0
					for _, ta := range at {
						potential += ta.weight * field.LoopVectorPotential(ta.apothem, rho, z)
					}
					sum += tb.weight * potential * along * 2 * math.Pi * tb.apothem / float64(n)
				}
			}
			return sum
		}
	}
	fa, fb := a.spec.polygons(at, gap), b.spec.polygons(bt, gap)
	return func(z float64) float64 {
		shift := r3.Vec{X: offset.X, Y: offset.Y, Z: z}
		sum := 0.0
		for j, tb := range bt {
			for _, q := range fb[j] {
				q.From, q.To = r3.Add(q.From, shift), r3.Add(q.To, shift)
				for i, ta := range at {
					for _, p := range fa[i] {
						sum += ta.weight * tb.weight * FilamentMutual(p, q)
					}
				}
			}
		}
		return sum
	}
}

// fewTurns returns the closed turns, or from far enough away a Gauss rule for them.
func (c *Coil) fewTurns(distance float64) []turn {
	const share = 1e-9
	var x, w []float64
	for _, t := range c.turns {
		x, w = append(x, t.apothem), append(w, t.weight)
	}
	n := gaussOrder(distance, x[0]-x[len(x)-1], share)
	if n >= len(x) {
		return c.turns
	}
	x, w = gaussOf(x, w, n)
	few := make([]turn, len(x))
	for i := range few {
		few[i] = turn{apothem: x[i], weight: w[i]}
		if c.spec.Shape == RoundedSquare {
			few[i].corner = c.spec.cornerAt(x[i])
		}
	}
	return few
}

// polygons returns closed turns as straight filaments, seen from a distance.
func (s Spec) polygons(turns []turn, distance float64) [][]Filament {
	const share = 2e-3 // of what the chords make of the arcs' part
	f := make([][]Filament, len(turns))
	for i, t := range turns {
		if s.Shape == Round {
			n := min(chordsFor(t.apothem, distance, share), 16)
			step := 1 / float64(4*n)
			points := lift(s.ring(circleRadius(t.apothem, step), 0, step), 0)
			for k := 1; k < len(points); k++ {
				f[i] = append(f[i], Filament{points[k-1], points[k]})
			}
			continue
		}
		f[i] = s.filaments(t, min(chordsFor(t.corner, distance, share), 16))
	}
	return f
}

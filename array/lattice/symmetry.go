package lattice

import (
	"fmt"
	"math"
)

// Symmetry declares how a kernel's components look in a mirror. New then
// evaluates the kernel on a quarter or an eighth of the offsets, and needs half of
// the arithmetic per spectrum value and a quarter of the memory. The zero value
// claims nothing. New checks a claim at a number of offsets and refuses one that
// does not hold.
type Symmetry struct {
	// X[c] is +1 or -1 when k_c(-dx, dy) = X[c]·k_c(dx, dy), and Y[c] when
	// k_c(dx, -dy) = Y[c]·k_c(dx, dy). Both are given, or neither.
	X, Y []int
	// Swap[c] is the component with k_c(dy, dx) = k_Swap[c](dx, dy), given only
	// together with X and Y, and not always then.
	Swap []int
}

// Field is the symmetry of the field components Bx, By, Bz above a coil or an
// axial magnet that looks the same mirrored left to right, top to bottom and
// about its diagonal: round or square, made of closed turns.
func Field() Symmetry {
	return Symmetry{X: []int{-1, 1, 1}, Y: []int{1, -1, 1}, Swap: []int{1, 0, 2}}
}

// mirrored tells whether the parities are known.
func (y Symmetry) mirrored() bool { return y.X != nil }

// probes is the number of offsets at which a claimed symmetry is checked, and
// probeTolerance the difference allowed, relative to the component's largest
// magnitude at any of them.
const (
	probes         = 24
	probeTolerance = 1e-9
)

// probe checks the claims at offsets spread over the range.
func (y Symmetry) probe(s Shape, k Kernel) error {
	if !y.mirrored() {
		return nil
	}
	type claim struct {
		name   string
		at     func(dx, dy float64) (float64, float64)
		parity func(c int) (component int, sign float64)
	}
	sign := func(p []int) func(int) (int, float64) {
		return func(c int) (int, float64) { return c, float64(p[c]) }
	}
	claims := []claim{
		{"X", func(dx, dy float64) (float64, float64) { return -dx, dy }, sign(y.X)},
		{"Y", func(dx, dy float64) (float64, float64) { return dx, -dy }, sign(y.Y)},
	}
	if y.Swap != nil {
		claims = append(claims, claim{"Swap", func(dx, dy float64) (float64, float64) { return dy, dx },
			func(c int) (int, float64) { return y.Swap[c], 1 }})
	}
	// Offsets from the near field outwards: an additive sequence with the
	// golden ratio for the direction, radii from a fifth of a pitch to the
	// farthest sample.
	reach := math.Hypot(float64(s.rowReach())+0.5, float64(s.colReach())+0.5)
	at := make([][2]float64, probes)
	here, there := make([]float64, s.Components*probes), make([]float64, s.Components)
	scale := make([]float64, s.Components)
	for i := range at {
		angle := 2 * math.Pi * math.Mod(float64(i+1)*0.61803398874989485, 1)
		radius := 0.2 * math.Pow(reach/0.2, float64(i)/(probes-1))
		at[i] = [2]float64{radius * math.Cos(angle), radius * math.Sin(angle)}
		v := here[i*s.Components:][:s.Components]
		k(v, at[i][0], at[i][1])
		for c, x := range v {
			scale[c] = max(scale[c], math.Abs(x))
		}
	}
	for _, cl := range claims {
		for i, p := range at {
			qx, qy := cl.at(p[0], p[1])
			k(there, qx, qy)
			for c := range s.Components {
				d, sign := cl.parity(c)
				// k_c at the image against sign·k_d at the offset.
				want := sign * here[i*s.Components+d]
				if got := there[c]; !(math.Abs(got-want) <= probeTolerance*scale[c]) {
					return fmt.Errorf("lattice: Symmetry.%s does not hold for component %d: the kernel is %g at offset (%g, %g) pitches, symmetry makes it %g",
						cl.name, c, got, qx, qy, want)
				}
			}
		}
	}
	return nil
}

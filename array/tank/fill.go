package tank

import (
	"fmt"
	"math"
)

// Clear empties the tank and stops all motion.
func (t *Tank) Clear() {
	clear(t.c)
	t.Stop()
	t.refill()
}

// Stop takes all motion out of the tank and leaves the fluid where it is.
func (t *Tank) Stop() {
	clear(t.u)
	clear(t.v)
	t.rate, t.energy, t.layer, t.lastStep = 0, 0, 0, 0
}

// FillBelow adds a pool from the tank's lower edge up to height metres, which is
// height/Height of the tank's volume.
func (t *Tank) FillBelow(height float64) error {
	if !(height >= 0) || height > t.p.Height {
		return fmt.Errorf("tank: pool of height %g m: must be from 0 to the tank's %g m", height, t.p.Height)
	}
	t.fill(func(_, y float64) float64 { return height - (y + 0.5*t.p.Height) })
	return nil
}

// FillDisc adds a drop of radius r about (x, y), all in metres, of the volume πr²
// times the gap if no wall is near. A radius of less than one cell cannot be shown
// and is an error; from about three cells on a drop is round.
func (t *Tank) FillDisc(x, y, r float64) error {
	if math.IsNaN(x) || math.IsInf(x, 0) || math.IsNaN(y) || math.IsInf(y, 0) {
		return fmt.Errorf("tank: drop at (%g, %g) m: must be finite", x, y)
	}
	if cell := max(t.dx, t.dy); !(r >= cell) || math.IsInf(r, 0) {
		return fmt.Errorf("tank: drop of radius %g m: must be at least one cell, %g m", r, cell)
	}
	q := t.eps * edge(r/t.eps)
	t.fill(func(px, py float64) float64 { return q - math.Hypot(px-x, py-y) })
	return nil
}

// edge is where c passes one half in a round drop of radius r, both over ε, so that
// its volume is πr²: the q of ∫₀^∞ 2s ds/(1+e^(s−q)) = r². For large q the integral is
// q² + π²/3 but for terms like e^(−q) (A. Sommerfeld's expansion, whose later terms
// vanish in two dimensions; from memory).
func edge(r float64) float64 {
	if r > 20 {
		return math.Sqrt(r*r - math.Pi*math.Pi/3)
	}
	area := func(q float64) float64 {
		const h = 0.05
		sum := 0.0
		for s := h / 2; s < q+40; s += h {
			sum += 2 * s * h / (1 + math.Exp(s-q))
		}
		return sum - h*h/12/(1+math.Exp(-q)) // the midpoint rule's end at s = 0
	}
	lo, hi := -20.0, r
	for range 50 {
		if mid := 0.5 * (lo + hi); area(mid) < r*r {
			lo = mid
		} else {
			hi = mid
		}
	}
	return hi
}

// SetFraction replaces the fluid by the given shares, row-major, row 0 at the top,
// each in 0…1, and stops all motion.
func (t *Tank) SetFraction(c []float64) error {
	if len(c) != len(t.c) {
		return fmt.Errorf("tank: %d shares for %d×%d cells", len(c), t.nx, t.ny)
	}
	for k, v := range c {
		if !(v >= 0 && v <= 1) {
			return fmt.Errorf("tank: share %g at row %d, column %d: must be from 0 to 1", v, k/t.nx, k%t.nx)
		}
	}
	copy(t.c, c)
	t.Stop()
	t.refill()
	return nil
}

// fill adds the region where depth, the distance inside its edge in metres, is
// positive.
func (t *Tank) fill(depth func(x, y float64) float64) {
	for i := range t.ny {
		for j := range t.nx {
			x, y := t.middle(i, j)
			k := i*t.nx + j
			t.c[k] = max(t.c[k], 1/(1+math.Exp(-depth(x, y)/t.eps)))
		}
	}
	t.refill()
}

// middle is where cell (i, j) has its middle, m.
func (t *Tank) middle(i, j int) (x, y float64) {
	return (float64(j) + 0.5 - 0.5*float64(t.nx)) * t.dx, (0.5*float64(t.ny) - 0.5 - float64(i)) * t.dy
}

// refill makes everything agree with c after it was set from outside.
func (t *Tank) refill() {
	t.weight, t.limbo = 0, 0
	for i := range t.spans {
		t.spans[i] = span{0, t.nx}
	}
	t.purify()
	clear(t.grip)
	t.refresh()
	t.filled = sum(t.c)
}

// Fraction is the magnetic liquid's share of each cell, 0…1, row-major, row 0 at
// the top. It is the tank's own memory: read it, do not keep it past the next Step.
func (t *Tank) Fraction() []float64 { return t.c }

// Volume is the magnetic liquid's volume, m³.
func (t *Tank) Volume() float64 { return sum(t.c) * t.dx * t.dy * t.p.Gap }

// Mass is the magnetic liquid's mass, kg, at Params.Density.
func (t *Tank) Mass() float64 { return t.Volume() * t.p.Density }

// Centroid is the fluid's centre of mass, m; ok is false for an empty tank.
func (t *Tank) Centroid() (x, y float64, ok bool) {
	m, mx, my := 0.0, 0.0, 0.0
	for i := range t.ny {
		row := 0.0
		for j, a := range t.c[i*t.nx : (i+1)*t.nx] {
			row += a
			mx += a * (float64(j) + 0.5 - 0.5*float64(t.nx))
		}
		m += row
		my += row * (0.5*float64(t.ny) - 0.5 - float64(i))
	}
	if m == 0 {
		return 0, 0, false
	}
	return mx / m * t.dx, my / m * t.dy, true
}

// FractionIn is the part of all fluid that lies within r metres of (x, y); 0 for
// an empty tank. Cells on the circle count in part.
func (t *Tank) FractionIn(x, y, r float64) float64 {
	all, in := 0.0, 0.0
	cell := math.Sqrt(t.dx * t.dy)
	for i := range t.ny {
		for j, a := range t.c[i*t.nx : (i+1)*t.nx] {
			if a == 0 {
				continue
			}
			all += a
			px, py := t.middle(i, j)
			in += a * min(max((r-math.Hypot(px-x, py-y))/cell+0.5, 0), 1)
		}
	}
	if all == 0 {
		return 0
	}
	return in / all
}

// Velocity is the mean velocity over the gap in the cell at row i, column j, m/s,
// x to the right and y up.
func (t *Tank) Velocity(i, j int) (x, y float64) {
	u := t.u[i*(t.nx+1)+j:]
	return 0.5 * (u[0] + u[1]), -0.5 * (t.v[i*t.nx+j] + t.v[(i+1)*t.nx+j])
}

// Pressure is the pressure in the cell at row i, column j in the last substep, Pa,
// up to one constant for the tank and the weight of the lighter liquid; 0 before
// the first step.
func (t *Tank) Pressure(i, j int) float64 {
	if t.lastStep == 0 {
		return 0
	}
	k := i*t.nx + j
	return t.solver.Row(i)[j]*t.p.Density/(t.damping(t.lastStep)*t.lastStep) + t.c[k]*t.phi[k]
}

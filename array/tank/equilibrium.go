package tank

import (
	"fmt"
	"math"
)

// Equilibrium answers where the fluid would come to rest under the magnetic
// pressure pi (Pa at the cells' middles, row-major, row 0 at the top; nil is none)
// if share, 0…1, of the tank were filled with it and it could reach every place:
// the region where Π + Δρ g·x is above the level that gives it that volume. The
// answer is each cell's share, row-major, with an edge about one cell wide; its
// mean is share to rounding.
//
// This is the state of least energy (R. E. Rosensweig, Ferrohydrodynamics (1985),
// ch. 5, from memory: in a fluid at rest p − Π − ρg·x is uniform). It leaves out
// surface tension, and a rim the fluid would have to be lifted over does not stop
// it: a drop held by one pixel is shown in the deepest well, wherever that is.
// Where nothing prefers one place, the fluid is spread evenly.
func Equilibrium(p Params, pi []float64, share float64) ([]float64, error) {
	if err := p.Validate(); err != nil {
		return nil, err
	}
	if !(share >= 0 && share <= 1) {
		return nil, fmt.Errorf("tank: share of fluid %g: must be from 0 to 1", share)
	}
	if err := checkPressure(pi, p.Cols, p.Rows); err != nil {
		return nil, err
	}
	nx, ny := p.Cols, p.Rows
	phi := make([]float64, nx*ny)
	potential(phi, p, pi)
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, v := range phi {
		lo, hi = min(lo, v), max(hi, v)
	}
	c := make([]float64, nx*ny)
	if lo == hi {
		for k := range c {
			c[k] = share
		}
		return c, nil
	}
	// Half the fall of the potential over a cell: the edge's half width.
	half := make([]float64, nx*ny)
	least := 1e-9 * (hi - lo)
	for i := range ny {
		for j := range nx {
			at := func(i, j int) float64 { return phi[min(max(i, 0), ny-1)*nx+min(max(j, 0), nx-1)] }
			gx, gy := at(i, j+1)-at(i, j-1), at(i+1, j)-at(i-1, j)
			half[i*nx+j] = max(0.25*math.Hypot(gx, gy), least)
		}
	}
	fill := func(level float64) (volume, slope float64) {
		for k, v := range phi {
			d := v - level
			switch h := half[k]; {
			case d >= h:
				c[k] = 1
				volume++
			case d <= -h:
				c[k] = 0
			default:
				c[k] = 0.5 + 0.5*d/h
				volume += c[k]
				slope -= 0.5 / h
			}
		}
		return volume, slope
	}
	want := share * float64(nx*ny)
	widest := 0.0
	for _, h := range half {
		widest = max(widest, h)
	}
	lo, hi = lo-widest, hi+widest
	// Newton inside a bracket: the volume falls steadily with the level.
	level := 0.5 * (lo + hi)
	for range 200 {
		v, slope := fill(level)
		if v > want {
			lo = level
		} else {
			hi = level
		}
		if math.Abs(v-want) <= 1e-13*float64(nx*ny) {
			break
		}
		next := 0.5 * (lo + hi)
		if slope < 0 {
			if n := level - (v-want)/slope; n > lo && n < hi {
				next = n
			}
		}
		if next == level || next == lo && next == hi {
			break
		}
		level = next
	}
	return c, nil
}

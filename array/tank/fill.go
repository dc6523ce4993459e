package tank

import (
	"fmt"
	"math"
	"slices"
)

// Clear empties the tank and stops all motion.
func (t *Tank) Clear() {
	for _, l := range t.layers {
		clear(l.c)
		l.residual = 0
		for k := range l.grip {
			l.grip[k] = math.NaN()
		}
	}
	t.Stop()
	t.filled, t.stale = 0, true
}

// Stop takes all motion out of the tank and leaves the fluid where it is.
func (t *Tank) Stop() {
	clear(t.u)
	clear(t.v)
	t.rate, t.lastStep = 0, 0
	if t.contrast != nil {
		clear(t.contrast.phi)
		t.contrast.h = 0
	}
}

// FillBelow adds a pool from the tank's floor up to height metres.
func (t *Tank) FillBelow(height float64) {
	rows := height / t.dy
	top := t.ny - int(math.Ceil(rows))
	t.fill(top, t.ny, 0, t.nx, func(i, j int) float64 { return min(max(rows-float64(t.ny-1-i), 0), 1) })
}

// FillDisc adds a drop of radius r about (x, y), all in metres, of the volume πr²
// times the gap if no wall or other fluid is near. A radius of less than one cell
// cannot be shown and is an error; from about two cells on a drop is round.
func (t *Tank) FillDisc(x, y, r float64) error {
	if cell := max(t.dx, t.dy); !(r >= cell) || math.IsInf(r, 0) {
		return fmt.Errorf("tank: drop of radius %g m: must be at least one cell, %g m", r, cell)
	}
	i0, i1 := t.rowsAbout(y, r)
	j0, j1 := t.colsAbout(x, r)
	t.fill(i0, i1, j0, j1, func(i, j int) float64 {
		px, py := t.middle(i, j)
		return t.cellInDisc(px-x, y-py, r)
	})
	return nil
}

// CopyFluid replaces the fluid by that of another tank with as many cells, at rest, drop
// by drop; a tank of other cells is left as it is.
func (t *Tank) CopyFluid(from *Tank) {
	if t == from || t.nx != from.nx || t.ny != from.ny {
		return
	}
	t.Clear()
	for n, l := range from.layers {
		if n == len(t.layers) {
			t.layers = append(t.layers, t.newLayer())
		}
		copy(t.layers[n].c, l.c)
	}
}

// fill adds a body by the shares of the cells in a box: in a layer that holds nothing
// near it, so that drops side by side stay apart; where it overlaps others it fills what
// they leave.
func (t *Tank) fill(i0, i1, j0, j1 int, share func(i, j int) float64) {
	far := int(math.Ceil(apart * t.cell / min(t.dx, t.dy)))
	clear := func(l *layer) bool {
		for i := max(i0-far, 0); i < min(i1+far, t.ny); i++ {
			for _, c := range l.c[i*t.nx+max(j0-far, 0) : i*t.nx+min(j1+far, t.nx)] {
				if c != 0 {
					return false
				}
			}
		}
		return true
	}
	n := slices.IndexFunc(t.layers, clear)
	if n < 0 && len(t.layers) < maxLayers {
		n = len(t.layers)
		t.layers = append(t.layers, t.newLayer())
	}
	n = max(n, 0)
	for i := i0; i < i1; i++ {
		for j := j0; j < j1; j++ {
			free := 1.0
			for _, o := range t.layers {
				free -= o.c[i*t.nx+j]
			}
			t.layers[n].c[i*t.nx+j] += max(min(share(i, j), free), 0)
		}
	}
	t.stale = true
}

// refresh makes everything agree with the shares after they were set from outside.
func (t *Tank) refresh() {
	if !t.stale {
		return
	}
	t.stale = false
	for _, l := range t.layers {
		t.rebuild(l)
		t.cutFacets(l)
	}
	t.arrange()
	for _, l := range t.layers {
		t.curvatures(l)
	}
	t.filled = t.total()
}

// total is Σ c, in cells.
func (t *Tank) total() float64 {
	v := 0.0
	for _, l := range t.layers {
		v += sum(l.c)
	}
	return v
}

// Fraction is the magnetic liquid's share of each cell, 0…1, row-major, row 0 at
// the top. It is the tank's own memory: read it, do not keep it past the next Step.
func (t *Tank) Fraction() []float64 {
	if len(t.layers) == 1 {
		return t.layers[0].c
	}
	copy(t.all, t.layers[0].c)
	for _, l := range t.layers[1:] {
		for k, c := range l.c {
			t.all[k] += c
		}
	}
	for k, c := range t.all {
		t.all[k] = min(c, 1)
	}
	return t.all
}

// middle is where cell (i, j) has its middle, m.
func (t *Tank) middle(i, j int) (x, y float64) {
	return (float64(j) + 0.5 - 0.5*float64(t.nx)) * t.dx, (0.5*float64(t.p.Rows) - 0.5 - float64(i)) * t.dy
}

// Volume is the magnetic liquid's volume, m³.
func (t *Tank) Volume() float64 { return t.total() * t.dx * t.dy * t.p.Gap }

package grid

import "math"

// MaxAbs returns the largest |B| in tesla and the sample where it stands.
func (p *Plane) MaxAbs() (b float64, i, j int) {
	for k, v := range p.Abs {
		if v > b {
			b, i, j = v, k/p.Raster.Cols, k%p.Raster.Cols
		}
	}
	return b, i, j
}

// WorstPattern returns, for pixel (row, col), the pattern of the others that adds
// the largest axial field to it. The sum is linear in the levels, so the worst
// pattern is exact: every other pixel, or as many as the firmware lights, at the end of its range whose contribution
// has the winning sign (both ends of −1…1 with a full bridge; 0 or 1 otherwise).
func (g *Grid) WorstPattern(row, col int) WorstPattern {
	w := WorstPattern{Row: row, Col: col}
	axial := g.Axial()
	pushes := g.pushes(axial)
	for i := range pushes {
		v := victim{row: row, col: col, push: &pushes[i]}
		levels := make([]float64, len(axial))
		if sum, _ := g.strongest(v, axial, levels); w.Levels == nil || sum > math.Abs(w.Bz) {
			w.Levels, w.Bz, w.Share = levels, v.push.sign*sum, math.Abs(sum/axial[0])
		}
	}
	return w
}

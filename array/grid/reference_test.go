package grid

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
	w, _ := g.worstPattern(row, col, g.Axial())
	return w
}

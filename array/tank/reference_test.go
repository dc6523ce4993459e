package tank

// Centroid is the fluid's centre of mass, m; ok is false for an empty tank.
func (t *Tank) Centroid() (x, y float64, ok bool) {
	m, mx, my := 0.0, 0.0, 0.0
	for _, l := range t.layers {
		for i := range t.ny {
			row := 0.0
			for j, a := range l.c[i*t.nx : (i+1)*t.nx] {
				row += a
				mx += a * (float64(j) + 0.5 - 0.5*float64(t.nx))
			}
			m += row
			my += row * (0.5*float64(t.ny) - 0.5 - float64(i))
		}
	}
	if m == 0 {
		return 0, 0, false
	}
	return mx / m * t.dx, my / m * t.dy, true
}

package array

import "fmt"

// WorstField is the worst pattern of the pixel that fares worst, and the field on the
// fluid plane with that pattern on and the pixel itself off.
func (g *Grid) WorstField() (WorstPattern, *Plane, error) {
	w := g.WorstAnywhere()
	currents := g.NewCurrents()
	for i, v := range w.Levels {
		currents.set(i, g.at(v))
	}
	plane := NewPlane(g.Raster)
	if err := g.FieldInto(plane, currents); err != nil {
		return w, nil, fmt.Errorf("computing the field of the worst pattern: %w", err)
	}
	return w, plane, nil
}

package winding

import "math"

// mesh is the finite volumes of a coil: columns from the axis out, each of the same
// cells front to back.
type mesh struct {
	radii, depths []float64 // m, of the cells' edges
	layer         []int     // of each depth
	zone          []zone    // of each column
	capacity      []float64 // J/K, index column*len(layer) + depth
	out, down     []float64 // W/K to the next column, to the next depth
	loss          []float64 // W/K to the air
	heat          []float64 // W per watt in the coil; 0 outside the turns
}

// zone is what a column goes through.
type zone struct {
	kind zoneKind
	fill float64 // of copper, kind band
	ring int     // first one of the column, kind band
	last int     // after the last
}

type zoneKind int

const (
	core   zoneKind = iota // pin
	bore                   // between pin and turns
	band                   // turns and gaps
	edge                   // of the cell
	beyond                 // coils that are off
)

// The mesh: a track and a gap are two columns each, and where there are more turns than
// mostRings some share a column; laminate is cut into cells no thicker than finest, or
// than the whole over mostCells; beyond the cell every column is wider than the one before
// by growth. A test halves all of it.
const (
	mostRings = 24
	finest    = 0.12e-3 // m
	mostCells = 48
	growth    = 1.3
)

// vacant is the capacity of a cell where there is nothing, J/K.
const vacant = 1e-15

func (c *Coil) mesh(fine int) *mesh {
	m := &mesh{radii: []float64{0}, depths: []float64{0}}
	c.cutRadii(m, fine)
	c.cutDepths(m, fine)
	nr, nz := len(m.zone), len(m.layer)
	n := nr * nz
	m.capacity, m.out, m.down = make([]float64, n), make([]float64, n), make([]float64, n)
	m.loss, m.heat = make([]float64, n), make([]float64, n)
	cells := make([]Material, n)
	empty := make([]bool, n)
	for i := range nr {
		mid := (m.radii[i] + m.radii[i+1]) / 2
		for j := range nz {
			k := i*nz + j
			s := c.Layers[m.layer[j]]
			cells[k] = c.cell(m.zone[i], s)
			empty[k] = s.Radius > 0 && mid > s.Radius && m.zone[i].kind != core
		}
	}
	total := 0.0
	for i := range nr {
		r0, r1 := m.radii[i], m.radii[i+1]
		mid := (r0 + r1) / 2
		area := math.Pi * (r1*r1 - r0*r0)
		last := 0
		for j := range nz {
			k := i*nz + j
			dz := m.depths[j+1] - m.depths[j]
			if empty[k] {
				m.capacity[k] = vacant
				continue
			}
			last = j
			m.capacity[k] = cells[k].Heat * area * dz
			if i+1 < nr && !empty[k+nz] {
				next := (r1 + m.radii[i+2]) / 2
				m.out[k] = 2 * math.Pi * dz / (math.Log(r1/mid)/cells[k].Along + math.Log(next/r1)/cells[k+nz].Along)
			}
			if j+1 < nz && !empty[k+1] {
				dn := m.depths[j+2] - m.depths[j+1]
				m.down[k] = area / (dz/2/cells[k].Through + dn/2/cells[k+1].Through + c.constriction(m.zone[i], m.layer[j], m.layer[j+1]))
			}
			if s := c.Layers[m.layer[j]]; m.zone[i].kind == band && s.Share > 0 {
				// A turn carries one current: its heat goes as length over section.
				z := m.zone[i]
				for r := z.ring; r < z.last; r++ {
					g := c.Rings[r]
					w := s.Share * g.Weight * (g.Inner + g.Outer) / (g.Outer - g.Inner)
					m.heat[k] += w
					total += w
				}
			}
		}
		dz := m.depths[1] - m.depths[0]
		m.loss[i*nz] += area / (1/c.Front + dz/2/cells[i*nz].Through)
		k := i*nz + last
		dz = m.depths[last+1] - m.depths[last]
		m.loss[k] += area / (1/c.Back + dz/2/cells[k].Through)
	}
	for k := range m.heat {
		m.heat[k] /= total
	}
	return m
}

func (m *mesh) addColumns(to float64, n int, z zone) {
	from := m.radii[len(m.radii)-1]
	if to-from <= 1e-9 {
		return
	}
	for i := range n {
		m.radii = append(m.radii, from+(to-from)*float64(i+1)/float64(n))
		m.zone = append(m.zone, z)
	}
}

func (c *Coil) cutRadii(m *mesh, fine int) {
	m.addColumns(c.CoreOut, 2*fine, zone{kind: core})
	m.addColumns(c.Rings[0].Inner, 4*fine, zone{kind: bore})
	if n := len(c.Rings); n <= mostRings*fine {
		for i, r := range c.Rings {
			m.addColumns(r.Inner, fine, zone{kind: band})
			m.addColumns(r.Outer, fine, zone{kind: band, fill: 1, ring: i, last: i + 1})
		}
	} else {
		for i := range mostRings * fine {
			a, b := i*n/(mostRings*fine), (i+1)*n/(mostRings*fine)
			to := c.outer()
			if b < n {
				to = (c.Rings[b-1].Outer + c.Rings[b].Inner) / 2
			}
			m.addColumns(to, 1, zone{kind: band, fill: c.fill(), ring: a, last: b})
		}
	}
	m.addColumns(c.Cell, 4*fine, zone{kind: edge})
	width := (c.Cell - c.Rings[0].Inner) / 10 / float64(fine)
	for at := m.radii[len(m.radii)-1]; at < c.Reach*(1-1e-9); {
		if at += width; at > c.Reach-width/2 {
			at = c.Reach
		}
		m.addColumns(at, 1, zone{kind: beyond})
		width *= math.Pow(growth, 1/float64(fine))
	}
}

func (c *Coil) cutDepths(m *mesh, fine int) {
	at, whole := 0.0, 0.0
	for _, s := range c.Layers {
		whole += s.Thickness
	}
	for i, s := range c.Layers {
		n := 1
		if !s.Copper {
			n = int(math.Ceil(s.Thickness/max(finest, whole/mostCells))) * fine
			if len(c.Layers) < mostCells/2 {
				n = max(n, 3*fine)
			}
			if s.Body.Through > 5 { // metal
				n = 2 * fine
			}
		}
		for j := range n {
			m.depths = append(m.depths, at+s.Thickness*float64(j+1)/float64(n))
			m.layer = append(m.layer, i)
		}
		at += s.Thickness
	}
}

// cell is the material of a layer in a zone.
func (c *Coil) cell(z zone, s Layer) Material {
	switch {
	case z.kind == core:
		return c.Core
	case z.kind == beyond:
		return c.Off(s)
	case !s.Copper, z.kind == bore && s.Share > 0: // vias in the bore are left out
		return s.Body
	case s.Share == 0 || z.kind != band:
		return c.plane(s)
	case z.fill == 1:
		return c.Copper
	case z.fill == 0:
		return s.Body
	}
	mix := func(a, b float64) float64 { return z.fill*a + (1-z.fill)*b }
	return Material{c.across(s.Body), c.Copper.Through, mix(c.Copper.Heat, s.Body.Heat)}
}

// constriction is the resistance in m²·K/W of heat on its way from strips of copper
// into an even flow, where turns share a column and the mesh does not see them: strips
// of one temperature, a share f of every p wide, on a half-space give
//
//	p/(π k) ln 1/sin(πf/2),   k = √(k_along k_through)
//
// (conformal map; as for a strip contact in H. S. Carslaw, J. C. Jaeger, Conduction of
// Heat in Solids, from memory).
func (c *Coil) constriction(z zone, upper, lower int) float64 {
	if z.kind != band || z.fill == 0 || z.fill == 1 {
		return 0
	}
	a, b := c.Layers[upper], c.Layers[lower]
	if a.Share == 0 && b.Share == 0 || upper == lower {
		return 0
	}
	body := a.Body
	if a.Copper {
		body = b.Body
	}
	p := (c.outer() - c.Rings[0].Inner) / float64(len(c.Rings))
	return p / (math.Pi * math.Sqrt(body.Along*body.Through)) * -math.Log(math.Sin(math.Pi*z.fill/2))
}

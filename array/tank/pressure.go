package tank

// pressures sets the interface's pressure σκ − Φ in the listed cells, with Φ at the facet: taken at the sides' or the cells' middles a still picture
// never comes to rest.
func (t *Tank) pressures(l *layer) {
	sigma := t.p.SurfaceTension / t.cell
	l.press = resize(l.press, len(l.cells))
	for s := range l.press {
		f := &l.facets[s]
		l.press[s] = sigma*f.bend - t.phi.at(f.x, f.y)
	}
	if l.grip != nil {
		for s, k := range l.cells {
			l.press[s] += l.grip[k]
		}
	}
}

// push adds the interface's force P∇c, for h seconds, to the velocities; −Φ∇c stands
// for c∇Φ, from which it differs by ∇(cΦ), which the pressure takes up. ∇c is the same
// difference as that of the pressure in project, so a uniform P moves nothing.
func (t *Tank) push(l *layer, h float64) {
	nx := t.nx
	fx, fy := h/(t.p.Density*t.dx), h/(t.p.Density*t.dy)
	for i := range t.ny {
		for s := l.first[i]; s < l.first[i+1]; s++ {
			k := int(l.cells[s])
			j := k - i*nx
			if j > 0 && l.slot[k-1] == 0 {
				t.u[k+i] += fx * (l.c[k] - l.c[k-1]) * l.press[s]
			}
			if j < nx-1 {
				t.u[k+i+1] += fx * (l.c[k+1] - l.c[k]) * l.between(k, k+1)
			}
			if i > 0 && l.slot[k-nx] == 0 {
				t.v[k] += fy * (l.c[k] - l.c[k-nx]) * l.press[s]
			}
			if i < t.ny-1 {
				t.v[k+nx] += fy * (l.c[k+nx] - l.c[k]) * l.between(k, k+nx)
			}
		}
	}
}

// between is the interface's pressure on the side between two cells, the first of them
// listed: the cell nearer to half full counts for more.
func (l *layer) between(a, b int) float64 {
	pa := l.press[l.slot[a]-1]
	sb := l.slot[b]
	if sb == 0 {
		return pa
	}
	pb := l.press[sb-1]
	wa, wb := l.c[a]*(1-l.c[a]), l.c[b]*(1-l.c[b])
	if w := wa + wb; w > 0 {
		return (wa*pa + wb*pb) / w
	}
	return 0.5 * (pa + pb)
}

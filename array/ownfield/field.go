package ownfield

import (
	"context"
	"fmt"
	"math"
	"slices"

	"lodegrid/array/grid"
	"lodegrid/field"
	"lodegrid/field/ferrofluid"
)

// Field is the fluid's own field in front of a grid, on the grid's raster, and the magnetic
// pressure with it.
type Field struct {
	layer  *Layer
	fluid  ferrofluid.Spheroid
	table  *grid.PressureTable
	m      []float64 // A/m, along the axis, that fluid at a sample has or would have
	across []float64 // M/H, as last known
	moment []float64 // A/m, m times the fluid's share
	weak   []float64 // A/m, by which the fluid weakens the field along the axis
	h      []float64 // A/m, the field in the fluid
	pi     []float64 // Pa
	bz     []float64 // T, of the plane seen last
}

// New returns the field of a tank without fluid.
func New(ctx context.Context, g *grid.Grid) (*Field, error) {
	f, err := newField(ctx, g.Raster, g.Design.Fluid.TankGap, g.Fluid)
	if err != nil {
		return nil, fmt.Errorf("preparing the fluid's own field: %w", err)
	}
	f.table = g.Pressure
	return f, nil
}

func newField(ctx context.Context, r grid.Raster, depth float64, fluid ferrofluid.Spheroid) (*Field, error) {
	l, err := NewLayer(ctx, r.Rows, r.Cols, r.Spacing, depth)
	f := &Field{layer: l, fluid: fluid}
	for _, a := range []*[]float64{&f.m, &f.across, &f.moment, &f.weak, &f.h, &f.pi, &f.bz} {
		*a = make([]float64, r.Len())
	}
	return f, err
}

// rounds are those in which fluid and field find each other once the plane has changed; each
// leaves no more than χ/(1 + Nχ) · max(N, 1 − N) of what is amiss, N being a drop's factor
// along the axis: a third or two.
const rounds = 6

// Pi is the plane's magnetic pressure with the own field of fluid that has the given share of
// each sample's square, Pa; it stands until the next call. The plane's own takes each place to
// hold a drop that stands alone; what differs is told by the mean field, without what
// ripples. The pull along the panes is µ0 M ∇H, H being in the fluid, so that Π = µ0 ∫ M dH:
// a drop's coenergy ∫ M dB, which the plane has, leaves out that a drop pushes itself apart.
func (f *Field) Pi(p *grid.Plane, share []float64) []float64 {
	f.settle(p, share)
	for k, h := range f.h {
		br2 := p.Bx[k]*p.Bx[k] + p.By[k]*p.By[k]
		f.pi[k] = p.Pi[k] + f.fluid.Fluid.Pi(field.Mu0*h) - f.table.Pi(p.Bz[k]*p.Bz[k], br2)
	}
	return f.pi
}

// settle brings the field in the fluid up to a plane and to where the fluid is.
func (f *Field) settle(p *grid.Plane, share []float64) {
	n := 1
	if !slices.Equal(f.bz, p.Bz) {
		copy(f.bz, p.Bz)
		n = rounds
	}
	for range n {
		for k, c := range share {
			f.moment[k] = f.m[k] * c
		}
		f.layer.Weaken(f.weak, f.moment)
		for k, bz := range p.Bz {
			hz := bz/field.Mu0 - f.weak[k]
			hr := math.Hypot(p.Bx[k], p.By[k]) / field.Mu0 / (1 + f.fluid.Across*f.across[k])
			f.h[k] = math.Hypot(hz, hr)
			chi := f.fluid.Susceptibility
			if h := f.h[k]; h > 0 {
				chi = f.fluid.M(h) / h
			}
			f.across[k] = chi
			f.m[k] += (chi*hz - f.m[k]) / (1 + f.fluid.Axial*chi)
		}
	}
}

// Package tank computes how the fluid moves in the thin tank in front of the
// board: two liquids between two panes, the magnetic one pulled by the coils and
// by its weight, dragged by the panes, held together by surface tension.
//
// # Model
//
// Velocities are means over the gap b between the panes; c is the magnetic
// liquid's share of the gap, 0…1:
//
//	ρ[∂u/∂t + 6/5 (u·∇)u] = −∇p + (σκ − Π − Δρ g·x)∇c − (12η/b²)u + η∇²u,   ∇·u = 0
//	∂c/∂t + ∇·(uc) = 0
//
// The drag is that of the parabolic profile between panes, and the 6/5 is the same
// profile's momentum factor: P. Gondret & M. Rabaud, Physics of Fluids 9 (1997)
// 3267-3274, doi:10.1063/1.869441 (from memory). The last term is the friction along
// the panes; it spreads the slip between the two liquids over a layer of the order
// of the gap (P. Gondret et al., Physics of Fluids 9 (1997) 1841-1843, abstract
// seen), which slows drops that are only a few gaps wide by a tenth or two. Inertia is
// kept because the time ρb²/12η in which the drag stops the fluid is a tenth of a second
// at the usual gaps; leaving it out makes the fluid several times too fast. Π is the
// magnetic pressure ∫µ0 M dH of the field in air (package field/ferrofluid); −Π∇c stands
// for c∇Π, from which it differs by a gradient that the pressure takes up.
//
// # Scheme
//
// Staggered grid. A substep (substep.go):
//
//  1. The shares are moved by fluxes cut from straight lines, one in each cell that both
//     liquids share (line.go, advect.go): mass is kept to rounding and shares stay in
//     0…1. Nothing spreads the edge and nothing sharpens it.
//  2. The lines' facets get a curvature each, of a circle fitted to their neighbours
//     (curvature.go), and with it the interface's pressure σκ − Π − Δρ g·x, all of it at
//     the facet (pressure.go, potential.go).
//  3. Momentum is carried, forward in time with the drag exact; the interface's force is
//     added with the same difference of c as that of the pressure (momentum.go).
//  4. The pressure takes the divergence out, directly (package tank/poisson).
//
// Work on the interface is done on lists of the cells that hold it. The friction along the
// panes is eased by what a cell's mean does already (ease): without that a drop 8 mm wide
// sinks 8 % too slowly at 8 cells per pitch and 3 % at 12.
//
// # Drops that do not merge
//
// In one raster two interfaces merge where the cells cannot tell them apart, at one or two
// cells. Drops here are found anew whenever something has moved half a cell (drops.go), and
// drops within a few cells of each other are kept in different layers, each with shares,
// lines and facets of its own; they share the velocity. Of two drops whose facets come
// within Params.MergeGap and are not parting, one is moved to the other's layer. So drops
// merge at a stated distance, whatever the cells: labels were chosen over smaller cells
// because a film of half a millimetre would ask for sixteen times as many. Two edges of one
// and the same drop still merge, and a neck still breaks, at about a cell's width: when a
// thread breaks depends on the cells.
//
// # Two viscosities
//
// Where the liquids differ in viscosity, drag and friction follow the share, and the
// pressure is found by conjugate gradients, three or four rounds a substep at a ratio of ten
// (contrast.go).
//
// # What it is good for
//
// DEVELOPERS.md has what the tests here measure, by cells per pitch; CellsPerPitch chooses
// them by an error that is asked for, 12 for drops of 8 mm on 12 mm: 8 are a preview there, 16
// for figures that are quoted. A pull that about balances the weight is a matter of
// luck at any size of cells. At 8 cells the tail of a fast drop, one cell wide, can break off
// (5 % of a drop was seen at 23 mT).
//
// The magnetic pressure handed in decides how strong everything is; package ownfield works it
// out with the fluid's own field for a display's tank (scenes/player).
//
// The same input gives the same bytes on one kind of processor, whatever the number of
// threads: there is only one. Kinds that fuse multiplication and addition round
// differently; a picture that is its own mirror image stays so to rounding until something
// unstable, a thread that breaks, picks a side.
//
// # Not in the model
//
// Both liquids have one density (only the weight difference is kept). Left out are the film a
// wetting liquid leaves on the pane, the draining of the film between two drops, variation of
// the field over the gap, and chaining of the particles. Interfaces meet the side walls at a right
// angle.
//
// # Coordinates
//
// Cells are row-major, row 0 at the top of the picture. Positions are in metres
// from the tank's middle, x to the right, y up; velocities likewise.
package tank

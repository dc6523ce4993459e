// Package tank computes how the fluid moves in the thin tank in front of the
// board: two liquids between two panes, the magnetic one pulled by the coils and
// by its weight, dragged by the panes, held together by surface tension.
//
// # Model
//
// Velocities are means over the gap b between the panes; c is the magnetic
// liquid's share of the gap, 0…1:
//
//	ρ[∂u/∂t + 6/5 (u·∇)u] = −∇p + c∇Π + cΔρ g + σκ∇c − (12η/b²)u + η∇²u,   ∇·u = 0
//	∂c/∂t + ∇·(uc) = Γ∇·(ε∇c − c(1−c)n),   n = ∇c/|∇c|,   κ = −∇·n
//
// The drag is that of the parabolic profile between panes, and the 6/5 is the same
// profile's momentum factor: P. Gondret & M. Rabaud, Physics of Fluids 9 (1997)
// 3267-3274, doi:10.1063/1.869441 (from memory). The last term is the friction along
// the panes; it spreads the slip between the two liquids over a layer of the order
// of the gap (P. Gondret et al., Physics of Fluids 9 (1997) 1841-1843, abstract
// seen), which slows drops that are only a few gaps wide by a tenth or two. Inertia is kept because the time
// ρb²/12η in which the drag stops the fluid is a tenth of a second at the usual
// gaps; leaving it out makes the fluid several times too fast. Π is the magnetic
// pressure ∫µ0 M dH of the field in air (package field/ferrofluid). The second
// equation is the conservative Allen–Cahn equation, which carries the interface
// and keeps its width: P.-H. Chiu & Y.-T. Lin, J. Computational Physics 230 (2011)
// 185-204, doi:10.1016/j.jcp.2010.09.021; S. Mirjalili, C. B. Ivey & A. Mani, J.
// Computational Physics 401 (2020) 109006, doi:10.1016/j.jcp.2019.109006. The
// curvature force is that of J. U. Brackbill, D. B. Kothe & C. Zemach, J.
// Computational Physics 100 (1992) 335-354, doi:10.1016/0021-9991(92)90240-Y.
//
// # Scheme
//
// Staggered grid; forward Euler in time with the drag implicit; pressure by package
// tank/poisson. The share c is moved by limited fluxes and kept sharp by a second
// flux, each written so that c stays in 0…1 and the sum of c is kept, both to
// rounding (phase.go). Substeps follow the speed and the stiffest wave the grid
// carries (substep.go).
//
// The magnetic pressure handed in decides how strong everything is. Worked out from
// the field in air it is too high: inside a flat body of fluid the field normal to
// the panes is less by up to the factor 1/(1+χ).
//
// # Not in the model
//
// Both liquids have one density and one viscosity (only the weight difference is
// kept); the magnetic liquid's own field (demagnetisation, the labyrinth patterns
// of a film in a strong normal field) is left out, and so are the film a wetting liquid leaves on the pane, variation of the field over
// the gap, and chaining of the particles. Interfaces meet the side walls at a right
// angle.
//
// # Coordinates
//
// Cells are row-major, row 0 at the top of the picture. Positions are in metres
// from the tank's middle, x to the right, y up; velocities likewise.
package tank

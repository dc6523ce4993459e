// Package equalise finds the drive levels whose field at the pixels' axes comes as near
// as it can to a target picture, within the levels a driver can give: neighbours'
// crosstalk is taken out beforehand instead of being suffered.
//
// It minimises, over levels x between limits l and u,
//
//	f(x) = ½ Σ (B_p(x) − t_p)²
//
// with B_p = bias_p + Σ_q k(p−q) x_q the axial field at pixel p.
//
// The sums are convolutions on the pixel lattice and are done by package lattice at one
// sample per pitch; no matrix is formed. The method is Bertsekas's projected Newton
// iteration (D. P. Bertsekas, SIAM J. Control and Optimization 20 (1982) 221-246,
// from memory): levels at a limit that f pushes further out stay, the others take a
// step from the second derivatives by conjugate gradients, and the step is bent along
// the limits and shortened until f falls.
//
// The problem is convex, and every answer comes with a proof: with gradient g,
//
//	f(x) − min f ≤ Σ max(g_p(x_p − l_p), g_p(x_p − u_p))
//
// (M. Frank & P. Wolfe, Naval Research Logistics Quarterly 3 (1956) 95-110, from
// memory; for least squares it is the duality gap at the dual point Ax − t). The
// solver stops when that is small.
package equalise

// Package winding resolves the heat of one coil turn by turn and layer by layer, and
// hands on how the coil answers to its own heat.
//
// The coil is a set of rings in a round cell as large as a pixel's square, with the
// pin in its bore, the laminate between its layers, and what lies behind the board;
// around it lies a round board of coils that are off. Heat conducts by
//
//	c ∂T/∂t = (1/r) ∂/∂r (r k_r ∂T/∂r) + ∂/∂z (k_z ∂T/∂z) + q
//
// in finite volumes: a copper layer is one cell thick, a track and a gap one cell
// wide. The result is the step response of a few readings (mean copper, hottest turn,
// both surfaces) to one watt in the coil.
//
// The system of some thousand cells is not stepped through time. It is projected on
// the solutions of (G + s C) v = b at a dozen rates s spread evenly over the logarithm
// of the times asked for (a rational Krylov space; A. Ruhe, Linear Algebra Appl. 58
// (1984) 391, from memory), whose eigenvalues and vectors give the answer as a sum of
// exponentials. Tests compare it with a model stepped by SciPy.
package winding

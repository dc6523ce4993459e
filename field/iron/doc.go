// Package iron computes what steel adds to the field of a coil and of magnets on
// its axis.
//
// Three models stand behind the project's choice; two live here:
//
//   - Slab: a wide sheet of linear steel, in front of a source or behind it. The exact
//     image series of a plane slab, its thousands of terms grouped so that some eighty
//     remain.
//   - Solve: discs, cores, pots and anything that saturates, as long as it is round
//     about the coil's axis. Axisymmetric magnetostatic finite elements with
//     Newton on a B–H curve. SolveWide is the same for what stands on a wide sheet
//     or saturates it, joined to the exact slab.
//
// The third, a mirror image times a factor, is field.Mirror.
//
// Finite elements. The unknown is w = Aφ/r, which is smooth on the axis, with
//
//	Br = −r ∂w/∂z,  Bz = 2w + r ∂w/∂r
//
// on second-order (nine-node) rectangles of a graded tensor grid: every shape is a
// rectangle in r and z. w is the potential of the steel's own field only: the
// field B0 of coils and magnets is known in closed form, and only the steel is
// a source. With h(B) = µ0 H(B), for every test function v
//
//	∫air Bs·Bv r dr dz + ∫steel (h(B0+Bs) − B0)·Bv r dr dz = 0
//
// and w = 0 on a far boundary. Newton with step halving solves it; each step
// factors a sparse matrix ordered by nested dissection. The steel's field
// elsewhere is not read off the elements but integrated from its magnetisation
// M = B/µ0 − H, ring by ring, so that it is smooth, and right far away.
//
// Answer is what one pixel's steel adds to the stray field of another.
//
// SolveEddy is linear steel that conducts, by frequency.
//
// What it leaves out: hysteresis and remanence, and saturation together with eddy
// currents.
package iron

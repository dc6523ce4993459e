// Package coil turns the dimensions of a flat coil etched in a circuit board
// into what a builder must know of it: whether the board house can make it,
// its resistance, its inductance, the copper it holds and the field it makes.
//
// A coil is a stack of spirals, one per copper layer, each wound from the
// outside in and back out on the next layer, so that the current runs the same
// way round in every layer and the fields add. Two forms of it are computed:
//
//   - closed turns: every turn a closed curve (circle, square, …) at the middle
//     of the band the spiral's turn covers. Fast, and for a round coil exactly
//     axisymmetric.
//   - the true path: the spiral itself, its corners, the links to the vias and
//     the vias, from one terminal to the other.
//
// The two agree within about half a per cent in inductance and, a millimetre from a
// coil of 17 turns in 3.5 mm, within about one per cent of the largest field;
// FormDifference measures it for any coil.
//
// A Winding is the bought alternative: round wire in a rectangular window.
//
// Lengths are in metres, resistances in ohms, inductances in henries,
// temperatures in kelvin. z = 0 is the front face of the front copper and the
// layers lie below it; see package field for the axes.
package coil

// Package field computes the magnetic field of one source at a time: current
// loops, straight conductors, magnets, and what a steel plate behind them adds.
// It knows nothing of a grid, a picture or a flag.
//
// Conventions, kept by every package of the project:
//
//   - SI inside: metres, amperes, tesla, ohms, seconds, watts; absolute
//     temperatures in kelvin.
//   - x points right, y up and z out of the display, towards the viewer.
//     z = 0 is the front face of the board's front copper; copper layers lie at
//     negative z, the fluid plane at a positive z.
//   - A positive current runs counter-clockwise seen from +z, so its field on the
//     axis points along +z, towards the viewer.
//   - Pixel arrays are row-major, index row*cols + col; row 0 is the top of the
//     picture, column 0 its left.
//   - Outside magnets and steel B = µ0 H; a field inside either is not a number
//     this package gives without saying so.
package field

// Package pixel computes one pixel of a design by itself: its coil on its driver, the
// steel behind it by one of several models, its bias magnet, the inductance, and what eddy
// currents in the steel change.
//
// New builds a Pixel at the origin, the board's front in the plane z = 0. All fields are
// per ampere through the coil unless a current is told.
package pixel

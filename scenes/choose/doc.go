// Package choose searches for the coil of a design: what a board house, shops and a shelf
// offer (an Offer), times each other, is judged by quick figures, and the best are worked
// out anew by the ordinary path, grid, hold, hand-over and verdict. Only those are told.
package choose

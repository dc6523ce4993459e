// Package artwork draws the copper of a display's board as data: the tracks of every
// copper layer as middle lines with a width, the holes with their pads, and the outline.
//
// One pixel is drawn and repeats at the pitch. Its tracks are the coil's true path, as
// package coil plans it and the resistance is computed from, and two leads that bring
// the coil's ends to plated holes for wires. The leads are found on a grid that closes
// on itself as the pixels repeat, so that a lead may pass through the neighbour's cell.
//
// Where drivers sit at the edge, each wire's hole has a track of its own to a hole in the
// margin, straight along the channel between two rows, or between two columns where rows are
// too long: the pixel is then turned by a quarter. A round coil is turned further where its
// joints would stand in that channel. In mode scan a line along each row and one along each
// column, on layers of their own, take the ways' place, with a third hole in each pixel for the
// diode between the row's line and the coil. Drivers are not drawn: the
// design knows them by their electrical values alone. Feeders and pours are, where board.planes
// states them, joined to nothing. A return that low-side drivers share is: to each second hole.
//
// Lengths are in metres, x to the right and y up as seen from the front. A pixel's
// points count from its middle, a board's from the middle of the grid.
package artwork

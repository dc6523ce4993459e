// Package gerber writes the data that a board house makes a board from: an image of each
// layer in the Gerber layer format, and the holes in the drill format XNC.
//
// The formats are those of "The Gerber Layer Format Specification", revision 2022.02
// (the numbers of its sections are given beside the code; those of chapter 5, on
// attributes, from memory), and of "The XNC Format Specification", revision 2021.11 (not
// seen, from memory). Coordinates are millimetres as seen from the front, the back's
// layers as seen through the board, with six decimals.
package gerber

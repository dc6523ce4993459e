// Package material holds the tables of what a display is built from: copper, board
// laminates, steels, magnet grades and ferrofluids, in SI units.
//
// The values are typical ones to plan by, not a maker's guarantee: every entry
// names its source, and says `from memory` where the source was not seen. A part's
// own data sheet, or a reading on the bench, beats the table.
package material

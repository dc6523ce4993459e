// Package scenes holds what a display shows over time: frames of drive levels, how
// brightness becomes a level, and the limits of what is accepted. Packages below read
// scenes from files (read, table), compute them (generate) and lay them on a time line
// (compose).
//
// A frame is Rows*Cols levels, row 0 at the top of the picture, column 0 at its
// left, each −1…1 of full drive; a negative level is a reversed current. How
// long a frame lasts is its own, in seconds.
package scenes

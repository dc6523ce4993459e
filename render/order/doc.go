// Package order gathers the files that a board is ordered from: the layers' images and the
// drill files of package gerber, drawings to look at, and texts.
package order

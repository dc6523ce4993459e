// Package escape tells before any artwork whether the coils' connections can be brought out
// of the grid: how many wires there are, how many tracks fit between two pixels on the
// layers that are left to them, and what that takes. With steel behind and a pane in front
// a grid has no third side: from drivers at the edge every wire runs between coils.
//
// # Counting
//
// Wires run in the channels between the coils, of which a pixel touches four. A pixel at
// the rim goes straight out. All others pass between the pixels of the rim, and a planar
// layer carries so many wires between two pixels as tracks fit there. By the theorem of
// maximum flow and minimum cut (Ford & Fulkerson, Canadian J. Mathematics 8 (1956)
// 399-404, from memory) the most that come out is the least, over all blocks of r × c
// pixels inside the rim and over no block at all, of
//
//	k (N − r c) + n (2 (r+1) + 2 (c+1))
//
// with k wires per pixel, N pixels and n tracks between two of them; wires are
// interchangeable here, since every driver at the edge is as good as another. Layers add:
// a whole-numbered flow in their sum parts into one for each. The tests hold it against
// maximum flows and against exhaustive search on 3 × 3 and 4 × 4 pixels.
//
// # What is not in it
//
// The coils' own joints beside them and the holes of their wires, which stand in the channels:
// package artwork draws straight ways past them, or tells what is in the way.
// The drivers' own places at the edge, power and data to them, vias from layer to layer, and
// the voltage that the tracks to the edge drop: drive.feeder_width is what the report counts
// that with.
package escape

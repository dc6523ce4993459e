// Package escape tells before any artwork whether the coils' connections can be brought out
// of the grid: how many wires there are, how many tracks fit between two pixels on the
// layers that are left to them, and what that takes. With steel behind and a pane in front
// a grid has no third side: from drivers at the edge every wire runs between coils.
//
// # Counting
//
// Wires run in the channels between the coils, of which a pixel touches four. A pixel at
// the rim goes straight out. All others pass between the pixels of the rim, and a planar
// layer carries so many wires between two pixels as tracks fit there past the pads of joints
// and, on a layer without windings, past what stands in the coils' middles; so many turn at a
// crossing as fit from corner to corner. By the theorem of
// maximum flow and minimum cut (Ford & Fulkerson, Canadian J. Mathematics 8 (1956)
// 399-404, from memory) the most that come out is the least, over all blocks of r × c
// pixels inside the rim, their corners cut off by diagonals of 0, 1, 2 … crossings, and over no
// block at all, of
//
//	k (N − pixels inside) + what fits between the pixels of the ring round them, one by one
//
// with k wires per pixel and N pixels; wires are
// interchangeable here, since every driver at the edge is as good as another. Layers add:
// a whole-numbered flow in their sum parts into one for each. What fits between two pixels is
// the least over all chains of pads from one to the other of the tracks that fit between
// neighbours in the chain: the cut conditions of planar routing (Cole & Siegel, FOCS 1984,
// from memory). The tests hold it against
// maximum flows, and on 3 × 3 and 4 × 4 pixels with holes against boards routed square by
// square, by flow and by trying everything.
//
// # What is not in it
//
// The count is the most that any drawing could bring out, no promise of one. It leaves out
// the holes of the coils' wires, which the drawing chooses places for, and the screws' in the
// margin: package artwork draws straight ways past all of them, or tells what is in the way,
// and a verdict asks for the drawing, too.
// The drivers' own places at the edge, power and data to them, vias from layer to layer, and
// the voltage that the tracks to the edge drop, which package grid counts by the drawing.
package escape

// Package carry plans how drops are carried from one picture to the next.
//
// # The rule
//
// A drop is moved by kicking the neighbouring pixel. A move u→v in a step asks that v is
// empty when the step begins, and no two moves of a step share a pixel: a kick on v holds
// the drop that should leave v, so that following is impossible. Drops are alike; it does
// not matter which one gets where.
//
// # Parity makes it a flow
//
// As a constraint of every pixel and step the rule is no flow. It becomes one when in
// step t only the drops on pixels with row + column + t even move (or odd: both are
// tried): an arrival meets only pixels that wait, so that the capacity of one drop a
// pixel forbids sharing, swapping and following all at once. What is left is a flow of
// unit capacities on the grid expanded in time (J. Yu & S. LaValle, Multi-agent path
// planning and network flow, arXiv:1204.5717): the least number of steps is the first at
// which its maximum takes all drops (E. Dinic's algorithm: Soviet Math. Dokl. 11 (1970)
// 1277-1280, from memory), the fewest moves its least cost (successive shortest paths
// with potentials: J. Edmonds & R. Karp, J. ACM 19 (1972) 248-264, from memory).
//
// Parity costs one step at most: delay every move of another plan whose colour is wrong
// by one step; moves that had an order keep it, and a pixel that was empty when a move
// began is empty one step later, since whatever would enter it has its colour too.
//
// Everything here is in integers, and the same on every machine.
package carry

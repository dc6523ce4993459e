// Package cooling turns a design into the heat network that package heat steps: the
// conductances of board, plate and faces, and the stages by which a coil is warmer than
// the board about it.
package cooling

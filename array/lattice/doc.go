// Package lattice sums one kernel placed at every pixel of a lattice, exactly and
// over the full range. See Engine.
package lattice

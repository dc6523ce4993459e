// Package neighbours adds what the steel of other pixels answers to a pixel's stray
// field: a dark pixel's pin gathers the field of a lit one.
//
// With K the field of one source on the pixel axis at the origin, its own steel
// included, and R the answers of one pixel's steel (iron.Answer), the field on the
// fluid plane is
//
//	K′(x) = K(x) + Σ s(d)·R(x − d)
//
// over the offsets d of the lattice. The stray field at d is taken on the axis of the
// steel there, its axial part for the answer that is round about the axis, its
// transverse part for that of the first order of the angle, and, of discs, close about it
// for the next orders; all are polynomials in the height, so s(d) is a short vector. Each piece answers the others too, and the source's
// own: s solves
//
//	s(d) = k(d) + Σ_{e≠d} G(d − e) s(e)
//
// with k(d) what K has at d and G what one answer has on the axis of another.
//
// K′ depends on the offset alone, as K does, so that the engine stays the same: every
// source is taken to have all its neighbours. Pixels at the grid's edge lack some; what
// that is worth is part of Error.
package neighbours

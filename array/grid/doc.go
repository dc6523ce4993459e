// Package grid computes a whole grid of pixels: the field of all coils and magnets
// together on a plane in front of them, what neighbours do to each other, and how far off
// the field is felt.
//
// New turns a validated design into a Grid; everything a Grid answers is computed from the
// kernel of one pixel, so that a coil's conductors are summed over once, not once per
// sample. What a drop makes of the field is told by the packages hold and handover.
package grid

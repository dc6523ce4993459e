// Package array computes a whole grid of pixels: the field of all coils
// together, what neighbours do to each other, which pixels hold a drop, what
// the pixels draw and how hot they get.
//
// Build turns a validated design into a Grid; everything a Grid answers is
// computed from the kernel of one pixel, so that a coil's conductors are summed
// over once, not once per sample. Subpackages hold what can stand alone: the
// design file, the superposition engine, drive, supply, heat and the tank.
package array

// Package ferrofluid computes what a magnetic field does to a ferrofluid at rest:
// its magnetisation, the pressure that the field makes in it, the pull on a drop,
// how high a meniscus rises and when its surface breaks into peaks.
//
// The fluid follows Langevin's law, without hysteresis and without delay. The force
// density µ0 M ∇H is the gradient of one scalar, the magnetic pressure Π(H) = µ0 ∫ M
// dH, as long as M lies along H and depends on H alone; so the force on any body of
// fluid is ∫ ∇Π dV, and equally the sum of Π over its surface.
//
// Source: R. E. Rosensweig, Ferrohydrodynamics (1985), from memory, unless a function
// names its own.
package ferrofluid

// Package drops is the quick model of the fluid between the panes: each drop is three discs
// that hold together, moved by the same magnetic pressure as package tank and by nothing
// that has to be computed on cells. A whole scene takes a fraction of a second. Package
// tank is the judge; what the two make of the same scenes is compared in the tests of
// package scenes/shown.
//
// # Motion
//
// A part of a drop moves as a drop that is handed over does:
//
//	τ dv/dt = μ F/V − v
//
// with the drag time τ and the mobility μ of package tank for a reference drop (DragTime,
// SinkSpeed: the panes' drag and the liquid flowing back round it), and F the magnetic
// force b∮Π n dl over its rim, its weight less that of the liquid it displaces, its share
// of the contact line's grip and the surface tension that joins it to others. Three parts
// let a drop lengthen towards where it is drawn, turn, and leave a third behind: one disc
// does none of it, and in the tank drops do.
//
// # Merging and parting
//
// Parts whose edges come within the merge gap are joined, those of one drop from the
// beginning. In a thread the tension is that of its two edges, 2σb; joined parts draw each
// other together by that, shared out where a part is joined to several, and part where the
// work it has done is the surface energy by which two drops exceed one of their volume:
//
//	2σb (s − s₀) = 2πσb (2r − √2 r)
//
// r being a part's radius, s the distance of the middles and s₀ that at rest: of the
// middles of two halves of a round drop, 8r√2/3π, for two that are joined to nothing else,
// of the thirds of a round drop for three, and of discs packed six round one in a heap.
//
// A thread of width w between parts of which one lies in more pressure works as a siphon:
// its fluid is drawn by wbΔΠ, ΔΠ being the difference of the means over the two rims, and
// what lies behind is drawn after it. That force acts on the part that lies in less, as far
// as the two are stretched; w is a part's radius (not fitted: twice that
// takes the model 0.006 farther from the tank where pixels are just switched, and 0.001
// nearer where drops are carried). Without it a kick tears
// the third from a drop that is nearest to it and leaves the rest behind, where in the tank
// the whole drop follows.
//
// # The pool
//
// Fluid for pixels that are lit later lies at the bottom. A part that comes down to it
// becomes part of it; a drop leaves it where a disc of its size with its middle on the
// pool's top is drawn up by more than its weight and the thread's 2σb.
//
// # What it leaves out
//
// The liquid that drops push against each other, the shape of their edges, and whatever a
// drop leaves behind in less than a third.
package drops

package lattice

// A job fills two phase planes by one inverse transform: the real part of its
// result is the one, the imaginary part the other. The two phases are point
// mirror images of each other in the cell, re in its left half, but for the phase
// in the middle of a cell, which is paired with that of another component.
type job struct {
	re, im   int  // indices of phase planes; im is -1 when there is no second
	spectrum int  // which form of the levels' spectrum to multiply
	table    int  // index into Engine.real or Engine.complex
	isReal   bool // the kernel's spectrum is real, see doc.go
	flip     bool // read the table's rows at the negative frequency
}

// Forms of the levels' spectrum L.
const (
	plain      = iota // L
	plusPlus          // (1+i) L
	minusPlus         // -(1+i) L
	plusMinus         // (1-i) L
	minusMinus        // -(1-i) L
	spectra           // how many there are
)

// makeJobs pairs the phase planes. It returns the jobs, those which share a table
// next to each other, and how many tables of each kind they need.
func makeJobs(s Shape, y Symmetry) (jobs []job, reals, complexes int) {
	n := s.Samples
	var alone []int // planes of the phase in the middle of the cell
	for c := range s.Components {
		for b := 0; 2*b <= n-1; b++ {
			for a := range n {
				a2, b2 := n-1-a, n-1-b
				j := job{re: s.plane(c, a, b), im: s.plane(c, a2, b2)}
				switch {
				case a == a2 && b == b2:
					alone = append(alone, j.re)
				case b == b2 && a > a2:
					// The other half of an earlier pair.
				case y.Point == nil:
					j.table = complexes
					complexes++
					jobs = append(jobs, j)
				case y.Y != nil && a > a2:
					// The mirror image of an earlier pair.
				default:
					j.table, j.isReal, j.spectrum = reals, true, signed(y.Point[c], 1)
					jobs = append(jobs, j)
					if y.Y != nil && a < a2 && b < b2 {
						j.re, j.im, j.flip = s.plane(c, a2, b), s.plane(c, a, b2), true
						j.spectrum = signed(y.Point[c], y.Y[c])
						jobs = append(jobs, j)
					}
					reals++
				}
			}
		}
	}
	for i := 0; i < len(alone); i += 2 {
		j := job{re: alone[i], im: -1, table: complexes}
		if i+1 < len(alone) {
			j.im = alone[i+1]
		}
		jobs = append(jobs, j)
		complexes++
	}
	return jobs, reals, complexes
}

// signed picks the form of the spectrum for a pair of phases whose kernels are
// each other's point mirror images with the given parity, times a sign.
func signed(parity, sign int) int {
	switch {
	case parity > 0 && sign > 0:
		return plusPlus
	case parity > 0:
		return minusPlus
	case sign > 0:
		return plusMinus
	}
	return minusMinus
}

// tables counts the tables makeJobs asks for without making the jobs.
func tables(s Shape, y Symmetry) (reals, complexes float64) {
	n := float64(s.Samples)
	c := float64(s.Components)
	odd := float64(s.Samples % 2)
	pairs := c * (n*n - odd) / 2
	alone := float64((s.Components*(s.Samples%2) + 1) / 2)
	half := float64(s.Samples / 2)
	switch {
	case y.Point == nil:
		return 0, pairs + alone
	case y.Y != nil:
		return c * (half*half + odd*2*half), alone
	}
	return pairs, alone
}

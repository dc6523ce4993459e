package lattice

// A job fills two phase planes by one inverse transform: the real part of its
// result is the one, the imaginary part the other.
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
	index := func(c, a, b int) int { return (c*n+a)*n + b }
	point := y.Point
	var alone []int // planes of the phase in the middle of the cell
	for c := range s.Components {
		for a := range n {
			for b := range n {
				a2, b2 := n-1-a, n-1-b
				one, two := index(c, a, b), index(c, a2, b2)
				switch {
				case one == two:
					alone = append(alone, one)
				case one > two:
				case point == nil:
					jobs = append(jobs, job{re: one, im: two, table: complexes})
					complexes++
				case y.Y != nil && a < a2 && b > b2:
					// The mirror image of an earlier pair.
				default:
					jobs = append(jobs, job{re: one, im: two, table: reals, isReal: true, spectrum: signed(point[c], 1)})
					if y.Y != nil && a < a2 && b < b2 {
						jobs = append(jobs, job{re: index(c, a2, b), im: index(c, a, b2), table: reals,
							isReal: true, flip: true, spectrum: signed(point[c], y.Y[c])})
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

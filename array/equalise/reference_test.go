package equalise

// Naive is what one would drive without knowing of crosstalk: each level from the
// pixel's own field and bias alone, within the limits.
func (s *Solver) Naive(target []float64) []float64 {
	levels := make([]float64, s.n)
	s.naive(levels, target)
	return levels
}

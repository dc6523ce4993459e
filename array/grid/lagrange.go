package grid

// Lagrange are the weights of values at 0, 1, … 5 in the polynomial through them at x.
func Lagrange(x float64) (w [6]float64) {
	for k := range w {
		w[k] = 1
		for m := range w {
			if m != k {
				w[k] *= (x - float64(m)) / float64(k-m)
			}
		}
	}
	return w
}

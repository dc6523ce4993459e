package scenes

// bayer8 holds the thresholds of an 8 × 8 ordered dither, (d+½)/64 with d the
// dither matrix of B. E. Bayer, "An optimum method for two-level rendition of
// continuous-tone pictures", IEEE Int. Conf. on Communications (1973), made by
// its recursion D(2n) = [4D, 4D+2; 4D+3, 4D+1].
var bayer8 = func() (t [8][8]float64) {
	d := [][]int{{0}}
	for n := 1; n < 8; n *= 2 {
		e := make([][]int, 2*n)
		for r := range e {
			e[r] = make([]int, 2*n)
			for c := range e[r] {
				e[r][c] = 4*d[r%n][c%n] + [2][2]int{{0, 2}, {3, 1}}[r/n][c/n]
			}
		}
		d = e
	}
	for r := range t {
		for c := range t[r] {
			t[r][c] = (float64(d[r][c]) + 0.5) / 64
		}
	}
	return t
}()

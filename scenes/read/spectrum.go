package read

import (
	"math"

	"gonum.org/v1/gonum/dsp/fourier"
)

// spectrum measures the power in bands of frequency of stretches of sound.
//
// With X the discrete Fourier transform of n windowed samples x·w, the power of
// bin k is 2|X[k]|²/(n·Σw²), once and not twice at k = 0 and k = n/2: by
// Parseval's theorem these add up to the mean square of the sound, weighted by
// w². A bin spans the frequencies (k±½)·rate/n, and a band takes the share of it
// that lies within the band.
type spectrum struct {
	rate   float64
	window []float64
	fft    *fourier.FFT
	norm   float64 // 1/(n·Σw²)
	edges  []float64
	work   []float64
	coeff  []complex128
}

// newSpectrum prepares n samples at rate, and bands between the ascending edges
// in Hz.
func newSpectrum(n, rate int, name WindowName, edges []float64) (*spectrum, error) {
	w, err := name.values(n)
	if err != nil {
		return nil, err
	}
	var square float64
	for _, v := range w {
		square += v * v
	}
	return &spectrum{
		rate: float64(rate), window: w, fft: fourier.NewFFT(n), norm: 1 / (float64(n) * square),
		edges: edges, work: make([]float64, n), coeff: make([]complex128, n/2+1),
	}, nil
}

// bands writes the power in every band to dst, one fewer than the edges. A sine
// of amplitude a within a band gives a²/2.
func (s *spectrum) bands(dst, samples []float64) {
	for i, w := range s.window {
		s.work[i] = samples[i] * w
	}
	s.fft.Coefficients(s.coeff, s.work)
	n := len(s.work)
	step := s.rate / float64(n)
	for b := range dst {
		low, high := s.edges[b], s.edges[b+1]
		first := max(0, int(math.Floor(low/step+0.5)))
		last := min(n/2, int(math.Ceil(high/step-0.5)))
		var sum float64
		for k := first; k <= last; k++ {
			share := math.Min(high/step, float64(k)+0.5) - math.Max(low/step, float64(k)-0.5)
			if share <= 0 {
				continue
			}
			re, im := real(s.coeff[k]), imag(s.coeff[k])
			p := 2 * (re*re + im*im) * s.norm
			if k == 0 || 2*k == n {
				p /= 2
			}
			sum += p * share
		}
		dst[b] = sum
	}
}

// spaced returns n+1 band edges from low to high, each the same factor above the
// one before.
func spaced(low, high float64, n int) []float64 {
	e := make([]float64, n+1)
	for i := range e {
		e[i] = low * math.Pow(high/low, float64(i)/float64(n))
	}
	e[n] = high
	return e
}

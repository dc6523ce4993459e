package read

import (
	"fmt"
	"slices"
	"strings"

	"gonum.org/v1/gonum/dsp/window"
)

// WindowName names a window of the short-time Fourier transform.
type WindowName string

// windows in the order they are shown. Rectangular resolves closest, Hann is the
// usual choice, Blackman–Harris leaks least, the flat top reads amplitudes best.
var windows = []struct {
	name  WindowName
	apply func([]float64) []float64
}{
	{"rectangular", window.Rectangular},
	{"hann", window.Hann},
	{"hamming", window.Hamming},
	{"blackman", window.Blackman},
	{"blackman-harris", window.BlackmanHarris},
	{"flat-top", window.FlatTop},
}

// WindowNames lists the windows there are.
func WindowNames() (names []string) {
	for _, w := range windows {
		names = append(names, string(w.name))
	}
	return names
}

// values returns the n values of the periodic form, the first n of the symmetric
// window of n+1, which is the one that suits a Fourier transform of length n.
func (w WindowName) values(n int) ([]float64, error) {
	for _, known := range windows {
		if known.name == w {
			v := slices.Repeat([]float64{1}, n+1)
			return known.apply(v)[:n], nil
		}
	}
	return nil, fmt.Errorf("window %q: want one of %s", string(w), strings.Join(WindowNames(), ", "))
}

//go:build !amd64 || purego

package lattice

// vector tells whether the processor's vector loops are used.
const vector = false

func times8AVX2(dst, l0, l1 *complex128, f0, f1 *float64, blocks int)                          {}
func times4AVX2(dst, l0, l1 *complex128, f0, f1 *float64, blocks int)                          {}
func first8AVX2(x *complex128, pitch, pairs int)                                               {}
func radix4AVX2(x *complex128, pitch, pairs, span int, w *[3]complex128)                       {}
func lastPairAVX2(a0, a1, b0, b1, x *complex128, span, count int, w *[3]complex128)            {}
func lastColumnsAVX2(r0, i0, r1, i1 *float64, x *complex128, quarter, n int, w *[3]complex128) {}
func addWindowAVX2(out, kernel *float64, rows, cols, outPitch, kernelPitch int, by float64)    {}
func radix3AVX2(x *complex128, pitch, pairs, span int, w *[2]complex128)                       {}
func radix5AVX2(x *complex128, pitch, pairs, span int, w *[4]complex128)                       {}
func radix6AVX2(x *complex128, pitch, pairs, span int, w *[5]complex128)                       {}
func timesAVX2(dst, l0, l1 *complex128, f0, f1 *float64, n int)                                {}
func timesComplexAVX2(dst, l0, l1, f0, f1 *complex128, n int)                                  {}
func lastPairFourAVX2(a, b *complex128, quarter int, x *complex128, span, count int, w *[3]complex128, kept int) {
}
func lastColumnsFourAVX2(out *[8]*float64, x *complex128, quarter, n int, w *[3]complex128) {}
func times3AVX2(dst, l0, l1 *complex128, f0, f1 *float64, blocks int)                       {}
func times5AVX2(dst, l0, l1 *complex128, f0, f1 *float64, blocks int)                       {}
func times6AVX2(dst, l0, l1 *complex128, f0, f1 *float64, blocks int)                       {}

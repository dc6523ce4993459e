//go:build !purego

package lattice

// vector tells whether the loops of vector_amd64.s are used.
var vector = hasVector()

// hasVector tells whether the processor and the operating system support AVX2
// and FMA (Intel 64 and IA-32 Architectures Software Developer's Manual, volume
// 1, chapter "Programming with AVX, FMA and AVX2": the detection sequence).
func hasVector() bool {
	if most, _, _, _ := cpuid(0, 0); most < 7 {
		return false
	}
	const fma, osxsave, avx = 1 << 12, 1 << 27, 1 << 28
	if _, _, c, _ := cpuid(1, 0); c&(fma|osxsave|avx) != fma|osxsave|avx {
		return false
	}
	if xgetbv()&6 != 6 { // registers XMM and YMM are saved
		return false
	}
	const avx2 = 1 << 5
	_, b, _, _ := cpuid(7, 0)
	return b&avx2 != 0
}

func cpuid(leaf, sub uint32) (a, b, c, d uint32)

func xgetbv() (a uint32)

//go:noescape
func times8AVX2(dst, l0, l1 *complex128, f0, f1 *float64, blocks int)

//go:noescape
func times3AVX2(dst, l0, l1 *complex128, f0, f1 *float64, blocks int)

//go:noescape
func times5AVX2(dst, l0, l1 *complex128, f0, f1 *float64, blocks int)

//go:noescape
func times6AVX2(dst, l0, l1 *complex128, f0, f1 *float64, blocks int)

//go:noescape
func times4AVX2(dst, l0, l1 *complex128, f0, f1 *float64, blocks int)

//go:noescape
func first8AVX2(x *complex128, pitch, pairs int)

//go:noescape
func radix4AVX2(x *complex128, pitch, pairs, span int, w *[3]complex128)

//go:noescape
func radix3AVX2(x *complex128, pitch, pairs, span int, w *[2]complex128)

//go:noescape
func radix5AVX2(x *complex128, pitch, pairs, span int, w *[4]complex128)

//go:noescape
func radix6AVX2(x *complex128, pitch, pairs, span int, w *[5]complex128)

//go:noescape
func timesAVX2(dst, l0, l1 *complex128, f0, f1 *float64, n int)

//go:noescape
func timesComplexAVX2(dst, l0, l1, f0, f1 *complex128, n int)

//go:noescape
func lastPairAVX2(a0, a1, b0, b1, x *complex128, span, count int, w *[3]complex128)

//go:noescape
func lastColumnsAVX2(r0, i0, r1, i1 *float64, x *complex128, quarter, n int, w *[3]complex128)

//go:noescape
func lastPairFourAVX2(a, b *complex128, quarter int, x *complex128, span, count int, w *[3]complex128, kept int)

//go:noescape
func lastColumnsFourAVX2(out *[8]*float64, x *complex128, quarter, n int, w *[3]complex128)

//go:noescape
func addWindowAVX2(out, kernel *float64, rows, cols, outPitch, kernelPitch int, by float64)

// Package lattice sums one kernel placed at every pixel of a lattice, exactly and
// over the full range: the field of a grid of equal coils from the field of one,
// on a raster of samples or at the pixels' centres. It knows nothing of fields;
// a kernel is a function of the offset with any number of components.
//
//	out_c(x) = Σ_p level_p · k_c(x - x_p)
//
// Conventions are those of package field: x right, y up, row 0 at the top, pixel
// index row*Cols+col. Lengths are in pitches. The raster covers the grid and a
// margin of whole pitches, Samples per pitch each way, each sample in the middle
// of its cell. Offsets handed to the kernel are from the pixel's centre to the
// sample, dx to the right, dy up.
//
// # The scheme
//
// Samples at the same place (a, b) of every pitch-sized cell form a lattice like
// the pixels', shifted by a fixed phase. On it the sum is a convolution of the
// levels with the kernel sampled at whole pitches plus that phase,
//
//	out_ab[I] = Σ_r level[r] · k_ab[I-r],
//
// so one convolution on the fine raster with mostly zeros for input is Samples²
// small ones that share their input: the polyphase form of an interpolating
// filter (P. P. Vaidyanathan, Multirate Systems and Filter Banks, 1993, from
// memory). Each is a product of a two-level Toeplitz matrix with the levels and
// is done by embedding it in a circulant one, which the discrete Fourier
// transform makes diagonal (as scipy.linalg.matmul_toeplitz does in one
// dimension; G. H. Golub and C. F. Van Loan, Matrix Computations, from memory):
// the levels are transformed once per frame, and every phase and component takes
// one product with a kept spectrum and one inverse transform. Nothing is cut off
// and nothing interpolated; the result differs from the sum above by rounding, a
// few units of 1e-16 of the largest value. A frame does not allocate.
//
// The transform's length must be at least the reach of the kernel and of the
// raster together, 2·(Rows-1+Margin)+1; the next 4·2^a·3^b from there on is taken.
//
// What makes it fast:
//
//   - Two real planes are one complex one. The two phases that a half turn about
//     the cell's centre exchanges go together, (a, b) and (S-1-a, S-1-b). If the
//     kernel has a parity σ = ±1 under the half turn, the one phase's kernel is
//     the other's mirrored, times σ. With K = p + iq the spectrum of the one, that
//     of the other is then σK*, as kernels are real, and that of the pair is
//     K + iσK*, which is (1+i)(p+q) for σ = 1 and (1-i)(p-q) for σ = -1: a
//     constant times a real spectrum, which needs half the memory.
//   - With a parity τ in dy, the spectrum of the pair (S-1-a, b), (a, S-1-b) is
//     τ times that of (a, b), (S-1-a, S-1-b) at the opposite row frequency: one
//     table serves four planes, read in another order of its rows.
//   - Transforms go from digit-reversed to natural order, and spectra are kept
//     digit-reversed, so nothing is ever reordered.
//   - Of the outputs only those on the raster are wanted, about half each way.
//     Rows are transformed first, so that there are half as many columns, and the
//     last stage leaves out what is not wanted.
//   - Where few pixels are on, some sixty of a sign of 160, a hundred of 4096, each one's
//     row of the table is added to the raster's instead: one pixel takes a fortieth of the
//     transforms' time (BenchmarkFew).
//   - Columns are moved next to each other and transformed like rows, so that a
//     transform never leaves the first cache, however large the grid.
//
// # Measured
//
// .ci/checks/superpose_scipy.py takes these again: 64×64 pixels, 8×8 samples each,
// three components, float64, one thread, the raster of samples included for ours; times as ratios.
//
//	whole frame                                            1
//	scipy.fft, polyphase, the best of three forms          1.6
//	scipy.fft, fine 1024×1024, kept spectra                3.8
//	scipy.signal.fftconvolve, full kernel                 49
//	kernel without symmetry                                1.8
//	margin of one pitch, so transforms of 144 for 128      1.5
//
// The cost per frame grows with the number of pixels to the power 1.07 from 16² to
// 32² and 1.05 from 128² to 256² by the clock (1.27 by processor time on a busy
// machine), and with 1.5 to 1.6 between, where a component's spectra leave the second
// cache.
//
// Tried and left out: the inner loops in assembly (AVX2), which took 0.43 of the time
// of plain Go here and 0.9 of that of a report or a film; float32, no faster in plain
// Go; adding single changed pixels one by one, which held twice the memory.
package lattice

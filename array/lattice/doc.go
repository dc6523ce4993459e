// Package lattice sums one kernel placed at every pixel of a lattice, exactly and
// over the full range: the field of a grid of equal coils from the field of one,
// on a raster of samples or at the pixels' centres. It knows nothing of fields;
// a kernel is a function of the offset with any number of components.
//
//	out_c(x) = Σ_p level_p · k_c(x - x_p)
//
// # Use
//
//	e, err := lattice.New(lattice.Shape{Rows: 64, Cols: 64, Samples: 8, Components: 3},
//		kernel, lattice.Field())
//	planes := e.NewPlanes()
//	err = e.Superpose(planes, levels)       // a whole frame
//	changed, err := e.Update(planes, next)  // the next one, from the last
//	planes.CopyPlane(raster, 2)
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
// few units of 1e-16 of the largest value.
//
// The transform's length must be at least the reach of the kernel and of the
// raster together, 2·(Rows-1+Margin)+1; the cheapest length 4·2^a·3^b·5^c from
// there on is taken.
//
// What makes it fast:
//
//   - Two real planes are one complex one. The two phases that a half turn about
//     the cell's centre exchanges go together, (a, b) and (S-1-a, S-1-b). If the
//     kernel has a parity σ = ±1 under the half turn, the one phase's kernel is
//     the other's mirrored, times σ. With K = p + iq the spectrum of the one, that
//     of the other is then σK*, as kernels are real, and that of the pair is
//     K + iσK*, which is (1+i)(p+q) for σ = 1 and (1-i)(p-q) for σ = -1: a
//     constant times a real spectrum. The constant goes into the levels'
//     spectrum, so a point costs two multiplications in place of a complex
//     product, and a table half the memory. Without the parity the products are
//     complex and all else is the same.
//
//   - With a parity τ in dy, the spectrum of the pair (S-1-a, b), (a, S-1-b) is
//     τ times that of (a, b), (S-1-a, S-1-b) at the opposite row frequency: one
//     table serves four planes, read in another order of its rows.
//
//   - Transforms go by decimation in time from digit-reversed to natural order.
//     Spectra are kept digit-reversed, so nothing is ever reordered.
//
//   - Of the outputs only those on the raster are wanted, about half each way.
//     Rows are transformed first and their last stage leaves out what is not
//     wanted, so that there are half as many columns; the columns' last stage
//     does the same and writes straight into the result. A transform padded to
//     twice its length both ways costs three quarters of a full one.
//
//   - Stages have radix 8, 6, 5, 4, 3 and 2, as many as possible of the high
//     ones. Each block of a quarter of the rows goes through all column stages
//     but the last while it is in the cache.
//
//   - The result stays planar, one plane per phase and component, which is what
//     pointwise work wants (Planes.Component). Planes of phases in the lower or
//     right half of a cell run upwards or backwards. Seen like this, mirrored
//     phases need the same kernel in the same order, and a changed pixel streams
//     through a quarter of the table instead of all of it.
//
//   - On amd64 processors with AVX2 and FMA the inner loops are in assembly
//     (vector_amd64.s) and take two columns, or two rows, at a time. Everywhere
//     else, and with the build tag purego, they are plain Go. The two agree to
//     rounding; lengths may be chosen differently.
//
// A frame does not allocate.
//
// # Few changes
//
// A changed pixel adds its change times a window of the kernel table to every
// plane, which at 64×64 pixels costs 1/8 of a frame for a single one, most of it
// for moving the planes through memory, and 1/20 for one of several. Update takes this way when few enough pixels changed and sums the frame otherwise;
// Superpose likewise when few pixels have a level at all. Rounding of one change
// after the other piles up, so after 1024 of them the frame is summed anew.
//
// # Previews
//
// Truncated leaves out what lies beyond a window and makes the transforms
// shorter. Its bound is the largest Σ|k| over the pixels outside a sample's
// window, which levels of matching signs reach. A coil's far field falls off so
// slowly that this matters: 3 mm above coils of 9 turns at 12 mm pitch, all on, a
// window of 8 pitches erred by 3 % of the peak. Random levels hide this.
//
// # Measured
//
// 64×64 pixels, 8×8 samples each, three components, full range, float64, one
// thread of an Intel Xeon (family 6, model 167) at about 4 GHz, Go 1.26, SciPy
// 1.10; fastest runs seen, which
// .ci/checks/superpose_scipy.py takes again:
//
//	                                                      ms   of vector   of plain Go
//	whole frame, vector loops                             2.49
//	whole frame, plain Go                                 6.5
//	scipy.signal.fftconvolve, full kernel                220        88            34
//	scipy.fft, fine 1024×1024, kept spectra               28        11             4.3
//	scipy.fft, polyphase, the best of three forms         11.2       4.5           1.7
//	scipy.fft, window of 8 pitches (another question)      4.8       1.9           0.7
//
//	                                              vector   plain Go
//	kernel without symmetry                        3.3       8.0
//	margin of one pitch                            3.3       9.6
//	window for at most 1 %                         1.4       4.3
//	one changed pixel, full range                  0.31      0.34
//	sixteen changed pixels at once                 2.0       3.5
//
//	pixels   16²     32²    64²    128²    256²
//	ms       0.13    0.61   2.5    18      96
//
// From 16² to 64² that grows with the number of pixels to the power 1.07, from
// 64² to 256² with 1.3, as the work space outgrows the cache.
//
// Two workers took 0.54 of the time of one in plain Go and 0.75 with the vector
// loops, on two cores that had other work as well.
//
// Tried and left out. float32: the plain Go loops took 6.2 ms for 5.9 in float64,
// because scalar arithmetic costs the same in both. One stage of radix 16 and one
// of radix 8 instead of three: 4 % of the rows' time. GOAMD64=v3: no change.
// Splitting the levels into two halves of rows with transforms of three quarters
// of the length: 14 % less arithmetic but half as much table again.
package lattice

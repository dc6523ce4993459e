package heat

import "math"

// cosine is a cosine transform (DCT-II and its inverse) of columns, done on whole
// rows of a row-major array so that the inner loops run over contiguous numbers.
//
//	X_k = Σ_i x_i cos(π (2i+1) k / 2N)
//
// Even lengths are halved by B. G. Lee's algorithm (IEEE Trans. ASSP 32 (1984)
// 1243) down to an odd base, which is done as it stands. The coefficients come
// out in the order that the halving leaves them in: row j holds frequency
// order[j]. No reordering is needed as long as whoever uses them knows that.
type cosine struct {
	size   int
	base   int       // odd factor
	halves []float64 // 1/(2 cos(π(2i+1)/2n)) for n = size, size/2, … one after another
	dense  []float64 // cos(π(2i+1)k/2·base), k*base + i
	order  []int
	ranks  [][]int // row within a block of n/2 that holds frequency k, for n = size, size/2, …
}

func newCosine(size int) *cosine {
	c := &cosine{size: size, base: size}
	for c.base%2 == 0 {
		for i := range c.base / 2 {
			c.halves = append(c.halves, 0.5/math.Cos(math.Pi*float64(2*i+1)/float64(2*c.base)))
		}
		c.base /= 2
		rank := make([]int, c.base)
		for row, k := range cosineOrder(c.base) {
			rank[k] = row
		}
		c.ranks = append(c.ranks, rank)
	}
	for k := range c.base {
		for i := range c.base {
			c.dense = append(c.dense, math.Cos(math.Pi*float64((2*i+1)*k)/float64(2*c.base)))
		}
	}
	c.order = cosineOrder(size)
	return c
}

func cosineOrder(n int) []int {
	order := make([]int, 0, n)
	if n%2 == 1 {
		for k := range n {
			order = append(order, k)
		}
		return order
	}
	half := cosineOrder(n / 2)
	for _, k := range half {
		order = append(order, 2*k)
	}
	for _, k := range half {
		order = append(order, 2*k+1)
	}
	return order
}

// weight returns the factor of frequency k in the inverse: 1/N or 2/N.
func (c *cosine) weight(k int) float64 {
	if k == 0 {
		return 1 / float64(c.size)
	}
	return 2 / float64(c.size)
}

// forward transforms the columns of x (size rows of width numbers) into x, with
// y of the same size as scratch.
func (c *cosine) forward(x, y []float64, width int) {
	src, dst := x, y
	halves := c.halves
	n := c.size
	for ; n > c.base; n /= 2 {
		for at := 0; at < c.size; at += n {
			for i := range n / 2 {
				f := halves[i]
				a := src[(at+i)*width:][:width]
				b := src[(at+n-1-i)*width:][:width]
				u := dst[(at+i)*width:][:width]
				v := dst[(at+n/2+i)*width:][:width]
				for k, p := range a {
					q := b[k]
					u[k] = p + q
					v[k] = (p - q) * f
				}
			}
		}
		halves = halves[n/2:]
		src, dst = dst, src
	}
	if c.base > 1 {
		c.densely(src, dst, width, false)
		src, dst = dst, src
	}
	for n, level := 2*c.base, len(c.ranks)-1; n <= c.size; n, level = 2*n, level-1 {
		rank := c.ranks[level]
		for at := n / 2; at < c.size; at += n {
			for k := range n/2 - 1 {
				a := src[(at+rank[k])*width:][:width]
				b := src[(at+rank[k+1])*width:][:width]
				for j, v := range b {
					a[j] += v
				}
			}
		}
	}
	if &src[0] != &x[0] {
		copy(x, src)
	}
}

// inverse undoes forward, apart from the factors of weight, which the caller puts
// into the coefficients.
func (c *cosine) inverse(x, y []float64, width int) {
	src, dst := x, y
	for n, level := c.size, 0; n > c.base; n, level = n/2, level+1 {
		rank := c.ranks[level]
		for at := n / 2; at < c.size; at += n {
			for k := n/2 - 1; k > 0; k-- {
				a := src[(at+rank[k])*width:][:width]
				b := src[(at+rank[k-1])*width:][:width]
				for j, v := range b {
					a[j] += v
				}
			}
		}
	}
	if c.base > 1 {
		c.densely(src, dst, width, true)
		src, dst = dst, src
	}
	end := len(c.halves)
	for n := 2 * c.base; n <= c.size; n *= 2 {
		halves := c.halves[end-n/2 : end]
		end -= n / 2
		for at := 0; at < c.size; at += n {
			for i, f := range halves {
				u := src[(at+i)*width:][:width]
				v := src[(at+n/2+i)*width:][:width]
				a := dst[(at+i)*width:][:width]
				b := dst[(at+n-1-i)*width:][:width]
				for k, p := range u {
					q := v[k] * f
					a[k] = p + q
					b[k] = p - q
				}
			}
		}
		src, dst = dst, src
	}
	if &src[0] != &x[0] {
		copy(x, src)
	}
}

// densely transforms every block of base rows as the definition says.
func (c *cosine) densely(src, dst []float64, width int, inverse bool) {
	b := c.base
	for at := 0; at < c.size; at += b {
		for k := range b {
			out := dst[(at+k)*width:][:width]
			for i := range b {
				f := c.dense[k*b+i]
				if inverse {
					f = c.dense[i*b+k]
				}
				in := src[(at+i)*width:][:width]
				if i == 0 {
					for j, v := range in {
						out[j] = f * v
					}
					continue
				}
				for j, v := range in {
					out[j] += f * v
				}
			}
		}
	}
}

// plane transforms a whole picture: rows and columns. The modes are stored
// transposed, mode (j of columns, i of rows) at j*rows + i.
type plane struct {
	rows, cols int
	down       *cosine // over the rows of the picture
	along      *cosine // over its columns
	a, b       []float64
}

func newPlane(rows, cols int) *plane {
	return &plane{rows, cols, newCosine(rows), newCosine(cols), make([]float64, rows*cols), make([]float64, rows*cols)}
}

// each calls f with the index of every mode, its Laplacian eigenvalues
// 2 − 2 cos(πk/N) along the two directions, and its weight in the inverse.
func (p *plane) each(f func(m int, along, down, weight float64)) {
	lap := func(k, n int) float64 {
		s := math.Sin(math.Pi * float64(k) / float64(2*n))
		return 4 * s * s
	}
	for j, kj := range p.along.order {
		for i, ki := range p.down.order {
			f(j*p.rows+i, lap(kj, p.cols), lap(ki, p.rows), p.along.weight(kj)*p.down.weight(ki))
		}
	}
}

// forward puts the modes of picture x into modes.
func (p *plane) forward(modes, x []float64) {
	copy(p.a, x)
	p.down.forward(p.a, p.b, p.cols)
	transpose(modes, p.a, p.rows, p.cols)
	p.along.forward(modes, p.b, p.rows)
}

// inverse puts the picture of modes, already weighted, into x; modes is
// overwritten.
func (p *plane) inverse(x, modes []float64) {
	p.along.inverse(modes, p.b, p.rows)
	transpose(x, modes, p.cols, p.rows)
	p.down.inverse(x, p.b, p.cols)
}

// transpose writes the transpose of src (rows × cols) to dst, in tiles.
func transpose(dst, src []float64, rows, cols int) {
	const tile = 8
	for r0 := 0; r0 < rows; r0 += tile {
		r1 := min(r0+tile, rows)
		for c0 := 0; c0 < cols; c0 += tile {
			c1 := min(c0+tile, cols)
			for r := r0; r < r1; r++ {
				row := src[r*cols : r*cols+cols]
				for c := c0; c < c1; c++ {
					dst[c*rows+r] = row[c]
				}
			}
		}
	}
}

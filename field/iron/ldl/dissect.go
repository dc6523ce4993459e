package ldl

// Dissect returns an elimination order for the nodes of a grid of rows × cols
// nodes whose elements span every other line, as second-order elements on a
// tensor grid do: nested dissection, which cuts the grid in two along an element
// border, orders both halves and then the border (A. George, SIAM J. Numer. Anal.
// 10 (1973) 345; from memory). keep tells which nodes are unknowns; the result
// lists their indices row*cols+col in elimination order.
func Dissect(rows, cols int, keep func(row, col int) bool) []int32 {
	d := dissection{cols: cols, keep: keep}
	d.split(0, rows-1, 0, cols-1)
	return d.order
}

type dissection struct {
	cols  int
	keep  func(row, col int) bool
	order []int32
}

// split orders the nodes of rows r0…r1 and columns c0…c1, both included.
func (d *dissection) split(r0, r1, c0, c1 int) {
	if r1 < r0 || c1 < c0 {
		return
	}
	if r1-r0 < 4 && c1-c0 < 4 {
		d.take(r0, r1, c0, c1)
		return
	}
	// Borders between elements are the even lines.
	if r1-r0 >= c1-c0 {
		if m := (r0 + r1) / 4 * 2; m > r0 && m < r1 {
			d.split(r0, m-1, c0, c1)
			d.split(m+1, r1, c0, c1)
			d.take(m, m, c0, c1)
			return
		}
	} else if m := (c0 + c1) / 4 * 2; m > c0 && m < c1 {
		d.split(r0, r1, c0, m-1)
		d.split(r0, r1, m+1, c1)
		d.take(r0, r1, m, m)
		return
	}
	d.take(r0, r1, c0, c1)
}

func (d *dissection) take(r0, r1, c0, c1 int) {
	for r := r0; r <= r1; r++ {
		for c := c0; c <= c1; c++ {
			if d.keep(r, c) {
				d.order = append(d.order, int32(r*d.cols+c))
			}
		}
	}
}

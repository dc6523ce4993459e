package drops

import "math"

// bins tell which parts are near each other: squares as wide as the distance at which two
// may come to touch before either strays, with a list of them each.
type bins struct {
	cols, rows int
	side       float64
	left, low  float64
	head, next []int32 // of a part's number + 1
	used       []int32
}

func (b *bins) make(width, height, side float64) {
	b.side, b.left, b.low = side, -width/2, -height/2
	b.cols, b.rows = int(math.Ceil(width/side))+1, int(math.Ceil(height/side))+1
	b.head = make([]int32, b.cols*b.rows)
}

func (b *bins) of(o *part) (col, row int) {
	return min(max(int((o.X-b.left)/b.side), 0), b.cols-1), min(max(int((o.Y-b.low)/b.side), 0), b.rows-1)
}

func (b *bins) sort(parts []part) {
	for _, k := range b.used {
		b.head[k] = 0
	}
	b.used, b.next = b.used[:0], b.next[:0]
	for i := range parts {
		col, row := b.of(&parts[i])
		k := int32(row*b.cols + col)
		if b.head[k] == 0 {
			b.used = append(b.used, k)
		}
		b.next = append(b.next, b.head[k])
		b.head[k] = int32(i + 1)
	}
}

// near calls see with the number of every other part in a part's bin and the eight round it.
func (b *bins) near(parts []part, i int32, see func(n int32)) {
	col, row := b.of(&parts[i])
	for r := max(row-1, 0); r <= min(row+1, b.rows-1); r++ {
		for c := max(col-1, 0); c <= min(col+1, b.cols-1); c++ {
			for n := b.head[r*b.cols+c]; n != 0; n = b.next[n-1] {
				if n-1 != i {
					see(n - 1)
				}
			}
		}
	}
}

package read

import (
	"context"
	"image"
	"math"
	"sort"
)

// averager takes area averages of pictures of one size on one grid. The value of
// a cell is the integral of the picture, each pixel a square of constant
// luminance, over the part of the picture under the cell, divided by that area.
type averager struct {
	at         placement
	cols       int
	height     int // of the picture
	background float64
	columns    []span    // of the picture, per placed grid column
	lines      []span    // of the picture, per placed grid row
	row        []float64 // one picture row
	sums       []float64 // its integral under each placed column, over the column's width
}

// span is a range of pixels with the shares of its first and last ones.
type span struct {
	first, last int     // inclusive
	wFirst      float64 // covered share of the first pixel
	wLast       float64 // covered share of the last pixel; unused when it is the first
	scale       float64 // 1 / length
}

func spans(a, b float64, n, limit int) []span {
	out := make([]span, n)
	step := (b - a) / float64(n)
	for i := range out {
		lo := a + float64(i)*step
		hi := a + float64(i+1)*step
		if i == n-1 {
			hi = b
		}
		first := clampInt(int(math.Floor(lo)), 0, limit-1)
		last := clampInt(int(math.Ceil(hi))-1, first, limit-1)
		s := span{first: first, last: last}
		if first == last {
			s.wFirst = hi - lo
			s.scale = 1 / s.wFirst
		} else {
			s.wFirst = float64(first+1) - lo
			s.wLast = hi - float64(last)
			s.scale = 1 / (s.wFirst + float64(last-first-1) + s.wLast)
		}
		out[i] = s
	}
	return out
}

func newAverager(width, height, rows, cols int, fit Fit, background float64) *averager {
	p := fit.place(width, height, rows, cols)
	return &averager{
		at:         p,
		cols:       cols,
		height:     height,
		background: background,
		columns:    spans(p.x0, p.x1, p.cols, width),
		lines:      spans(p.y0, p.y1, p.rows, height),
		row:        make([]float64, width),
		sums:       make([]float64, p.cols),
	}
}

// begin fills dst, rows*cols long, with what no picture reaches.
func (a *averager) begin(dst []float64) {
	for i := range dst {
		dst[i] = a.background
	}
}

// under returns the ranges of placed rows and columns over any pixel of an area of the
// picture.
func (a *averager) under(area image.Rectangle) (row0, row1, col0, col1 int) {
	search := func(list []span, from, to int) (int, int) {
		return sort.Search(len(list), func(i int) bool { return list[i].last >= from }),
			sort.Search(len(list), func(i int) bool { return list[i].first >= to })
	}
	if area.Empty() {
		return 0, 0, 0, 0
	}
	row0, row1 = search(a.lines, area.Min.Y, area.Max.Y)
	col0, col1 = search(a.columns, area.Min.X, area.Max.X)
	return row0, row1, col0, col1
}

// pixels returns how many pixels average looks at for an area.
func (a *averager) pixels(area image.Rectangle) int64 {
	row0, row1, col0, col1 := a.under(area)
	if row0 >= row1 || col0 >= col1 {
		return 0
	}
	return int64(a.lines[row1-1].last+1-a.lines[row0].first) * int64(a.columns[col1-1].last+1-a.columns[col0].first)
}

// whole averages all of a picture.
func (a *averager) whole(ctx context.Context, dst []float64, rows luminanceRows) error {
	return a.average(ctx, dst, rows, image.Rect(0, 0, len(a.row), a.height))
}

// average works out the cells of dst, rows*cols long, that lie over an area of the
// picture. Rows are asked for from the top down.
func (a *averager) average(ctx context.Context, dst []float64, rows luminanceRows, area image.Rectangle) error {
	row0, row1, col0, col1 := a.under(area)
	if row0 >= row1 || col0 >= col1 {
		return nil
	}
	columns, sums := a.columns[col0:col1], a.sums[col0:col1]
	x0, x1 := columns[0].first, columns[len(columns)-1].last+1
	loaded := -1
	for r := row0; r < row1; r++ {
		line := a.lines[r]
		out := dst[(a.at.row0+r)*a.cols+a.at.col0:][col0:col1]
		clear(out)
		for y := line.first; y <= line.last; y++ {
			if y != loaded {
				if err := ctx.Err(); err != nil {
					return err
				}
				if err := rows(a.row[x0:x1], x0, y); err != nil {
					return err
				}
				sumColumns(sums, a.row, columns)
				loaded = y
			}
			w := line.scale
			switch y {
			case line.first:
				w *= line.wFirst
			case line.last:
				w *= line.wLast
			}
			for i, v := range sums {
				out[i] += w * v
			}
		}
	}
	return nil
}

func sumColumns(sums, row []float64, columns []span) {
	for i, s := range columns {
		v := row[s.first] * s.wFirst
		if s.last > s.first {
			for _, y := range row[s.first+1 : s.last] {
				v += y
			}
			v += row[s.last] * s.wLast
		}
		sums[i] = v * s.scale
	}
}

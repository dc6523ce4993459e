package artwork

import (
	"container/heap"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// roads is a map of one pixel's cell in squares, some of them blocked. It closes on
// itself: what leaves at one side comes in at the other, as the pixels repeat.
type roads struct {
	pitch, step float64
	n           int // squares along a side
	closed      []bool
}

const mostSquares = 1200 // along a side

// newMap makes an open map, fine enough for the coil's tracks.
func (b *Board) newMap() *roads {
	s := b.Coil.Spec()
	n := min(mostSquares, int(math.Ceil(b.Pitch/(min(s.Track, s.Gap)/3))))
	return &roads{pitch: b.Pitch, n: n, step: b.Pitch / float64(n), closed: make([]bool, n*n)}
}

// square returns the square a point lies in, not wrapped.
func (m *roads) square(p r2.Vec) (x, y int) {
	return int(math.Floor((p.X + m.pitch/2) / m.step)), int(math.Floor((p.Y + m.pitch/2) / m.step))
}

// index wraps a square into the cell.
func (m *roads) index(x, y int) int { return m.round(y)*m.n + m.round(x) }

// round is a row or column within the cell.
func (m *roads) round(x int) int { return (x%m.n + m.n) % m.n }

// middle is the middle of a square.
func (m *roads) middle(x, y int) r2.Vec {
	return r2.Vec{X: (float64(x)+0.5)*m.step - m.pitch/2, Y: (float64(y)+0.5)*m.step - m.pitch/2}
}

func (m *roads) blocked(p r2.Vec) bool { return m.closed[m.index(m.square(p))] }

// blockLine closes every square that a line comes nearer to than distance, from any point
// of the square.
func (m *roads) blockLine(line []r2.Vec, distance float64) {
	coarse := m.step / 4
	reach := distance + m.step*math.Sqrt2/2 + coarse
	line = sparse(line, coarse)
	for i := range line {
		a, b := line[i], line[min(i+1, len(line)-1)]
		x0, y0 := m.square(r2.Vec{X: min(a.X, b.X) - reach, Y: min(a.Y, b.Y) - reach})
		_, y1 := m.square(r2.Vec{X: max(a.X, b.X) + reach, Y: max(a.Y, b.Y) + reach})
		first := m.round(x0)
		for y := y0; y <= y1; y++ {
			row := m.round(y) * m.n
			// at is index without its divisions, which took half the time of drawing a board.
			at := func(x int) int {
				col := first + x - x0
				for col >= m.n {
					col -= m.n
				}
				return row + col
			}
			// What is near in a row has no gap: its ends are looked for, and all between them closed.
			near := func(x int) bool {
				return !m.closed[at(x)] && r2.Norm2(fromSegment(m.middle(x, y), a, b)) < reach*reach
			}
			mid := m.middle(0, y).Y
			beside := max(min(a.Y, b.Y)-mid, mid-max(a.Y, b.Y), 0)
			if beside >= reach {
				continue
			}
			half := math.Sqrt(reach*reach - beside*beside)
			from, _ := m.square(r2.Vec{X: min(a.X, b.X) - half, Y: mid})
			to, _ := m.square(r2.Vec{X: max(a.X, b.X) + half, Y: mid})
			for from <= to && !near(from) {
				from++
			}
			for from < to && !near(to) {
				to--
			}
			for from <= to { // round the cell
				i := at(from)
				n := min(to-from+1, row+m.n-i)
				for k := range n {
					m.closed[i+k] = true
				}
				from += n
			}
		}
	}
}

// nearest returns the middle of the open square nearest to a point, in the point's own
// cell or a neighbour's; false when all are closed.
func (m *roads) nearest(p r2.Vec) (r2.Vec, bool) {
	best, found := r2.Vec{}, false
	x0, y0 := m.square(p)
	for y := y0 - m.n/2; y <= y0+m.n/2; y++ {
		for x := x0 - m.n/2; x <= x0+m.n/2; x++ {
			if m.closed[m.index(x, y)] {
				continue
			}
			if q := m.middle(x, y); !found || r2.Norm2(r2.Sub(q, p)) < r2.Norm2(r2.Sub(best, p)) {
				best, found = q, true
			}
		}
	}
	return best, found
}

// path returns the shortest way over open squares from a point to another or to one of
// its images, as few straight pieces; nil when there is none. It begins at the point and
// ends at the image (P. E. Hart, N. J. Nilsson, B. Raphael, IEEE Trans. Syst. Sci. Cybern.
// 4 (1968) 100, from memory).
func (m *roads) path(from, to r2.Vec) []r2.Vec {
	fx, fy := m.square(from)
	tx, ty := m.square(to)
	if m.closed[m.index(fx, fy)] || m.closed[m.index(tx, ty)] {
		return nil
	}
	goal := m.index(tx, ty)
	cost := make([]float64, m.n*m.n)
	origin := make([]int32, m.n*m.n)
	for i := range cost {
		cost[i], origin[i] = math.Inf(1), -1
	}
	// No way is shorter than to the nearest image.
	left := func(x, y int) float64 {
		wrap := func(d int) float64 {
			d = ((d % m.n) + m.n) % m.n
			return float64(min(d, m.n-d))
		}
		dx, dy := wrap(x-tx), wrap(y-ty)
		return max(dx, dy) + (math.Sqrt2-1)*min(dx, dy)
	}
	start := m.index(fx, fy)
	cost[start] = 0
	open := &queue{{start, 0, left(fx, fy)}}
	steps := []struct{ x, y int }{{1, 0}, {0, 1}, {-1, 0}, {0, -1}, {1, 1}, {-1, 1}, {-1, -1}, {1, -1}}
	for open.Len() > 0 {
		at := heap.Pop(open).(waypoint)
		if at.index == goal {
			break
		}
		if at.cost > cost[at.index] {
			continue
		}
		x, y := at.index%m.n, at.index/m.n
		for k, s := range steps {
			next := m.index(x+s.x, y+s.y)
			if m.closed[next] || k >= 4 && (m.closed[m.index(x+s.x, y)] || m.closed[m.index(x, y+s.y)]) {
				continue
			}
			c := at.cost + math.Hypot(float64(s.x), float64(s.y))
			if c < cost[next]-1e-9 {
				cost[next], origin[next] = c, int32(k)
				heap.Push(open, waypoint{next, c, c + left(x+s.x, y+s.y)})
			}
		}
	}
	if math.IsInf(cost[goal], 1) {
		return nil
	}
	// Back from the goal, and forward again without wrapping.
	var way []int32
	for at := goal; at != start; {
		k := origin[at]
		way = append(way, k)
		at = m.index(at%m.n-steps[k].x, at/m.n-steps[k].y)
	}
	slices.Reverse(way)
	points := []r2.Vec{from}
	x, y := fx, fy
	for _, k := range way {
		x, y = x+steps[k].x, y+steps[k].y
		points = append(points, m.middle(x, y))
	}
	// The goal's own place in the square that was reached.
	last := r2.Add(to, r2.Sub(m.middle(x, y), m.middle(tx, ty)))
	points[len(points)-1] = last
	if len(way) == 0 {
		points = []r2.Vec{from, to}
	}
	return m.straightened(points)
}

// straightened leaves out the points between which nothing is closed.
func (m *roads) straightened(points []r2.Vec) []r2.Vec {
	kept := points[:1:1]
	for i := 0; i < len(points)-1; {
		j := i + 1
		for k := len(points) - 1; k > j; k-- {
			if m.clear(points[i], points[k]) {
				j = k
			}
		}
		kept = append(kept, points[j])
		i = j
	}
	return kept
}

// clear tells whether a straight line crosses open squares alone.
func (m *roads) clear(a, b r2.Vec) bool {
	n := int(math.Ceil(r2.Norm(r2.Sub(b, a))/(m.step/4))) + 1
	for i := range n + 1 {
		if m.blocked(r2.Add(a, r2.Scale(float64(i)/float64(n), r2.Sub(b, a)))) {
			return false
		}
	}
	return true
}

// waypoint is a square that was reached, at what cost, and the least cost of a way
// through it.
type waypoint struct {
	index       int
	cost, whole float64
}

type queue []waypoint

func (q queue) Len() int           { return len(q) }
func (q queue) Less(i, j int) bool { return q[i].whole < q[j].whole }
func (q queue) Swap(i, j int)      { q[i], q[j] = q[j], q[i] }
func (q *queue) Push(x any)        { *q = append(*q, x.(waypoint)) }
func (q *queue) Pop() any {
	old := *q
	last := old[len(old)-1]
	*q = old[:len(old)-1]
	return last
}

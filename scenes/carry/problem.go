package carry

import (
	"fmt"

	"lodegrid/array/extent"
)

// Problem is one picture change on a grid of Rows × Cols pixels, row 0 at the top.
type Problem struct {
	Rows, Cols int
	From       []bool // pixels with a drop
	To         []bool // pixels that shall have one
	Blocked    []bool // pixels that move nothing; nil for none
	// Pool tells that fluid lies below the lowest row: any of its pixels can lift a drop
	// out of it, and let one sink into it. Without a pool, drops that are over stay on
	// pixels that are not wanted.
	Pool bool
}

// Pool stands in a Move for the fluid below the lowest row.
const Pool = -1

// Move is a drop's way from a pixel to its neighbour in a step. From or To is Pool
// for one that is lifted out of it or sinks into it.
type Move struct{ Step, From, To int }

// Plan is how a picture change is carried out.
type Plan struct {
	Steps int
	Moves []Move // by step, then by pixel
	// Bare lists the wanted pixels that no drop reaches: there are too few drops on the
	// pixels that are joined to them.
	Bare []int
}

// check reports what of a problem cannot be.
func (p Problem) check() error {
	if err := extent.Check(p.Rows, p.Cols); err != nil {
		return fmt.Errorf("planning moves: %w", err)
	}
	n := p.Rows * p.Cols
	if len(p.From) != n || len(p.To) != n || p.Blocked != nil && len(p.Blocked) != n {
		return fmt.Errorf("planning moves: %d pixels with a drop or not, %d wanted or not, %d blocked or not; want %d each (or none blocked)",
			len(p.From), len(p.To), len(p.Blocked), n)
	}
	return nil
}

// sides are the neighbours of a pixel: above, left, right, below. The opposite of side d
// is side 3−d.
const sides = 4

// neighbours lists every pixel's neighbours, −1 where there is none or either is blocked.
func (p Problem) neighbours() []int32 {
	out := make([]int32, sides*p.Rows*p.Cols)
	for v := range p.Rows * p.Cols {
		row, col := v/p.Cols, v%p.Cols
		for d, w := range [sides]int{v - p.Cols, v - 1, v + 1, v + p.Cols} {
			inside := [sides]bool{row > 0, col > 0, col < p.Cols-1, row < p.Rows-1}[d]
			if !inside || p.blocked(v) || p.blocked(w) {
				w = -1
			}
			out[sides*v+d] = int32(w)
		}
	}
	return out
}

func (p Problem) blocked(v int) bool { return p.Blocked != nil && p.Blocked[v] }

// parts gives every pixel the number of the part of the grid that it is joined to; −1 for
// a blocked one.
func (p Problem) parts(next []int32) (part []int, count int) {
	part = make([]int, p.Rows*p.Cols)
	for v := range part {
		part[v] = -1
	}
	var queue []int
	for v := range part {
		if part[v] >= 0 || p.blocked(v) {
			continue
		}
		part[v] = count
		queue = append(queue[:0], v)
		for len(queue) > 0 {
			u := queue[0]
			queue = queue[1:]
			for _, w := range next[sides*u : sides*u+sides] {
				if w >= 0 && part[w] < 0 {
					part[w] = count
					queue = append(queue, int(w))
				}
			}
		}
		count++
	}
	return part, count
}

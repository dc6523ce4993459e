package hold

import (
	"context"
	"fmt"
	"math"

	"lodegrid/array/grid"
)

// Pair is what two pixels at full level do when they are on together and nothing else
// is.
type Pair struct {
	Right, Up int     // offset of the second from the first, in pixels
	Hold      float64 // the lesser hold ratio of the two
	FalseOn   float64 // greatest hold ratio of a dark pixel of the grid
	// Apart tells that the two must not be on together: a dark pixel keeps a drop, or
	// one of the two lets go of its own that alone it would hold.
	Apart bool
}

// Pairs looks at every distinct offset within reach pitches that fits the grid, the
// pair as near to the middle as can be. An offset and its mirror image left to right
// are the same.
func Pairs(ctx context.Context, g *grid.Grid, reach int) ([]Pair, error) {
	t := newTogether(g)
	d := g.Design.Grid
	t.clear()
	t.light(d.Rows/2, d.Cols/2)
	alone, err := t.judge(ctx)
	if err != nil {
		return nil, err
	}
	var list []Pair
	for up := 0; up <= min(reach, d.Rows-1); up++ {
		for right := 0; right <= min(reach, d.Cols-1); right++ {
			if away := right*right + up*up; away == 0 || away > reach*reach {
				continue
			}
			row, col := (d.Rows-1+up)/2, (d.Cols-1-right)/2
			t.clear()
			t.light(row, col)
			t.light(row-up, col+right)
			v, err := t.judge(ctx)
			if err != nil {
				return nil, err
			}
			list = append(list, Pair{Right: right, Up: up, Hold: v.hold, FalseOn: v.falseOn, Apart: t.worse(v, alone)})
		}
	}
	return list, nil
}

// Groups parts the pixels into as few groups as are found such that all pixels of a
// group may be on together: a scan order.
type Groups struct {
	Count int
	Of    []int // group of each pixel, row-major
	// Across, Down and Shift tell the pattern: it repeats after Across columns, and
	// after Down rows moved to the right by Shift columns.
	Across, Down, Shift int
	Hold                []float64 // least hold ratio of a lit pixel in each group
	FalseOn             []float64 // greatest hold ratio of a dark pixel in each group
	// Alone is the hold ratio of a pixel in the middle alone, which no group can be
	// asked to better by much.
	Alone float64
	// Found is false when no pattern of up to Tried groups will do; the groups are then
	// those of the last tried.
	Found bool
	Tried int
}

// FindGroups looks for the smallest regular pattern of groups, up to most: patterns in
// which a pair within reach stands that must be apart are left out, the others are
// played group by group on the whole grid and judged by its limits. Pixels of a group
// that stay dark in a picture take field away from the rest, so a picture that uses
// part of a group should be played by itself where Hold is close to its limit.
func FindGroups(ctx context.Context, g *grid.Grid, reach, most int) (Groups, error) {
	d := g.Design.Grid
	out := Groups{Of: make([]int, d.Rows*d.Cols)}
	pairs, err := Pairs(ctx, g, reach)
	if err != nil {
		return out, err
	}
	t := newTogether(g)
	t.clear()
	t.light(d.Rows/2, d.Cols/2)
	alone, err := t.judge(ctx)
	if err != nil {
		return out, err
	}
	out.Alone = alone.hold
	for n := 1; n <= most; n++ {
		out.Tried = n
		for down := 1; down <= n; down++ {
			if n%down != 0 {
				continue
			}
			across := n / down
			for shift := range across {
				if !keepsApart(pairs, across, down, shift) {
					continue
				}
				out.Count, out.Across, out.Down, out.Shift = n, across, down, shift
				out.Hold, out.FalseOn = out.Hold[:0], out.FalseOn[:0]
				out.Found = true
				for group := range n {
					t.clear()
					for k := range out.Of {
						if groupOf(k/d.Cols, k%d.Cols, across, down, shift) == group {
							out.Of[k] = group
							t.light(k/d.Cols, k%d.Cols)
						}
					}
					v, err := t.judge(ctx)
					if err != nil {
						return out, err
					}
					out.Hold, out.FalseOn = append(out.Hold, v.hold), append(out.FalseOn, v.falseOn)
					out.Found = out.Found && !t.worse(v, alone)
				}
				if out.Found {
					return out, nil
				}
			}
		}
	}
	return out, nil
}

// groupOf is the place of a pixel in the repeating pattern.
func groupOf(row, col, across, down, shift int) int {
	c := (col - shift*(row/down)) % across
	if c < 0 {
		c += across
	}
	return (row%down)*across + c
}

// keepsApart tells whether no pair that must be apart stands in one group.
func keepsApart(pairs []Pair, across, down, shift int) bool {
	for _, p := range pairs {
		if !p.Apart || p.Up%down != 0 {
			continue
		}
		for _, right := range [2]int{p.Right, -p.Right} {
			// Up rows higher is −Up/down repeats of the shift.
			if (right+shift*(p.Up/down))%across == 0 {
				return false
			}
		}
	}
	return true
}

// together judges patterns on the whole grid.
type together struct {
	grid     *grid.Grid
	hold     *Meter
	plane    *grid.Plane
	currents grid.Currents
	states   []grid.State
	ratios   []float64
}

func newTogether(g *grid.Grid) *together {
	n := g.Design.Pixels()
	return &together{grid: g, hold: New(g), plane: grid.NewPlane(g.Raster), currents: g.NewCurrents(), states: make([]grid.State, n), ratios: make([]float64, n)}
}

func (t *together) clear() {
	t.currents.Clear()
	clear(t.states)
}

func (t *together) light(row, col int) {
	k := t.grid.Design.Pixel(row, col)
	t.currents.Set(k, t.grid.At(t.grid.FullLevel()))
	t.states[k] = grid.Lit
}

type verdict struct {
	hold    float64 // least of a lit pixel, +Inf without one
	falseOn float64
}

func (t *together) judge(ctx context.Context) (verdict, error) {
	v := verdict{hold: math.Inf(1)}
	if err := ctx.Err(); err != nil {
		return v, fmt.Errorf("judging pixels that are on together: %w", err)
	}
	t.grid.FieldInto(t.plane, t.currents)
	t.hold.Ratios(t.ratios, t.plane, t.states)
	for k, r := range t.ratios {
		switch t.states[k] {
		case grid.Lit:
			v.hold = min(v.hold, r)
		case grid.Dark:
			v.falseOn = max(v.falseOn, r)
		}
	}
	return v, nil
}

// worse tells whether a pattern breaks a limit that a pixel alone does not.
func (t *together) worse(v, alone verdict) bool {
	l := t.grid.Design.Limits
	return v.falseOn > l.FalseOn && alone.falseOn <= l.FalseOn || v.hold < l.Hold && alone.hold >= l.Hold
}

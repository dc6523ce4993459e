package neighbours

import (
	"context"
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Field is what the steel of all pixels of a lattice adds to the field of a source on
// one pixel's axis.
type Field struct {
	steel      *Steel
	cols, rows int     // offsets to either side
	pieces     []piece // by offset, row-major from the lowest
	near, all  []int   // pieces near the source, and all
	limit      float64 // pitches: steel farther from both source and place is left out
	cells      []cell
	across     int // cells in a row
	// Steps is how many rounds the answers to each other's answers took.
	Steps int
}

type place struct{ col, row int }

// mostPieces bounds the pieces of steel whose answers are added at a place of a lattice,
// fewPieces that of a large one.
const (
	mostPieces  = 1200
	largeOffset = 20_000
	fewPieces   = 300
)

// stepsMost and settled end the rounds of mutual answers.
const (
	stepsMost = 60
	settled   = 1e-7
)

// ErrUnsettled is of a lattice whose pieces' answers to each other find no end.
var ErrUnsettled = errors.New("not settled")

// Answer solves for the answers to a source on the axis of the pixel at the origin whose
// field is stray at and beyond the neighbours' axes, x right and y up, in metres; its
// own steel's first answer is in the source, what it answers to the others' is not.
// cols and rows tell how far the lattice goes to either side.
func (s *Steel) Answer(ctx context.Context, source func(p r3.Vec) r3.Vec, cols, rows int) (*Field, error) {
	f := &Field{steel: s, cols: cols, rows: rows, pieces: make([]piece, (2*cols+1)*(2*rows+1))}
	f.limit = math.Inf(1)
	if n := len(f.pieces); n > mostPieces {
		most := float64(mostPieces)
		if n > largeOffset {
			most = fewPieces
		}
		f.limit = math.Sqrt(most / (2 * math.Pi))
	}
	given, err := s.stray(ctx, source, f)
	if err != nil {
		return nil, err
	}
	for k := range f.pieces {
		p := f.place(k)
		f.pieces[k] = piece{place: p, x: float64(p.col) * s.spec.Pitch, y: float64(p.row) * s.spec.Pitch, strength: s.newStrength()}
		f.pieces[k].strength.add(given[k])
		s.lumped(&f.pieces[k])
		f.all = append(f.all, k)
		if math.Hypot(float64(p.col), float64(p.row)) <= f.limit {
			f.near = append(f.near, k)
		}
	}
	if err := f.settle(ctx, given); err != nil {
		return nil, err
	}
	return f, f.fillCells(ctx)
}

func (f *Field) place(k int) place {
	return place{k%(2*f.cols+1) - f.cols, k/(2*f.cols+1) - f.rows}
}

func (f *Field) index(col, row int) int { return (row+f.rows)*(2*f.cols+1) + col + f.cols }

// stray is the source's field on the axes of all others, in powers of the height. Far
// off it is read along one line and falls as a dipole's between.
func (s *Steel) stray(ctx context.Context, source func(p r3.Vec) r3.Vec, f *Field) ([]strength, error) {
	nodes := s.spec.Answer.Nodes()
	out := make([]strength, len(f.pieces))
	far := (farPitches + 0.75) * s.spec.Pitch
	reach := s.spec.Pitch * (math.Hypot(float64(f.cols), float64(f.rows)) + 0.01)
	const rays = 14
	step := max(math.Log(reach/far), 0.01) / (rays - 1)
	var ray [rays + 1][]r3.Vec // times r³
	if reach > far {
		for k := range ray {
			r := far * math.Exp(float64(k)*step)
			for _, z := range nodes {
				if err := ctx.Err(); err != nil {
					return nil, fmt.Errorf("the stray field at the neighbours: %w", err)
				}
				ray[k] = append(ray[k], r3.Scale(r*r*r, source(r3.Vec{X: r, Z: z})))
			}
		}
	}
	for k := range out {
		p := f.place(k)
		out[k] = s.newStrength()
		x, y := float64(p.col)*s.spec.Pitch, float64(p.row)*s.spec.Pitch
		r := math.Hypot(x, y)
		if r == 0 {
			continue
		}
		if p.col < 0 || p.row < 0 {
			continue // mirror images, below
		}
		s.taken(out[k], r < ringReach*s.spec.Pitch, func(i int, dx, dy float64) r3.Vec {
			if r < far {
				return source(r3.Vec{X: x + dx, Y: y + dy, Z: nodes[i]})
			}
			at := math.Log(r/far) / step
			j := min(int(at), rays-1)
			u := at - float64(j)
			along := r3.Scale(1/(r*r*r), r3.Add(r3.Scale(1-u, ray[j][i]), r3.Scale(u, ray[j+1][i])))
			return r3.Vec{X: along.X * x / r, Y: along.X * y / r, Z: along.Z}
		})
	}
	for k := range out {
		p := f.place(k)
		if p.col >= 0 && p.row >= 0 {
			continue
		}
		out[k].mirrored(out[f.index(max(p.col, -p.col), max(p.row, -p.row))], p.col < 0, p.row < 0, false)
	}
	return out, nil
}

// settle answers in rounds until nothing changes: each piece has what the source and, in
// the round before, the others gave it. Only a quadrant is solved for, or of a square half
// of it; the others mirror it.
func (f *Field) settle(ctx context.Context, given []strength) error {
	s := f.steel
	next := make([]strength, len(f.pieces))
	var beside, close, far []int // of the other pieces
	for k := range next {
		next[k] = s.newStrength()
	}
	tables := make([]*spans, len(s.levels)) // by level, between axes
	for i, l := range s.levels {
		tables[i] = s.newSpans(l, 2*f.cols, 2*f.rows, 0, 0)
	}
	for f.Steps = 1; f.Steps <= stepsMost; f.Steps++ {
		var change, most float64
		for k := range f.pieces {
			p := f.place(k)
			if p.col < 0 || p.row < 0 || f.cols == f.rows && p.row > p.col {
				continue
			}
			if err := ctx.Err(); err != nil {
				return fmt.Errorf("the neighbours' steel answering itself: %w", err)
			}
			at := &f.pieces[k]
			beside, close, far = beside[:0], close[:0], far[:0]
			for _, q := range f.around(p.col, p.row) {
				r := math.Hypot(at.x-f.pieces[q].x, at.y-f.pieces[q].y)
				if r < ringReach*s.spec.Pitch {
					beside = append(beside, q)
				}
				switch {
				case q == k:
				case r < (farPitches+0.01)*s.spec.Pitch:
					close = append(close, q)
				default:
					far = append(far, q)
				}
			}
			s.taken(next[k], true, func(i int, dx, dy float64) (b r3.Vec) {
				if dx == 0 && dy == 0 {
					b = tables[i].sum(f, far, p)
					for _, q := range close {
						b = r3.Add(b, s.levels[i].at(&f.pieces[q], at.x-f.pieces[q].x, at.y-f.pieces[q].y))
					}
					return b
				}
				for _, q := range beside { // on the ring
					if q != k {
						b = r3.Add(b, s.levels[i].at(&f.pieces[q], at.x-f.pieces[q].x+dx, at.y-f.pieces[q].y+dy))
					}
				}
				return b
			})
			next[k].add(given[k])
			next[k].each(at.strength, func(got, now []float64) {
				for j, v := range got {
					most = max(most, math.Abs(v))
					change = max(change, math.Abs(v-now[j]))
				}
			})
		}
		for k := range f.pieces {
			p := f.place(k)
			from := place{max(p.col, -p.col), max(p.row, -p.row)}
			swap := f.cols == f.rows && from.row > from.col
			if swap {
				from.col, from.row = from.row, from.col
			}
			f.pieces[k].strength.mirrored(next[f.index(from.col, from.row)], p.col < 0, p.row < 0, swap)
			s.lumped(&f.pieces[k])
		}
		if change <= settled*most {
			return nil
		}
		if math.IsNaN(change) || math.IsInf(change, 0) {
			break
		}
	}
	return fmt.Errorf("the neighbours' steel answering itself: %w after %d rounds; the pieces stand too close for answers on their axes", ErrUnsettled, f.Steps)
}

// around lists the pieces that count at an offset: all, or on a large lattice those near
// the source and those near the place.
func (f *Field) around(col, row int) []int {
	if math.IsInf(f.limit, 1) {
		return f.all
	}
	list := f.near[:len(f.near):len(f.near)]
	reach := int(f.limit)
	for r := max(-f.rows, row-reach); r <= min(f.rows, row+reach); r++ {
		for c := max(-f.cols, col-reach); c <= min(f.cols, col+reach); c++ {
			if math.Hypot(float64(c-col), float64(r-row)) <= f.limit && math.Hypot(float64(c), float64(r)) > f.limit {
				list = append(list, f.index(c, r))
			}
		}
	}
	return list
}

// Covers reports whether a place is nearer to the axis of a pixel of the lattice than to
// that of one beyond it.
func (f *Field) Covers(x, y float64) bool {
	p := f.steel.spec.Pitch
	return math.Abs(x) < (float64(f.cols)+0.5)*p && math.Abs(y) < (float64(f.rows)+0.5)*p
}

package artwork

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// stretch is a straight piece of a way's copper, or the pad at its end.
type stretch struct {
	a, b   r2.Vec
	radius float64
	way    int
}

// box is a box round copper.
type box struct{ low, high r2.Vec }

func (s stretch) box(grow float64) box {
	r := s.radius + grow
	return box{r2.Vec{X: min(s.a.X, s.b.X) - r, Y: min(s.a.Y, s.b.Y) - r}, r2.Vec{X: max(s.a.X, s.b.X) + r, Y: max(s.a.Y, s.b.Y) + r}}
}

func (p box) meets(q box) bool {
	return p.low.X <= q.high.X && q.low.X <= p.high.X && p.low.Y <= q.high.Y && q.low.Y <= p.high.Y
}

func (p box) moved(by r2.Vec) box { return box{r2.Add(p.low, by), r2.Add(p.high, by)} }

// stretches are the ways' copper on a layer, those of each seam by themselves.
func (b *Board) stretches(layer int) map[int][]stretch {
	list := map[int][]stretch{}
	for i, w := range b.Ways {
		add := func(p, q r2.Vec, radius float64) {
			list[w.seam] = append(list[w.seam], stretch{p, q, radius, i})
		}
		add(w.End.At, w.End.At, w.End.Pad/2)
		for k := 1; k < len(w.Track.Points) && w.Track.Layer == layer; k++ {
			add(w.Track.Points[k-1], w.Track.Points[k], w.Track.Width/2)
		}
	}
	return list
}

// wayGap is the narrowest gap on a layer between a way and other copper, up to a reach; and
// where it is, from the grid's middle.
func (b *Board) wayGap(layer int, reach float64) (least float64, at r2.Vec) {
	least = math.Inf(1)
	if len(b.Ways) == 0 {
		return least, at
	}
	see := func(s stretch, p, q r2.Vec, radius float64) {
		if d := max(0, apart(s.a, s.b, p, q)-s.radius-radius); d < least {
			least, at = d, s.a
		}
	}
	// A pixel's tracks in runs, so that most are passed over by their box.
	type run struct {
		box
		track Track
	}
	const most = 32
	var runs []run
	for _, t := range slices.Concat(b.Pixel.Tracks, b.Pixel.Planes) {
		for k := 0; t.Layer == layer && k < len(t.Points)-1; k += most {
			part := Track{Width: t.Width, Points: t.Points[k:min(k+most+1, len(t.Points))], Lead: t.Lead}
			low, high := Pixel{Tracks: []Track{part}}.bounds()
			runs = append(runs, run{box{low, high}, part})
		}
	}
	low, high := b.Pixel.bounds()
	whole := box{low, high}
	all := b.stretches(layer)
	for seam, list := range all {
		for i, s := range list {
			for _, o := range slices.Concat(list[i+1:], all[seam+1]) {
				if s.way != o.way && s.box(reach).meets(o.box(0)) {
					see(s, o.a, o.b, o.radius)
				}
			}
			w := b.Ways[s.way]
			for row := max(seam-2, 0); row <= min(seam+3, b.Rows-1); row++ {
				for col := range b.Cols {
					by := b.Center(row, col)
					near := s.box(reach)
					if !near.meets(whole.moved(by)) {
						continue
					}
					own := row == w.Row && col == w.Col
					from := b.Wire(w.From).At
					for _, h := range b.Pixel.Holes {
						if at := r2.Add(h.At, by); h.Plated() && (!own || h.At != from) {
							see(s, at, at, h.Pad/2)
						}
					}
					for _, r := range runs {
						if own && r.track.Lead && (r.track.Points[0] == from || r.track.Points[len(r.track.Points)-1] == from) || !near.meets(r.moved(by)) {
							continue
						}
						for k := 1; k < len(r.track.Points); k++ {
							see(s, r2.Add(r.track.Points[k-1], by), r2.Add(r.track.Points[k], by), r.track.Width/2)
						}
					}
				}
			}
		}
	}
	return least, at
}

// wayHoles are the least laminate between a hole at a way's end and another hole, and the
// least distance from a way's copper to a bare hole and to the board's edge.
func (b *Board) wayHoles() (laminate, bare, edge float64) {
	laminate, bare, edge = math.Inf(1), math.Inf(1), math.Inf(1)
	for i, w := range b.Ways {
		edge = min(edge, b.Width/2-math.Abs(w.End.At.X)-w.End.Pad/2, b.Height/2-math.Abs(w.End.At.Y)-w.End.Pad/2)
		for k, o := range b.Ways {
			if k != i && math.Abs(float64(o.seam-w.seam)) <= 1 {
				laminate = min(laminate, r2.Norm(r2.Sub(o.End.At, w.End.At))-(o.End.Drill+w.End.Drill)/2)
			}
		}
		for k := range w.Track.Points {
			p, q := w.Track.Points[max(k-1, 0)], w.Track.Points[k]
			radius := w.Track.Width / 2
			for _, m := range b.Mounts {
				bare = min(bare, toSegment(m.At, p, q)-m.Drill/2-radius, r2.Norm(r2.Sub(m.At, w.End.At))-m.Drill/2-w.End.Pad/2)
				laminate = min(laminate, r2.Norm(r2.Sub(m.At, w.End.At))-m.Drill/2-w.End.Drill/2)
			}
			for row := max(w.seam-1, 0); row <= min(w.seam+2, b.Rows-1); row++ {
				for _, h := range b.Pixel.Holes {
					// The pixels in the row that are nearest to the stretch.
					for _, x := range []float64{p.X, q.X} {
						col := min(max(int(math.Round((x-h.At.X-b.Center(row, 0).X)/b.Pitch)), 0), b.Cols-1)
						at := r2.Add(b.Center(row, col), h.At)
						if laminate = min(laminate, r2.Norm(r2.Sub(at, w.End.At))-(h.Drill+w.End.Drill)/2); !h.Plated() {
							bare = min(bare, toSegment(at, p, q)-h.Drill/2-radius, r2.Norm(r2.Sub(at, w.End.At))-h.Drill/2-w.End.Pad/2)
						}
					}
					if y := b.Center(row, 0).Y + h.At.Y; !h.Plated() && p.Y == q.Y && p.X != q.X {
						bare = min(bare, math.Abs(y-p.Y)-h.Drill/2-radius) // a track along the row passes every hole of it
					}
				}
			}
		}
	}
	return laminate, bare, edge
}

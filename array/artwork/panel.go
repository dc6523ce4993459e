package artwork

import (
	"context"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"lodegrid/array/design"
	"lodegrid/array/escape"
	"lodegrid/field/quantity"
)

// labelRoom is what a Panel leaves under each pixel for its name, m; mostPlaces how many
// pixels it holds.
const (
	labelRoom  = 2.4e-3
	mostPlaces = 400
)

// ringRoom is what stays free between a wire's pad and a voltmeter's, for solder and the ring
// that is printed there, m. Common practice, no source.
const ringRoom = 0.4e-3

// Panel is a board of a size with pixels of several designs, each with all that is drawn of
// it farther from the others than any rule asks for, and with a small hole beside each
// wire's, for a voltmeter. As many as fit stand row by row, the designs in turn. With it
// comes each design's net as traced, without those holes. Its error is a *Misfit where a
// design cannot be drawn so, or the board has no room for them all.
func Panel(ctx context.Context, list []design.Design, width, height float64) (*Board, []Net, error) {
	var out *Board
	var nets []Net
	cell, between, edge := r2.Vec{}, 0.0, 0.0
	for i, d := range list {
		d.Board.Planes = "" // they would end at each coil's place
		b, err := Draw(ctx, d, escape.Answer{})
		if err != nil {
			return nil, nil, fmt.Errorf("coil %d of a test board: %w", i+1, err)
		}
		net, err := b.Trace()
		if err != nil {
			return nil, nil, fmt.Errorf("coil %d of a test board: %w", i+1, err)
		}
		if err := b.sense(); err != nil {
			return nil, nil, fmt.Errorf("coil %d of a test board: %w", i+1, err)
		}
		for _, c := range b.Checks() {
			if c.Broken() && c.Key != "edge" {
				return nil, nil, fmt.Errorf("coil %d of a test board: %w", i+1, &Misfit{c.Mend, fmt.Sprintf("the %s is %s, %s", c.Name, quantity.Format(c.Least, quantity.Length), c.Where), quantity.Format(c.Rule, quantity.Length) + " or more"})
			}
		}
		low, high := b.Pixel.bounds()
		between = max(between, b.leastGap(), d.Order.HoleSpacing, d.Board.HoleClearance)
		cell = r2.Vec{X: max(cell.X, high.X-low.X), Y: max(cell.Y, high.Y-low.Y+labelRoom)}
		edge = max(edge, d.Order.EdgeClearance)
		middle := r2.Add(r2.Scale(0.5, r2.Add(low, high)), r2.Vec{Y: -labelRoom / 2})
		b.Pixel = b.Pixel.turned(func(p r2.Vec) r2.Vec { return r2.Sub(p, middle) })
		if out == nil {
			one := *b
			out = &one
			out.Mounts = nil
		}
		out.Variants, nets = append(out.Variants, b), append(nets, net)
	}
	cell = r2.Add(cell, r2.Vec{X: between, Y: between})
	room := func(whole, each float64) int { return max(0, int(math.Floor((whole-2*edge)/each+1e-9))) }
	out.Cols, out.Rows, out.Pitch, out.down, out.Width, out.Height = room(width, cell.X), room(height, cell.Y), cell.X, cell.Y, width, height
	if n := len(list); out.Cols*out.Rows < n {
		text := func(v float64) string { return quantity.Format(math.Ceil(v*1e3)/1e3, quantity.Length) }
		return nil, nil, &Misfit{"--board", fmt.Sprintf("%s × %s has room for %d of %d coils with pads and labels", text(width), text(height), out.Cols*out.Rows, n),
			fmt.Sprintf("%s x %s or more, or fewer --coils", text(float64(n)*cell.X+2*edge), text(cell.Y+2*edge))}
	}
	out.Rows = max(1, min(out.Rows, mostPlaces/out.Cols))
	return out, nets, nil
}

// Label is what is printed under a place of a Panel: its design and which copy it is, both
// from 1, and where, from the middle of the grid.
func (b *Board) Label(row, col int) (text string, middle r2.Vec, width, height float64) {
	i, n := row*b.Cols+col, len(b.Variants)
	return fmt.Sprintf("%d-%d", i%n+1, i/n+1), r2.Add(b.Center(row, col), r2.Vec{Y: (labelRoom - b.down) / 2}), b.Pitch, labelRoom
}

// sense puts a small hole beside each wire's and joins it on a layer where no lead runs.
func (b *Board) sense() error {
	gap, drill, w := b.leastGap(), b.design.Coil.ViaDrill, b.Coil.Spec().Track
	pad := drill + 2*max(wireRing, b.design.Board.Rules.ViaRing)
	for _, kinds := range [][2]HoleKind{{WireIn, SenseIn}, {WireOut, SenseOut}} {
		wire := slices.IndexFunc(b.Pixel.Holes, func(h Hole) bool { return h.Kind == kinds[0] })
		from := b.Pixel.Holes[wire].At
		m := b.roomFor(drill, pad, gap)
		m.blockLine([]r2.Vec{from}, b.Pixel.Holes[wire].Pad/2+ringRoom+pad/2)
		at, ok := m.nearest(from)
		if !ok {
			return &Misfit{"grid.pitch", "no place for a voltmeter's hole beside each wire's", "more room between the coils, or a smaller order.wire_drill"}
		}
		b.Pixel.Holes = append(b.Pixel.Holes, Hole{Kind: kinds[1], At: at, Drill: drill, Pad: pad})
		joined := false
		for layer := len(b.Layers) - 1; layer >= 0 && !joined; layer-- {
			m, taken := b.newMap(), false
			for _, t := range b.Pixel.Tracks {
				if t.Layer == layer {
					taken = taken || t.Lead && t.ends(from)
					m.blockLine(t.Points, t.Width/2+gap+w/2)
				}
			}
			if taken {
				continue
			}
			b.blockHoles(m, w, gap, wire, len(b.Pixel.Holes)-1)
			if path := m.path(from, at); path != nil {
				b.Pixel.Holes[len(b.Pixel.Holes)-1].At = path[len(path)-1]
				b.Pixel.Tracks = append(b.Pixel.Tracks, Track{Layer: layer, Width: w, Points: path, Lead: true})
				joined = true
			}
		}
		if !joined {
			return &Misfit{"grid.pitch", "no track finds a way from a wire's hole to the voltmeter's beside it", "more room between the coils, or a layer more"}
		}
	}
	return nil
}

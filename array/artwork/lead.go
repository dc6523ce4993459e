package artwork

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"lodegrid/field/quantity"
	"lodegrid/field/root"
)

// wireRing is the copper round a wire's hole, m: enough to solder to. Common practice,
// no source.
const wireRing = 0.25e-3

// solderApart is how far apart the middles of two wires' holes are, in their pads' width: no
// bridge of solder between them. Common practice, no source.
const solderApart = 1.5

// terminal is an end of the coil, and the lead that begins there.
type terminal struct {
	kind  HoleKind // of the wire's hole
	track int      // the coil's track whose end it is
	last  bool     // that track's last point, else its first
	via   int      // the hole that the end stands in, −1 for none
	layer int      // of the lead
}

// noRoom is a board without room for a wire's hole of that size, or for its lead.
type noRoom struct{ what string }

func (n *noRoom) Error() string { return n.what }

// addLeads finds places for the holes of both wires and draws the leads to them.
func (b *Board) addLeads(ctx context.Context) error {
	terminals, err := b.terminals()
	if err != nil {
		return err
	}
	before := b.Pixel
	try := func(drill float64) error {
		b.Pixel = before.clone()
		return b.leads(ctx, terminals, drill)
	}
	drill := b.design.Order.WireDrill
	failed := try(drill)
	var full *noRoom
	if !errors.As(failed, &full) {
		return failed
	}
	const least, fine = 0.2e-3, 0.02e-3 // m
	text := func(v float64) string { return quantity.Format(v, quantity.Length) }
	misfit := &Misfit{"order.wire_drill", fmt.Sprintf("holes of %s for a pixel's two wires do not fit: %s", text(drill), full.what),
		"a grid.pitch that leaves more room between coils, or a smaller coil.outer"}
	fits := func(v float64) (bool, error) {
		err := try(v)
		if errors.As(err, &full) {
			return false, nil
		}
		return err == nil, err
	}
	if drill <= least {
		return misfit
	}
	ok, err := fits(least)
	if err != nil {
		return err
	}
	if ok {
		most, _, err := root.Edge(ctx, fits, least, drill, fine)
		if err != nil {
			return err
		}
		misfit.Accept = text(math.Floor(most/fine)*fine) + " or less, or a grid.pitch that leaves more room"
	}
	return misfit
}

// terminals finds where the current enters and leaves, and on which layer each lead may
// run: beside the coil's own track at the edge, on a layer without a coil from the middle.
func (b *Board) terminals() ([]terminal, error) {
	coils := len(b.Coil.Spec().Layers)
	list := []terminal{
		{kind: WireIn, track: 0, via: -1},
		{kind: WireOut, track: coils - 1, last: true, via: -1, layer: coils - 1},
	}
	for i, v := range b.Coil.Vias() {
		if v.Terminal > 0 {
			list[v.Terminal-1].via = i
		}
	}
	out := &list[1]
	if perGroup := coils / b.Coil.Spec().ParallelGroups; perGroup%2 == 0 {
		return list, nil
	}
	if coils == len(b.Layers) {
		return nil, &Misfit{"coil.layers", "the current ends in the middle of the coil, and every layer of the board has a coil that bars the way out",
			"an even number of layers in each group, or a board.layers of more"}
	}
	out.layer = len(b.Layers) - 1
	if out.via < 0 {
		return list, b.innerVia(out)
	}
	return list, nil
}

// innerVia gives a coil of one layer the via that brings its inner end to another layer.
func (b *Board) innerVia(t *terminal) error {
	s, rules := b.Coil.Spec(), b.design.Board.Rules
	pad := b.design.Coil.ViaDrill + 2*rules.ViaRing
	end := b.at(*t)
	radius := s.Inner/2 - s.Gap - pad/2
	room := radius
	if core := b.design.Iron.CoreRadius; core > 0 {
		room = radius - pad/2 - core - b.design.Board.HoleClearance
	}
	if room < 0 {
		return &Misfit{"coil.inner", fmt.Sprintf("the free middle of %s has no room for the via that brings the coil's inner end out", quantity.Format(s.Inner, quantity.Length)),
			fmt.Sprintf("%s or more", quantity.Format(s.Inner-2*room, quantity.Length))}
	}
	at := r2.Scale(radius/r2.Norm(end), end)
	b.Pixel.Tracks[t.track].Points = append(slices.Clone(b.Pixel.Tracks[t.track].Points), at)
	b.Pixel.Holes = append(b.Pixel.Holes, Hole{Kind: Via, At: at, Drill: b.design.Coil.ViaDrill, Pad: pad})
	t.via = len(b.Pixel.Holes) - 1
	return nil
}

// at is where the lead begins.
func (b *Board) at(t terminal) r2.Vec {
	if t.via >= 0 {
		return b.Pixel.Holes[t.via].At
	}
	p := b.Pixel.Tracks[t.track].Points
	if t.last {
		return p[len(p)-1]
	}
	return p[0]
}

// leads places the wires' holes of one size, each as near to its terminal as there is
// room, and finds the leads. Its error is a *noRoom where there is none.
func (b *Board) leads(ctx context.Context, terminals []terminal, drill float64) error {
	if err := ctx.Err(); err != nil {
		return fmt.Errorf("drawing the leads: %w", err)
	}
	gap := b.leastGap()
	pad := drill + 2*max(wireRing, b.design.Board.Rules.ViaRing)
	own := make([]int, len(terminals)) // the wires' holes
	for i, t := range terminals {
		m := b.roomFor(drill, pad, gap)
		b.keepLanes(m, t.kind, pad)
		at, ok := m.nearest(b.at(t))
		if !ok {
			return &noRoom{"no place between the coils is wide enough for the pad"}
		}
		b.Pixel.Holes = append(b.Pixel.Holes, Hole{Kind: t.kind, At: at, Drill: drill, Pad: pad})
		own[i] = len(b.Pixel.Holes) - 1
	}
	for i, t := range terminals {
		if err := b.lead(t, own[i], gap); err != nil {
			return err
		}
	}
	return nil
}

// roomFor maps where a hole with its pad may stand.
func (b *Board) roomFor(drill, pad, gap float64) *roads {
	m := b.newMap()
	for _, track := range b.Pixel.Tracks {
		m.blockLine(track.Points, track.Width/2+gap+pad/2)
	}
	for _, h := range b.Pixel.Holes {
		r := max(h.Pad/2+gap+pad/2, h.Drill/2+b.design.Order.HoleSpacing+drill/2)
		switch {
		case !h.Plated():
			r = max(h.Drill/2+b.design.Board.HoleClearance+pad/2, r)
		case h.Kind != Via:
			r = max(r, solderApart*pad)
		}
		m.blockLine([]r2.Vec{h.At}, r)
	}
	return m
}

// blockHoles closes what a track of a width may not cross, but for two holes of its own.
func (b *Board) blockHoles(m *roads, w, gap float64, own, also int) {
	for i, h := range b.Pixel.Holes {
		switch {
		case i == own, i == also:
		case h.Plated():
			m.blockLine([]r2.Vec{h.At}, h.Pad/2+gap+w/2)
		default:
			m.blockLine([]r2.Vec{h.At}, h.Drill/2+b.design.Board.HoleClearance+w/2)
		}
	}
}

// lead draws one lead, to the hole of the wire. Where the coil's track ends at its edge, a
// via may stand in the way outwards: the track is then cut back until none does.
func (b *Board) lead(t terminal, wire int, gap float64) error {
	track := &b.Pixel.Tracks[t.track]
	w := track.Width
	line := track.Points
	if t.last {
		line = slices.Clone(line)
		slices.Reverse(line)
	}
	most := min(length(line)/100, 4e-3)
	for cut, tries := 0.0, 0; cut <= most && tries < 4; cut += w / 2 {
		rest := line
		if cut > 0 {
			rest = after(line, cut)
		}
		begin := b.at(t)
		if t.via < 0 {
			begin = rest[0]
		}
		if t.via < 0 && !b.clearOf(begin, r2.Add(begin, r2.Scale(w+gap, outwards(rest))), w/2+gap, wire) {
			continue
		}
		tries++
		m := b.newMap()
		for i, other := range b.Pixel.Tracks {
			if other.Layer != t.layer {
				continue
			}
			points := other.Points
			if i == t.track && t.via < 0 {
				points = rest
			}
			m.blockLine(points, other.Width/2+gap+w/2)
		}
		b.keepChannel(m, w)
		b.blockHoles(m, w, gap, wire, t.via)
		from := begin
		if m.blocked(begin) { // by the coil's own track
			away := r2.Unit(begin)
			if t.via < 0 {
				away = outwards(rest)
			}
			from = r2.Add(begin, r2.Scale(w+gap+2*m.step, away))
		}
		if path := m.path(from, b.Pixel.Holes[wire].At); path != nil {
			points := append([]r2.Vec{begin}, path...)
			if from == begin {
				points = points[1:]
			}
			// Where the path crosses into the next cell, the wire's hole is that cell's.
			b.Pixel.Holes[wire].At = points[len(points)-1]
			if t.last {
				track.Points = slices.Clone(rest)
				slices.Reverse(track.Points)
			} else {
				track.Points = rest
				slices.Reverse(points)
			}
			b.Pixel.Tracks = append(b.Pixel.Tracks, Track{Layer: t.layer, Width: w, Points: points, Lead: true})
			return nil
		}
		if t.via >= 0 {
			break // nothing to cut
		}
	}
	return &noRoom{fmt.Sprintf("no lead finds a way to the pad on layer %d", t.layer+1)}
}

// outwards is the direction away from the coil's middle, across the beginning of a line.
func outwards(line []r2.Vec) r2.Vec {
	d := r2.Unit(r2.Sub(line[1], line[0]))
	n := r2.Vec{X: d.Y, Y: -d.X}
	if r2.Dot(n, line[0]) < 0 {
		n = r2.Scale(-1, n)
	}
	return n
}

// clearOf tells whether a line keeps a distance from the pads of all holes but one.
func (b *Board) clearOf(p, q r2.Vec, distance float64, but int) bool {
	for i, h := range b.Pixel.Holes {
		if i == but {
			continue
		}
		for _, shift := range b.around() {
			at := r2.Add(h.At, shift)
			if apart(p, q, at, at) < h.Pad/2+distance {
				return false
			}
		}
	}
	return true
}

// leastGap is what the leads keep from other copper: the coil's own gap.
func (b *Board) leastGap() float64 { return b.Coil.Spec().Gap }

// around returns where the eight neighbours of a pixel and the pixel itself stand.
func (b *Board) around() []r2.Vec {
	var list []r2.Vec
	for i := -1.0; i <= 1; i++ {
		for j := -1.0; j <= 1; j++ {
			list = append(list, r2.Vec{X: j * b.Pitch, Y: i * b.Pitch})
		}
	}
	return list
}

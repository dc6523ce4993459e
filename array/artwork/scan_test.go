package artwork

import (
	"context"
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"lodegrid/array/escape"
)

// scanBoard draws a scanned grid on a board with layers left free, 6 columns and 8 rows.
func scanBoard(t *testing.T, changes ...string) *Board {
	t.Helper()
	return connected(t, append([]string{"drive.mode=scan", "drive.bridge=low-side", "grid.rows=8", "grid.cols=6", "coil.layers=4", "coil.outer=10 mm", "coil.inner=3.5 mm", "coil.turns=8",
		"iron.core_radius=0 mm", "iron.model=none", "order.width=100 mm", "order.height=130 mm"}, changes...)...)
}

// Lines along rows and columns come out as one net each, as many as the drivers have outputs,
// and each coil's third hole stands a diode's length from its first.
func TestScanLines(t *testing.T) {
	for name, c := range map[string]struct {
		changes []string
		nets    int
	}{
		"one row":    {nil, 8 + 6},
		"two rows":   {[]string{"drive.scan_rows=2"}, 8 + 2*6},
		"four rows":  {[]string{"drive.scan_rows=4"}, 8 + 4*6},
		"three, odd": {[]string{"drive.scan_rows=3", "grid.rows=7"}, 7 + 3*6},
		"wound":      {[]string{"coil.layers=8", "drive.most_lit=1"}, 8 + 6},
	} {
		t.Run(name, func(t *testing.T) {
			b := scanBoard(t, c.changes...)
			if !b.Scanned() || b.NoWays != "" {
				t.Fatal("not drawn: ", b.NoWays)
			}
			if nets, err := b.Joined(); err != nil || nets != c.nets || nets != b.design.Outputs() || len(b.Ends()) != nets {
				t.Errorf("%d nets, %d holes, want %d; %v", nets, len(b.Ends()), c.nets, err)
			}
			if off := r2.Norm(r2.Sub(b.Wire(WireRow).At, b.Wire(WireIn).At)) - b.design.Order.DiodeSpan; math.Abs(off) > 1e-9 {
				t.Errorf("the diode's holes are %g m off", off)
			}
			for _, c := range b.Checks() {
				if c.Broken() {
					t.Errorf("%s: %g m, %s", c.Name, c.Least, c.Where)
				}
			}
			if _, err := b.Trace(); err != nil {
				t.Error(err)
			}
		})
	}
}

// A tap's end on its line is copper on that layer alone: over the windings of others it touches
// nothing.
func TestScanTapsOverWindings(t *testing.T) {
	b := scanBoard(t, "grid.rows=12", "grid.cols=16", "coil.outer=10.3 mm", "coil.turns=14", "drive.most_lit=4", "order.width=216 mm", "order.height=172 mm")
	if !b.Scanned() {
		t.Fatal("not drawn: ", b.NoWays)
	}
	if nets, err := b.Joined(); err != nil || nets != 12+16 {
		t.Errorf("%d nets, want 28; %v", nets, err)
	}
}

// What is drawn wrongly is found.
func TestScanLinesBroken(t *testing.T) {
	for name, spoil := range map[string]func(b *Board){
		"a row into the next": func(b *Board) {
			far := b.Ways[0].Track.Points
			b.Ways[0].Track.Points = append(far[:len(far):len(far)], r2.Vec{X: far[len(far)-1].X, Y: far[len(far)-1].Y - b.Pitch})
		},
		"a tap left out":       func(b *Board) { b.Ways[3].Track.Points = b.Ways[3].Track.Points[:1] },
		"a column cut":         func(b *Board) { w := &b.Ways[len(b.Ways)-9]; w.Track.Points = w.Track.Points[4:] },
		"another's diode hole": func(b *Board) { b.Pixel.Holes[len(b.Pixel.Holes)-1].At = b.Wire(WireIn).At },
	} {
		t.Run(name, func(t *testing.T) {
			b := scanBoard(t)
			spoil(b)
			if nets, err := b.Joined(); err == nil {
				t.Errorf("%d nets, and no word of it", nets)
			}
		})
	}
}

// By hand: the farthest pixel of a row of six sees the whole current of the row next to the
// edge, five sixths of it in the next piece, and so on.
func TestScanLed(t *testing.T) {
	b := scanBoard(t)
	net, err := b.Trace()
	if err != nil {
		t.Fatal(err)
	}
	led := b.Led(net)
	row, column := b.Ways[0], Way{}
	for _, w := range b.Ways {
		if w.From == WireOut && w.End.Plated() && w.Col == 5 {
			column = w
		}
	}
	ohms := func(w Way, length float64) float64 {
		return 1.0 / 58e6 * length / (w.Track.Width * b.Layers[w.Track.Layer].Copper)
	}
	n := len(row.Track.Points)
	want := net.Leads + ohms(row, math.Abs(row.Track.Points[n-1].X-row.Track.Points[n-2].X))*6 + ohms(row, b.Pitch)*(5+4+3+2+1)
	want += ohms(column, math.Abs(column.Track.Points[len(column.Track.Points)-1].Y-column.Track.Points[len(column.Track.Points)-2].Y))
	up := column.Row == 7 // from the top, row 0 is next to the edge
	if !up {
		t.Fatal("the column's line does not begin at the lowest row")
	}
	for _, w := range b.Ways {
		if !w.End.Plated() && w.Row == 0 && w.Col == 5 {
			want += b.Resistance(w)
		}
	}
	if got := led[5]; math.Abs(got/want-1) > 1e-3 {
		t.Errorf("%g Ω, by hand %g Ω", got, want)
	}
}

// What cannot be drawn is told, and leaves nothing behind.
func TestScanLinesTold(t *testing.T) {
	for why, changes := range map[string][]string{
		"the steel sheet behind": {"iron.model=slab", "iron.radius=0 mm"},
		"a full bridge":          {"drive.bridge=h-bridge"},
		"order.width of":         {"order.width=75 mm"},
		"order.height of":        {"order.height=99 mm"},
		"order.diode_span":       {"order.diode_span=0.4 mm"},
		"a line along each row":  {"drive.most_lit=48", "board.copper_inner=0.1 oz", "board.copper_outer=0.1 oz", "coil.track=0.6 mm", "coil.turns=3"},
	} {
		t.Run(why, func(t *testing.T) {
			b := scanBoard(t, changes...)
			if len(b.Ways) > 0 || !strings.Contains(b.NoWays, why) {
				t.Errorf("%d ways, %q", len(b.Ways), b.NoWays)
			}
		})
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	b := scanBoard(t)
	if _, err := Draw(ctx, b.design, escape.Of(b.design, b.Coil, 0.1)); !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
}

// What is left out unseen, once a reason was told, is what the board's checks would refuse.
func TestScanClear(t *testing.T) {
	for name, spoil := range map[string]func(b *Board){
		"as drawn":      func(*Board) {},
		"into the next": func(b *Board) { b.Ways[0].Track.Points[0].Y -= b.Pitch },
		"wider":         func(b *Board) { b.Ways[0].Track.Width = b.Pitch },
		"over the edge": func(b *Board) { b.Ways[0].End.At.X = -b.Width / 2 },
		"two holes":     func(b *Board) { b.Ways[7].End.At = r2.Add(b.Ways[0].End.At, r2.Vec{X: b.Ways[0].End.Drill}) },
	} {
		t.Run(name, func(t *testing.T) {
			b := scanBoard(t)
			spoil(b)
			keeps := !slices.ContainsFunc(b.Checks(), Check.Broken)
			if got := b.clear(b.Ways[0].Track.Layer, b.Ways[len(b.Ways)-1].Track.Layer); got != keeps || keeps != (name == "as drawn") {
				t.Errorf("clear says %t, the checks %t", got, keeps)
			}
		})
	}
}

package coil

import (
	"errors"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/field/param"
)

func TestEvenStack(t *testing.T) {
	s, err := EvenStack(4, 1.6e-3, 70e-6, 35e-6)
	if err != nil {
		t.Fatal(err)
	}
	// Copper 2·70 + 2·35 µm, three dielectrics of (1600 − 210)/3 µm.
	between := (1.6e-3 - 210e-6) / 3
	want := []Layer{
		{70e-6, -35e-6},
		{35e-6, -70e-6 - between - 17.5e-6},
		{35e-6, -105e-6 - 2*between - 17.5e-6},
		{70e-6, -1.6e-3 + 35e-6},
	}
	for i := range want {
		if s[i].Copper != want[i].Copper || math.Abs(s[i].Z-want[i].Z) > 1e-15 {
			t.Errorf("layer %d: %+v, want %+v", i, s[i], want[i])
		}
	}
	if s, err := EvenStack(1, 0, 35e-6, 0); err != nil || len(s) != 1 || s[0].Z != -17.5e-6 {
		t.Errorf("one layer: %v, %v", s, err)
	}
	for _, bad := range []struct {
		n                       int
		thickness, outer, inner float64
	}{{0, 1e-3, 35e-6, 35e-6}, {-3, 1e-3, 35e-6, 35e-6}, {4, 1e-4, 35e-6, 35e-6}, {2, 0, 35e-6, 0}, {4, 1e-3, 35e-6, 0}, {4, 1e-3, math.NaN(), 35e-6}, {4, math.Inf(1), 35e-6, 35e-6}} {
		var e *param.Error
		if _, err := EvenStack(bad.n, bad.thickness, bad.outer, bad.inner); !errors.As(err, &e) || e.Key != "layers" {
			t.Errorf("%+v: error %v", bad, err)
		}
	}
}

// Each broken spec names the entry at fault; where one value would put it right, the
// message holds that value and the spec passes with it.
func TestSpecErrors(t *testing.T) {
	heavy := func(s *Spec) {
		s.Inner = 3e-3
		for i := range s.Layers {
			s.Layers[i].Copper = 69.6e-6
		}
	}
	for _, test := range []struct {
		name   string
		break_ func(*Spec)
		key    string
		accept string
		mend   func(*Spec)
	}{
		{"unknown shape", func(s *Spec) { s.Shape = "oval" }, "shape", "hexagon", func(s *Spec) { s.Shape = Hexagon }},
		{"no size", func(s *Spec) { s.Outer = 0 }, "outer", "more than zero", nil},
		{"size not a number", func(s *Spec) { s.Outer = math.NaN() }, "outer", "more than zero", nil},
		{"endless size", func(s *Spec) { s.Outer = math.Inf(1) }, "outer", "more than zero", nil},
		{"negative middle", func(s *Spec) { s.Inner = -1e-3 }, "inner", "positive", nil},
		{"neither turns nor inner", func(s *Spec) { s.Inner = 0 }, "turns", "one of the two", func(s *Spec) { s.Turns = 5 }},
		{"half a turn", func(s *Spec) { s.Turns = 0.5 }, "turns", "1 to", func(s *Spec) { s.Turns = 1 }},
		{"too many turns", func(s *Spec) { s.Turns = 30 }, "turns", "17.46 or fewer", func(s *Spec) { s.Turns = 17.46 }},
		{"too many turns for the vias", func(s *Spec) { s.Inner, s.Turns = 0, 30 }, "turns", "18.03 or fewer", func(s *Spec) { s.Turns = 18.03 }},
		{"no room for a turn", func(s *Spec) { s.Inner = 9e-3 }, "outer", "9.6096 mm or more", func(s *Spec) { s.Outer = 9.6096e-3 }},
		{"middle too small for the vias", func(s *Spec) { s.Inner = 1e-3 }, "inner", "1.7684 mm or more", func(s *Spec) { s.Inner = 1.7684e-3 }},
		{"narrow track", func(s *Spec) { s.Track = 3 * mil }, "track", "0.1016 mm or wider", func(s *Spec) { s.Track = 0.1016e-3 }},
		{"narrow gap", func(s *Spec) { s.Gap = 3.9 * mil }, "gap", "0.1016 mm or wider", func(s *Spec) { s.Gap = 0.1016e-3 }},
		{"track too narrow for 2 oz", func(s *Spec) { heavy(s); s.Gap = 8 * mil }, "track", "0.2032 mm or wider", func(s *Spec) { s.Track = 0.2032e-3 }},
		{"gap too narrow for 2 oz", func(s *Spec) { heavy(s); s.Track = 8 * mil }, "gap", "0.2032 mm or wider", func(s *Spec) { s.Gap = 0.2032e-3 }},
		{"copper thicker than the table", func(s *Spec) { s.Layers[2].Copper = 105e-6 }, "layers", "70 µm or thinner", func(s *Spec) { s.Layers[2].Copper = 35e-6 }},
		{"no layers", func(s *Spec) { s.Layers = nil }, "layers", "1 to", nil},
		{"layers upside down", func(s *Spec) { s.Layers[0], s.Layers[1] = s.Layers[1], s.Layers[0] }, "layers", "front first", nil},
		{"layer without copper", func(s *Spec) { s.Layers[1].Copper = 0 }, "layers", "more than zero", nil},
		{"uneven groups", func(s *Spec) { s.ParallelGroups = 5 }, "parallel_groups", "1, 2, 3, 4, 6, 12", func(s *Spec) { s.ParallelGroups = 6 }},
		{"negative groups", func(s *Spec) { s.ParallelGroups = -1 }, "parallel_groups", "1, 2", nil},
		{"no drill", func(s *Spec) { s.ViaDrill = 0 }, "via_drill", "more than zero", nil},
		{"fine drill", func(s *Spec) { s.ViaDrill = 0.1e-3 }, "via_drill", "0.2 mm or larger", func(s *Spec) { s.ViaDrill = 0.2e-3 }},
		{"narrow ring", func(s *Spec) { s.ViaRing = 0.1e-3 }, "via_drill", "0.127 mm or wider", func(s *Spec) { s.ViaRing = 0.127e-3 }},
		{"no plating", func(s *Spec) { s.ViaPlating = 0 }, "via_plating", "more than 0", func(s *Spec) { s.ViaPlating = 20e-6 }},
		{"plating thicker than the hole", func(s *Spec) { s.ViaPlating = 0.2e-3 }, "via_plating", "100 µm", func(s *Spec) { s.ViaPlating = 0.1e-3 }},
		{"sharp corner", func(s *Spec) { s.Shape, s.CornerRadius = RoundedSquare, 0 }, "corner_radius", "0.1016 mm to 4.65 mm", func(s *Spec) { s.CornerRadius = 1e-3 }},
		{"corner too round", func(s *Spec) { s.Shape, s.CornerRadius = RoundedSquare, 5e-3 }, "corner_radius", "0.1016 mm to 4.65 mm", func(s *Spec) { s.CornerRadius = 4.65e-3 }},
	} {
		s := usual(t, Round, 12)
		test.break_(&s)
		_, err := New(s, DefaultRules())
		var e *param.Error
		if !errors.As(err, &e) {
			t.Errorf("%s: error %v, want a *param.Error", test.name, err)
			continue
		}
		if e.Key != test.key || !strings.Contains(e.Accept, test.accept) || e.Problem == "" {
			t.Errorf("%s: key %q, problem %q, accepts %q; want key %q, accepts %q", test.name, e.Key, e.Problem, e.Accept, test.key, test.accept)
		}
		if test.mend != nil {
			test.mend(&s)
			if _, err := New(s, DefaultRules()); err != nil {
				t.Errorf("%s: what was said to pass does not: %v", test.name, err)
			}
		}
	}
}

func TestLayerCountsOnOffer(t *testing.T) {
	r := DefaultRules()
	r.Layers = []int{2, 4, 8}
	if _, err := New(usual(t, Round, 3), r); err != nil {
		t.Errorf("three layers of a four-layer board: %v", err)
	}
	var e *param.Error
	if _, err := New(usual(t, Round, 9), r); !errors.As(err, &e) || e.Key != "layers" || !strings.Contains(e.Accept, "8 or fewer") {
		t.Errorf("nine layers: %v", err)
	}
	if err := r.CheckBoard(6); !errors.As(err, &e) || e.Accept != "one of 2, 4, 8" {
		t.Errorf("board of six layers: %v", err)
	}
	if err := r.CheckBoard(4); err != nil {
		t.Errorf("board of four layers: %v", err)
	}
	if n, ok := r.BoardFor(5); !ok || n != 8 {
		t.Errorf("board for five layers: %d, %v", n, ok)
	}
	if _, err := New(usual(t, Round, 9), Rules{}); err != nil {
		t.Errorf("no rules: %v", err)
	}
}

func TestTurnsAndInner(t *testing.T) {
	for _, shape := range Shapes() {
		s := usual(t, shape, 2)
		c := build(t, s)
		got := c.Spec()
		if got.Inner < s.Inner || got.Inner > s.Inner+2*s.pitch() {
			t.Errorf("%s: inner %g m for at least %g", shape, got.Inner, s.Inner)
		}
		if n := c.TurnsPerLayer(); n != got.Turns || 2*n != c.TotalTurns() || math.Mod(2*n, 1) != 0 {
			t.Errorf("%s: %g turns", shape, n)
		}
		s.Inner, s.Turns = 0, 7.3
		c = build(t, s)
		got = c.Spec()
		want := s.Outer - 2*s.Track - 2*7.3*s.pitch()
		if got.Inner > want+1e-12 || got.Inner < want-2*s.pitch()/4 {
			t.Errorf("%s: 7.3 turns leave %g m, want about %g", shape, got.Inner, want)
		}
		got.Layers[0].Z = 99 // a copy
		if c.Spec().Layers[0].Z == 99 {
			t.Errorf("%s: the spec given out is not a copy", shape)
		}
	}
}

// distance from a point to a line through points.
func away(p r2.Vec, line []r2.Vec) float64 {
	least := math.Inf(1)
	for i := 1; i < len(line); i++ {
		a, d := line[i-1], r2.Sub(line[i], line[i-1])
		u := 0.0
		if n := r2.Norm2(d); n > 0 {
			u = max(0, min(1, r2.Dot(r2.Sub(p, a), d)/n))
		}
		least = min(least, r2.Norm(r2.Sub(p, r2.Add(a, r2.Scale(u, d)))))
	}
	return least
}

// Everything that is not meant to touch keeps the gap: turns, vias, vias of other
// layers; the copper stays inside Outer and off Inner.
func TestCopperKeepsItsGap(t *testing.T) {
	const step = 1. / 256
	for _, shape := range Shapes() {
		for _, how := range []struct {
			layers, groups int
			turns          float64
		}{{1, 1, 9.25}, {2, 1, 8}, {3, 1, 8.4}, {4, 1, 7.5}, {4, 2, 8.3}, {6, 2, 8}, {4, 4, 8}, {12, 1, 17}, {12, 3, 16.25}} {
			s := usual(t, shape, how.layers)
			s.Inner, s.Turns, s.ParallelGroups = 0, how.turns, how.groups
			c := build(t, s)
			clear := s.Gap - 2e-6 // chords of arcs
			for i := range s.Layers {
				line := c.outline(i, step)
				spiral := line // without its links
				from, to := c.route.from[i], c.route.to[i]
				if from.via >= 0 {
					spiral = spiral[1:]
				}
				if to.via >= 0 {
					spiral = spiral[:len(spiral)-1]
				}
				checkTurnsApart(t, s, spiral)
				for _, p := range spiral {
					// A corner where a side has just moved in sticks out by a share of the
					// pitch at most.
					if out := s.outerness(p) + s.Track/2 - s.Outer/2; out > 1e-9 {
						t.Fatalf("%s %v layer %d: track %g m outside", shape, how, i, out)
					}
					if r := r2.Norm(p) - s.Track/2; r < c.spec.Inner/2-1e-9 {
						t.Fatalf("%s %v layer %d: track at %g m from the axis, inner %g", shape, how, i, r, c.spec.Inner)
					}
				}
				for k, v := range c.route.vias {
					body := line
					if k == from.via || k == to.via {
						continue
					}
					if d := away(r2.Vec{X: v.X, Y: v.Y}, body) - s.Track/2 - v.Pad/2; d < clear {
						t.Errorf("%s %v layer %d: via %d is %g m from the track", shape, how, i, k, d)
					}
				}
			}
			for k, v := range c.route.vias {
				for _, u := range c.route.vias[:k] {
					if d := math.Hypot(v.X-u.X, v.Y-u.Y) - v.Pad; d < clear {
						t.Errorf("%s %v: vias %g m apart", shape, how, d)
					}
				}
			}
			if got := len(c.Vias()); got != c.wiring.inner()+c.wiring.outer() {
				t.Errorf("%s %v: %d vias", shape, how, got)
			}
		}
	}
}

// outerness is the apothem of the outline through a point.
func (s Spec) outerness(p r2.Vec) float64 {
	if s.Shape == Round {
		return r2.Norm(p)
	}
	a := 0.0
	for side := range s.sides() {
		a = max(a, r2.Dot(p, s.normal(side)))
	}
	return a
}

// checkTurnsApart looks along rays: neighbouring turns lie one pitch apart along a
// side's normal.
func checkTurnsApart(t *testing.T, s Spec, spiral []r2.Vec) {
	t.Helper()
	for k := range 8 {
		angle := 2 * math.Pi * (float64(k) + 0.1) / 8
		sin, cos := math.Sincos(angle)
		d := r2.Vec{X: cos, Y: sin}
		var at []float64
		for i := 1; i < len(spiral); i++ {
			a, b := r2.Cross(d, spiral[i-1]), r2.Cross(d, spiral[i])
			if a <= 0 && b > 0 && r2.Dot(d, spiral[i]) > 0 {
				at = append(at, r2.Dot(d, r2.Add(spiral[i-1], r2.Scale(a/(a-b), r2.Sub(spiral[i], spiral[i-1])))))
			}
		}
		for i := 1; i < len(at); i++ {
			// Along a slanting ray the distance is longer than across the turns, never
			// shorter.
			if gap := math.Abs(at[i]-at[i-1]) - s.pitch(); gap < -1e-6 {
				t.Fatalf("%s: turns %g m closer than a pitch", s.Shape, gap)
			}
		}
		if n := float64(len(at)); n < math.Floor(s.Turns)-1 || n > math.Ceil(s.Turns)+1 {
			t.Fatalf("%s: a ray meets %g turns of %g", s.Shape, n, s.Turns)
		}
	}
}

// The current runs counter-clockwise in every layer and arrives where the next layer
// begins.
func TestTracksFollowOneAnother(t *testing.T) {
	for _, shape := range Shapes() {
		for _, groups := range []int{1, 2} {
			s := usual(t, shape, 6)
			s.ParallelGroups = groups
			c := build(t, s)
			tracks := c.Tracks(0)
			for i, track := range tracks {
				turned := 0.0
				for k := 1; k < len(track); k++ {
					a, b := track[k-1], track[k]
					turned += math.Atan2(a.X*b.Y-a.Y*b.X, a.X*b.X+a.Y*b.Y) / (2 * math.Pi)
				}
				if turned > s2turns(c)+1e-6 || turned < s2turns(c)-1 {
					t.Errorf("%s, %d groups, layer %d turns %g times, want up to %g", shape, groups, i, turned, s2turns(c))
				}
				if i+1 < len(tracks) && (i+1)%(6/groups) != 0 {
					end, start := track[len(track)-1], tracks[i+1][0]
					if math.Hypot(end.X-start.X, end.Y-start.Y) > 1e-12 {
						t.Errorf("%s: layer %d ends at %v, the next begins at %v", shape, i, end, start)
					}
				}
				if track[0].Z != s.Layers[i].Z {
					t.Errorf("%s: layer %d at height %g", shape, i, track[0].Z)
				}
			}
			length := 0.0
			for i := range tracks {
				length += pathLength(c.outline(i, 1./2048))
			}
			for _, v := range c.Vias() {
				length += s.Layers[v.From].Z - s.Layers[v.To].Z
			}
			if e := relative(c.Length(), length); e > 5e-6 {
				t.Errorf("%s: length %.9g m, along the points %.9g", shape, c.Length(), length)
			}
		}
	}
}

func s2turns(c *Coil) float64 { return c.spec.Turns }

// A coil with vias outside its edge asks for more room than its size; a round one
// has its vias in the corner of its pixel.
func TestPitch(t *testing.T) {
	round, square := usual(t, Round, 12), usual(t, Square, 12)
	if p := build(t, round).Pitch(); p < 9.3e-3+round.Gap || p > 9.9e-3 {
		t.Errorf("round coil of 9.3 mm needs a pitch of %g m", p)
	}
	if p := build(t, square).Pitch(); p < 9.3e-3+2*square.Gap+0.454e-3-1e-9 {
		t.Errorf("square coil of 9.3 mm with vias at the edge needs a pitch of %g m", p)
	}
	square.Layers = board(t, 2) // its only joint is in the middle
	if p := build(t, square).Pitch(); math.Abs(p-9.3e-3-square.Gap) > 1e-12 {
		t.Errorf("square coil without vias at the edge needs a pitch of %g m", p)
	}
}

func TestHoleAndCapacityAgree(t *testing.T) {
	for n := 1; n <= 40; n++ {
		d := hole(n, 0.45e-3, 0.1e-3)
		if got := capacity(d, 0.45e-3, 0.1e-3); got != n {
			t.Errorf("a hole for %d vias holds %d", n, got)
		}
		if got := capacity(d*(1-1e-6), 0.45e-3, 0.1e-3); got >= n {
			t.Errorf("a smaller hole than for %d vias holds %d", n, got)
		}
	}
	if got := capacity(0.5e-3, 0.45e-3, 0.1e-3); got != 0 {
		t.Errorf("half a millimetre holds %d vias of 0.45 mm", got)
	}
}

// Many layers in few groups need more vias round the edge than a tiny coil has room
// for; the size the error names has it.
func TestEdgeTooShortForVias(t *testing.T) {
	s := usual(t, Round, 16)
	s.Outer, s.Inner, s.Turns, s.ViaDrill, s.ViaRing = 2e-3, 0, 1, 0.2e-3, 0.4e-3
	_, err := New(s, Rules{})
	var e *param.Error
	if !errors.As(err, &e) || e.Key == "" {
		t.Fatalf("error %v", err)
	}
	for n := 1; n < 40; n++ {
		if got := around(edgeFor(n, 1e-3, 0.1e-3)*(1+1e-9), 1e-3, 0.1e-3); n > 2 && got != n {
			t.Errorf("the edge for %d vias has room for %d", n, got)
		}
	}
}

func TestTerminals(t *testing.T) {
	for layers, middle := range map[int]bool{1: true, 2: false, 3: true, 4: false} {
		c := build(t, usual(t, Square, layers))
		entry, exit := c.Terminals()
		if r := math.Hypot(entry.X, entry.Y); r < 4.5e-3 {
			t.Errorf("%d layers: current enters %g m from the axis", layers, r)
		}
		if r := math.Hypot(exit.X, exit.Y); (r < 2e-3) != middle {
			t.Errorf("%d layers: current leaves %g m from the axis", layers, r)
		}
		if entry.Z != c.spec.Layers[0].Z || exit.Z != c.spec.Layers[layers-1].Z {
			t.Errorf("%d layers: terminals at heights %g and %g", layers, entry.Z, exit.Z)
		}
	}
}

// No spec makes New panic or give numbers that are none.
func FuzzNew(f *testing.F) {
	f.Add(uint8(0), 9.3e-3, 2e-3, 1e-3, 0.0, 1e-4, 1e-4, uint8(12), uint8(1), 35e-6, 0.2e-3, 20e-6)
	f.Add(uint8(1), 9.3e-3, 0.0, 1e-3, 7.3, 1e-4, 1e-4, uint8(3), uint8(3), 35e-6, 0.2e-3, 20e-6)
	f.Add(uint8(2), 9.3e-3, 0.0, 1e-3, 1.0, 2e-3, 1e-4, uint8(5), uint8(5), 35e-6, 0.3e-3, 20e-6)
	f.Add(uint8(3), 30e-3, 0.0, 0.0, 1.01, 2e-3, 1e-4, uint8(8), uint8(2), 35e-6, 0.3e-3, 20e-6)
	f.Fuzz(func(t *testing.T, shape uint8, outer, inner, corner, turns, track, gap float64, layers, groups uint8, copper, drill, plating float64) {
		if turns > 60 || outer/(track+gap) > 400 {
			t.Skip() // only slow
		}
		n := int(layers%16) + 1
		s := Spec{
			Shape: Shapes()[int(shape)%4], Outer: outer, Inner: inner, CornerRadius: corner, Turns: turns, Track: track, Gap: gap,
			ParallelGroups: int(groups), ViaDrill: drill, ViaPlating: plating,
		}
		s.Layers, _ = EvenStack(n, 2e-3, copper, copper)
		c, err := New(s, Rules{})
		if err != nil {
			var e *param.Error
			if !errors.As(err, &e) {
				t.Fatalf("error %v is no *param.Error", err)
			}
			return
		}
		for _, v := range []float64{c.Length(), c.Resistance(293.15), c.CopperVolume(), c.MagneticMoment(), c.Pitch()} {
			if !(v > 0) || math.IsInf(v, 0) {
				t.Fatalf("%+v: length %g, resistance %g, volume %g, moment %g, pitch %g", s, c.Length(), c.Resistance(293.15), c.CopperVolume(), c.MagneticMoment(), c.Pitch())
			}
		}
	})
}

// Nothing lies within the free radius: no track's edge and no via's copper, in any
// layer; and something touches it.
func TestFreeRadius(t *testing.T) {
	for _, layers := range []int{1, 2, 3, 4, 8} {
		for _, shape := range Shapes() {
			c := build(t, Spec{
				Shape: shape, Outer: 12e-3, Turns: 8, CornerRadius: 2e-3, Track: 6 * mil, Gap: 6 * mil,
				Layers: board(t, layers), ViaDrill: 0.2e-3, ViaPlating: 20e-6,
			})
			nearest := math.Inf(1)
			for i, track := range c.Tracks(0) {
				inner := 0
				for k := 1; k < len(track); k++ {
					a, b := track[k-1], track[k]
					d := r3.Sub(b, a)
					f := min(1, max(0, -(a.X*d.X+a.Y*d.Y)/(d.X*d.X+d.Y*d.Y)))
					r := math.Hypot(a.X+f*d.X, a.Y+f*d.Y)
					if r < c.Spec().Inner/2 { // the link to a via
						inner++
						continue
					}
					nearest = min(nearest, r-c.spec.Track/2)
				}
				if inner > 2 {
					t.Errorf("%s, layer %d: %d pieces of track in the free middle", shape, i, inner)
				}
			}
			for _, v := range c.Vias() {
				nearest = min(nearest, math.Hypot(v.X, v.Y)-v.Pad/2)
			}
			if free := c.FreeRadius(); free > nearest+1e-6 || free < nearest-0.6*c.spec.pitch() {
				t.Errorf("%s, %d layers: free radius %.4g mm, copper begins at %.4g mm", shape, layers, free*1e3, nearest*1e3)
			}
		}
	}
}

package render

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
	"lodegrid/array/equalise"
	"lodegrid/array/grid"
	"lodegrid/array/handover"
	"lodegrid/array/hold"
	"lodegrid/array/pixel"
	"lodegrid/field/quantity"
	"lodegrid/scenes"
	"lodegrid/scenes/studies"
)

func gridOf(t *testing.T, changes ...design.Change) *grid.Grid {
	t.Helper()
	d, err := design.Read("test.toml", strings.NewReader(`
[grid]
cols = 4
rows = 3
pitch = "12 mm"
[board]
layers = 4
[coil]
outer = "10 mm"
turns = 12
layers = 4
[iron]
model = "none"
[fluid]
height = "2 mm"
tank_gap = "2 mm"
`))
	if err != nil {
		t.Fatal(err)
	}
	if d, err = d.With(changes...); err != nil {
		t.Fatal(err)
	}
	g, err := grid.New(t.Context(), d, 6)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

func text(t *testing.T, s Section) string {
	t.Helper()
	var b bytes.Buffer
	doc := Document{Kind: "test", Sections: []Section{s}}
	if err := doc.WriteJSON(&b); err != nil {
		t.Fatal(err)
	}
	if err := doc.WriteText(&b, false); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// The sections say what the grid computed, and can be written.
func TestMarginSection(t *testing.T) {
	g := gridOf(t)
	m, err := studies.SearchMargins(t.Context(), g, hold.Search{Seed: 3})
	if err != nil {
		t.Fatal(err)
	}
	s := MarginSection(g.Design, m)
	least := math.Inf(1)
	for k, p := range m.Places {
		least = math.Min(least, p.OffMargin)
		if row := s.Tables[0].Rows[k]; row[1].Value != p.FalseOn || row[4].Value != p.FalseOff || row[2].Value != p.OnBound || row[5].Value != p.OffBound {
			t.Errorf("row %d shows %v and %v, computed %g and %g", k, row[1].Value, row[4].Value, p.FalseOn, p.FalseOff)
		}
	}
	if s.Facts[1].Value != least {
		t.Errorf("facts %+v, least margin %g", s.Facts, least)
	}
	if out := text(t, s); !strings.Contains(out, "that a search found") {
		t.Errorf("the search is not told: %s", out)
	}
	// What has no number says why.
	find := func(s Section, key string) Fact {
		for _, f := range s.Facts {
			if f.Key == key {
				return f
			}
		}
		t.Fatalf("no fact %s", key)
		return Fact{}
	}
	m.Drive = hold.DriveLimit{Limited: true, Place: [2]int{1, 2}}
	m.Pitch.Pitch, m.Pitch.Most, m.Pitch.Proven = math.Inf(1), 48e-3, math.Inf(1)
	m.Places[0].OnBound, m.Places[0].OffBound = math.Inf(1), 0
	m.Groups = hold.Groups{Tried: 16, Alone: 3}
	s = MarginSection(g.Design, m)
	if row := s.Tables[0].Rows[0]; row[2].Value != Undecided || row[5].Value != Undecided {
		t.Errorf("what is not proven shows %v and %v", row[2], row[5])
	}
	for key, want := range map[string]Fact{
		"smallest_pitch_m":       {Value: Undecided, Text: "proven of no pitch tried up to 48 mm"},
		"largest_duty":           {Value: None, Text: "none: a dark pixel at row 2, column 3 keeps a drop at every duty"},
		"largest_duty_found":     {Value: None, Text: "none"},
		"smallest_pitch_found_m": {Value: Undecided, Text: "none up to 48 mm"},
		"groups":                 {Value: Undecided, Text: "none of up to 16 regular groups keeps the limits"},
	} {
		if f := find(s, key); f.Value != want.Value || f.Text != want.Text {
			t.Errorf("%s: %v, %q", key, f.Value, f.Text)
		}
	}
	m.Groups = hold.Groups{Alone: g.Design.Limits.Hold / 2}
	if f := find(MarginSection(g.Design, m), "groups"); f.Value != None || !strings.Contains(f.Text, "cannot mend") {
		t.Errorf("a pixel that does not hold alone: %v, %q", f.Value, f.Text)
	}
	m.Groups, m.GroupHold = hold.Groups{Found: true, Alone: 3, Count: 6, Across: 3, Down: 2, Shift: 1, Tried: 6}, 2.5
	m.Drive, m.Pitch.Pitch = hold.DriveLimit{Limited: true, Duty: 0.1239, Place: [2]int{0, 0}}, 11e-3
	s = MarginSection(g.Design, m)
	if f := find(s, "groups"); f.Value != 6 || f.Text != "6: repeats every 3 columns and every 2 rows moved by 1 columns; least hold 2.5" {
		t.Errorf("groups: %v, %q", f.Value, f.Text)
	}
	if f := find(s, "largest_duty"); f.Value != Undecided || f.Text != "proven of no duty tried" {
		t.Errorf("nothing proven: %+v", f)
	}
	if f := find(s, "largest_duty_found"); !strings.HasPrefix(f.Text, "12.3 %") { // down, to the safe side
		t.Errorf("largest duty found: %q", f.Text)
	}
	m.Drive.Proven = 0.1039
	if f := find(MarginSection(g.Design, m), "largest_duty"); f.Value != 0.1039 || !strings.HasPrefix(f.Text, "10.3 % (") {
		t.Errorf("proven: %+v", f)
	}
}

func TestHandoverSection(t *testing.T) {
	g := gridOf(t)
	h, err := handover.All(t.Context(), g)
	if err != nil {
		t.Fatal(err)
	}
	s := HandoverSection(g, h, nil)
	if s.Facts[0].Value != h.Failing || s.Facts[1].Value != h.FrameTime || len(s.Tables[0].Rows) != 4*int(handover.Schemes) {
		t.Errorf("%+v", s)
	}
	k := 0
	middle := g.Design.Pixel(g.Design.Grid.Rows/2, g.Design.Grid.Cols/2)
	for _, e := range h.Edges[middle] {
		for scheme := range handover.Schemes {
			p := e.Passages[scheme]
			row := map[string]any{"scheme": scheme.String(), "at": p.RatioAt, "barrier_j": p.Barrier, "end": string(p.End), "time_s": any(None)}
			if p.Taken {
				row["time_s"] = p.Time
			}
			sameRow(t, s.Tables[0], k, row)
			k++
		}
	}
	if out := text(t, s); strings.Contains(out, "not decided") || s.Facts[2].Value != 0 {
		t.Errorf("all are decided:\n%s", out)
	}
	some := *h
	some.Undecided = 2
	if f := HandoverSection(g, &some, h).Facts[2]; f.Key != "undecided_handovers" || f.Value != 2 || !strings.HasPrefix(f.Text, "2 of 34: ") {
		t.Errorf("two undecided: %+v", f)
	}
	for set, want := range map[string]string{"fluid.density_difference=50 kg/m³": "sinking speed without field: 4 mm/s", "fluid.density_difference=-50 kg/m³": "rising speed without field: 4 mm/s",
		"fluid.density_difference=0 kg/m³": "sinking speed without field: none: both liquids", "heat.orientation=face-up": "sinking speed without field: none: the display lies"} {
		d, err := g.Design.With(change(t, set)...)
		if err != nil {
			t.Fatal(err)
		}
		if f := sinks(d, quantity.Derived{Value: 4e-3}); !strings.HasPrefix(f.Label+": "+f.Text, want) || f.Value != 4e-3 {
			t.Errorf("%s: %+v", set, f)
		}
	}
	some.FrameTime = 2
	for set, want := range map[string]string{"scene.frame_time=300 ms|scene.speed=0.5": "last 600 ms)", "scene.frame_time=0 s": "arrived", "scene.carry=true": "carries them)"} {
		d, err := g.Design.With(change(t, strings.Split(set, "|")...)...)
		if err != nil {
			t.Fatal(err)
		}
		other := g.With(d)
		if f := fact(t, HandoverSection(other, &some, nil), "frame_time_s"); !strings.HasSuffix(f.Text, want) {
			t.Errorf("%s: %s", set, f.Text)
		}
	}
	firm, err := g.Design.With(change(t, "fluid.contact_line=0 mN/m to 200 mN/m")...)
	if err != nil {
		t.Fatal(err)
	}
	held := g.With(firm)
	gripped, err := handover.Gripped(t.Context(), held)
	if err != nil {
		t.Fatal(err)
	}
	if f := fact(t, HandoverSection(held, h, gripped), "failing_handovers_gripped"); f.Value != 34 || !strings.HasPrefix(f.Text, "34 of 34 fail") {
		t.Errorf("held by more than any pull: %+v", f)
	}
	if none, err := handover.Gripped(t.Context(), gridOf(t, change(t, "fluid.contact_line=1 mN/m")...)); none != nil || err != nil {
		t.Errorf("one figure for the contact line: %+v, %v", none, err)
	}
	if out := text(t, s); !strings.Contains(out, "both on") {
		t.Error(out)
	}
	m := HandoverMap(g.Design, h)
	if _, err := m.Draw(400); err != nil {
		t.Error(err)
	}
	red := 0
	for _, a := range m.Arrows {
		if a.Color == failing {
			red++
		}
		if math.Abs(math.Hypot(a.DX, a.DY)/g.Design.Grid.Pitch-0.68) > 1e-9 {
			t.Errorf("an arrow goes %g, %g", a.DX, a.DY)
		}
	}
	if red != h.Failing || len(m.Arrows) != 34 {
		t.Errorf("%d of %d arrows are red for %d failing sides of 34", red, len(m.Arrows), h.Failing)
	}
	// Each goes from its pixel to the neighbour, keeps to the right and has its time's colour.
	k = 0
	for _, sides := range h.Edges {
		for _, e := range sides {
			if e == nil {
				continue
			}
			a, from, to := m.Arrows[k], g.Center(e.From/m.Cols, e.From%m.Cols), g.Center(e.To/m.Cols, e.To%m.Cols)
			right := r3.Vec{X: to.Y - from.Y, Y: from.X - to.X}
			off := r3.Sub(r3.Vec{X: a.X + a.DX/2, Y: a.Y + a.DY/2, Z: from.Z}, r3.Scale(0.5, r3.Add(from, to)))
			if along := a.DX*(to.X-from.X) + a.DY*(to.Y-from.Y); along <= 0 || math.Abs(r3.Norm(off)-0.11*m.Pitch) > 1e-9 || r3.Dot(off, right) <= 0 {
				t.Errorf("%d to %d: an arrow from %g, %g by %g, %g", e.From, e.To, a.X, a.Y, a.DX, a.DY)
			}
			if p := e.Passages[handover.Switch]; p.Taken && a.Color != pace.At(p.Time/h.FrameTime) {
				t.Errorf("%d to %d: %v for %g s of %g s", e.From, e.To, a.Color, p.Time, h.FrameTime)
			}
			k++
		}
	}
	// A pixel alone hands nothing over, and is drawn all the same.
	alone := g.Design
	alone.Grid.Rows, alone.Grid.Cols = 1, 1
	if _, err := HandoverMap(alone, &handover.Table{Edges: make([][4]*handover.Edge, 1)}).Draw(400); err != nil {
		t.Error(err)
	}
}

// An equalised scene is told as it was computed.
func TestEqualiseSection(t *testing.T) {
	e := studies.Equalised{
		Brightness: 0.8127, Before: 2e-4, After: 1e-6, WorstBefore: 3e-4, WorstAfter: 2e-6, PowerBefore: 2, PowerAfter: 2.5, Converged: true, Gap: 3e-7,
		Frames: []studies.EqualisedFrame{{Frame: 4, Before: equalise.Result{RMS: 2e-4, Worst: 3e-4}, After: equalise.Result{RMS: 1e-6, Worst: 2e-6, AtLow: 2, AtHigh: 3}, PowerBefore: 2, PowerAfter: 2.5}},
	}
	s := EqualiseSection(scenes.Scene{Name: "half"}, e)
	out := text(t, s)
	for _, want := range []string{"81.2 % of a pixel's own field", "0.2 mT rms, 0.3 mT at worst", "2 W to 2.5 W: costs 500 mW", "but for less than a millionth of the picture's"} {
		if !strings.Contains(strings.Join(strings.Fields(out), " "), want) {
			t.Errorf("%q is missing in %s", want, out)
		}
	}
	if row := s.Tables[0].Rows[0]; row[0].Value != 5 || row[7].Value != 5 {
		t.Errorf("the row is %v", row)
	}
	e.PowerAfter, e.Converged = 1.5, false
	if out := text(t, EqualiseSection(scenes.Scene{}, e)); !strings.Contains(out, "saves 500 mW") || !strings.Contains(out, "stopped before its goal") {
		t.Error(out)
	}
}

func TestBiasSection(t *testing.T) {
	g := gridOf(t, design.Change{Key: "magnet.kind", Value: "pixel"}, design.Change{Key: "magnet.diameter", Value: "4 mm"}, design.Change{Key: "magnet.length", Value: "2 mm"})
	spread, err := g.BiasSpread(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	s := BiasSection(g.Design, spread)
	if got, want := s.Facts[0].Value.(float64), g.BiasAt(1, 2).Z; math.Abs(got-want) > 1e-9*math.Abs(want) {
		t.Errorf("middle %g, BiasAt says %g", got, want)
	}
	text(t, s)
	spread.EdgeRatio = math.NaN() // no pixel but outermost ones
	if f := BiasSection(g.Design, spread).Facts; f[len(f)-1].Key != "edge_ratio" || f[len(f)-1].Value != None {
		t.Errorf("without inner pixels: %+v", f[len(f)-1])
	}
}

// The field's and the fluid's section tell one pull.
func TestOnePull(t *testing.T) {
	for _, g := range []*grid.Grid{gridOf(t), gridOf(t, design.Change{Key: "coil.shape", Value: "square"}, design.Change{Key: "magnet.kind", Value: "pixel"})} {
		find := func(s Section) (f Fact) {
			for _, f := range s.Facts {
				if f.Key == "pull_n" {
					return f
				}
			}
			return Fact{}
		}
		a, b := find(FieldSection(g)), find(FluidSection(g))
		if a.Value != b.Value || a.Text != b.Text || a.Value != hold.PullOf(g).Whole.Value {
			t.Errorf("pull %v (%s) on the board's page, %v (%s) on the fluid's, computed %g", a.Value, a.Text, b.Value, b.Text, hold.PullOf(g).Whole.Value)
		}
	}
}

// A pixel alone has no neighbours to tell of.
func TestAlonePixel(t *testing.T) {
	g := gridOf(t, design.Change{Key: "grid.cols", Value: "1"}, design.Change{Key: "grid.rows", Value: "1"})
	h, err := handover.All(t.Context(), g)
	if err != nil {
		t.Fatal(err)
	}
	hops := HandoverSection(g, h, nil)
	if rows := table(t, hops, "passages").Rows; len(rows) > 0 || !strings.HasPrefix(fact(t, hops, "frame_time_s").Text, "none:") {
		t.Errorf("%+v, %+v", rows, hops.Facts)
	}
	if rows := table(t, CrosstalkSection(g, 3), "neighbours").Rows; len(rows) > 0 {
		t.Errorf("%+v", rows)
	}
}

// With coils in series the pattern is one of whole strings: said beside it.
func TestPatternsOfStringsInWords(t *testing.T) {
	for _, c := range []struct {
		series string
		said   bool
	}{{"1", false}, {"2", true}} {
		s := CrosstalkSection(trial.Build(t, grid.New, 1, "grid.cols=2", "grid.rows=2", "drive.in_series="+c.series), 1)
		if strings.Contains(s.Notes[0], "2 coils in series on an output light together") != c.said {
			t.Errorf("%s in series: %s", c.series, s.Notes[0])
		}
	}
}

// A square coil over metal with steel behind it: that the drive leaves the steel out is told.
func TestSteelBehindMetalInWords(t *testing.T) {
	for _, c := range []struct {
		shape string
		left  bool
	}{{"round", false}, {"square", true}} {
		d := trial.Design(t, "board.laminate=aluminium", "board.layers=1", "board.layers_on_offer=[1]", "coil.layers=1", "iron.model=image", "coil.shape="+c.shape)
		p, err := pixel.New(t.Context(), d, d.Fluid.Height)
		if err != nil {
			t.Fatal(err)
		}
		if notes := strings.Join(coilSection(t, d, p).Notes, " "); strings.Contains(notes, "leaves out the steel behind the board's metal") != c.left {
			t.Errorf("%s, eddy currents in %s: %s", c.shape, p.Eddy.Of, notes)
		} else if off := fmt.Sprintf("may be off by %.2g %%.", 100*p.Eddy.Alike); strings.Contains(notes, "may be off by") != c.left || c.left && !strings.Contains(notes, off) {
			t.Errorf("%s stands in by %g: %s", c.shape, p.Eddy.Alike, notes)
		}
	}
}

func coilSection(t *testing.T, d design.Design, p pixel.Pixel) Section {
	t.Helper()
	return CoilSection(d, p)
}

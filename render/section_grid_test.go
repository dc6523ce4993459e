package render

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"lodegrid/array"
	"lodegrid/array/design"
	"lodegrid/scenes"
)

func gridOf(t *testing.T, changes ...design.Change) *array.Grid {
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
	g, err := array.Build(t.Context(), d, 6)
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
	s, err := MarginSection(t.Context(), g, array.Search{Seed: 3})
	if err != nil {
		t.Fatal(err)
	}
	margins, err := g.Margins(t.Context(), array.Search{Seed: 3}, g.TypicalPlaces())
	if err != nil {
		t.Fatal(err)
	}
	least := math.Inf(1)
	for k, m := range margins {
		least = math.Min(least, m.OffMargin)
		if row := s.Tables[0].Rows[k]; row[1].Value != m.FalseOn || row[3].Value != m.FalseOff {
			t.Errorf("row %d shows %v and %v, computed %g and %g", k, row[1].Value, row[3].Value, m.FalseOn, m.FalseOff)
		}
	}
	if s.Facts[1].Value != least || len(s.Facts) != 7 {
		t.Errorf("facts %+v, least margin %g", s.Facts, least)
	}
	if out := text(t, s); !strings.Contains(out, "come from a search") {
		t.Errorf("the search is not told: %s", out)
	}
}

func TestHandoverSection(t *testing.T) {
	g := gridOf(t)
	h, err := g.Handovers(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	s := HandoverSection(g, h)
	if s.Facts[0].Value != h.Failing || s.Facts[1].Value != h.FrameTime || len(s.Tables[0].Rows) != 4*int(array.Schemes) {
		t.Errorf("%+v", s)
	}
	if out := text(t, s); !strings.Contains(out, "both on") {
		t.Error(out)
	}
	m := HandoverMap(g.Design, h)
	if _, err := m.Draw(400); err != nil {
		t.Error(err)
	}
	if len(m.Marks) != h.Failing {
		t.Errorf("%d marks for %d failing sides", len(m.Marks), h.Failing)
	}
}

func TestMarginMapMirrors(t *testing.T) {
	g := gridOf(t)
	m := MarginMap(g.Design, []array.Margin{{Row: 0, Col: 0, FalseOff: 3}, {Row: 2, Col: 1, FalseOff: 5}}, "t", func(m array.Margin) float64 { return m.FalseOff })
	at := func(row, col int) float64 { return m.Values[row*12*m.Cols+col*12] }
	if at(0, 0) != 3 || at(0, 3) != 3 || at(2, 1) != 5 || at(2, 2) != 5 || at(1, 1) != 0 {
		t.Errorf("%g %g %g %g %g", at(0, 0), at(0, 3), at(2, 1), at(2, 2), at(1, 1))
	}
}

func TestEqualiseSection(t *testing.T) {
	g := gridOf(t)
	scene := scenes.Scene{Name: "half", Rows: 3, Cols: 4, Frames: []scenes.Frame{
		{Levels: []float64{0, 0, 0, 0, 0.8, 0.8, 0.8, 0.8, 0.8, 0.8, 0.8, 0.8}, Duration: 1},
		{Levels: []float64{0, 0, 0, 0, 0, 0, 0, 0, 0.8, 0.8, 0.8, 0.8}, Duration: 1},
	}}
	s, err := EqualiseSection(t.Context(), g, scene, 0)
	if err != nil {
		t.Fatal(err)
	}
	bright, before, after := s.Facts[0].Value.(float64), s.Facts[1].Value.(float64), s.Facts[2].Value.(float64)
	if !(after < before/5) || !(bright > 0.5 && bright <= 1) || after > 0.01*g.OwnField(1) || len(s.Tables[0].Rows) != 2 {
		t.Errorf("miss %g before, %g after", before, after)
	}
	if out := text(t, s); !strings.Contains(out, "duality gap") {
		t.Error(out)
	}
	scene.Cols = 5
	if _, err := EqualiseSection(t.Context(), g, scene, 0); err == nil {
		t.Error("a scene of another size passes")
	}
}

func TestBiasSection(t *testing.T) {
	none, err := BiasSection(t.Context(), gridOf(t))
	if err != nil || len(none.Facts) != 0 || len(none.Notes) != 1 {
		t.Errorf("without magnets %+v, %v", none, err)
	}
	g := gridOf(t, design.Change{Key: "magnet.kind", Value: "pixel"}, design.Change{Key: "magnet.diameter", Value: "4 mm"}, design.Change{Key: "magnet.length", Value: "2 mm"})
	s, err := BiasSection(t.Context(), g)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := s.Facts[0].Value.(float64), g.BiasAt(1, 2).Z; math.Abs(got-want) > 1e-9*math.Abs(want) {
		t.Errorf("middle %g, BiasAt says %g", got, want)
	}
	text(t, s)
}

// The field's and the fluid's section tell one pull.
func TestOnePull(t *testing.T) {
	for _, g := range []*array.Grid{gridOf(t), gridOf(t, design.Change{Key: "coil.shape", Value: "square"}, design.Change{Key: "magnet.kind", Value: "pixel"})} {
		find := func(s Section) (f Fact) {
			for _, f := range s.Facts {
				if f.Key == "pull_n" {
					return f
				}
			}
			return Fact{}
		}
		a, b := find(FieldSection(g)), find(FluidSection(g))
		if a.Value != b.Value || a.Text != b.Text || a.Value != g.Pull().Whole.Value {
			t.Errorf("pull %v (%s) on the board's page, %v (%s) on the fluid's, computed %g", a.Value, a.Text, b.Value, b.Text, g.Pull().Whole.Value)
		}
	}
}

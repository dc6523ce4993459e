package winding

import (
	"encoding/json"
	"math"
	"os"
	"testing"
)

type resolved struct {
	Name      string  `json:"name"`
	Thickness float64 `json:"thickness_m"`
	Layers    int     `json:"layers"`
	Copper    float64 `json:"copper_m"`
	Track     float64 `json:"track_m"`
	Gap       float64 `json:"gap_m"`
	Turns     int     `json:"turns"`
	Inner     float64 `json:"first_turn_inner_radius_m"`
	Steel     float64 `json:"steel_m"`
	Film      float64 `json:"film_m"`
	Core      float64 `json:"core_radius_m"`
	Pitch     float64 `json:"pitch_m"`
}

func (r resolved) coil(reach float64) *Coil {
	copper := Material{391, 391, 8890 * 385}
	laminate := Material{1.059, 0.343, 1850 * 950}
	steel := Material{50, 50, 7870 * 481}
	c := &Coil{Copper: copper, Core: steel, CoreOut: r.Core, Cell: r.Pitch / math.Sqrt(math.Pi), Front: 7.6, Back: 10}
	c.Reach = max(c.Cell, reach*r.Pitch)
	for i := range r.Turns {
		at := r.Inner + float64(i)*(r.Track+r.Gap)
		c.Rings = append(c.Rings, Ring{at, at + r.Track, 1})
	}
	for i := range r.Layers {
		if i > 0 {
			c.Layers = append(c.Layers, Layer{Thickness: (r.Thickness - float64(r.Layers)*r.Copper) / float64(r.Layers-1), Body: laminate})
		}
		c.Layers = append(c.Layers, Layer{Thickness: r.Copper, Body: laminate, Copper: true, Share: 1 / float64(r.Layers), Plane: 0.0305})
	}
	if r.Film > 0 {
		c.Layers = append(c.Layers, Layer{Thickness: r.Film, Body: Material{0.2, 0.2, 1200 * 1000}})
	}
	if r.Steel > 0 {
		c.Layers = append(c.Layers, Layer{Thickness: r.Steel, Body: steel})
	}
	return c
}

func cases(t *testing.T, file string) []resolved {
	t.Helper()
	text, err := os.ReadFile("../../../testdata/heat/" + file)
	if err != nil {
		t.Fatal(err)
	}
	var f struct {
		Cases []resolved `json:"cases"`
	}
	if err := json.Unmarshal(text, &f); err != nil {
		t.Fatal(err)
	}
	return f.Cases
}

// The mesh against one of half its cells' size: what the program prints rests on the
// coarser, whose hottest turn is too hot while a pulse is short.
func TestMesh(t *testing.T) {
	times := []float64{1e-3, 1e-2, 0.1, 1, 10, 100, 1000}
	for _, r := range cases(t, "resolved_other.json")[1:3] {
		coarse, err := r.coil(7.1).respond(t.Context(), times, 1)
		if err != nil {
			t.Fatal(err)
		}
		fine, err := r.coil(7.1).respond(t.Context(), times, 2)
		if err != nil {
			t.Fatal(err)
		}
		for i, x := range times {
			off := coarse.Hottest[i]/fine.Hottest[i] - 1
			t.Logf("%s at %g s: the hottest turn %.4g K/W, %+.1f %%", r.Name, x, coarse.Hottest[i], 100*off)
			if most := map[bool]float64{true: 0.22, false: 0.07}[x < 0.05]; off < 0 || off > most {
				t.Errorf("%s: %+.1f %% after %g s, want 0 to %g", r.Name, 100*off, x, 100*most)
			}
		}
	}
}

// All that the coil makes leaves by the faces: with every coil on, the mean of what they
// give off is the power, and with a board that conducts without resistance the copper's
// rise is 1/(h A).
func TestPerfectBoard(t *testing.T) {
	c := cases(t, "resolved_other.json")[2].coil(0)
	best := Material{1e9, 1e9, 1e6}
	c.Copper = best
	for i := range c.Layers {
		c.Layers[i].Body = best
	}
	got, err := c.Respond(t.Context(), []float64{1e-3, 1, 1e4})
	if err != nil {
		t.Fatal(err)
	}
	want := 1 / (17.6 * math.Pi * c.Cell * c.Cell)
	if m := got.Ever.Mean[0]; math.Abs(m/want-1) > 1e-6 {
		t.Errorf("%g K/W, want %g", m, want)
	}
	heat := 0.0
	for _, s := range c.Layers {
		heat += s.Thickness * 1e6 * math.Pi * c.Cell * c.Cell
	}
	if m, w := got.Mean[1], want*-math.Expm1(-1/(want*heat)); math.Abs(m/w-1) > 1e-4 {
		t.Errorf("after a second %g K/W, want %g", m, w)
	}
}

package grid

import (
	"math"
	"slices"
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
	"lodegrid/field/material"
)

// What lies between a coil and its driver, by hand from the drawing's lengths: each pixel's two
// tracks, and its leads. A display made from the grid keeps the board, and another current
// draws another only where it asks for a wider track.
func TestDrawn(t *testing.T) {
	g := trial.Build(t, New, 0, "drive.place=edge", "board.layers=8", "supply.voltage=6 V")
	made, err := g.Drawn(t.Context())
	if err != nil || made.Board == nil || len(made.Board.Ways) != 2*g.Design.Pixels() {
		t.Fatalf("%+v, %v", made.Ways, err)
	}
	cold, err := g.Resistances(293.15)
	if err != nil {
		t.Fatal(err)
	}
	want := slices.Repeat([]float64{g.Pixel.Coil.Resistance(293.15) + made.Net.Leads}, g.Design.Pixels())
	for _, w := range made.Board.Ways {
		copper := g.Design.Board.CopperInner
		if w.Track.Layer == 0 || w.Track.Layer == g.Design.Board.Layers-1 {
			copper = g.Design.Board.CopperOuter
		}
		want[w.Row*g.Design.Grid.Cols+w.Col] += material.AnnealedCopper.Resistivity * w.Track.Length() / (w.Track.Width * copper)
	}
	for i, r := range cold {
		if math.Abs(r/want[i]-1) > 1e-12 {
			t.Errorf("pixel %d: %.6g Ω, by hand %.6g", i, r, want[i])
		}
	}
	if slices.Max(cold) < slices.Min(cold)*1.0005 {
		t.Errorf("all pixels' tracks are alike: %.6g to %.6g Ω", slices.Min(cold), slices.Max(cold))
	}
	at := func(duty float64, changed bool) *Drawn {
		d := g.Design
		d.Drive.MaxDuty = duty
		h := g.With(d)
		if changed {
			h, err = g.Changed(t.Context(), d)
		}
		if err != nil {
			t.Fatal(err)
		}
		other, err := h.Drawn(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		return other
	}
	own := g.Design.Drive.MaxDuty
	if at(own, true) != made || at(own/4, false) != made {
		t.Error("a display made from the grid draws its board again")
	}
	if other := at(own/4, true); other == made || !(other.Ways.Width < made.Ways.Width) || !(other.Led[0] > made.Led[0]) {
		t.Errorf("tracks of %g m at a quarter of the current, %g m before", other.Ways.Width, made.Ways.Width)
	}
	small, err := g.Trial(t.Context(), g.Design)
	if err != nil {
		t.Fatal(err)
	}
	if bare, err := small.Drawn(t.Context()); err != nil || bare.Led != nil {
		t.Errorf("a trial's board is drawn: %v, %v", bare, err)
	}
	near := g.Design
	near.Drive.OnResistance *= 1.1
	if h, err := g.Near(t.Context(), near); err != nil || h.drawing != g.drawing {
		t.Errorf("a display near it has another board, %v", err)
	}
}

// Where drivers sit behind their pixels there are leads alone, and where a board cannot be
// drawn nothing is counted.
func TestDrawnBehind(t *testing.T) {
	for place, changes := range map[string][]string{"back": {"drive.place=back"}, "any": {"drive.place=any"}, "misfit": {"drive.place=any", "order.wire_drill=3 mm"}} {
		g := trial.Build(t, New, 0, changes...)
		made, err := g.Drawn(t.Context())
		if err != nil {
			t.Fatal(place, err)
		}
		if place == "misfit" {
			if made.Misfit == nil || made.Led != nil {
				t.Errorf("%s: %v, %d leads", place, made.Misfit, len(made.Led))
			}
			continue
		}
		coil := g.Pixel.Coil.Resistance(293.15)
		for i, l := range made.Led {
			if math.Abs((l-1)*coil/made.Net.Leads-1) > 1e-9 {
				t.Errorf("%s: pixel %d has %g Ω, its leads %g", place, i, (l-1)*coil, made.Net.Leads)
			}
		}
		if len(made.Led) != g.Design.Pixels() || len(made.Board.Ways) != 0 || g.Design.Drive.Place == design.PlaceEdge {
			t.Errorf("%s: %d leads, %d ways", place, len(made.Led), len(made.Board.Ways))
		}
	}
}

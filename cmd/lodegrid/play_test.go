package main

import (
	"bytes"
	"image/gif"
	"strings"
	"testing"

	"lodegrid/array/design/trial"
	"lodegrid/render/live/scope"
	"lodegrid/scenes"
)

// What the window saves is a film and a report like those of the commands.
func TestWindowsFilmAndReport(t *testing.T) {
	d := trial.Design(t)
	lit := make([]float64, d.Pixels())
	lit[0] = 1
	s := scope.Pictures{Scene: scenes.Scene{Name: "one", Rows: d.Grid.Rows, Cols: d.Grid.Cols, Frames: []scenes.Frame{{Levels: lit, Duration: 0.5}}}}
	var film, page bytes.Buffer
	if err := filmTo(t.Context(), d, s, &film); err != nil {
		t.Fatal(err)
	}
	if g, err := gif.DecodeAll(&film); err != nil || len(g.Image) != 6 {
		t.Errorf("half a second is a film of %v, %v", g, err)
	}
	if err := reportTo(t.Context(), d, s, &page); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(page.String(), "<html") || !strings.Contains(page.String(), d.Name) {
		t.Error("the report is no page, or of another design")
	}
}

package main

import (
	"path/filepath"
	"strings"
	"testing"

	"lodegrid/array/design/trial"
	"lodegrid/array/grid"
	"lodegrid/scenes/player"
	"lodegrid/scenes/shown"
)

// The tank judges what shows of a report that asks for it: its section, its word in the
// problem, its pictures on the page.
func TestReportJudgedByTheTank(t *testing.T) {
	page := filepath.Join(t.TempDir(), "report.html")
	args := []string{"report", smallDesign, "--scene", "walk", "--set", "limits.shown=90 %", "--fluid", "--cells", "8", "--html", page}
	lode(args...).want(t, exitLimit, "out:What shows, by the tank", "out:(tank).", "out:tank: 8 cells per pitch")
	text := readFile(t, page)
	if n := strings.Count(text, "by the tank: the fluid is on"); n < 2 || n > 1+worstFrames {
		t.Errorf("%d pictures by the tank on the page", n)
	}
	if strings.Contains(text, "by the drop model: the fluid is on") {
		t.Error("a picture by the drop model on a page that the tank judges")
	}
	lode("report", smallDesign, "--fluid", "--cells", "3").want(t, exitUsage, "--cells 3: 6…48")
}

// The worst frames are kept, each picture once, the worst first.
func TestWorstFrames(t *testing.T) {
	g, err := grid.New(t.Context(), trial.Design(t), 0)
	if err != nil {
		t.Fatal(err)
	}
	fluid, err := player.NewDroplets(g, 0)
	if err != nil {
		t.Fatal(err)
	}
	h := &pictures{}
	for k, s := range []struct {
		lit, shown int
		start      bool
	}{{0, 0, true}, {1, 3, false}, {2, 2, false}, {2, 1, false}, {2, 3, false}, {3, 4, false}, {4, 2, false}, {5, 1, false}, {6, 3, false}} {
		lit := []int{s.lit, s.lit + 1, s.lit + 2, s.lit + 3}
		h.sight(g, shown.Sight{Frame: k, Start: s.start, Wanted: 4, Shown: s.shown, Mean: float64(s.shown) / 4}, lit, shown.Drops, fluid, 1)
	}
	var got []int
	for _, w := range h.worst {
		got = append(got, w.Frame)
	}
	if len(got) != worstFrames || got[0] != 3 || got[1] != 7 || got[2] != 6 || h.still == nil {
		t.Errorf("frames %v are kept, want 3, 7 and 6; the middle's picture %v", got, h.still != nil)
	}
}

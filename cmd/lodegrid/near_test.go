package main

import (
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// How far a report's figures may be off is what whole reports of displays off by one doubt after
// the other find, nine figures in ten within a twentieth; so is how many displays keep the limits.
// What shows is told by those alone.
func TestNearbyIsThatOfWholeReports(t *testing.T) {
	t.Parallel()
	read := func(more ...string) (map[string]float64, map[string]any) {
		sds := map[string]float64{}
		section := oneDocument(t, lode(append([]string{"report", smallDesign, "--json"}, more...)...).out, "report")["doubt"].(map[string]any)
		for _, row := range section["figures"].([]any) {
			row := row.(map[string]any)
			sds[row["figure"].(string)] = row["sd"].(float64)
		}
		return sds, section
	}
	near, quick := read()
	whole, slow := read("--doubt")
	var off []float64
	for figure, sd := range whole {
		if got, told := near[figure]; told {
			off = append(off, math.Abs(got/sd-1))
		}
	}
	slices.Sort(off)
	if n := len(off); n < len(whole)*4/5 || n < 80 || off[n*9/10] > 0.05 || off[n-1] > 1.5 {
		t.Errorf("%d of %d figures are told; nine in ten within %.3f, all within %.3f", n, len(whole), off[n*9/10], off[n-1])
	}
	a, b := quick["kept_displays"].(float64), slow["kept_displays"].(float64)
	if math.Abs(a-b) > 0.02 {
		t.Errorf("%.3f of the displays keep the limits, by whole reports %.3f", a, b)
	}
	if quick["untold_figures"].(float64) <= slow["untold_figures"].(float64) || near["shown.share"] != 0 {
		t.Error("what shows is told without the scene played anew")
	}
}

// A report that plans the moves is of the display with their kick and hold: its figures are as
// doubtful as those of the same moves read from a file.
func TestNearbyIsOfThePlannedDrive(t *testing.T) {
	t.Parallel()
	moves := filepath.Join(t.TempDir(), "moves.csv")
	args := []string{movingDesign, "--set", "grid.cols=3", "--set", "grid.rows=3", "--set", "limits.shown=0 %", "--set", "limits.touch=130 °C", "--set", "limits.stray=100 %", "--set", "fluid.density_drift=0 kg/m³/K", "--set", "scene.duration=15 s"}
	timing := oneDocument(t, bare(t, append(append([]string{"carry", "--json"}, args...), "-o", moves)...), "carry")["carry"].(map[string]any)
	limits := func(more ...string) []any {
		doc, err := documentBy("report", slices.Concat(args, more), func(j *job) { j.bare = true })
		var text strings.Builder
		if err = errors.Join(err, doc.WriteJSON(&text)); err != nil {
			t.Fatal(err)
		}
		return oneDocument(t, text.String(), "report")["doubt"].(map[string]any)["limits"].([]any)
	}
	planned, read := limits("--carry"), limits("--scene", moves, "--set", fmt.Sprintf("drive.max_duty=%g %%", 100*timing["kick_duty"].(float64)), "--set", fmt.Sprintf("scene.hold_level=%g", timing["hold_level"]))
	if len(planned) != 4 || len(read) != 4 {
		t.Fatalf("%d and %d limits are told", len(planned), len(read))
	}
	for k := range planned {
		a, b := planned[k].(map[string]any), read[k].(map[string]any)
		if math.Abs(a["sd"].(float64)/b["sd"].(float64)-1) > 0.01 || b["sd"] == 0.0 {
			t.Errorf("planned %v, of the same moves %v", a, b)
		}
	}
}

package main

import (
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
	"lodegrid/array/grid"
	"lodegrid/scenes/choreograph"
	"lodegrid/scenes/player"
)

// A design that asks for it has its scene carried by every command: with the kick and the
// hold that carry works with, frames writes the levels that carry writes.
func TestDesignHasItsSceneCarried(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	levels := func(command string, args ...string) (rows []string) {
		path := filepath.Join(folder, command+".csv")
		args = append([]string{command, "../../testdata/carry/moves.toml", "--force", "-o", path, "--set", "grid.cols=4", "--set", "grid.rows=4", "--set", "drive.most_lit=16", "--set", "scene.speed=0.5", "--set", "scene.duration=12 s", "--set", "scene.frame_time=1 s"}, args...)
		bare(t, args...)
		for line := range strings.Lines(readFile(t, path)) {
			if seconds, rest, _ := strings.Cut(line, ","); !strings.HasPrefix(seconds, "#") {
				rows = append(rows, rest)
			}
		}
		return rows
	}
	planned := levels("carry", "--set", "drive.max_duty=6 %", "--kick", "32 %")
	if got := levels("frames", "--set", "scene.carry=true", "--set", "drive.max_duty=32 %", "--set", "scene.hold_level=0.1875"); !slices.Equal(got, planned) {
		t.Errorf("frames writes %.600q where carry writes %.600q", got, planned)
	}
	if lit := levels("frames", "--set", "drive.max_duty=6 %"); len(lit) >= len(planned) {
		t.Error("nothing is carried there")
	}
	lode("report", smallDesign, "--set", "scene.carry=perhaps").want(t, exitInput, "scene.carry", "true or false")
	lode("report", smallDesign, "--set", "scene.carry=true", "--set", "drive.mode=scan").want(t, exitInput, "scan")
}

// What is no number of loops, and no chance, is refused.
func TestCarryLoopsRefused(t *testing.T) {
	t.Parallel()
	for _, bad := range [][2]string{{"--loops=-1", "0…1000 is"}, {"--loops=1001", "0…1000 is"}, {"--loss=101 %", "0 % to 100 %"}, {"--loss=often", "--loss"}} {
		lode("carry", smallDesign, "-o", filepath.Join(t.TempDir(), "moves.csv"), bad[0]).want(t, exitUsage, bad[1])
	}
}

// What changes the pool, or how a drop is drawn out of it, mends no scene that begins there: the
// drops would have to be lifted anew.
func TestPoolIsNotChanged(t *testing.T) {
	t.Parallel()
	g, err := grid.New(t.Context(), trial.Design(t), 0)
	if err != nil {
		t.Fatal(err)
	}
	p, err := player.New(g)
	if err != nil {
		t.Fatal(err)
	}
	plan := (&job{}).again(choreograph.Result{Player: p, Plan: &choreograph.Plan{}, Start: &choreograph.Start{}}, choreograph.Aim{})
	for change, want := range map[string]bool{"fluid.volume=1 mL": true, "drive.max_duty=7 %": true, "scene.speed=0.5": false} {
		d, err := design.ParseChange(change)
		if err != nil {
			t.Fatal(err)
		}
		changed, err := g.Design.With(d)
		if err != nil {
			t.Fatal(err)
		}
		if _, _, _, err = plan(t.Context(), changed); err == nil || strings.Contains(err.Error(), "lift them anew") != want {
			t.Errorf("%s: %v", change, err)
		}
	}
}

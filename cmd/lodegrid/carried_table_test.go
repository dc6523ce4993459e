package main

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/spf13/pflag"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/scenes/choreograph"
	"lodegrid/scenes/player"
)

// What DEVELOPERS' table of scenes carried and just switched says is what carry computes, by the
// library that it calls: what a plan shows and how fast it may run, of three rows; with LODEGRID_CI
// of all seven, and what the tank makes of the tide, of all where that is "all".
func TestCarriedTable(t *testing.T) {
	if testing.Short() {
		t.Skip("plans scenes")
	}
	asked := os.Getenv("LODEGRID_CI")
	const seconds, cells = 16, 8
	var known *choreograph.Timing
	rows := 0
	_, table, _ := strings.Cut(readFile(t, "../../DEVELOPERS.md"), "| scene, speed | switched | carried | plan | confirmed | fastest |\n")
	for line := range strings.Lines(table) {
		told := strings.Split(strings.Trim(strings.TrimSpace(line), "|"), "|")
		if len(told) != 6 {
			break
		}
		for k := range told {
			told[k] = strings.TrimSpace(told[k])
		}
		scene, speed, ok := strings.Cut(told[0], ", ")
		if !ok {
			continue
		}
		if rows++; asked == "" && scene != "gulls.gif" && scene != "boat.gif" && scene != "walk" {
			continue
		}
		tank := asked == "all" || asked != "" && told[0] == "tide, 1"
		d, err := design.ReadFile("../../testdata/carry/moves.toml")
		if err != nil {
			t.Fatal(err)
		}
		if d, err = d.With(design.Change{Key: "drive.max_duty", Value: "6 %"}, design.Change{Key: "scene.speed", Value: speed}); err != nil {
			t.Fatal(err)
		}
		if strings.HasSuffix(scene, ".gif") {
			scene = filepath.Join("../../testdata/carry", scene)
		}
		open := sceneFlags{name: scene, fit: fits[0], flags: pflag.NewFlagSet("", pflag.ContinueOnError)}
		pictures, err := open.open(t.Context(), d)
		if err != nil {
			t.Fatal(err)
		}
		g, err := grid.New(t.Context(), d, 0)
		if err != nil {
			t.Fatal(err)
		}
		p, err := player.New(g)
		if err != nil {
			t.Fatal(err)
		}
		aim := choreograph.Aim{Options: choreograph.Defaults(), Hop: choreograph.UsualHop, Cells: cells, Tries: 1, Known: known}
		if tank {
			aim.Proof = seconds
		}
		r, err := choreograph.Carry(t.Context(), p, pictures.Scene, aim)
		if err != nil {
			t.Fatal(err)
		}
		known = &r.Plan.Timing
		var got []string
		check := func(column int, v, within float64) {
			text := told[column]
			want, err := strconv.ParseFloat(strings.TrimSuffix(text, " %"), 64)
			if strings.HasSuffix(text, "%") {
				want /= 100
			}
			got = append(got, fmt.Sprintf("%.3g", v))
			if err != nil || !(math.Abs(want-v) <= within) {
				t.Errorf("%s: the table has %s, computed is %.4g", told[0], text, v)
			}
		}
		if tank { // a few drops are chance
			p.Reset()
			light, err := choreograph.Light(t.Context(), p, pictures.Scene, seconds, cells)
			if err != nil {
				t.Fatal(err)
			}
			check(1, light, 0.03)
			check(2, r.Proof.Shown, 0.03)
			check(4, r.Proof.Share(), 0.03)
		}
		check(3, r.Plan.Shown, 0.006)
		p.Reset()
		fastest, _, err := choreograph.Fastest(t.Context(), p, pictures.Scene, r.Plan.Timing, aim.Options, choreograph.Follows)
		if err != nil {
			t.Fatal(err)
		}
		check(5, fastest, 0.04*fastest)
		t.Log(told[0], got)
	}
	if rows != 7 {
		t.Errorf("the table has %d rows", rows)
	}
}

package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// smallBoard is a board that breaks no limit and is quickly judged.
var smallBoard = []string{smallDesign, "--set", "grid.cols=3", "--set", "grid.rows=2", "--set", "drive.max_duty=3 %", "--set", "limits.hold=0.1", "--scene", "all-on"}

func ordered(args ...string) result {
	return lode(append(append([]string{"order"}, smallBoard...), args...)...)
}

// names lists a folder.
func names(t *testing.T, folder string) string {
	t.Helper()
	entries, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	var list []string
	for _, e := range entries {
		list = append(list, e.Name())
	}
	return strings.Join(list, " ")
}

// The folder is written whole, replaced when it is ours, and leaves what is not.
func TestOrder(t *testing.T) {
	t.Parallel()
	folder := filepath.Join(t.TempDir(), "order")
	ordered("-o", folder).want(t, exitOK, "out:Board to order", "out:NO LIMIT IS BROKEN")
	before := names(t, folder)
	for _, name := range []string{"README.txt", "copper-1.gbr", "copper-4.gbr", "mask-front.gbr", "mask-back.gbr", "legend-back.gbr", "outline.gbr", "plated.drl", "bare.drl", "stackup.svg", "pixel.svg", "connections.csv"} {
		if !strings.Contains(before, name) {
			t.Errorf("%s is missing among %s", name, before)
		}
	}
	// 3 × 2 pixels, two wires each.
	if text, err := os.ReadFile(filepath.Join(folder, "connections.csv")); err != nil || strings.Count(string(text), ",r1c")+strings.Count(string(text), ",r2c") != 12 || !strings.Contains(string(text), "\n5,r2c3,2,") {
		t.Errorf("%v: %s", err, text)
	}
	// A board of fewer layers leaves none of the other's behind.
	if err := os.WriteFile(filepath.Join(folder, "notes.txt"), []byte("mine"), 0o666); err != nil {
		t.Fatal(err)
	}
	ordered("--set", "board.layers=2", "--set", "coil.layers=2", "-o", folder).want(t, exitLimit, "out:Board to order", "out:written to")
	if after := names(t, folder); strings.Contains(after, "copper-3.gbr") || !strings.Contains(after, "notes.txt") {
		t.Errorf("the folder holds %s", after)
	}
	// Board data of somebody else is not replaced unasked.
	if err := os.WriteFile(filepath.Join(folder, "README.txt"), []byte("mine\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	ordered("-o", folder).want(t, exitFailure, "--force")
	ordered("-o", folder, "--force").want(t, exitOK)
}

// A board that breaks a rule of the board house, or cannot be drawn, is told with the key
// that changes it, and no folder is written.
func TestOrderRefused(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		change, says string
		code         int
	}{
		{"order.hole_spacing=0.6 mm", "out:→ order.hole_spacing", exitLimit},
		{"order.edge_clearance=9 mm", "out:→ order.mount_drill", exitLimit},
		{"order.wire_drill=4 mm", "out:→ order.wire_drill: 2.", exitLimit},
		{"order.width=30 mm", "36 mm or more", exitInput},
	} {
		folder := filepath.Join(t.TempDir(), "order")
		ordered("--set", c.change, "-o", folder).want(t, c.code, c.says)
		if _, err := os.Stat(folder); err == nil {
			t.Errorf("%s: a folder is written", c.change)
		}
	}
	ordered("-o", "-").want(t, exitUsage, "a folder is needed")
	ordered("-o", "board.zip").want(t, exitUsage, "that of a folder")
}

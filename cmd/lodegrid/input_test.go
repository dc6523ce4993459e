package main

import (
	"encoding/binary"
	"path/filepath"
	"strings"
	"testing"
)

// Bad designs: what is wrong, where, and what would be accepted.
func TestBadDesigns(t *testing.T) {
	dir := t.TempDir()
	for _, c := range []struct {
		name, file string
		texts      []string
	}{
		{"missing unit", "[coil]\ntrack = \"5\"\n", []string{":2:9: coil.track", "no unit of length", "mil"}},
		{"bare number", "[coil]\ntrack = 5\n", []string{":2:9: coil.track", "unit"}},
		{"unknown unit", "[coil]\ntrack = \"5 mn\"\n", []string{":2:9: coil.track", `unknown unit "mn"`, "mil"}},
		{"unit of another kind", "[coil]\ntrack = \"5 V\"\n", []string{":2:9: coil.track", "mil"}},
		{"unknown key", "[coil]\ntrak = \"5 mil\"\n", []string{":2:1: coil.trak", "unknown", `did you mean "track"?`}},
		{"unknown section", "[coils]\n", []string{":1:", "coils", "coil"}},
		{"negative size", "[grid]\npitch = \"-12 mm\"\n", []string{":2:9: grid.pitch", "-12 mm", "more than 0 mm"}},
		{"zero size", "[coil]\nouter = \"0 mm\"\n", []string{":2:9: coil.outer", "more than 0 mm"}},
		{"no pixels", "[grid]\nrows = 0\n", []string{":2:8: grid.rows", "0", "1 or more"}},
		{"too many pixels", "[grid]\nrows = 100000\n", []string{":2:8: grid.rows", "512"}},
		{"coil larger than the pitch", "[grid]\npitch = \"9 mm\"\n[coil]\nouter = \"10 mm\"\n", []string{":4:9: coil.outer", "10 mm", "larger than the pitch of 9 mm", "or less"}},
		{"turns that do not fit", "[coil]\nturns = 90\n", []string{":2:9: coil.turns", "90"}},
		{"track under the rule", "[coil]\ntrack = \"3 mil\"\n", []string{":2:9: coil.track", "0.0762 mm", "0.1016 mm or wider"}},
		{"duty over one", "[drive]\nmax_duty = \"101 %\"\n", []string{":2:12: drive.max_duty", "100 %"}},
		{"syntax", "[coil\n", []string{":1:"}},
		{"not text", "\xff\xfe\x00", []string{"UTF-8"}},
		{"no scene file", "[scene]\nkind = \"file\"\n", []string{"scene.file"}},
		{"two mistakes", "[coil]\ntrack = \"5 mn\"\ngap = 3\n", []string{":2:9: coil.track", ":3:7: coil.gap"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := writeFile(t, filepath.Join(dir, "bad design.toml"), c.file)
			for _, sub := range []string{"report", "design"} {
				lode(sub, path).want(t, exitInput, append(c.texts, "bad design.toml")...)
			}
		})
	}
	// What only computing the pixel shows.
	square := writeFile(t, filepath.Join(dir, "square.toml"), "[coil]\nshape = \"square\"\n[iron]\nmodel = \"fem\"\n")
	for _, sub := range []string{"report", "design", "coil"} {
		lode(sub, square).want(t, exitInput, "iron.model fem", "the coil is square", "use slab, image or a round coil")
	}
	large := writeFile(t, filepath.Join(dir, "large.toml"), "# "+strings.Repeat("x", 1<<20))
	lode("report", large).want(t, exitInput, "large.toml", "larger than")
}

func TestBadChanges(t *testing.T) {
	for _, c := range []struct {
		set   string
		texts []string
	}{
		{"coil.track", []string{"coil.track", "a key and a value"}},
		{"coil.trak=5 mil", []string{"coil.trak", "unknown key", `"coil.track"`}},
		{"coil.track=5", []string{"coil.track", "unit"}},
		{"drive.max_duty=0 %", []string{"drive.max_duty", "more than 0 %"}},
		{"scene.level=2", []string{"scene.level", "2"}},
		{"scene.level=0", []string{"level 0"}},
		{"limits.touch=20 degC", []string{"limits.touch"}},
	} {
		lode("report", smallDesign, "--set", c.set).want(t, exitInput, c.texts...)
	}
}

// Bad tanks: what no drop can be in, or no film can tell, is refused or a limit broken, with
// what would be accepted.
func TestBadTanks(t *testing.T) {
	set := func(command string, changes ...string) []string {
		args := []string{command, smallDesign}
		for _, c := range changes {
			args = append(args, "--set", c)
		}
		return args
	}
	for _, c := range []struct {
		name  string
		args  []string
		texts []string
	}{
		{"panes that touch", set("report", "heat.orientation=face-up", "tank.front=0.1 mm", "tank.front_material=polycarbonate", "fluid.tank_gap=0.1 mm", "tank.rear=1.95 mm"),
			[]string{"tank.front", "panes touch", "0.1 mm apart", "tank.spacers = "}},
		{"panes that bow out of the way", set("design", "tank.front=1 µm"), []string{"tank.front", "bow by more than they are wide", "tank.front = \"0.5 mm\" or more"}},
		{"volume larger than the tank", set("report", "fluid.volume=1 L"), []string{"fluid.volume", "more than there is between the panes", "up to"}},
		{"fluid without viscosity", set("report", "fluid.viscosity=0 Pa s"), []string{"fluid.viscosity", "more than 0 Pa s"}},
		{"carrier without viscosity", set("report", "fluid.carrier_viscosity=0 Pa s"), []string{"fluid.carrier_viscosity", "more than 0 Pa s"}},
		{"gap wider than the pitch", set("report", "fluid.height=8 mm", "fluid.tank_gap=13 mm"), []string{"fluid.tank_gap", "13 mm", "grid.pitch or less"}},
		{"merge gap under the cells", append(set("film", "fluid.merge_gap=30 µm"), "--length", "1s", "--out", filepath.Join(t.TempDir(), "x.gif")), []string{"fluid.merge_gap", "30 µm", "40 cells", "5 times the cost", "50.5 µm or more"}},
		{"spacers in the drops", set("report", "tank.spacers=5 mm"), []string{"tank.spacers", "grid.pitch or more"}},
		{"start beside the grid", set("report", "fluid.start=9,9"), []string{"fluid.start", "no pixel of 3 rows"}},
		{"floor beyond the field", set("report", "tank.bottom=13 mm"), []string{"tank.bottom", "13 mm is deeper than the field is worked out", "up to grid.pitch, 12 mm"}},
		{"less room than none", set("report", "tank.room=-1 %"), []string{"tank.room"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			lode(c.args...).want(t, exitInput, c.texts...)
		})
	}
}

// Bad scenes: every reader's error names the file and the place.
func TestBadScenes(t *testing.T) {
	dir := t.TempDir()
	gif := readFile(t, blinkScene)
	csv := readFile(t, levelTable)
	lines := strings.Split(strings.TrimSpace(csv), "\n")
	huge := []byte("GIF89a")
	huge = binary.LittleEndian.AppendUint16(huge, 65535)
	huge = binary.LittleEndian.AppendUint16(huge, 65535)
	huge = append(huge, 0x80, 0, 0, 0, 0, 0, 255, 255, 255)
	huge = append(huge, gif[strings.IndexByte(gif, ','):]...)
	for _, c := range []struct {
		name, content string
		texts         []string
	}{
		{"truncated.gif", gif[:len(gif)/2], []string{"truncated.gif"}},
		{"enormous.gif", string(huge), []string{"enormous.gif", "65535", "limit"}},
		{"header.gif", "GIF89a", []string{"header.gif"}},
		{"empty.gif", "", []string{"empty.gif", "empty"}},
		{"ragged.csv", lines[0] + "\n" + lines[1] + "\n0.5,1,0\n", []string{"ragged.csv:3", "3"}},
		{"nan.csv", strings.Replace(csv, "0.5,1,", "0.5,NaN,", 1), []string{"nan.csv:2:5", "NaN"}},
		{"over.csv", strings.Replace(csv, "0.5,1,", "0.5,1.5,", 1), []string{"over.csv:2:5", "1.5"}},
		{"word.csv", strings.Replace(csv, "0.5,1,", "0.5,on,", 1), []string{"word.csv:2:5", "on"}},
		{"still.csv", strings.Replace(csv, "\n0.5,1,", "\n0,1,", 1), []string{"still.csv:2:1", "0"}},
		{"nothing.csv", lines[0] + "\n", []string{"nothing.csv"}},
		{"notes.txt", "a picture, honestly", []string{"notes.txt", "GIF"}},
		{"scene.toml", "kind = \"tdie\"\n", []string{"scene.toml"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			path := writeFile(t, filepath.Join(dir, c.name), c.content)
			for _, sub := range []string{"report", "supply"} {
				lode(sub, smallDesign, "--scene", path).want(t, exitInput, c.texts...)
			}
		})
	}
	// A scene for another bridge: reversed levels on a low-side switch.
	reversed := writeFile(t, filepath.Join(dir, "reversed.csv"), strings.Replace(csv, "0.5,1,", "0.5,-1,", 1))
	lode("report", smallDesign, "--scene", reversed).want(t, exitOK)
	lode("report", smallDesign, "--scene", reversed, "--set", "drive.bridge=low-side").want(t, exitInput, "-1", "low-side")
	// A folder without pictures.
	lode("report", smallDesign, "--scene", t.TempDir()).want(t, exitInput, "picture")
}

// Scenes of each form are read and played: as flag, and from the design, whose paths
// count from its own folder.
func TestGoodScenes(t *testing.T) {
	t.Parallel()
	for path, frames := range map[string]float64{blinkScene: 3, levelTable: 2} {
		r := lode("report", smallDesign, "--scene", path, "--json")
		r.want(t, exitOK)
		doc := oneDocument(t, r.out, "report")
		if n := doc["scene"].(map[string]any)["frames"]; n != frames {
			t.Errorf("%s has %v frames, want %v", path, n, frames)
		}
	}
	dir := t.TempDir()
	writeFile(t, filepath.Join(dir, "blink here.gif"), readFile(t, blinkScene))
	text := readFile(t, smallDesign)
	text = text[:strings.Index(text, "[scene]")] + "[scene]\nkind = \"file\"\nfile = \"blink here.gif\"\nmapping = \"threshold\"\n"
	path := writeFile(t, filepath.Join(dir, "a sign with a name.toml"), text)
	r := lode("report", path, "--json")
	r.want(t, exitOK)
	if n := oneDocument(t, r.out, "report")["scene"].(map[string]any)["frames"]; n != 3.0 {
		t.Errorf("the design's own scene has %v frames, want 3", n)
	}
	// Flags stand above the design.
	r = lode("report", path, "--json", "--scene", "all-on", "--set", "limits.touch=200 degC")
	if n := oneDocument(t, r.out, "report")["scene"].(map[string]any)["frames"]; n != 1.0 {
		t.Errorf("all-on has %v frames, want 1", n)
	}
	lit := func(args ...string) float64 {
		r := lode(append([]string{"report", smallDesign, "--scene", blinkScene, "--json", "--mapping", "threshold"}, args...)...)
		total := 0.0
		for _, row := range oneDocument(t, r.out, "report")["scene"].(map[string]any)["worst_frames"].([]any) {
			total += row.(map[string]any)["lit"].(float64)
		}
		return total
	}
	if some, all := lit("--threshold", "0.5"), lit("--threshold", "0"); some >= all || all != 36 {
		t.Errorf("%g pixels are lit at a threshold of 0.5 and %g at 0; want fewer, and all 3 × 12", some, all)
	}
}

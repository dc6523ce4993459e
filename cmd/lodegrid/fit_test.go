package main

import (
	"os"
	"path/filepath"
	"regexp"
	"testing"
)

// A fit is printed with its doubts, and written as a design that goes by the one read and
// that other commands read.
func TestFit(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	base, fitted, chart := filepath.Join(dir, "small.toml"), filepath.Join(dir, "fitted.toml"), filepath.Join(dir, "left.svg")
	if err := os.WriteFile(base, []byte(readFile(t, smallDesign)), 0o600); err != nil {
		t.Fatal(err)
	}
	lode("fit", base, benchReadings, "-o", fitted, "--chart", chart).want(t, exitOK,
		"out:of them doubted                  2", "out:board.outer_made", "out:coil.etch apart: they", "out:+")
	lode("design", fitted).want(t, exitOK, "out:The design is valid")
	if at := regexp.MustCompile(`-0(\.0+)?([ ,\]]|$)|e-1\d`).FindString(readFile(t, fitted)); at != "" {
		t.Errorf("%q in the fitted design: less than its error tells", at)
	}
	lode("fit", base, benchReadings, "-o", base, "--force").want(t, exitUsage, "which is read")
	lode("report", fitted, "-o", base, "--force").want(t, exitUsage, "which is read") // its base
	lode("fit", base, benchReadings, "-o", fitted).want(t, exitFailure, "--force")
	lode("fit", benchReadings, "-o", filepath.Join(dir, "x.toml")).want(t, exitUsage, "none is named")
	lode("fit", base, benchReadings, "--set", "coil.turns=15", "-o", filepath.Join(dir, "x.toml")).want(t, exitUsage, "--full")
	lode("fit").want(t, exitUsage, "no readings")
	lode("fit", base, filepath.Join(dir, "none.csv")).want(t, exitInput, "none.csv")
	lode("fit", base, base).want(t, exitInput, "accepted: CSV")
	lode("fit", base, benchReadings, "--free", "coil.etch,coil.track").want(t, exitInput, `"coil.track" is not in doubt here`)
	empty := filepath.Join(dir, "empty.csv")
	lode("fit", "--new", "-o", empty).want(t, exitOK)
	lode("fit", base, empty).want(t, exitInput, "no readings")
	for name, text := range map[string]string{
		"base = \"none.toml\"\n": "none.toml",
		"base = \"loop.toml\"\n": "files go by each other",
		"base = 3\n":             "the path of a design file",
		"[[doubt]]\nkey = \"coil.track\"\nsd = \"1 mm\"\n": "cannot be in doubt",
		"[[doubt]]\nkey = \"coil.etch\"\nsd = 3\n":         "a text with a unit",
		"[[doubt]]\nkey = \"coil.etch\"\nsd = \"1 µm\"\n[[doubt]]\nkey = \"bench.probe\"\nsd = \"1 mm\"\ncorrelation = [2]\n": "between -1 and 1",
	} {
		loop := filepath.Join(dir, "loop.toml")
		if err := os.WriteFile(loop, []byte(name), 0o600); err != nil {
			t.Fatal(err)
		}
		lode("design", loop).want(t, exitInput, text)
	}
}

// A test board is proposed, with its designs, what they predict and a table that fit takes.
func TestCoupon(t *testing.T) {
	t.Parallel()
	folder := filepath.Join(t.TempDir(), "coupon")
	lode("coupon", smallDesign, "--board", "40 mm x 34 mm", "--coils", "3", "-o", folder).want(t, exitOK, "out:3 × 2 coils", "out:board.outer_made", "out:bench.probe", "out:From hole to hole")
	if text, err := os.ReadFile(filepath.Join(folder, "legend-back.gbr")); err != nil || len(text) < 1000 {
		t.Errorf("the legend: %d bytes, %v", len(text), err)
	}
	lode("coupon", smallDesign, "--board", "26 mm x 26 mm", "--coils", "3", "-o", filepath.Join(t.TempDir(), "small")).want(t, exitInput, "pads and labels")
	lode("design", filepath.Join(folder, "coil-2.toml")).want(t, exitOK, "out:The design is valid")
	lode("fit", smallDesign, filepath.Join(folder, "readings.csv")).want(t, exitInput, "no readings")
	lode("coupon", smallDesign, "--coils", "2", "-o", folder).want(t, exitFailure, "--force") // readings may be in it
	lode("coupon", smallDesign, "--board", "20 mm x 20 mm").want(t, exitInput, "room for 1 at")
	lode("coupon", smallDesign, "--board", "20 mm").want(t, exitUsage, "a width and a height")
	lode("coupon", smallDesign, "-o", "coupon.csv").want(t, exitUsage, "folder")
}

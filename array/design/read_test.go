package design

import (
	"bytes"
	"errors"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"lodegrid/field/peak"
	"lodegrid/field/tomlplace"
)

const samples = "../../testdata/designs"

func sampleFiles(t testing.TB, folder string) []string {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(samples, folder, "*.toml"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no samples in %s: %v", folder, err)
	}
	return files
}

// Each invalid sample is refused with the message in the .want file beside it.
func TestInvalidSamples(t *testing.T) {
	files := sampleFiles(t, "invalid")
	if len(files) < 50 {
		t.Errorf("only %d invalid samples", len(files))
	}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		want, err := os.ReadFile(strings.TrimSuffix(file, ".toml") + ".want")
		if err != nil {
			t.Error(err)
			continue
		}
		name := filepath.Base(file)
		_, err = Read(name, bytes.NewReader(data))
		if err == nil {
			t.Errorf("%s is accepted", name)
			continue
		}
		if got := err.Error() + "\n"; got != string(want) {
			t.Errorf("%s:\n got %swant %s", name, got, want)
		}
		var list Errors
		var one *Error
		if !errors.As(err, &list) || !errors.As(err, &one) {
			t.Errorf("%s: %T is neither Errors nor holds an *Error", name, err)
			continue
		}
		for _, e := range list {
			if e.File != name || e.Line < 1 || e.Column < 1 {
				t.Errorf("%s: error without a position: %v", name, e)
			}
		}
	}
}

func TestValidSamples(t *testing.T) {
	for _, file := range sampleFiles(t, "valid") {
		d, err := ReadFile(file)
		if err != nil {
			t.Error(err)
			continue
		}
		if err := d.Check(); err != nil {
			t.Errorf("%s reads, but its check fails: %v", file, err)
		}
		if want := filepath.Dir(file); d.Folder != want {
			t.Errorf("%s: folder %q, want %q", file, d.Folder, want)
		}
	}
}

// What the samples give is what the design holds.
func TestReadValues(t *testing.T) {
	d, err := ReadFile(filepath.Join(samples, "valid", "bench-magnets.toml"))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name      string
		got, want any
	}{
		{"name", d.Name, "Bench piece with bias magnets"},
		{"rules", d.Board.Rules.Tracks[1].Track, 254e-6},
		{"rule count", len(d.Board.Rules.Tracks), 2},
		{"outer", d.Coil.Outer, 9e-3},
		{"track from the rules", d.Coil.Track, 127e-6},
		{"via drill from the rules", d.Coil.ViaDrill, 0.3e-3},
		{"layers from the board", d.Coil.Layers, 4},
		{"µr", d.Iron.MuR, 500.0},
		{"factor from µr", d.Iron.Factor, 499.0 / 501},
		{"remanence", d.Magnet.Remanence, -1.2},
		{"kick", d.Drive.KickVoltage, 24.0},
		{"text", d.Scene.Text, `low "tide" 14:20`},
		{"warmest air by default", d.Heat.Ambient, 308.15},
		{"coldest air by default", d.Heat.AmbientLow, 288.15},
	} {
		if c.got != c.want {
			t.Errorf("%s = %v, want %v", c.name, c.got, c.want)
		}
	}
	// 3 mm asked for; package coil decides where a spiral may end, so that a little
	// more stays free: outer − 2 track − 2 turns (track + gap), 11.31 turns at most.
	if inner := 9e-3 - 2*127e-6 - 2*254e-6*d.Coil.Turns; math.Abs(inner-d.Coil.Inner) > 1e-12 || d.Coil.Inner < 3e-3 || d.Coil.Turns <= 10.31 {
		t.Errorf("turns %v, inner %v", d.Coil.Turns, d.Coil.Inner)
	}
}

// go-toml 2.4.3 lets a bare number slip into a named type; whatever the library
// does, no key of the file may take a quantity without a unit, or one of no known
// unit, and the error must point at the value.
func TestEveryQuantityNeedsItsUnit(t *testing.T) {
	quantities := 0
	for _, s := range settings {
		if s.kind.dim == nil {
			continue
		}
		quantities++
		for _, value := range []string{"5", "0.5", "-1e3", `"5"`, `"5 furlongs"`, `""`, "true", "[]", "{}", "nan", "1979-05-27"} {
			file := "[" + s.section() + "]\n" + s.name() + " = " + value + "\n"
			_, err := Read("x.toml", strings.NewReader(file))
			var list Errors
			if !errors.As(err, &list) {
				t.Errorf("%s = %s: error %v", s.key, value, err)
				continue
			}
			if e := list[0]; e.Key != s.key || e.Line != 2 || e.Column != len(s.name())+4 || e.Accept == "" {
				t.Errorf("%s = %s: error %v", s.key, value, e)
			}
		}
	}
	if quantities < 40 {
		t.Errorf("only %d keys are quantities", quantities)
	}
}

// No key takes a value of another type, and none lies outside its bounds.
func TestEveryKeyRefusesWhatItIsNot(t *testing.T) {
	for _, s := range settings {
		for _, value := range []string{"true", "1979-05-27", "{ a = 1 }", "[true]"} {
			if s.kind.measure == "true or false" && value == "true" {
				value = "1"
			}
			file := s.name() + " = " + value + "\n"
			if s.section() != "" {
				file = "[" + s.section() + "]\n" + file
			}
			if _, err := Read("x.toml", strings.NewReader(file)); err == nil || !strings.Contains(err.Error(), s.key) {
				t.Errorf("%s = %s: error %v", s.key, value, err)
			}
		}
		var beyond []string
		switch k := s.kind; {
		case k.dim != nil:
			beyond = []string{quote("-1e9 " + k.dim.SI()), quote("1e9 " + k.dim.SI())}
			if k.dim.Name() == "share" {
				beyond = []string{quote("-1 %"), quote("101 %")}
			}
			if k.bounds.open {
				beyond = append(beyond, quote(k.bounds.low), quote("1e-200 "+k.dim.SI()))
			}
		case k.measure == "number":
			beyond = []string{"-1e9", "1e9", "inf"}
			if k.bounds.open {
				beyond = append(beyond, k.bounds.low, "1e-200")
			}
		case k.measure == "whole number" && s.key != "scene.seed":
			beyond = []string{"0", "-1", "9223372036854775807"}
		case s.key == "scene.seed":
			beyond = []string{"-1"}
		case k.measure == "choice":
			beyond = []string{`"no such thing"`, `""`}
		}
		for _, value := range beyond {
			if _, err := Read("x.toml", strings.NewReader(s.key+" = "+value+"\n")); err == nil || !strings.Contains(err.Error(), s.key) {
				t.Errorf("%s = %s: error %v", s.key, value, err)
			}
		}
	}
}

// What the largest file can ask for, one way or the other.
func TestHugeFiles(t *testing.T) {
	files := map[string]string{
		"larger than the limit": strings.Repeat("# café\n", tomlplace.MaxBytes/8+1),
		"deep dotted key":       strings.Repeat("a.", tomlplace.MaxBytes/4) + "a = 1\n",
		"deep list":             "a = " + strings.Repeat("[", tomlplace.MaxBytes/4) + "\n",
		"many keys":             manyKeys(tomlplace.MaxBytes / 2),
		"many rules":            strings.Repeat("[[board.rule]]\ncopper = \"1 oz\"\n", 20000),
		"long key":              "[coil]\n" + strings.Repeat("outer", tomlplace.MaxBytes/8) + " = 1\n",
		"long text":             "name = \"" + strings.Repeat("x", tomlplace.MaxBytes/2) + "\"\n",
		"deeper dotted key":     "a" + strings.Repeat(".a", 58_000) + " = 1\n",
		"deep tables":           "coil = " + strings.Repeat("{a=", tomlplace.MaxBytes/4) + "\n",
		"long quantity":         "[coil]\nouter = \"" + strings.Repeat("1", tomlplace.MaxBytes/2) + " mm\"\n",
	}
	peak.Below(t, 100<<20, func() {
		for name, file := range files {
			_, err := Read("x.toml", strings.NewReader(file))
			var list Errors
			if !errors.As(err, &list) {
				t.Errorf("%s: error %v", name, err)
				continue
			}
			if n := len(err.Error()); n > 10000 {
				t.Errorf("%s: a message of %d bytes", name, n)
			}
		}
	})
}

func manyKeys(size int) string {
	var b strings.Builder
	for i := 0; b.Len() < size; i++ {
		b.WriteString("k" + strings.Repeat("x", i%5) + string(rune('a'+i%26)) + string(rune('a'+i/26%26)) + string(rune('a'+i/676%26)) + string(rune('a'+i/17576%26)) + " = 1\n")
	}
	return b.String()
}

func TestReadErrors(t *testing.T) {
	if _, err := ReadFile(filepath.Join(t.TempDir(), "none.toml")); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("a file that is not there: %v", err)
	}
	broken := errors.New("cable pulled")
	if _, err := Read("x.toml", brokenReader{broken}); !errors.Is(err, broken) {
		t.Errorf("a reader that fails: %v", err)
	}
}

type brokenReader struct{ err error }

func (r brokenReader) Read([]byte) (int, error) { return 0, r.err }

func FuzzRead(f *testing.F) {
	for _, folder := range []string{"valid", "invalid"} {
		for _, file := range sampleFiles(f, folder) {
			data, err := os.ReadFile(file)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(data)
		}
	}
	f.Add(DemoTOML())
	f.Add([]byte("[[board.rule]]\n[board.rule.x]\n[[board.rule]]\n[[board.rule.x]]\nrule = [{ copper = [[{}]] }]\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		d, err := Read("fuzz.toml", bytes.NewReader(data))
		if err != nil {
			if err.Error() == "" {
				t.Error("an error without a message")
			}
			return
		}
		if err := d.Check(); err != nil {
			t.Errorf("accepted, but the check fails: %v", err)
		}
		written := d.Marshal()
		back, err := Read("written.toml", bytes.NewReader(written))
		if err != nil {
			t.Fatalf("what was written is refused: %v\n%s", err, written)
		}
		if !reflect.DeepEqual(back, d) {
			t.Errorf("written and read back:\n got %+v\nwant %+v", back, d)
		}
	})
}

func BenchmarkRead(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Read("demo.toml", bytes.NewReader(demo)); err != nil {
			b.Fatal(err)
		}
	}
}

// The air is one temperature or lies between two.
func TestAmbientSpan(t *testing.T) {
	for text, want := range map[string][2]float64{
		"15 °C to 35 °C":      {288.15, 308.15},
		"40 °C":               {313.15, 313.15},
		"-4 degF to 313.15 K": {253.15, 313.15},
	} {
		d, err := lit(t).With(Change{"heat.ambient", text})
		if err != nil {
			t.Fatal(err)
		}
		for i, got := range []float64{d.Heat.AmbientLow, d.Heat.Ambient} {
			if math.Abs(got-want[i]) > 1e-9 {
				t.Errorf("%s: end %d at %g K, want %g K", text, i, got, want[i])
			}
		}
		again, err := Read("again", bytes.NewReader(d.Marshal()))
		if err != nil || again.Heat != d.Heat {
			t.Errorf("%s: read back as %+v, %v", text, again.Heat, err)
		}
	}
	for text, say := range map[string]string{
		"35 °C to 15 °C":         "runs down",
		"15 to 35 °C":            "no unit",
		"15 °C to":               "unknown unit",
		"15 °C to 35 °C to 40 K": "heat.ambient",
		"15 °C to 120 °C":        "too large",
		"-90 °C to 20 °C":        "too small",
	} {
		if _, err := lit(t).With(Change{"heat.ambient", text}); err == nil || !strings.Contains(err.Error(), say) {
			t.Errorf("%s: error %v, want one that says %q", text, err, say)
		}
	}
}

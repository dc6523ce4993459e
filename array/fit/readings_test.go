package fit

import (
	"math"
	"os"
	"strings"
	"testing"
	"time"
)

func writeFile(t *testing.T, path string, data []byte) {
	t.Helper()
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
}

func TestRead(t *testing.T) {
	list, err := Read("r.csv", strings.NewReader("# bench\nair [degF], height [mil], current [mA], field [G], ± field [G], slides [deg], ± slides [deg]\n77, 40, 250, 50, 2,,\n,,,,,30,2\n"))
	if err != nil {
		t.Fatal(err)
	}
	if len(list) != 2 || list[0].Line != 3 || list[1].Line != 4 {
		t.Fatalf("%v", list)
	}
	for _, c := range [][2]float64{
		{list[0].Air, 298.15}, {list[0].Height, 40 * 25.4e-6}, {list[0].Current, 0.25}, {list[0].Value, 5e-3}, {list[0].Error, 2e-4},
		{list[1].Value, math.Pi / 6}, {list[1].Error, math.Pi / 90},
	} {
		if math.Abs(c[0]-c[1]) > 1e-12*c[1] {
			t.Errorf("%g, want %g", c[0], c[1])
		}
	}
}

func TestReadRefuses(t *testing.T) {
	for text, want := range map[string]string{
		"":                                           "empty",
		"resistance\n11\n":                           `"resistance" has no unit; accepted: resistance [Ω]`,
		"resistance [mm]\n11\n":                      `unknown unit "mm"; accepted: Ω`,
		"resistence [ohm]\n11\n":                     `did you mean "resistance"?`,
		"resistance [ohm]\nx\n":                      "x",
		"resistance [ohm]\n\n":                       "no readings",
		"resistance [ohm]\n-3\n":                     "more than 0",
		"resistance [ohm],place\n3\n":                "1 cells in a table of 2",
		"field [mT]\n3\n":                            "without height",
		"field [mT],height [mm]\n3,1\n":              "without current or voltage",
		"temperature [°C]\n30\n":                     "without voltage",
		"slides [deg]\n95\n":                         "less than 90°",
		"slides [deg],voltage [V]\n5,1e300\n":        "up to 1000",
		"slides [deg],current [A]\n5,1e4\n":          "up to 1000",
		"± resistance [ohm]\n3\n":                    "± resistance without resistance",
		"set,set\nx,y\n":                             "twice",
		"place,resistance [ohm]\nup,3\n":             "coil (its copper's mean",
		"± resistance [ohm],resistance [ohm]\n0,3\n": "more than 0",
		"resistance [ohm]\n\"3\n":                    "r.csv:2",
	} {
		_, err := Read("r.csv", strings.NewReader(text))
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q", text, err, want)
		}
	}
}

// No table takes long or more memory than its size allows, and none panics.
func FuzzRead(f *testing.F) {
	f.Add(small + "20,,,,,coil.layers=1,1,,,,\n")
	f.Add("set,place,air [°C],± field [mT],field [mT],height [mm],voltage [V]\nx=1,coil,20,1,2,3,4\n")
	f.Fuzz(func(t *testing.T, text string) {
		start := time.Now()
		list, err := Read("r.csv", strings.NewReader(text))
		if err == nil && (len(list) == 0 || len(list) > MaxReadings) {
			t.Errorf("%d readings", len(list))
		}
		for _, r := range list {
			if math.IsNaN(r.Value) || !(r.Error > 0) && r.Value != 0 {
				t.Errorf("%v", r)
			}
		}
		if took := time.Since(start); took > 5*time.Second {
			t.Errorf("%d bytes took %v", len(text), took)
		}
	})
}

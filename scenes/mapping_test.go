package scenes

import (
	"context"
	"math"
	"reflect"
	"strings"
	"testing"
)

func TestMapping(t *testing.T) {
	in := []float64{-0.5, 0, 0.25, 0.5, 0.81, 1, 2}
	for name, test := range map[string]struct {
		m    Mapping
		want []float64
	}{
		"linear":             {Mapping{Kind: Linear, Gamma: 1, Level: 1}, []float64{0, 0, 0.25, 0.5, 0.81, 1, 1}},
		"level":              {Mapping{Kind: Linear, Gamma: 1, Level: -0.5}, []float64{0, 0, -0.125, -0.25, -0.405, -0.5, -0.5}},
		"gamma":              {Mapping{Kind: Linear, Gamma: 0.5, Level: 1}, []float64{0, 0, 0.5, math.Sqrt(0.5), 0.9, 1, 1}},
		"invert":             {Mapping{Kind: Linear, Gamma: 1, Invert: true, Level: 1}, []float64{1, 1, 0.75, 0.5, 0.19, 0, 0}},
		"bipolar":            {Mapping{Kind: Linear, Gamma: 1, Bipolar: true, Level: 0.5}, []float64{-0.5, -0.5, -0.25, 0, 0.31, 0.5, 0.5}},
		"threshold":          {Mapping{Kind: Threshold, Threshold: 0.5, Gamma: 1, Level: 1}, []float64{0, 0, 0, 1, 1, 1, 1}},
		"threshold inverted": {Mapping{Kind: Threshold, Threshold: 0.6, Gamma: 1, Invert: true, Level: 1}, []float64{1, 1, 1, 0, 0, 0, 0}},
		"threshold bipolar":  {Mapping{Kind: Threshold, Threshold: 0.5, Gamma: 1, Bipolar: true, Level: 0.8}, []float64{-0.8, -0.8, -0.8, 0.8, 0.8, 0.8, 0.8}},
	} {
		if err := test.m.Validate(); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		got := make([]float64, len(in))
		test.m.Map(got, in, len(in))
		for i := range got {
			if math.Abs(got[i]-test.want[i]) > 1e-12 {
				t.Errorf("%s: %v, want %v", name, got, test.want)
				break
			}
		}
	}
}

// TestBayer checks the 4 × 4 corner of the recursion against the matrix as
// published (Bayer 1973; quoted in textbooks, from memory):
// 0 8 2 10 / 12 4 14 6 / 3 11 1 9 / 15 7 13 5, which holds of every fourth
// threshold of the 8 × 8 matrix.
func TestBayer(t *testing.T) {
	want := [4][4]int{{0, 8, 2, 10}, {12, 4, 14, 6}, {3, 11, 1, 9}, {15, 7, 13, 5}}
	seen := map[float64]bool{}
	for r := range 8 {
		for c := range 8 {
			if got := int(bayer8[r][c] * 16); got != want[r%4][c%4] {
				t.Errorf("row %d, column %d: sixteenth %d, want %d", r, c, got, want[r%4][c%4])
			}
			seen[bayer8[r][c]] = true
		}
	}
	if len(seen) != 64 {
		t.Errorf("%d different thresholds, want 64", len(seen))
	}
}

// TestDither: of an even grey the lit share is the grey.
func TestDither(t *testing.T) {
	m := Mapping{Kind: Dither, Gamma: 1, Level: 1}
	for _, y := range []float64{0, 0.25, 0.5, 0.875, 1} {
		in, out := make([]float64, 256), make([]float64, 256)
		for i := range in {
			in[i] = y
		}
		m.Map(out, in, 16)
		var lit float64
		for _, v := range out {
			lit += v
		}
		if lit != 256*y {
			t.Errorf("grey %g lights %g of 256 pixels", y, lit)
		}
	}
}

func TestMappingErrors(t *testing.T) {
	for want, m := range map[string]Mapping{
		`kind "": want "threshold", "linear" or "dither"`: {Gamma: 1, Level: 1},
		"threshold NaN: want 0…1":                         {Kind: Threshold, Threshold: math.NaN(), Gamma: 1, Level: 1},
		"gamma 0: want 0.05…20":                           {Kind: Linear, Level: 1},
		"level 1.5: want −1…1":                            {Kind: Linear, Gamma: 1, Level: 1.5},
		"level 0 would switch":                            {Kind: Linear, Gamma: 1},
	} {
		if err := m.Validate(); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("error %v, want it to say %q", err, want)
		}
	}
}

func TestMapScene(t *testing.T) {
	s := Scene{Name: "x", Rows: 1, Cols: 2, Frames: []Frame{{Levels: []float64{0.2, 0.9}, Duration: 3}}}
	m := Mapping{Kind: Threshold, Threshold: 0.5, Gamma: 1, Level: 0.7}
	got, err := m.Scene(context.Background(), s)
	if err != nil {
		t.Fatal(err)
	}
	want := Scene{Name: "x", Rows: 1, Cols: 2, Frames: []Frame{{Levels: []float64{0, 0.7}, Duration: 3}}}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
	if s.Frames[0].Levels[1] != 0.9 {
		t.Error("the scene given was changed")
	}
	s.Frames[0].Levels[1] = -0.5
	if _, err := m.Scene(context.Background(), s); err == nil || !strings.Contains(err.Error(), "frame 1, row 1, column 2 has level -0.5") {
		t.Errorf("a drive level: error %v", err)
	}
	s.Frames[0].Levels[1] = 2
	if _, err := m.Scene(context.Background(), s); err == nil {
		t.Error("an invalid scene was mapped")
	}
	if _, err := (Mapping{}).Scene(context.Background(), want); err == nil {
		t.Error("an empty mapping was used")
	}
}

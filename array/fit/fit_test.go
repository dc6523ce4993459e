package fit

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
)

const small = "air [°C],voltage [V],current [A],height [mm],time [s],set,resistance [Ω],field [mT],temperature [°C],moves [V],slides [deg]\n"

// table is readings that a design with its doubts moved by x would give, with errors drawn
// from a seed.
func table(t *testing.T, d design.Design, x map[string]float64, seed uint64, text string) []Reading {
	t.Helper()
	list, err := Read("readings.csv", strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	m, err := NewModel(d, list)
	if err != nil {
		t.Fatal(err)
	}
	moved := make([]float64, len(m.Doubts))
	for i, o := range m.Doubts {
		moved[i] = x[o.Key]
	}
	got, err := m.Predict(t.Context(), moved)
	if err != nil {
		t.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(seed, 1))
	for i := range list {
		list[i].Value = got[i] + list[i].Error*rng.NormFloat64()
	}
	return list
}

// What was put into readings is found again, and nothing else is: copper and track from the
// ohms of a wide and a narrow coil, the probe's depth from fields, the grip of the panes and
// the liquid from drops, with two readings far off.
func TestFindsWhatWasPutIn(t *testing.T) {
	d := trial.Design(t, "fluid.contact_line=0 mN/m to 1 mN/m")
	truth := map[string]float64{"board.outer_made": -1.5, "board.inner_made": 1, "coil.etch": 1, "bench.probe": 1.2, "fluid.contact_line": 0.8}
	list := table(t, d, truth, 3, small+`20,,,,,,1,,,,
20,,,,,coil.layers=1,1,,,,
20,,,,,coil.layers=1; coil.track=10 mil; coil.turns=8,1,,,,
20,,,,,coil.layers=2,1,,,,
20,,,,,coil.layers=2; coil.track=10 mil; coil.turns=8,1,,,,
40,,,,,,1,,,,
40,,,,,coil.layers=1,1,,,,
40,,,,,coil.layers=2; coil.track=10 mil; coil.turns=8,1,,,,
20,,0.5,1,,,,1,,,
20,,0.5,1.5,,,,1,,,
20,,0.5,2,,,,1,,,
20,,0.5,4,,,,1,,,
20,,,,,,,,,1,
20,1,,,,,,,,,20
20,,,,,,,,,,20
`)
	list[0].Value *= 1.2
	list[9].Value *= 0.7
	a, err := Find(t.Context(), d, list, nil)
	if err != nil {
		t.Fatal(err)
	}
	for i, is := range a.Doubted {
		if is != (i == 0 || i == 9) {
			t.Errorf("reading %d doubted: %v", i, is)
		}
	}
	want := settled(d).Shifted(a.Before, func() (x []float64) {
		for _, o := range a.Before {
			x = append(x, truth[o.Key])
		}
		return x
	}())
	for i, o := range a.After {
		if off := (a.Values[i] - want.ValueOf(o.Key)) / o.Sd; math.Abs(off) > 2.6 {
			t.Errorf("%s: %.4g ± %.2g, put in %.4g", o.Key, a.Values[i], o.Sd, want.ValueOf(o.Key))
		}
		if left := o.Sd / a.Before[i].Sd; math.Abs(a.Gained[i]-max(0, 1-left*left)) > 1e-12 {
			t.Errorf("%s: %.3f of its variance settled, ± %g after ± %g", o.Key, a.Gained[i], o.Sd, a.Before[i].Sd)
		}
		if o.Sd > a.Before[i].Sd*1.0001 {
			t.Errorf("%s: ± %g after ± %g", o.Key, o.Sd, a.Before[i].Sd)
		}
	}
	for _, key := range []string{"coil.etch", "bench.probe", "fluid.contact_line"} {
		found := false
		for i, o := range a.Before {
			found = found || o.Key == key && a.Gained[i] > told
		}
		if !found {
			t.Errorf("%s is not settled: %v %v", key, a.Before, a.Gained)
		}
	}
	// The file written gives the same values and doubts back.
	dir := t.TempDir()
	writeFile(t, dir+"/d.toml", d.Marshal())
	writeFile(t, dir+"/fitted.toml", a.Fitted("d.toml"))
	back, err := design.ReadFile(dir + "/fitted.toml")
	if err != nil {
		t.Fatal(err)
	}
	for i, o := range a.After {
		if v := back.ValueOf(o.Key); math.Abs(v-a.Values[i]) > 1e-5*math.Abs(v)+1e-12 {
			t.Errorf("%s is %g in the file, %g fitted", o.Key, v, a.Values[i])
		}
		s := back.Stated[i]
		if s.Key != o.Key || math.Abs(s.Sd/o.Sd-1) > 1e-3 || len(s.With) != len(o.With) {
			t.Errorf("%v in the file for %v", s, o)
		}
	}
}

// Ohms alone cannot tell thin copper from narrow tracks, and the fit says so.
func TestNamesWhatCannotBeToldApart(t *testing.T) {
	d := trial.Design(t)
	list := table(t, d, nil, 1, small+"20,,,,,coil.layers=1,1,,,,\n60,,,,,coil.layers=1,1,,,,\n")
	a, err := Find(t.Context(), d, list, nil)
	if err != nil {
		t.Fatal(err)
	}
	if len(a.Alike) != 1 || strings.Join(a.Alike[0], " ") != "board.outer_made coil.etch" {
		t.Errorf("alike: %v", a.Alike)
	}
	list[0].Value *= 1.3
	list[1].Value /= 1.3
	if a, err = Find(t.Context(), d, list, nil); err != nil || !a.Contradicts() {
		t.Errorf("readings that contradict each other: %v", err)
	}
	if _, err := Find(t.Context(), d, list, []string{"board.outer_made", "coil.etch", "bench.probe"}); err == nil || !strings.Contains(err.Error(), "2 readings for 3 unknowns") {
		t.Errorf("fewer readings than unknowns: %v", err)
	}
	if _, err := Find(t.Context(), d, list, []string{"coil.etc"}); err == nil || !strings.Contains(err.Error(), "coil.etch") {
		t.Errorf("an unknown that there is not: %v", err)
	}
}

// The bench facts of DEVELOPERS.md contradict the model with the boards as thick as guessed, and
// no more where their thickness is in doubt.
func TestBenchFactsAndTheBoardsThickness(t *testing.T) {
	if testing.Short() {
		t.Skip("finite elements at each step")
	}
	d, err := design.ReadFile("../../testdata/fit/bench.toml")
	if err != nil {
		t.Fatal(err)
	}
	list, err := ReadFile("../../testdata/fit/bench.csv")
	if err != nil {
		t.Fatal(err)
	}
	for _, free := range [][]string{{"bench.probe", "iron.gap", "coil.etch"}, nil} {
		a, err := Find(t.Context(), d, list, free)
		if err != nil {
			t.Fatal(err)
		}
		misfit, thick := math.Sqrt(a.ChiSquare()), 0.0
		for i, o := range a.Before {
			t.Logf("%s: %.4g ± %.2g", o.Key, a.Values[i], a.After[i].Sd)
			if o.Key == "board.thickness" {
				thick = a.Values[i]
			}
		}
		if told := free == nil; a.Contradicts() == told || told && (misfit > 0.8 || math.Abs(thick-1.41e-3) > 0.1e-3) {
			t.Errorf("%v: %.3g errors, %d doubted, boards of %.4g m", free, misfit, a.DoubtedCount(), thick)
		}
	}
}

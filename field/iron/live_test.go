package iron

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/field"
)

// liveCase is a case that a general-purpose finite-element package solves too:
// .ci/checks/iron_fem.py meshes and solves it, and stores what it found in
// testdata/iron/live.json. Lengths in millimetres.
type liveCase struct {
	Name      string
	NI        float64    // ampere turns of a coil r 1.5…7, z 0…1.8
	Disc      [3]float64 // radius, z from, to
	Core      [3]float64 `json:",omitempty"` // radius 0: none
	Magnet    [3]float64 `json:",omitempty"`
	Remanence float64
	Saturates [2]float64 // Js in T, initial permeability of the Fröhlich curve

	// Bz in T at z = 2.8, 3.8, … 7.8 mm, on the axis and at r = 3 mm.
	Axis, Beside []float64
}

func (c liveCase) problem() Problem {
	const mm = 1e-3
	curve := Frohlich{Js: c.Saturates[0], MuI: c.Saturates[1]}
	p := Problem{Scale: 7 * mm, Nodes: 15_000, Steel: []Region{{0, c.Disc[0] * mm, c.Disc[1] * mm, c.Disc[2] * mm, curve}}}
	if c.Core[0] > 0 {
		p.Steel = append(p.Steel, Region{0, c.Core[0] * mm, c.Core[1] * mm, c.Core[2] * mm, curve})
	}
	sum := field.Sum{block(1.5*mm, 7*mm, 0, 1.8*mm, c.NI)}
	if c.Magnet[0] > 0 {
		sum = append(sum, field.CylinderMagnet{
			Radius: c.Magnet[0] * mm, Length: (c.Magnet[2] - c.Magnet[1]) * mm, Remanence: c.Remanence,
			Center: r3.Vec{Z: (c.Magnet[1] + c.Magnet[2]) / 2 * mm},
		})
	}
	p.Applied = sum
	return p
}

// bz solves a case and reads Bz on the two lines.
func (c liveCase) bz(t *testing.T) (axis, beside []float64, s *Solution) {
	p := c.problem()
	s, err := Solve(t.Context(), p)
	if err != nil {
		t.Fatalf("%s: %v", c.Name, err)
	}
	for k := range 6 {
		z := (2.8 + float64(k)) * 1e-3
		read := func(r float64) float64 { at := r3.Vec{X: r, Z: z}; return p.Applied.B(at).Z + s.B(at).Z }
		axis, beside = append(axis, read(0)), append(beside, read(3e-3))
	}
	return axis, beside, s
}

func liveCases(t *testing.T) (cases []liveCase) {
	data, err := os.ReadFile("../../testdata/iron/live.json")
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(data, &cases); err != nil {
		t.Fatal(err)
	}
	return cases
}

// A thin sheet that a magnet saturates, with and without the coil, and a core over an
// air gap, against a general-purpose finite-element package (testdata/iron/README.md):
// Bz within 0.1 % on the axis and 0.2 % of the line's largest beside it, and so the coil's share of the
// biased field, the difference of two solves.
func TestSolveMeetsFiniteElementPackage(t *testing.T) {
	found := map[string][2][]float64{}
	want := map[string][2][]float64{}
	for _, c := range liveCases(t) {
		axis, beside, s := c.bz(t)
		found[c.Name], want[c.Name] = [2][]float64{axis, beside}, [2][]float64{c.Axis, c.Beside}
		a, b := worstOf(axis, c.Axis), worstOf(beside, c.Beside)
		t.Logf("%-30s axis %.3f %%, beside %.3f %%; steel peak %.2f T, mean %.2f T, %d Newton steps", c.Name, a*100, b*100, s.Peak, s.Mean, s.Steps)
		if a > 0.001 || b > 0.002 {
			t.Errorf("%s: axis off by %.3f %%, beside by %.3f %%", c.Name, a*100, b*100)
		}
	}
	for i, what := range []string{"on the axis", "beside it"} {
		with, without := found["biased sheet, coil on"][i], found["biased sheet, coil off"][i]
		wantWith, wantWithout := want["biased sheet, coil on"][i], want["biased sheet, coil off"][i]
		if len(with) == 0 || len(without) == 0 {
			t.Fatal("the biased pair is missing")
		}
		share, wantShare := minus(with, without), minus(wantWith, wantWithout)
		d := worstOf(share, wantShare)
		t.Logf("the coil's share of the biased field %s: %.3f %% off; 1 mm above the coil %.4g mT, package %.4g mT", what, d*100, share[0]*1e3, wantShare[0]*1e3)
		if d > 0.002 {
			t.Errorf("the coil's share of the biased field %s is off by %.2f %%", what, d*100)
		}
	}
}

// worstOf is the largest difference over the largest value.
func worstOf(a, b []float64) (worst float64) {
	peak := 0.0
	for i := range a {
		worst, peak = max(worst, math.Abs(a[i]-b[i])), max(peak, math.Abs(b[i]))
	}
	return worst / peak
}

func minus(a, b []float64) []float64 {
	d := make([]float64, len(a))
	for i := range a {
		d[i] = a[i] - b[i]
	}
	return d
}

// TestDumpForFiniteElements writes what Solve finds for .ci/checks/iron_fem.py, when
// LODEGRID_IRON_DUMP names the file.
func TestDumpForFiniteElements(t *testing.T) {
	path := os.Getenv("LODEGRID_IRON_DUMP")
	if path == "" {
		t.Skip("LODEGRID_IRON_DUMP is not set")
	}
	cases := liveCases(t)
	for i := range cases {
		cases[i].Axis, cases[i].Beside, _ = cases[i].bz(t)
	}
	data, err := json.Marshal(cases)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, data, 0o644); err != nil {
		t.Fatal(err)
	}
}

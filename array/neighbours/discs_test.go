package neighbours

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/field"
	"lodegrid/field/iron"
)

// steelFile is testdata/neighbours/discs.json or other_pins.json.
type steelFile struct {
	Loops  [][2]float64 `json:"loops_mm"`
	Height float64      `json:"height_mm"`
	Cases  []struct {
		Name       string
		Pitch      float64
		DiscRadius float64 `json:"disc_r"`
		DiscBack   float64 `json:"disc_z0"`
		DiscFront  float64 `json:"disc_z1"`
		CoreRadius float64 `json:"core_r"`
		CoreFront  float64 `json:"core_z1"`
		SheetBack  float64 `json:"sheet_z0"`
		MuR        float64
		Adds       []struct {
			Place string
			At    [2]float64
			Adds  [3]float64 `json:"uT"`
			Error [3]float64 `json:"error_uT"`
		}
	}
}

func readSteel(t *testing.T, name string) (f steelFile, coil field.Coaxial) {
	t.Helper()
	data, err := os.ReadFile("../../testdata/neighbours/" + name + ".json")
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(data, &f); err != nil {
		t.Fatal(err)
	}
	for _, l := range f.Loops {
		coil.Loops = append(coil.Loops, field.CoaxialLoop{Radius: l[0] * mm, Z: l[1] * mm, Current: 1})
	}
	return f, coil
}

// Pins of other pitches, radii, heights, sheets and steels than those of pins.json, against
// three-dimensional finite elements (testdata/neighbours/README.md): what they add within
// 1.5 % on the neighbours' axes, on the lit pixel's own and midway within 3 %.
func TestOtherPinsOfNeighbours(t *testing.T) {
	file, coil := readSteel(t, "other_pins")
	seen := 0
	for _, c := range file.Cases {
		curve := iron.Linear{MuR: c.MuR}
		sheet := iron.Region{R1: 60 * mm, Z0: c.SheetBack * mm, Z1: c.DiscBack * mm, Curve: curve}
		pin := iron.Region{R1: c.DiscRadius * mm, Z0: c.DiscBack * mm, Z1: c.DiscFront * mm, Curve: curve}
		wide, err := iron.SolveWide(t.Context(), iron.Problem{Steel: []iron.Region{sheet, pin}, Applied: coil, Scale: 5 * mm, Nodes: 20_000})
		if err != nil {
			t.Fatal(err)
		}
		slab := iron.NewSlab(coil, sheet.Z1, sheet.Z1-sheet.Z0, c.MuR)
		small := sheet
		small.R1 = 40 * mm
		answer, err := iron.NewAnswer(t.Context(), iron.AnswerProblem{Steel: []iron.Region{pin}, Sheet: &small, Scale: 2 * c.DiscRadius * mm})
		if err != nil {
			t.Fatal(err)
		}
		s, err := New(t.Context(), Spec{Answer: answer, Height: file.Height * mm, Pitch: c.Pitch * mm, Cols: 2, Rows: 2})
		if err != nil {
			t.Fatal(err)
		}
		add, err := s.Answer(t.Context(), field.Sum{coil, slab, wide}.B, 1, 1)
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range c.Adds {
			got := r3.Scale(1e6, add.At(p.At[0]*c.Pitch*mm, p.At[1]*c.Pitch*mm))
			want := r3.Vec{X: p.Adds[0], Y: p.Adds[1], Z: p.Adds[2]}
			off := r3.Norm(r3.Sub(got, want))
			t.Logf("%-30s %-20s adds %7.3f %7.3f %7.3f µT/A, want %7.3f %7.3f %7.3f ± %.3f: %.2f %% of it off", c.Name, p.Place, got.X, got.Y, got.Z, want.X, want.Y, want.Z, math.Hypot(p.Error[0], p.Error[2]), 100*off/r3.Norm(want))
			allowed := 0.015 * r3.Norm(want)
			if p.At[0] < 1 {
				allowed *= 2
			}
			if off > allowed {
				t.Errorf("%s, %s: the neighbours' pins add %.4g µT/A, want %.4g", c.Name, p.Place, got, want)
			}
			seen++
		}
	}
	if seen != 12 {
		t.Errorf("%d places compared, want 12", seen)
	}
}

// Discs of neighbours against three-dimensional finite elements
// (testdata/neighbours/README.md): what they add on the axes and midway within 1.5 %, with
// an eighth of the pitch between them within 5 %, where they nearly touch within 12 %. By the orders 0 and 1 alone it was 3 to 60 % off.
func TestDiscsOfNeighbours(t *testing.T) {
	file, coil := readSteel(t, "discs")
	seen := 0
	for _, c := range file.Cases {
		curve := iron.Linear{MuR: c.MuR}
		steel := []iron.Region{{R1: c.DiscRadius * mm, Z0: c.DiscBack * mm, Z1: c.DiscFront * mm, Curve: curve}}
		scale := c.DiscRadius * mm
		if c.CoreRadius > 0 {
			steel = append(steel, iron.Region{R1: c.CoreRadius * mm, Z0: c.DiscFront * mm, Z1: c.CoreFront * mm, Curve: curve})
			scale = 2 * c.CoreRadius * mm
		}
		own, err := iron.Solve(t.Context(), iron.Problem{Steel: steel, Applied: coil, Scale: 5 * mm, Nodes: 20_000})
		if err != nil {
			t.Fatal(err)
		}
		answer, err := iron.NewAnswer(t.Context(), iron.AnswerProblem{Steel: steel, Scale: scale, Powers: 7, Orders: 5})
		if err != nil {
			t.Fatal(err)
		}
		s, err := New(t.Context(), Spec{Answer: answer, Height: file.Height * mm, Pitch: c.Pitch * mm, Cols: 2, Rows: 2})
		if err != nil {
			t.Fatal(err)
		}
		add, err := s.Answer(t.Context(), field.Sum{coil, own}.B, 1, 1)
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range c.Adds {
			got := r3.Scale(1e6, add.At(p.At[0]*c.Pitch*mm, p.At[1]*c.Pitch*mm))
			want := r3.Vec{X: p.Adds[0], Y: p.Adds[1], Z: p.Adds[2]}
			off := r3.Norm(r3.Sub(got, want)) / r3.Norm(want)
			t.Logf("%-32s %-20s adds %7.3f %7.3f %7.3f µT/A, want %7.3f %7.3f %7.3f ± %.3f: %.2f %% of it off", c.Name, p.Place, got.X, got.Y, got.Z, want.X, want.Y, want.Z, max(p.Error[0], p.Error[2]), 100*off)
			allowed := 0.015
			switch between := 1 - 2*c.DiscRadius/c.Pitch; { // the series about an axis hardly reach the next rim
			case between < 0.1:
				allowed = 0.12
			case between < 0.15:
				allowed = 0.05
			}
			if !(off < allowed) {
				t.Errorf("%s, %s: the neighbours' discs add %.4g µT/A, want %.4g", c.Name, p.Place, got, want)
			}
			seen++
		}
	}
	if seen != 20 {
		t.Errorf("%d places compared, want 20", seen)
	}
}

// Between a disc's axis and the first place of a table, which goes on beyond the axis by each
// order's symmetry, the answers are what they are.
func TestAnswersNearTheAxis(t *testing.T) {
	steel := []iron.Region{{R1: 4 * mm, Z0: -3 * mm, Z1: -2 * mm, Curve: iron.Linear{MuR: 100}}}
	a, err := iron.NewAnswer(t.Context(), iron.AnswerProblem{Steel: steel, Scale: 4 * mm, Powers: 2, Orders: 4, Nodes: 1000})
	if err != nil {
		t.Fatal(err)
	}
	p, err := newProfile(t.Context(), a, 2*mm, 0, 8*mm, 10*mm, 30*mm)
	if err != nil {
		t.Fatal(err)
	}
	at := func(order, power int, r float64) [3]float64 { // Br and Bz at φ = 0, Bφ at 90°/order
		b := a.Of(order, power).B(r3.Vec{X: r, Z: 2 * mm})
		if order == 0 {
			return [3]float64{b.X, 0, b.Z}
		}
		s, c := math.Sincos(math.Pi / 2 / float64(order))
		round := a.Of(order, power).B(r3.Vec{X: r * c, Y: r * s, Z: 2 * mm})
		return [3]float64{b.X, round.Y*c - round.X*s, b.Z}
	}
	r := 0.4 * p.step * p.scale
	place, w := p.weigh(r)
	for power := range a.Powers() {
		low := p.read(power, place, w)
		table := [][3]float64{{low[0], 0, low[1]}, {low[2], low[3], low[4]}, p.readHigh(0, power, place, w), p.readHigh(1, power, place, w)}
		for order, got := range table {
			want, next := at(order, power, r), at(order, power, math.Sinh(p.step)*p.scale)
			for k := range got {
				if math.Abs(got[k]-want[k]) > 0.01*math.Abs(next[k]) {
					t.Errorf("order %d, power %d: Br, Bφ and Bz of %g T, want %g", order, power, got, want)
				}
			}
		}
	}
}

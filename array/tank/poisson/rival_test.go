package poisson

import (
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"strconv"
	"testing"
)

// rightSide is the one of testdata/rivals/poisson.py.
func rightSide(s *Solver, rows, cols int) {
	for i := range rows {
		row := s.Row(i)
		y := float64(i) + 0.5
		for j := range row {
			x := float64(j) + 0.5
			row[j] = math.Sin(0.37*y+0.011*x*x) + math.Cos(0.23*x)*math.Sin(0.9*y) + x*y/float64(rows*cols)
		}
	}
}

// The same equation solved by SciPy; see the file's origin line.
func TestAgainstSciPy(t *testing.T) {
	raw, err := os.ReadFile("../../../testdata/tank/poisson.json")
	if err != nil {
		t.Fatal(err)
	}
	var ref struct {
		Grids []struct {
			Rows, Cols int
			Values     [][3]float64
		}
	}
	if err := json.Unmarshal(raw, &ref); err != nil {
		t.Fatal(err)
	}
	if len(ref.Grids) == 0 {
		t.Fatal("no grids in the reference file")
	}
	for _, g := range ref.Grids {
		s := New(g.Rows, g.Cols, 0.75, 0.8)
		rightSide(s, g.Rows, g.Cols)
		s.Solve()
		mean, scale, worst := 0.0, 0.0, 0.0
		for i := range g.Rows {
			for _, v := range s.Row(i) {
				mean += v
				scale = max(scale, math.Abs(v))
			}
		}
		mean /= float64(g.Rows * g.Cols)
		for _, v := range g.Values {
			worst = max(worst, math.Abs(s.Row(int(v[0]))[int(v[1])]-mean-v[2]))
		}
		t.Logf("%d×%d: %d values, worst difference %.2g of %.3g", g.Rows, g.Cols, len(g.Values), worst, scale)
		if !(worst <= 1e-12*scale) {
			t.Errorf("%d×%d: differs from SciPy by %g, values up to %g", g.Rows, g.Cols, worst, scale)
		}
	}
}

// BenchmarkRival times Solve against SciPy in the same run: "banded" is a cosine
// transform and scipy.linalg.solve_banded, "dctn" a cosine transform along both
// axes. ×banded and ×dctn are SciPy's time over ours.
func BenchmarkRival(b *testing.B) {
	const rows, cols = 160, 256
	s := New(rows, cols, 0.75, 0.8)
	rightSide(s, rows, cols)
	b.ReportAllocs()
	for b.Loop() {
		s.Solve()
	}
	ours := b.Elapsed().Seconds() / float64(b.N)
	out, err := exec.Command("/usr/bin/python3", "../../../testdata/rivals/poisson.py",
		strconv.Itoa(rows), strconv.Itoa(cols), "200").Output()
	if err != nil {
		b.Skipf("no SciPy to compare with: %v", err)
	}
	var rival struct{ Banded, Dctn struct{ Seconds float64 } }
	if err := json.Unmarshal(out, &rival); err != nil {
		b.Fatal(err)
	}
	b.ReportMetric(rival.Banded.Seconds/ours, "×banded")
	b.ReportMetric(rival.Dctn.Seconds/ours, "×dctn")
}

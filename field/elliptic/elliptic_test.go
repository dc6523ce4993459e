package elliptic

import (
	"bufio"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"
)

// rows reads a table of numbers from testdata/field; lines starting with # tell
// where the numbers come from.
func rows(t *testing.T, name string, columns int) [][]float64 {
	t.Helper()
	f, err := os.Open("../../testdata/field/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var out [][]float64
	for s := bufio.NewScanner(f); s.Scan(); {
		line := s.Text()
		if strings.HasPrefix(line, "#") {
			continue
		}
		cells := strings.Split(line, ",")
		if len(cells) != columns {
			t.Fatalf("%s: %q has %d cells, want %d", name, line, len(cells), columns)
		}
		row := make([]float64, columns)
		for i, c := range cells {
			if row[i], err = strconv.ParseFloat(c, 64); err != nil {
				t.Fatalf("%s: %v", name, err)
			}
		}
		out = append(out, row)
	}
	if len(out) == 0 {
		t.Fatalf("%s holds no rows", name)
	}
	return out
}

func relative(got, want float64) float64 {
	if want == 0 {
		return math.Abs(got)
	}
	return math.Abs(got-want) / math.Abs(want)
}

// The values of the tables A&S 17.1 and 17.2 are arguments of (DLMF chapter 19),
// recomputed to 34 digits: see the header of the file.
func TestKAndEAgainstTable(t *testing.T) {
	for _, r := range rows(t, "elliptic.csv", 3) {
		if e := relative(KC(r[0]), r[1]); e > 2e-15 {
			t.Errorf("KC(%v) = %.17g, table %.17g, relative error %.1e", r[0], KC(r[0]), r[1], e)
		}
		if e := relative(EC(r[0]), r[2]); e > 2e-15 {
			t.Errorf("EC(%v) = %.17g, table %.17g, relative error %.1e", r[0], EC(r[0]), r[2], e)
		}
	}
}

func TestCelAgainstTable(t *testing.T) {
	for _, r := range rows(t, "cel.csv", 5) {
		got := Cel(r[0], r[1], r[2], r[3])
		if e := relative(got, r[4]); e > 4e-15 {
			t.Errorf("Cel(%v, %v, %v, %v) = %.17g, table %.17g, relative error %.1e", r[0], r[1], r[2], r[3], got, r[4], e)
		}
	}
}

// Values by quadrature of the definition (mpmath, 34 digits). The sign of n is
// that of DLMF 19.2.7.
func TestPiAgainstTable(t *testing.T) {
	for _, c := range []struct{ n, mc, want float64 }{
		{0.3, 0.5, 2.2503768219439467},
		{-0.5, 0.5, 1.4878469926687984},
		{0.9, 0.19, 8.9942562031858682},
		{0, 0.25, 2.1565156474996432},    // K(3/4)
		{1.5, 0.25, -1.0782578237498216}, // principal value: real part of mpmath ellippi(1.5, 0.75)
		{3, 0.09, -0.68595148963906245},  // the same at (3, 0.91)
	} {
		if got := Pi(c.n, c.mc); relative(got, c.want) > 4e-15 {
			t.Errorf("Pi(%v, %v) = %.17g, want %.17g", c.n, c.mc, got, c.want)
		}
	}
}

// E(m)K(1−m) + E(1−m)K(m) − K(m)K(1−m) = π/2: DLMF 19.7.1 (number from memory).
func TestLegendreRelation(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	for range 5000 {
		m := rng.Float64()
		if rng.IntN(2) == 0 {
			m = math.Pow(10, -8*m) // crowd towards the ends
		}
		mc := 1 - m
		got := EC(mc)*KC(m) + EC(m)*KC(mc) - KC(mc)*KC(m)
		if relative(got, math.Pi/2) > 1e-14 {
			t.Fatalf("Legendre's relation at m = %v gives %.17g, want π/2", m, got)
		}
	}
}

// Π(n, 0) = π/(2√(1−n)) and Π(m, m) = E/(1−m): DLMF 19.6.2 and 19.6.3 (numbers
// from memory; both follow from the definition by substitution).
func TestPiSpecialCases(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 2))
	for range 1000 {
		n := 3*rng.Float64() - 2.001
		if got, want := Pi(n, 1), math.Pi/2/math.Sqrt(1-n); relative(got, want) > 4e-15 {
			t.Fatalf("Pi(%v, 1) = %.17g, want %.17g", n, got, want)
		}
		mc := rng.Float64()
		if got, want := Cel(math.Sqrt(mc), mc, 1, 1), EC(mc)/mc; relative(got, want) > 4e-15 {
			t.Fatalf("Π(m, m) at mc = %v = %.17g, want %.17g", mc, got, want)
		}
	}
}

// The trapezium rule converges geometrically on the periodic integrand, so it is
// a check that shares no idea with the iteration.
func TestCelAgainstQuadrature(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	for range 200 {
		kc := 0.2 + rng.Float64()
		p := 0.2 + 3*rng.Float64()
		a, b := rng.Float64(), rng.Float64()
		const n = 400
		sum := 0.0
		for i := range n {
			s, c := math.Sincos(math.Pi * float64(i) / n)
			s, c = s*s, c*c
			sum += (a*c + b*s) / ((c + p*s) * math.Sqrt(c+kc*kc*s))
		}
		want := sum * math.Pi / 2 / n
		if got := Cel(kc, p, a, b); relative(got, want) > 1e-13 {
			t.Fatalf("Cel(%v, %v, %v, %v) = %.17g, trapezium rule %.17g", kc, p, a, b, got, want)
		}
	}
}

// K(mc) → ln(4/√mc) as mc → 0: DLMF 19.12.1 (number from memory). The
// next term is smaller by mc.
func TestKNearSingularity(t *testing.T) {
	for _, mc := range []float64{1e-18, 1e-100, 1e-307} {
		want := math.Log(4) - math.Log(mc)/2
		if got := KC(mc); relative(got, want) > 4e-16 {
			t.Errorf("KC(%g) = %.17g, want ln(4/√mc) = %.17g", mc, got, want)
		}
		if got := Cel(math.Sqrt(mc), 1, 1, 1); relative(got, want) > 4e-15 {
			t.Errorf("Cel at mc = %g = %.17g, want %.17g", mc, got, want)
		}
	}
}

func TestEnds(t *testing.T) {
	inf := math.Inf(1)
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"KC(0)", KC(0), inf},
		{"KC(+Inf)", KC(inf), 0},
		{"EC(0)", EC(0), 1},
		{"EC(+Inf)", EC(inf), inf},
		{"Pi(1, 0.5)", Pi(1, 0.5), inf},
		{"Pi(0.5, 0)", Pi(0.5, 0), inf},
		{"Pi(2, 0)", Pi(2, 0), -inf},
		{"Cel(0, 1, 3, 0)", Cel(0, 1, 3, 0), 3},
		{"Cel(0, 4, 1, 0)", Cel(0, 4, 1, 0), math.Atan(math.Sqrt(3)) / math.Sqrt(3)},
		{"Cel(0, 0.25, 1, 0)", Cel(0, 0.25, 1, 0), math.Atanh(math.Sqrt(0.75)) / math.Sqrt(0.75)},
		{"Cel(0, -3, 1, 0)", Cel(0, -3, 1, 0), math.Atanh(0.5) / 2},
		{"Cel(0, 1, 1, -1)", Cel(0, 1, 1, -1), -inf},
		{"Cel(0.5, 0, 1, 1)", Cel(0.5, 0, 1, 1), inf},
		{"Cel(-0.5, 1, 1, 1)", Cel(-0.5, 1, 1, 1), KC(0.25)},
		{"Cel(+Inf, 1, 1, 1)", Cel(inf, 1, 1, 1), 0},
	} {
		if c.got != c.want && relative(c.got, c.want) > 1e-15 {
			t.Errorf("%s = %v, want %v", c.name, c.got, c.want)
		}
	}
	nan := math.NaN()
	for _, c := range []struct {
		name string
		got  float64
	}{
		{"KC(-1)", KC(-1)}, {"KC(NaN)", KC(nan)}, {"EC(-1)", EC(-1)}, {"EC(NaN)", EC(nan)},
		{"Pi(0, -1)", Pi(0, -1)}, {"Pi(NaN, 1)", Pi(nan, 1)}, {"Cel(NaN, …)", Cel(nan, 1, 1, 1)},
	} {
		if !math.IsNaN(c.got) {
			t.Errorf("%s = %v, want NaN", c.name, c.got)
		}
	}
}

// Every call ends, whatever it is fed.
func FuzzCelEnds(f *testing.F) {
	f.Add(0.5, 1.0, 1.0, 1.0)
	f.Add(1e300, -1e300, 1.0, -1.0)
	f.Add(math.Inf(1), 0.0, math.NaN(), 5e-324)
	f.Fuzz(func(_ *testing.T, kc, p, a, b float64) {
		Cel(kc, p, a, b)
		KC(kc)
		EC(kc)
		Pi(p, kc)
	})
}

var sink float64

func BenchmarkKC(b *testing.B) {
	for i := 0; b.Loop(); i++ {
		sink += KC(0.01 + float64(i&255)/256)
	}
}

func BenchmarkEC(b *testing.B) {
	for i := 0; b.Loop(); i++ {
		sink += EC(0.01 + float64(i&255)/256)
	}
}

func BenchmarkCel(b *testing.B) {
	for i := 0; b.Loop(); i++ {
		sink += Cel(0.01+float64(i&255)/256, 0.5, 1, -0.5)
	}
}

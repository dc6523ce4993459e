package field_test

import (
	"bufio"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/field"
)

// The stored tables use µ0 = 4π·1e-7 H/m exactly.
const tableMu0 = 4 * math.Pi * 1e-7

const mm = 1e-3

// table reads rows of numbers from testdata/field; the lines that start with #
// tell where they come from.
func table(t testing.TB, name string, columns int) [][]float64 {
	t.Helper()
	f, err := os.Open("../testdata/field/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var rows [][]float64
	for s := bufio.NewScanner(f); s.Scan(); {
		if strings.HasPrefix(s.Text(), "#") {
			continue
		}
		cells := strings.Split(s.Text(), ",")
		if len(cells) != columns {
			t.Fatalf("%s: %q has %d cells, want %d", name, s.Text(), len(cells), columns)
		}
		row := make([]float64, columns)
		for i, c := range cells {
			if row[i], err = strconv.ParseFloat(c, 64); err != nil {
				t.Fatalf("%s: %v", name, err)
			}
		}
		rows = append(rows, row)
	}
	if len(rows) == 0 {
		t.Fatalf("%s holds no rows", name)
	}
	return rows
}

// apart is |got − want| in units of |want|, or got itself where want is zero.
func apart(got, want float64) float64 {
	if want == 0 {
		return math.Abs(got)
	}
	return math.Abs(got/want - 1)
}

// vectorApart is |got − want|/|want|.
func vectorApart(got, want r3.Vec) float64 {
	return r3.Norm(r3.Sub(got, want)) / r3.Norm(want)
}

func TestLoopAgainstQuadrature(t *testing.T) {
	const a = 10 * mm
	worst := 0.0
	for _, row := range table(t, "loop.csv", 5) {
		r, z := row[0]*mm, row[1]*mm
		br, bz := field.LoopField(a, r, z)
		av := field.LoopVectorPotential(a, r, z)
		tol := 8e-15
		if d := math.Hypot(r-a, z); d < 0.05*a {
			// The input's own rounding, eps·a/d, and one lost digit.
			tol = 1e-14 + 8*2.3e-16*a/d
		}
		for i, got := range []float64{br, bz, av} {
			got *= tableMu0 / field.Mu0
			e := apart(got, row[2+i])
			worst = math.Max(worst, e)
			if e > tol {
				t.Errorf("%s at r = %v mm, z = %v mm: %.17g, quadrature %.17g, relative error %.1e > %.1e",
					[]string{"Br", "Bz", "A"}[i], row[0], row[1], got, row[2+i], e, tol)
			}
		}
	}
	t.Logf("largest relative error of a component: %.1e", worst)
}

func TestSegmentAgainstQuadrature(t *testing.T) {
	worst := 0.0
	for _, row := range table(t, "segment.csv", 12) {
		v := func(i int) r3.Vec { return r3.Scale(mm, r3.Vec{X: row[i], Y: row[i+1], Z: row[i+2]}) }
		want := r3.Vec{X: row[9], Y: row[10], Z: row[11]}
		s := field.Segment{From: v(0), To: v(3), Current: 1}
		got := r3.Scale(tableMu0/field.Mu0, s.B(v(6)))
		e := vectorApart(got, want)
		worst = math.Max(worst, e)
		if e > 4e-15 {
			t.Errorf("segment at %v mm: %v, quadrature %v, relative error %.1e", row[6:9], got, want, e)
		}
		back := field.Segment{From: v(3), To: v(0), Current: -1}
		if vectorApart(back.B(v(6)), s.B(v(6))) > 4e-15 {
			t.Errorf("segment at %v mm: %v, and %v run the other way with the current reversed", row[6:9], s.B(v(6)), back.B(v(6)))
		}
	}
	t.Logf("largest relative error: %.1e", worst)
}

func TestCylinderMagnetAgainstQuadrature(t *testing.T) {
	magnet := field.CylinderMagnet{Radius: 5 * mm, Length: 4 * mm, Remanence: 1.2}
	worst := 0.0
	for _, row := range table(t, "cylinder.csv", 4) {
		got := magnet.B(r3.Vec{X: 0.6 * row[0] * mm, Y: -0.8 * row[0] * mm, Z: row[1] * mm})
		radial := 0.6*got.X - 0.8*got.Y
		for i, g := range []float64{radial, got.Z} {
			e := math.Abs(g-row[2+i]) / math.Hypot(row[2], row[3])
			worst = math.Max(worst, e)
			if e > 2e-13 {
				t.Errorf("at rho = %v mm, z = %v mm component %d is %.15g, quadrature %.15g, error %.1e of |B|", row[0], row[1], i, g, row[2+i], e)
			}
		}
	}
	t.Logf("largest error: %.1e of |B|", worst)
}

func TestCuboidMagnetAgainstQuadrature(t *testing.T) {
	magnet := field.CuboidMagnet{Size: r3.Vec{X: 10 * mm, Y: 6 * mm, Z: 3 * mm}, Remanence: 1.3}
	worst := 0.0
	for _, row := range table(t, "cuboid.csv", 6) {
		got := magnet.B(r3.Scale(mm, r3.Vec{X: row[0], Y: row[1], Z: row[2]}))
		want := r3.Vec{X: row[3], Y: row[4], Z: row[5]}
		e := vectorApart(got, want)
		worst = math.Max(worst, e)
		if e > 2e-13 {
			t.Errorf("at %v mm: %v, quadrature %v, relative error %.1e", row[:3], got, want, e)
		}
	}
	t.Logf("largest relative error: %.1e", worst)
}

// Images of a loop, 10 mm radius, 1 A, at the height h above thick linear steel
// whose face is z = 0. Values computed for the method of images with mpmath.
func TestMirrorAgainstTable(t *testing.T) {
	for _, c := range []struct{ h, muR, r, z, br, bz, free float64 }{
		{0.2, 1000, 0, 2, 0, 1.1831189972604e-4, 5.9897386679220e-5},
		{0.2, math.Inf(1), 0, 2, 0, 1.1842884569810e-4, 5.9897386679220e-5},
		{0, math.Inf(1), 0, 2, 0, 1.1848404026934e-4, 5.9242020134668e-5},
		{1.6, 200, 5, 3, 2.6784301607901e-5, 1.1950932238337e-4, 7.3429206767832e-5},
		{0.2, 1000, 10, 1, 4.1105474916087e-4, 6.7868637969461e-5, 3.6012498020443e-5},
		{1.6, 5, 0, 0, 0, 1.0082346057870e-4, 6.0494076347223e-5},
	} {
		loop := field.Loop{Radius: 10 * mm, Current: tableMu0 / field.Mu0, Center: r3.Vec{Z: c.h * mm}}
		p := r3.Vec{X: c.r * mm, Z: c.z * mm}
		image := field.Mirror{Source: loop, Factor: field.ImageFactor(c.muR)}
		got := field.Sum{loop, image}.B(p)
		if math.Abs(got.X-c.br) > 1e-12*c.bz || apart(got.Z, c.bz) > 1e-12 || got.Y != 0 {
			t.Errorf("h = %v mm, µr = %v at r = %v, z = %v mm: Br %.14g, Bz %.14g; table %.14g, %.14g", c.h, c.muR, c.r, c.z, got.X, got.Z, c.br, c.bz)
		}
		if free := loop.B(p).Z; apart(free, c.free) > 1e-12 {
			t.Errorf("h = %v mm without steel at r = %v, z = %v mm: Bz %.14g, table %.14g", c.h, c.r, c.z, free, c.free)
		}
	}
	for _, c := range []struct{ mu, want float64 }{
		{1, 0}, {5, 0.666666666667}, {200, 0.990049751244}, {1000, 0.998001998002}, {math.Inf(1), 1}, {0, -1},
	} {
		if got := field.ImageFactor(c.mu); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("ImageFactor(%v) = %v, want %v", c.mu, got, c.want)
		}
	}
	if !math.IsNaN(field.ImageFactor(-1)) {
		t.Error("ImageFactor(-1) is a number")
	}
}

// Distance at which the table's cylinder falls to 0.5 mT on its axis.
func TestCylinderStandOff(t *testing.T) {
	magnet := field.CylinderMagnet{Radius: 5 * mm, Length: 4 * mm, Remanence: 1.2}
	if got := magnet.B(r3.Vec{Z: 49.1237642963 * mm}).Z; apart(got, 5e-4) > 1e-11 {
		t.Errorf("Bz at 49.1237642963 mm is %.12g T, want 5e-4 T", got)
	}
}

// M of coaxial loops is 2πb·A(a, b, d): the classic cases of Maxwell's formula,
// values by quadrature of Neumann's double integral (mpmath, 34 digits), in nH.
func TestVectorPotentialGivesMutualInductance(t *testing.T) {
	for _, c := range []struct{ a, b, d, nh float64 }{
		{250, 250, 10, 1036.66484928208},
		{250, 200, 100, 248.787359042189},
		{250, 250, 500, 35.4649815511185},
		{10, 10, 0.01, 87.8037251940945},
		{10, 5, 0, 5.48617947347398},
		{10, 9.7, 0, 44.2046937527875},
		{10, 2, 20, 0.0699889749548174},
	} {
		got := 2 * math.Pi * c.b * mm * field.LoopVectorPotential(c.a*mm, c.b*mm, c.d*mm) * tableMu0 / field.Mu0 * 1e9
		if apart(got, c.nh) > 2e-14 {
			t.Errorf("loops %v, %v mm at %v mm: %.15g nH, want %.15g", c.a, c.b, c.d, got, c.nh)
		}
	}
}

func TestMu0(t *testing.T) {
	// Relative to 4π·1e-7: −1.3e-10 (CODATA 2022), within its uncertainty 1.6e-10.
	if got := field.Mu0/tableMu0 - 1; math.Abs(got) > 3e-10 {
		t.Errorf("Mu0 is %.2e off 4π·1e-7", got)
	}
}

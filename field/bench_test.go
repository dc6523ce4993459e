package field_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/field"
)

var sink float64

// Points of a plane over a coil, the way a raster visits them.
const benchPoints = 1024

func planePoints() (rho [benchPoints]float64) {
	for i := range rho {
		rho[i] = 12 * mm * (float64(i) + 0.5) / benchPoints
	}
	return rho
}

func BenchmarkLoopField(b *testing.B) {
	rho := planePoints()
	for i := 0; b.Loop(); i++ {
		br, bz := field.LoopField(6*mm, rho[i%benchPoints], 2*mm)
		sink += br + bz
	}
}

// The textbook form with a general library's K and E: the rival a Go program
// would otherwise use.
func BenchmarkLoopFieldTextbookGonum(b *testing.B) {
	rho := planePoints()
	for i := 0; b.Loop(); i++ {
		br, bz := textbookLoop(6*mm, rho[i%benchPoints], 2*mm)
		sink += br + bz
	}
}

func textbookLoop(a, r, z float64) (br, bz float64) {
	alpha2 := (a-r)*(a-r) + z*z
	beta2 := (a+r)*(a+r) + z*z
	m := 4 * a * r / beta2
	k, e := mathext.CompleteK(m), mathext.CompleteE(m)
	c := field.Mu0 / (2 * math.Pi * math.Sqrt(beta2))
	return c * z / r * (-k + (a*a+r*r+z*z)/alpha2*e), c * (k + (a*a-r*r-z*z)/alpha2*e)
}

func TestTextbookLoopAgrees(t *testing.T) {
	for _, r := range planePoints() {
		br, bz := field.LoopField(6*mm, r, 2*mm)
		tr, tz := textbookLoop(6*mm, r, 2*mm)
		if math.Hypot(br-tr, bz-tz) > 1e-12*math.Hypot(br, bz) {
			t.Fatalf("at r = %v: (%v, %v), textbook form (%v, %v)", r, br, bz, tr, tz)
		}
	}
}

func BenchmarkLoopGradient(b *testing.B) {
	rho := planePoints()
	for i := 0; b.Loop(); i++ {
		sink += field.LoopGradient(6*mm, rho[i%benchPoints], 2*mm).ZZ
	}
}

func stackOfLoops() field.Coaxial {
	var c field.Coaxial
	for layer := range 4 {
		for turn := range 10 {
			c.Loops = append(c.Loops, field.CoaxialLoop{
				Radius: (1.5 + 0.5*float64(turn)) * mm, Z: -0.4 * mm * float64(layer), Current: 1,
			})
		}
	}
	return c
}

// The workload of testdata/rivals/loops_gsl.c; .ci/checks/field_rivals.sh runs
// both and compares speed and sum.
func BenchmarkRivalLoops(b *testing.B) {
	c, rho := stackOfLoops(), planePoints()
	var sum float64
	n := 0
	for b.Loop() {
		sum = 0
		for _, r := range rho {
			br, bz := c.Field(r, 2*mm)
			sum += br + bz
		}
		n += len(rho) * len(c.Loops)
	}
	b.ReportMetric(float64(n)/b.Elapsed().Seconds(), "loops/s")
	b.ReportMetric(sum*1e15, "checksum") // in fT: metrics print as whole numbers
}

// The workload of testdata/rivals/segments.c.
func BenchmarkRivalSegments(b *testing.B) {
	p, rho := squareSpiral(), planePoints()
	var sum float64
	n := 0
	for b.Loop() {
		sum = 0
		for _, r := range rho {
			v := p.B(r3.Vec{X: r, Y: 1 * mm, Z: 2 * mm})
			sum += v.X + v.Y + v.Z
		}
		n += len(rho) * (len(p.Points) - 1)
	}
	b.ReportMetric(float64(n)/b.Elapsed().Seconds(), "segments/s")
	b.ReportMetric(sum*1e15, "checksum") // in fT: metrics print as whole numbers
}

func squareSpiral() field.Path {
	p := field.Path{Current: 1}
	for i := range 37 {
		half := (5 - 0.1*float64(i)) * mm
		corner := r3.Vec{X: half, Y: half}
		if q := i % 4; q == 1 || q == 2 {
			corner.X = -half
		}
		if q := i % 4; q >= 2 {
			corner.Y = -half
		}
		p.Points = append(p.Points, corner)
	}
	return p
}

func BenchmarkCoaxialGradient(b *testing.B) {
	c, rho := stackOfLoops(), planePoints()
	for i := 0; b.Loop(); i++ {
		sink += c.Gradient(r3.Vec{X: rho[i%benchPoints], Z: 2 * mm})[2][2]
	}
}

func BenchmarkSegment(b *testing.B) {
	s := field.Segment{From: r3.Vec{X: -5 * mm}, To: r3.Vec{X: 5 * mm}, Current: 1}
	rho := planePoints()
	for i := 0; b.Loop(); i++ {
		sink += s.B(r3.Vec{X: rho[i%benchPoints], Y: 1 * mm, Z: 2 * mm}).Z
	}
}

func BenchmarkCylinderMagnet(b *testing.B) {
	m := field.CylinderMagnet{Radius: 5 * mm, Length: 4 * mm, Remanence: 1.2}
	rho := planePoints()
	for i := 0; b.Loop(); i++ {
		sink += m.B(r3.Vec{X: rho[i%benchPoints], Z: 4 * mm}).Z
	}
}

func BenchmarkCuboidMagnet(b *testing.B) {
	m := field.CuboidMagnet{Size: r3.Vec{X: 10 * mm, Y: 6 * mm, Z: 3 * mm}, Remanence: 1.3}
	rho := planePoints()
	for i := 0; b.Loop(); i++ {
		sink += m.B(r3.Vec{X: rho[i%benchPoints], Y: 1 * mm, Z: 4 * mm}).Z
	}
}

func BenchmarkCuboidMagnetFar(b *testing.B) {
	m := field.CuboidMagnet{Size: r3.Vec{X: 10 * mm, Y: 6 * mm, Z: 3 * mm}, Remanence: 1.3}
	for i := 0; b.Loop(); i++ {
		sink += m.B(r3.Vec{X: 40 * mm, Y: 1 * mm, Z: 4 * mm}).Z
	}
}

package equalise

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/lattice"
	"lodegrid/field"
)

// coil is a stack of loops.
func coil(radii, heights []float64) field.Source {
	var s field.Sum
	for _, a := range radii {
		for _, h := range heights {
			s = append(s, field.Coaxial{Loops: []field.CoaxialLoop{{Radius: a, Z: h, Current: 1}}})
		}
	}
	return s
}

func kernelOf(s field.Source, pitch, plane, current float64) lattice.Kernel {
	return func(dst []float64, dx, dy float64) {
		b := s.B(r3.Vec{X: dx * pitch, Y: dy * pitch, Z: plane})
		dst[0] = b.Z * current
	}
}

func testProblem(rows, cols int) Problem {
	return Problem{
		Rows: rows, Cols: cols,
		Kernel: kernelOf(coil([]float64{2e-3, 3e-3, 4e-3, 5e-3}, []float64{-0.1e-3, -0.6e-3, -1.1e-3}), 12e-3, 2e-3, 1),
		Low:    -1, High: 1,
	}
}

func mustNew(t testing.TB, p Problem) *Solver {
	t.Helper()
	s, err := New(t.Context(), p)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func mustSolve(t testing.TB, s *Solver, target, start []float64) Result {
	t.Helper()
	r, err := s.Solve(t.Context(), target, start)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// 12 × 12 pixels against SciPy's bounded least squares with a dense matrix
// (testdata/grid/lsq12.json names its origin; .ci/checks/grid_equaliser.py repeats it).
func TestAgainstSciPy(t *testing.T) {
	raw, err := os.ReadFile("../../testdata/grid/lsq12.json")
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Radii, Heights        []float64
		Plane, Pitch, Current float64
		Side                  int
		Cases                 []struct {
			Name           string
			Low, High      float64
			Target, Levels []float64
			RMS            float64
		}
	}
	if err := json.Unmarshal(raw, &file); err != nil {
		t.Fatal(err)
	}
	if len(file.Cases) != 4 {
		t.Fatalf("%d cases", len(file.Cases))
	}
	for _, c := range file.Cases {
		s := mustNew(t, Problem{
			Rows: file.Side, Cols: file.Side,
			Kernel: kernelOf(coil(file.Radii, file.Heights), file.Pitch, file.Plane, file.Current),
			Low:    c.Low, High: c.High, Tolerance: 1e-14,
		})
		r := mustSolve(t, s, c.Target, nil)
		worst := 0.0
		for k, x := range r.Levels {
			worst = max(worst, math.Abs(x-c.Levels[k]))
		}
		t.Logf("%s: levels differ by %.1e, gap %.1e, %d at limits", c.Name, worst, r.Gap, r.AtLow+r.AtHigh)
		if worst > 1e-8 || math.Abs(r.RMS/c.RMS-1) > 1e-8 || !r.Converged {
			t.Errorf("%s: levels differ by %.2g, rms %g against %g, converged %v", c.Name, worst, r.RMS, c.RMS, r.Converged)
		}
	}
}

// Pictures that some levels make are made again by the same levels.
func TestReachablePictures(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 9))
	for _, biased := range []bool{false, true} {
		p := testProblem(7, 5)
		n := 35
		if biased {
			p.Bias = make([]float64, n)
			for k := range n {
				p.Bias[k] = 8e-3 + 1e-4*rng.Float64()
			}
		}
		s := mustNew(t, p)
		made, target := make([]float64, n), make([]float64, n)
		for k := range made {
			made[k] = 0.2 + 0.7*rng.Float64()
		}
		s.misses(made, target)
		copy(target, s.r)
		r := mustSolve(t, s, target, nil)
		scale := 0.0
		for k := range n {
			scale = max(scale, math.Abs(target[k]))
		}
		if r.Worst > 1e-5*scale || !r.Converged {
			t.Errorf("bias %v: misses a reachable picture by %g of %g (converged %v)", biased, r.Worst, scale, r.Converged)
		}
		for k, x := range r.Levels {
			if math.Abs(x-made[k]) > 1e-5 {
				t.Errorf("level %d is %g, made with %g", k, x, made[k])
			}
		}
		naive := s.Naive(target)
		before := s.Judge(naive, target)
		if !(before.RMS > 10*r.RMS) {
			t.Errorf("naive levels miss by %g, solved ones by %g", before.RMS, r.RMS)
		}
	}
}

// The gradient is that of f, by differences, with a bias.
func TestGradient(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	p := testProblem(3, 4)
	n := 12
	target, x, g := make([]float64, n), make([]float64, n), make([]float64, n)
	p.Bias = make([]float64, n)
	for k := range n {
		p.Bias[k], x[k], target[k] = 2e-3*rng.Float64(), rng.Float64(), 1e-3*rng.Float64()
	}
	s := mustNew(t, p)
	f := func() (sum float64) {
		s.misses(x, target)
		for _, r := range s.r {
			sum += r * r / 2
		}
		return sum
	}
	f()
	s.apply(g, s.r)
	for k := range n {
		const h = 1e-4
		v := x[k]
		at := func(d float64) float64 {
			x[k] = v + d
			return f()
		}
		slope := (8*(at(h)-at(-h)) - (at(2*h) - at(-2*h))) / (12 * h)
		x[k] = v
		if math.Abs(slope-g[k]) > 1e-6*(math.Abs(g[k])+math.Abs(g[0])) {
			t.Errorf("level %d: gradient %g, by differences %g", k, g[k], slope)
		}
	}
}

// The gap is a bound: no feasible levels tried do better than f less it.
func TestGapIsABound(t *testing.T) {
	p := testProblem(6, 6)
	p.Low, p.High = 0, 1
	p.Tolerance = 1e-3 // stop early
	rng := rand.New(rand.NewPCG(7, 7))
	target := make([]float64, 36)
	for k := range target {
		target[k] = 2e-3 * rng.Float64()
	}
	rough := mustSolve(t, mustNew(t, p), target, nil)
	p.Tolerance = 1e-14
	best := mustSolve(t, mustNew(t, p), target, nil)
	reference := 0.0
	for _, v := range target {
		reference += v * v / 2
	}
	f := func(r Result) float64 { return r.RMS * r.RMS * 36 / 2 }
	if over := (f(rough) - f(best)) / reference; over < 0 || over > rough.Gap || rough.Gap > 1e-3 {
		t.Errorf("stopped %g above the best, promised at most %g", over, rough.Gap)
	}
}

func TestLimitsHold(t *testing.T) {
	p := testProblem(4, 4)
	p.Low, p.High = -0.1, 0.4
	target := make([]float64, 16)
	for k := range target {
		target[k] = 5e-3 * float64(k%5-2)
	}
	r := mustSolve(t, mustNew(t, p), target, nil)
	for k, x := range r.Levels {
		if x < p.Low || x > p.High {
			t.Errorf("level %d is %g outside %g…%g", k, x, p.Low, p.High)
		}
	}
	if !r.Converged || r.AtLow+r.AtHigh == 0 {
		t.Errorf("%+v", r)
	}
	// Nothing asked for, from a lit start: dark.
	dark := mustSolve(t, mustNew(t, testProblem(4, 4)), make([]float64, 16), []float64{1, 1, 1, 1, 0, 0, 0, 0, 1, 1, 1, 1, -1, -1, -1, -1})
	for k, x := range dark.Levels {
		if math.Abs(x) > 1e-5 {
			t.Errorf("level %d is %g for a picture of nothing", k, x)
		}
	}
	if r := mustSolve(t, mustNew(t, testProblem(1, 1)), []float64{1e-4}, nil); r.Worst > 1e-12 {
		t.Errorf("a single pixel misses by %g T", r.Worst)
	}
}

func TestRefuses(t *testing.T) {
	good := testProblem(3, 3)
	for name, change := range map[string]func(*Problem){
		"kernel zero": func(p *Problem) { p.Kernel = func(dst []float64, _, _ float64) { clear(dst) } },
		"kernel NaN":  func(p *Problem) { p.Kernel = func(dst []float64, _, _ float64) { dst[0] = math.NaN() } },
	} {
		p := good
		change(&p)
		if _, err := New(t.Context(), p); err == nil {
			t.Errorf("%s passes", name)
		}
	}
}

// picture is a wave that moves on with the frame.
func picture(rows, cols, frame int) []float64 {
	t := make([]float64, rows*cols)
	for k := range t {
		if float64(k/cols) > float64(rows)/2+float64(rows)/4*math.Sin(float64(k%cols)*0.4+0.15*float64(frame)) {
			t[k] = 0.85e-3
		}
	}
	return t
}

func TestScene(t *testing.T) {
	s := mustNew(t, testProblem(10, 16))
	var levels []float64
	for f := range 6 {
		frame := picture(10, 16, f)
		cold, warm := mustSolve(t, s, frame, nil), mustSolve(t, s, frame, levels)
		levels = warm.Levels
		if math.Abs(warm.RMS/cold.RMS-1) > 1e-6 || !warm.Converged {
			t.Errorf("frame %d: rms %g warm, %g cold", f, warm.RMS, cold.RMS)
		}
	}
}

// BenchmarkSolve is 64 × 64 pixels, a scene's next frame from the levels before it
// (warm) or from nothing (cold).
func BenchmarkSolve(b *testing.B) {
	p := testProblem(64, 64)
	p.Low = 0
	s := mustNew(b, p)
	frames := [2][]float64{picture(64, 64, 0), picture(64, 64, 1)}
	b.Run("cold", func(b *testing.B) {
		for b.Loop() {
			mustSolve(b, s, frames[0], nil)
		}
	})
	b.Run("warm", func(b *testing.B) {
		start := mustSolve(b, s, frames[0], nil).Levels
		for k := 0; b.Loop(); k++ {
			start = mustSolve(b, s, frames[k%2], start).Levels
		}
	})
}

// gradientSteps solves a problem by the accelerated projected gradient method (A.
// Beck & M. Teboulle, SIAM J. Imaging Sciences 2 (2009) 183-202, from memory) with the
// solver's own convolutions, to the solver's own gap.
func gradientSteps(tb testing.TB, s *Solver, target []float64) (x []float64, steps int) {
	n := s.n
	// The largest second derivative, by power iteration.
	v := make([]float64, n)
	for k := range v {
		v[k] = 1 + 0.1*float64(k%7)
	}
	most := 0.0
	for range 30 {
		size := 0.0
		for _, e := range v {
			size += e * e
		}
		size = math.Sqrt(size)
		for k := range v {
			v[k] /= size
		}
		s.apply(s.work, v)
		s.apply(s.d, s.work)
		most = 0
		for k := range v {
			most += v[k] * s.d[k]
		}
		copy(v, s.d)
	}
	x = make([]float64, n)
	y, last, t := make([]float64, n), make([]float64, n), 1.0
	for steps = 1; steps <= 5000; steps++ {
		s.misses(y, target)
		s.apply(s.g, s.r)
		copy(last, x)
		for k := range x {
			x[k] = min(max(y[k]-s.g[k]/(1.01*most), s.p.Low), s.p.High)
		}
		if s.done(y, target) {
			return y, steps
		}
		next := (1 + math.Sqrt(1+4*t*t)) / 2
		for k := range y {
			y[k] = min(max(x[k]+(t-1)/next*(x[k]-last[k]), s.p.Low), s.p.High)
		}
		t = next
	}
	tb.Fatal("no end after 5000 steps")
	return nil, 0
}

// A second method finds the same levels.
func TestAgainstProjectedGradient(t *testing.T) {
	p := testProblem(9, 11)
	p.Tolerance = 1e-13
	s := mustNew(t, p)
	target := picture(9, 11, 3)
	r := mustSolve(t, s, target, nil)
	x, steps := gradientSteps(t, s, target)
	worst := 0.0
	for k := range x {
		worst = max(worst, math.Abs(x[k]-r.Levels[k]))
	}
	t.Logf("levels differ by %.1e after %d gradient steps", worst, steps)
	if worst > 1e-5 {
		t.Errorf("levels differ by %g", worst)
	}
}

// BenchmarkGradientSteps is the rival of BenchmarkSolve/cold, to the same gap.
func BenchmarkGradientSteps(b *testing.B) {
	p := testProblem(64, 64)
	p.Low = 0
	s := mustNew(b, p)
	target := picture(64, 64, 0)
	for b.Loop() {
		_, steps := gradientSteps(b, s, target)
		b.ReportMetric(float64(steps), "steps")
	}
}

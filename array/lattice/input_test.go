package lattice

import (
	"math"
	"strings"
	"testing"
)

func TestNewErrors(t *testing.T) {
	good := Shape{Rows: 3, Cols: 4, Samples: 2, Components: 3}
	with := func(change func(*Shape)) Shape {
		s := good
		change(&s)
		return s
	}
	nan := func(dst []float64, dx, dy float64) {
		square(dst, dx, dy)
		if dx > 2 && dy < -1 {
			dst[1] = math.NaN()
		}
	}
	for _, f := range []struct {
		shape  Shape
		kernel Kernel
		opts   []Option
		want   string
	}{
		{with(func(s *Shape) { s.Rows = 0 }), square, nil, "Shape.Rows is 0, must be at least 1"},
		{with(func(s *Shape) { s.Cols = -3 }), square, nil, "Shape.Cols is -3, must be at least 1"},
		{with(func(s *Shape) { s.Samples = 0 }), square, nil, "Shape.Samples is 0, must be at least 1"},
		{with(func(s *Shape) { s.Margin = -1 }), square, nil, "Shape.Margin is -1, must be at least 0"},
		{with(func(s *Shape) { s.Components = 0 }), square, nil, "Shape.Components is 0, must be at least 1"},
		{with(func(s *Shape) { s.Cols = math.MaxInt }), square, nil, "must be at most 1048576"},
		{good, nil, nil, "the kernel is nil"},
		{good, nan, nil, "component 1 of the kernel is NaN at offset (2.25, -1.25) pitches, must be finite"},
		{good, square, []Option{Symmetry{X: []int{1}}}, "Symmetry.X has 1 entries for 3 components"},
		{good, square, []Option{Symmetry{Y: []int{1, 0, 1}}}, "Symmetry.Y[1] is 0, must be 1 or -1"},
		{good, square, []Option{Symmetry{X: []int{-1, 1, 1}, Y: []int{1, -1, 1}, Point: []int{-1, -1, -1}}}, "Symmetry.Point[2] is -1, but X and Y make it 1"},
		{good, square, []Option{Symmetry{Swap: []int{1, 2, 0}}}, "Symmetry.Swap[0] is 1, must name a component that swaps back"},
		{good, square, []Option{Symmetry{Swap: []int{1, 0}}}, "Symmetry.Swap has 2 entries for 3 components"},
		{good, square, []Option{Symmetry{X: []int{-1, 1, 1}, Y: []int{1, -1, 1}, Swap: []int{2, 1, 0}}}, "Symmetry.Swap[0] is 2, but the parities of the two do not change places"},
		{good, square, []Option{Symmetry{X: []int{1, 1, 1}}}, "Symmetry.X does not hold for component 0: the kernel is"},
		{good, square, []Option{Symmetry{Point: []int{-1, -1, -1}}}, "Symmetry.Point does not hold for component 2"},
		{good, crooked, []Option{Field()}, "Symmetry.X does not hold for component 0"},
		{good, nan, []Option{Field()}, "Symmetry.X does not hold for component 1: the kernel is"},
		{good, square, []Option{Truncated(1)}, "Truncated(1): the relative error must be above 0 and below 1"},
		{good, square, []Option{Truncated(math.NaN())}, "Truncated(NaN)"},
		{good, square, []Option{Truncated(-0.1)}, "Truncated(-0.1)"},
		{good, square, []Option{Truncated(0)}, "Truncated(0)"},
		{good, square, []Option{Workers(0)}, "Workers(0): must be 1 to 256"},
	} {
		e, err := New(t.Context(), f.shape, f.kernel, f.opts...)
		if err == nil || e != nil {
			t.Errorf("New(%+v, %v): no error, want %q", f.shape, f.opts, f.want)
			continue
		}
		if !strings.HasPrefix(err.Error(), "lattice: ") || !strings.Contains(err.Error(), f.want) {
			t.Errorf("error %q, want %q", err, f.want)
		}
	}
}

// TestProbe expects every claim that square and gradients make to be one that is
// checked: turning any single one round must be refused.
func TestProbe(t *testing.T) {
	s := Shape{Rows: 4, Cols: 3, Samples: 2, Components: 8}
	for c := range s.Components {
		x, y := gradientSymmetry(), gradientSymmetry()
		x.X[c] *= -1
		y.Y[c] *= -1
		x.Swap, y.Swap = nil, nil
		for _, claim := range []Symmetry{x, y} {
			if _, err := New(t.Context(), s, gradients, claim); err == nil {
				t.Errorf("component %d: wrong parity passed: %+v", c, claim)
			}
		}
	}
	wrong := gradientSymmetry()
	wrong.Swap = []int{7, 6, 2, 3, 5, 4, 1, 0}
	wrong.X, wrong.Y = nil, nil
	if _, err := New(t.Context(), s, gradients, wrong); err == nil || !strings.Contains(err.Error(), "Symmetry.Swap does not hold") {
		t.Errorf("wrong swap: error %v", err)
	}
}

func TestLevelErrors(t *testing.T) {
	s := Shape{Rows: 2, Cols: 3, Samples: 2, Components: 2}
	e := mustNew(t, s, crooked)
	p := e.NewPlanes()
	ones := []float64{1, 1, 1, 1, 1, 1}
	if err := e.Superpose(p, ones); err != nil {
		t.Fatal(err)
	}
	before := rasters(p)
	for _, f := range []struct {
		levels []float64
		want   string
	}{
		{nil, "lattice: 0 levels for 2×3 pixels, want 6"},
		{make([]float64, 7), "lattice: 7 levels for 2×3 pixels, want 6"},
		{[]float64{0, 0, 0, 0, math.NaN(), 0}, "lattice: level of pixel 4 (row 1, column 1) is NaN, must be finite"},
		{[]float64{0, math.Inf(-1), 0, 0, 0, 0}, "lattice: level of pixel 1 (row 0, column 1) is -Inf, must be finite"},
	} {
		if err := e.Superpose(p, f.levels); err == nil || err.Error() != f.want {
			t.Errorf("Superpose: error %v, want %q", err, f.want)
		}
		if _, err := e.Update(p, f.levels); err == nil || err.Error() != f.want {
			t.Errorf("Update: error %v, want %q", err, f.want)
		}
	}
	compare(t, "after refused levels", rasters(p), before)
	for i, v := range p.Levels() {
		if v != 1 {
			t.Errorf("pixel %d stands at %g after refused levels", i, v)
		}
	}
}

// TestMemory holds the estimate against what an engine really holds.
func TestMemory(t *testing.T) {
	count := func(e *Engine) (m Memory) {
		for _, x := range e.real {
			m.Spectra += 8 * float64(len(x))
		}
		for _, x := range e.complex {
			m.Spectra += 16 * float64(len(x))
		}
		for _, x := range e.spectrum {
			m.Scratch += 16 * float64(len(x))
		}
		m.Scratch += 16 * float64(len(e.half))
		for _, n := range e.lanes {
			m.Scratch += 16*float64(len(n.line)+len(n.quarter)+len(n.work)) + 8*float64(len(n.spare)+len(n.unwanted))
		}
		if e.table != nil {
			m.Table = 8 * float64(len(e.table.data))
		}
		p := e.NewPlanes()
		m.Planes = 8 * float64(len(p.data)+len(p.levels))
		return m
	}
	for _, kc := range kernelCases {
		for _, s := range []Shape{
			{Rows: 1, Cols: 1, Samples: 1}, {Rows: 5, Cols: 9, Samples: 4, Margin: 1},
			{Rows: 8, Cols: 8, Samples: 3}, {Rows: 2, Cols: 17, Samples: 5, Margin: 2}, {Rows: 6, Cols: 4, Samples: 1},
		} {
			s.Components = kc.components
			for _, more := range []Option{nil, FramesOnly(), Workers(3)} {
				opts := append([]Option{more}, kc.options...)
				got := count(mustNew(t, s, kc.kernel, opts...))
				want, err := Estimate(s, opts...)
				if err != nil {
					t.Fatal(err)
				}
				if got.Table != want.Table || got.Spectra != want.Spectra || got.Planes != want.Planes ||
					math.Abs(got.Scratch-want.Scratch) > 64*3 {
					t.Errorf("%s, %+v: holds %+v, estimated %+v", kc.name, s, got, want)
				}
				if want.Peak < want.Held() {
					t.Errorf("%s, %+v: peak %g below what is held, %g", kc.name, s, want.Peak, want.Held())
				}
			}
		}
	}
}

// TestMemoryLimit expects a grid far too large to be refused at once, before the
// kernel is asked for anything, with an error that names the memory.
func TestMemoryLimit(t *testing.T) {
	untouched := func([]float64, float64, float64) { t.Error("the kernel was called") }
	s := Shape{Rows: 10000, Cols: 10000, Samples: 8, Components: 3}
	for _, f := range []struct {
		opts []Option
		want []string
	}{
		// Table (19999·8)² offsets · 3 · 8 B = 572.2 GiB, spectra 96 complex
		// planes of 20000² = 572.2 GiB, planes (10000·8)² · 3 · 8 B = 143.1 GiB,
		// the rest below 50 GiB.
		{nil, []string{"10000×10000 pixels", "8×8 samples", "TiB of memory, the limit is 4.0 GiB", "FramesOnly"}},
		{[]Option{FramesOnly(), MemoryLimit(1 << 40)}, []string{"TiB of memory, the limit is 1.0 TiB", "fewer samples per pitch or a smaller grid"}},
	} {
		_, err := New(t.Context(), s, untouched, f.opts...)
		if err == nil {
			t.Fatal("no error")
		}
		for _, w := range f.want {
			if !strings.Contains(err.Error(), w) {
				t.Errorf("error %q does not say %q", err, w)
			}
		}
	}
	m, err := Estimate(s)
	if err != nil {
		t.Fatal(err)
	}
	if want := 8 * 3 * 159992.0 * 159992; m.Table != want {
		t.Errorf("table %g bytes, want %g", m.Table, want)
	}
	if m.Planes < 8*3*80000.0*80000 || m.Planes > 8*3*80000.0*80000+8e8 {
		t.Errorf("planes %g bytes", m.Planes)
	}
	// The limit is a limit: one byte less than needed is refused.
	small := Shape{Rows: 3, Cols: 3, Samples: 2, Components: 3}
	m, err = Estimate(small, Field())
	if err != nil {
		t.Fatal(err)
	}
	if _, err := New(t.Context(), small, square, Field(), MemoryLimit(int64(m.Peak))); err != nil {
		t.Error(err)
	}
	if _, err := New(t.Context(), small, square, Field(), MemoryLimit(int64(m.Peak)-1)); err == nil {
		t.Error("an engine above its limit was made")
	}
}

func TestFormatBytes(t *testing.T) {
	for b, want := range map[float64]string{0: "0 B", 1023: "1023 B", 1536: "1.5 KiB", 3 << 20: "3.0 MiB", 1e30: "867361737988.4 EiB"} {
		if got := formatBytes(b); got != want {
			t.Errorf("formatBytes(%g) = %q, want %q", b, got, want)
		}
	}
}

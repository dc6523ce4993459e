package lattice

import (
	"math"
	"slices"
	"strings"
	"testing"
)

func TestNewErrors(t *testing.T) {
	good := Shape{Rows: 3, Cols: 4, Samples: 2, Components: 3}
	nan := func(dst []float64, dx, dy float64) {
		square(dst, dx, dy)
		if dx > 2 && dy < -1 {
			dst[1] = math.NaN()
		}
	}
	for _, f := range []struct {
		shape  Shape
		kernel Kernel
		y      Symmetry
		want   string
	}{
		{good, nan, Symmetry{}, "component 1 of the kernel is NaN at offset (2.25, -1.25) pitches, must be finite"},
		{good, square, Symmetry{X: []int{1, 1, 1}, Y: []int{1, -1, 1}}, "Symmetry.X does not hold for component 0: the kernel is"},
		{good, crooked, Field(), "Symmetry.X does not hold for component 0"},
		{good, nan, Field(), "Symmetry.X does not hold for component 1: the kernel is"},
	} {
		e, err := New(t.Context(), f.shape, f.kernel, f.y)
		if err == nil || e != nil {
			t.Errorf("New(%+v, %v): no error, want %q", f.shape, f.y, f.want)
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
	wrong.Swap = []int{7, 6, 2, 4, 3, 5, 1, 0} // parities that fit, components that do not
	if _, err := New(t.Context(), s, gradients, wrong); err == nil || !strings.Contains(err.Error(), "Symmetry.Swap does not hold") {
		t.Errorf("wrong swap: error %v", err)
	}
}

func TestLevelErrors(t *testing.T) {
	s := Shape{Rows: 2, Cols: 3, Samples: 2, Components: 2}
	e := mustNew(t, s, crooked, Symmetry{})
	ones, p := []float64{1, 1, 1, 1, 1, 1}, rasters(s)
	before := sum(t, e, ones)
	e.Superpose(p, ones)
	for _, f := range []struct {
		dst    [][]float64
		levels []float64
		want   string
	}{
		{p, nil, "lattice: 0 levels and room for 2 components, want 6 and 2"},
		{p, make([]float64, 7), "lattice: 7 levels and room for 2 components, want 6 and 2"},
		{p, []float64{0, 0, 0, 0, math.NaN(), 0}, "lattice: level of row 2, column 2 is NaN, must be finite"},
		{p, []float64{0, math.Inf(-1), 0, 0, 0, 0}, "lattice: level of row 1, column 2 is -Inf, must be finite"},
		{p[:1], ones, "lattice: 6 levels and room for 1 components, want 6 and 2"},
		{[][]float64{p[0], nil}, ones, "lattice: room for 0 samples of component 1, want 24"},
	} {
		if said := panics(func() { e.Superpose(f.dst, f.levels) }); said != f.want {
			t.Errorf("said %v, want %q", said, f.want)
		}
	}
	if !slices.Equal(slices.Concat(p...), before) {
		t.Error("refused levels changed the result")
	}
}

// panics is what f panics with, nil where it does not.
func panics(f func()) (said any) {
	defer func() { said = recover() }()
	f()
	return nil
}

// TestMemory holds the estimate against what an engine and its table really hold.
func TestMemory(t *testing.T) {
	for _, kc := range kernelCases {
		for _, s := range []Shape{
			{Rows: 1, Cols: 1, Samples: 1}, {Rows: 5, Cols: 9, Samples: 4, Margin: 1},
			{Rows: 8, Cols: 8, Samples: 3}, {Rows: 2, Cols: 17, Samples: 5, Margin: 2}, {Rows: 6, Cols: 4, Samples: 1},
		} {
			s.Components = kc.components
			e := mustNew(t, s, kc.kernel, kc.symmetry)
			table, err := tabulate(t.Context(), s, kc.kernel, kc.symmetry)
			if err != nil {
				t.Fatal(err)
			}
			got := 8*len(e.planes) + 16*(len(e.levels)+len(e.work)+len(e.buf)*len(e.buf[0]))
			for _, v := range table.values {
				got += 8 * len(v)
			}
			for _, j := range e.jobs {
				if !j.flip {
					got += 8*len(j.real) + 16*len(j.complex)
				}
			}
			want := Estimate(s, kc.symmetry)
			if float64(got) != want {
				t.Errorf("%s, %+v: holds %d bytes, estimated %g", kc.name, s, got, want)
			}
		}
	}
}

// TestMemoryLimit expects a grid far too large to be refused at once, before the
// kernel is asked for anything, with an error that names the memory.
func TestMemoryLimit(t *testing.T) {
	untouched := func([]float64, float64, float64) { t.Error("the kernel was called") }
	// Table (19999·8)² offsets · 3 · 8 B = 572.2 GiB, spectra 96 complex
	// planes of 20000² = 572.2 GiB at least, the rest below 50 GiB.
	_, err := New(t.Context(), Shape{Rows: 10000, Cols: 10000, Samples: 8, Components: 3}, untouched, Symmetry{})
	if err == nil {
		t.Fatal("no error")
	}
	for _, w := range []string{"10000×10000 pixels", "8×8 samples", " GiB of memory, the limit is 4;", "fewer samples"} {
		if !strings.Contains(err.Error(), w) {
			t.Errorf("error %q does not say %q", err, w)
		}
	}
}

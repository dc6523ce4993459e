package grid_test

import (
	"math"
	"reflect"
	"slices"
	"testing"

	"gonum.org/v1/gonum/floats"

	"lodegrid/array/design/trial"
	"lodegrid/array/grid"
)

// The highest flux density in the steel of a display a little off, by the current alone,
// against its steel solved anew, whose permeability changes with it: within three tenths.
func TestNearSteelGoesByTheCurrent(t *testing.T) {
	steel := []string{"iron.model=fem", "iron.radius=4 mm", "iron.thickness=0.5 mm", "iron.gap=0 mm", "grid.rows=1", "grid.cols=1"}
	for name, more := range map[string][]string{
		"alone":       nil,
		"with magnet": {"magnet.kind=pixel", "magnet.diameter=4 mm", "magnet.length=3 mm", "magnet.depth=0.6 mm"},
	} {
		t.Run(name, func(t *testing.T) {
			g := trial.Build(t, grid.New, 4, append(steel, more...)...)
			was := g.Pixel.Iron.CoilSolution.Peak
			whole := trial.Build(t, grid.New, 4, append(append(steel, more...), "supply.voltage=12.6 V")...)
			n, err := g.Near(t.Context(), whole.Design)
			if err != nil {
				t.Fatal(err)
			}
			moved, told := whole.Pixel.Iron.CoilSolution.Peak-was, n.Pixel.Iron.CoilSolution.Peak-was
			if moved == 0 || math.Abs(told-moved) > 0.3*math.Abs(moved) {
				t.Errorf("%g T moves by %g T, told to by %g T", was, moved, told)
			}
		})
	}
}

// A board a twentieth thicker lies farther from its steel: the field that Near tells is that of one
// built anew to a thousandth of its greatest, where it moves by two hundredths and more.
func TestNearOfAThickerBoard(t *testing.T) {
	for name, was := range map[string][]string{
		"discs":   {"iron.model=fem", "iron.radius=4 mm", "iron.thickness=0.5 mm", "iron.gap=0 mm"},
		"magnets": append(slices.Clone(trial.Magnets), "coil.inner=3 mm"),
	} {
		t.Run(name, func(t *testing.T) {
			g, whole := trial.Build(t, grid.New, 4, was...), trial.Build(t, grid.New, 4, append(was, "board.thickness=1.68 mm")...)
			n, err := g.Near(t.Context(), whole.Design)
			if err != nil {
				t.Fatal(err)
			}
			lit := make([]float64, whole.Design.Pixels())
			lit[0] = whole.Pixel.FullCurrent
			var bz [3][]float64
			for k, h := range []*grid.Grid{whole, n, g} {
				bz[k] = h.Field(grid.Currents{Mean: lit}).Bz
			}
			most := math.Max(floats.Max(bz[0]), -floats.Min(bz[0]))
			off, moved := floats.Distance(bz[1], bz[0], math.Inf(1))/most, floats.Distance(bz[2], bz[0], math.Inf(1))/most
			if off > 1e-3 || moved < 0.02 {
				t.Errorf("off by %g, moved by %g", off, moved)
			}
		})
	}
}

// A trial of another number of pixels under another drive has that drive's full current.
func TestTrialHasItsDrive(t *testing.T) {
	g, whole := trial.Build(t, grid.New, 4), trial.Build(t, grid.New, 4, "grid.rows=2", "drive.max_duty=40 %")
	h, err := g.Trial(t.Context(), whole.Design)
	if err != nil {
		t.Fatal(err)
	}
	if h.Pixel.FullCurrent != whole.Pixel.FullCurrent || h.Pixel.FullCurrent == g.Pixel.FullCurrent || h.Raster != whole.Raster {
		t.Errorf("%g A, of a grid built anew %g A", h.Pixel.FullCurrent, whole.Pixel.FullCurrent)
	}
}

// The grid of a changed design that keeps the pixel is the one that is built anew.
func TestChangedIsBuiltAnew(t *testing.T) {
	steel := []string{"iron.model=fem", "iron.thickness=0.5 mm", "iron.gap=0 mm"}
	magnet := append(trial.Magnets, "coil.inner=3 mm")
	// Over steel that bends, turns so short that the freewheel diode takes a part of the current.
	scan := append(slices.Clone(steel), "iron.radius=4 mm", "drive.mode=scan", "drive.bridge=low-side", "drive.diode_drop=2 V", "drive.kick_voltage=48 V", "drive.frequency=300 kHz", "drive.scan_time=0.05 ms", "grid.rows=2", "grid.cols=2")
	for name, c := range map[string]struct {
		was, now []string
		pixel    bool // kept
	}{
		"pitch over pins":      {append(steel, "iron.core_radius=0.5 mm"), []string{"grid.pitch=12 mm", "grid.rows=4"}, true},
		"pitch over a sheet":   {steel, []string{"grid.pitch=11 mm"}, true},
		"pitch of magnets":     {magnet, []string{"grid.pitch=12 mm", "supply.voltage=9 V"}, true},
		"pitch of one sheet":   {[]string{"magnet.kind=sheet", "magnet.depth=1 mm"}, []string{"grid.pitch=12 mm"}, false},
		"one pixel, then four": {append(steel, "iron.core_radius=0.5 mm", "grid.rows=1", "grid.cols=1"), []string{"grid.rows=2", "grid.cols=2"}, true},
		"steel that is bent":   {append(steel, "iron.radius=4 mm"), []string{"supply.voltage=48 V", "grid.pitch=12 mm", "drive.place=any"}, false},
		"turns of a scan":      {scan, []string{"grid.rows=16"}, false},
		"a coil":               {steel, []string{"coil.turns=8"}, false},
	} {
		t.Run(name, func(t *testing.T) {
			g, whole := trial.Build(t, grid.New, 4, c.was...), trial.Build(t, grid.New, 4, append(slices.Clone(c.was), c.now...)...)
			h, err := g.Changed(t.Context(), whole.Design)
			if err != nil {
				t.Fatal(err)
			}
			if kept := h.Pixel.Coil == g.Pixel.Coil; kept != c.pixel {
				t.Errorf("the pixel is kept: %t", kept)
			}
			lit := make([]float64, whole.Design.Pixels())
			lit[0] = whole.Pixel.FullCurrent
			a, b := h.Field(grid.Currents{Mean: lit}), whole.Field(grid.Currents{Mean: lit})
			if !slices.Equal(a.Bz, b.Bz) || !slices.Equal(a.Pi, b.Pi) || h.Pixel.FullCurrent != whole.Pixel.FullCurrent || !reflect.DeepEqual(h.Steel, whole.Steel) {
				t.Errorf("another field, or steel: %+v, %+v", h.Steel, whole.Steel)
			}
			if h.Design.Grid != whole.Design.Grid || h.Raster != whole.Raster {
				t.Error("another lattice")
			}
		})
	}
}

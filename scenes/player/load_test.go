package player

import (
	"math"
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/drive"
	"lodegrid/field/material"
	"lodegrid/scenes"
)

// The heat of a coil that warms within a frame against the drive's own settled law, in
// every mode, with L/R from far below the on-time to far above it.
func TestFrameLoadFollowsTheDrive(t *testing.T) {
	worst := 0.0
	base := newPlayer(t, small(t))
	for name, change := range map[string]func(*design.Drive){
		"direct":              func(d *design.Drive) { d.Mode = design.DriveDirect },
		"low side":            func(d *design.Drive) { d.Mode, d.Bridge = design.DriveStagger, design.BridgeLowSide },
		"much switch":         func(d *design.Drive) { d.OnResistance = 30 },
		"scan":                func(d *design.Drive) { d.Mode = design.DriveScan },
		"quick, boosted scan": func(d *design.Drive) { d.Mode, d.ScanTime, d.KickVoltage = design.DriveScan, 1e-3, 48 },
		"kick":                func(d *design.Drive) { d.Mode, d.HoldDuty = design.DriveKick, 0.2 },
	} {
		for _, frequency := range []float64{500, 20e3, 60e3, 500e3} {
			p, err := base.With(func(d *design.Design) {
				change(&d.Drive)
				d.Drive.Frequency = frequency
			})
			if err != nil {
				t.Fatal(err)
			}
			bound := 0.0015
			if name == "low side" {
				bound = 0.015 // where the current begins to die out within a period
			}
			n := len(p.pixels)
			levels := make([]float64, n)
			for i := range levels {
				levels[i] = float64(i+1) / float64(n)
			}
			law := &drive.Heating{Drive: p.drive, Levels: levels, Resistance20: p.load.resistance20, Alpha: material.AnnealedCopper.TempCoefficient}
			coil, slope, got := make([]float64, n), make([]float64, n), make([]float64, n)
			for _, start := range []float64{293.15, 350} {
				for i := range coil {
					coil[i] = start
				}
				law.Power(p.load.watts, slope, coil)
				copy(p.load.start, coil)
				p.load.follow(levels)
				want := make([]float64, n)
				for i := range coil {
					coil[i] = start + 5
				}
				law.Power(want, slope, coil)
				p.load.Power(got, slope, coil)
				for i := range got {
					worst = math.Max(worst, math.Abs(got[i]/want[i]-1))
					if off := math.Abs(got[i]/want[i] - 1); off > bound {
						t.Errorf("%s at %g Hz, level %.2f from %g K: %.3g %% off after 5 K", name, frequency, levels[i], start, 100*off)
					}
				}
			}
		}
	}
	t.Logf("at most %.2g %% off after 5 K", 100*worst)
}

// What a scan's diodes take warms the board at their coils: held, in a scene's mean and in a
// frame, by as much as a like current without them leaves cooler.
func TestScanDiodesWarmTheBoard(t *testing.T) {
	scan := func(rail, free, path float64) *Player {
		p, err := newPlayer(t, small(t)).With(func(d *design.Design) {
			d.Drive.Mode, d.Drive.Bridge, d.Drive.ScanTime = design.DriveScan, design.BridgeLowSide, 5e-3
			d.Drive.KickVoltage, d.Drive.DiodeDrop, d.Drive.ScanDiode, d.Drive.MaxDuty = rail, free, path, 0.3
		})
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	with, without := scan(6, 0.5, 1), scan(5, 1.5, 0)
	levels := with.Uniform(1)
	hot, err := with.Steady(t.Context(), levels)
	if err != nil {
		t.Fatal(err)
	}
	cool, err := without.Steady(t.Context(), levels)
	if err != nil {
		t.Fatal(err)
	}
	given, told := 0.0, 0.0
	for i, s := range hot.Pixels {
		given, told = given+hot.Heat.Watts[i], told+s.Copper+s.OnBoard
		if s.OnBoard < 0.1*s.Copper {
			t.Fatalf("pixel %d: %g W in its diode beside %g W", i, s.OnBoard, s.Copper)
		}
	}
	if math.Abs(given/told-1) > 1e-4 || hot.Heat.Coils[0] < cool.Heat.Coils[0]+0.1*(cool.Heat.Coils[0]-with.grid.Design.Heat.Ambient) {
		t.Errorf("%g W warm the board of %g W; %g K, without diodes %g K", given, told, hot.Heat.Coils[0], cool.Heat.Coils[0])
	}
	s := scenes.Scene{Name: "all", Rows: with.grid.Design.Grid.Rows, Cols: with.grid.Design.Grid.Cols, Frames: []scenes.Frame{{Levels: levels, Duration: 1}}}
	mean, err := with.Mean(t.Context(), s)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(mean.Watts[0]/hot.Heat.Watts[0]-1) > 0.01 {
		t.Errorf("in the mean %g W, held %g W", mean.Watts[0], hot.Heat.Watts[0])
	}
	with.measure()
	if err := with.power(t.Context(), &Entry{Duration: 0.1}, levels); err != nil {
		t.Fatal(err)
	}
	if s := with.pixels[0]; math.Abs(with.load.watts[0]/(s.Copper+s.OnBoard)-1) > 1e-12 {
		t.Errorf("a frame warms by %g W, not %g + %g W", with.load.watts[0], s.Copper, s.OnBoard)
	}
}

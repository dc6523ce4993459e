package player

import (
	"math"
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/drive"
	"lodegrid/field/material"
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

package grid

import (
	"fmt"
	"slices"

	"lodegrid/array/design"
	"lodegrid/array/drive"
	"lodegrid/array/pixel"
	"lodegrid/field"
	"lodegrid/field/root"
)

// Drive returns the drive of the grid's pixels for frames of a usual length in seconds,
// 0 for 0.1 s.
func (g *Grid) Drive(frameTime float64) *drive.Drive {
	return pixel.NewDrive(g.Design, g.Pixel, g.Design.Grid.Cols, frameTime)
}

// HeldHeat is the heat in watts of all coils, cold, while each holds a share −1…1 of the mean
// current of full level.
func (g *Grid) HeldHeat(shares []float64) (float64, error) {
	drv, ohms := g.Drive(0), g.Pixel.Coil.Resistance(field.RoomTemperature)
	levels := slices.Clone(shares)
	if g.Design.Drive.Bridge != design.BridgeFull { // a diode takes off more of a low level
		for k, share := range shares {
			levels[k], _ = root.Boundary(func(level float64) bool {
				return drv.Course(k, level, ohms).Mean() <= share*g.Pixel.FullCurrent
			}, 0, 1, 1e-9)
		}
	}
	states := make([]drive.PixelState, len(levels))
	if err := drv.Steady(states, levels, slices.Repeat([]float64{ohms}, len(levels))); err != nil {
		return 0, fmt.Errorf("asking the drive for the coils' heat: %w", err)
	}
	sum := 0.0
	for _, s := range states {
		sum += s.Copper
	}
	return sum, nil
}

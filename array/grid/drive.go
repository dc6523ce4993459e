package grid

import (
	"fmt"
	"slices"

	"lodegrid/array/drive"
	"lodegrid/array/pixel"
	"lodegrid/field"
)

// Drive returns the drive of the grid's pixels for frames of a usual length in seconds,
// 0 for 0.1 s.
func (g *Grid) Drive(frameTime float64) *drive.Drive {
	drv, err := pixel.NewDrive(g.Design, g.Pixel, g.Design.Grid.Cols, frameTime)
	if err != nil {
		panic(err) // the pixel's SetDrive would have told it
	}
	return drv
}

// HeldHeat is the heat in watts of all coils, cold, while levels are held.
func (g *Grid) HeldHeat(levels []float64) (float64, error) {
	drv := g.Drive(0)
	cold := slices.Repeat([]float64{g.Pixel.Coil.Resistance(field.RoomTemperature)}, len(levels))
	states := make([]drive.PixelState, len(levels))
	if err := drv.Steady(states, levels, cold); err != nil {
		return 0, fmt.Errorf("asking the drive for the coils' heat: %w", err)
	}
	sum := 0.0
	for _, s := range states {
		sum += s.Copper
	}
	return sum, nil
}

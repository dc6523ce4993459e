package drive

import (
	"fmt"

	"lodegrid/array/extent"
	"lodegrid/field/param"
)

// params names this package in the errors of its parameters.
const params = param.Of("drive")

// LevelError says which pixel's drive level cannot be shown.
type LevelError struct {
	Pixel  int
	Cols   int // of the grid
	Level  float64
	Accept string
}

func (e *LevelError) Error() string {
	return fmt.Sprintf("drive: level %v of %s cannot be driven; accepted: %s", e.Level, extent.PlaceOf(e.Pixel, e.Cols), e.Accept)
}

// refuse is the error of a level of pixel i.
func (d *Drive) refuse(i int, level float64) error {
	return &LevelError{i, d.p.Cols, level, fmt.Sprintf("%v to 1 (%s driver)", d.lowest, d.p.Bridge)}
}

package drive

import (
	"fmt"

	"lodegrid/field/param"
)

// params names this package in the errors of its parameters.
const params = param.Of("drive")

// LevelError says which pixel's drive level cannot be shown.
type LevelError struct {
	Pixel  int
	Level  float64
	Accept string
}

func (e *LevelError) Error() string {
	return fmt.Sprintf("drive: level %v of pixel %d cannot be driven; accepted: %s", e.Level, e.Pixel, e.Accept)
}

func fraction(key string, v float64) error {
	if v >= 0 && v <= 1 {
		return nil
	}
	return params.Refuse(key, v, "out of range", "0 to 1")
}

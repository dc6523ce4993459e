package drive

import "fmt"

// ParamError says which parameter cannot be used and what would be. Key is the
// parameter's name in the design file where it has one.
type ParamError struct {
	Key     string
	Value   any
	Problem string
	Accept  string
}

func (e *ParamError) Error() string {
	return fmt.Sprintf("drive: %s %v: %s; accepted: %s", e.Key, e.Value, e.Problem, e.Accept)
}

// LevelError says which pixel's drive level cannot be shown.
type LevelError struct {
	Pixel  int
	Level  float64
	Accept string
}

func (e *LevelError) Error() string {
	return fmt.Sprintf("drive: level %v of pixel %d cannot be driven; accepted: %s", e.Level, e.Pixel, e.Accept)
}

func positive(key string, v float64, unit string) error {
	if v > 0 && v <= maxFloat {
		return nil
	}
	return &ParamError{key, v, "not a positive finite number", "more than 0 " + unit}
}

func notNegative(key string, v float64, unit string) error {
	if v >= 0 && v <= maxFloat {
		return nil
	}
	return &ParamError{key, v, "not a finite number of at least 0", "0 " + unit + " or more"}
}

func fraction(key string, v float64) error {
	if v >= 0 && v <= 1 {
		return nil
	}
	return &ParamError{key, v, "out of range", "0 to 1"}
}

// maxFloat keeps infinities and the products that would make them out.
const maxFloat = 1e150

package studies

import (
	"fmt"
	"math"

	"lodegrid/array/grid"
	"lodegrid/scenes"
)

// Strings is a grid's coils in series, so many after each other row by row. A source, one
// switch, gives each string the current of its brightest pixel. Inductances in series cannot
// carry different currents, so a switch beside each coil, as good as the source's, takes all
// of it in turn, for so long that the coil's mean square is that of a driver of its own.
type Strings struct {
	Coils, Count    int     // in a string, which the last need not fill, and strings
	Own             float64 // W, mean of a scene, in switches and diodes of a driver for each coil
	Sources, Bypass float64 // W, mean of the scene, in the strings' sources and in the switches beside coils
}

// InStrings are the longest strings that a rail in V carries at full level, cold, in modes
// direct and stagger, with what they lose in a scene. Without Coils where not two coils fit,
// or where currents are to flow backwards.
func InStrings(g *grid.Grid, s scenes.Scene, volts float64) (Strings, error) {
	c, err := newCold(g)
	if err != nil {
		return Strings{}, err
	}
	type steady struct{ square, lost float64 } // A² of the mean current, W in switch and diode
	known := map[float64]steady{0: {}}
	levels := make([]float64, g.Design.Pixels())
	at := func(level float64) (steady, error) {
		x, ok := known[level]
		if ok {
			return x, nil
		}
		levels[0] = level
		if err := c.drive.Steady(c.pixels, levels, c.resistance); err != nil {
			return x, fmt.Errorf("driving coils in strings: %w", err)
		}
		p := c.pixels[0]
		x = steady{p.Average * p.Average, p.Switch + p.Diode}
		known[level] = x
		return x, nil
	}
	full, err := at(1)
	if err != nil {
		return Strings{}, err
	}
	on, amps := g.Design.Drive.OnResistance, math.Sqrt(full.square)
	n := min(int((volts-amps*on)/(amps*max(c.resistance[0], on))), len(levels))
	if n < 2 {
		return Strings{}, nil
	}
	out := Strings{Coils: n, Count: (len(levels) + n - 1) / n}
	total := 0.0
	for _, f := range s.Frames {
		total += f.Duration
		for from := 0; from < len(levels); from += n {
			coils := f.Levels[from:min(from+n, len(levels))]
			most, sum := 0.0, 0.0
			for _, v := range coils {
				if v < 0 {
					return Strings{}, nil
				}
				x, err := at(v)
				if err != nil {
					return Strings{}, err
				}
				most, sum = max(most, x.square), sum+x.square
				out.Own += f.Duration * x.lost
			}
			out.Sources += f.Duration * on * most
			out.Bypass += f.Duration * on * (float64(len(coils))*most - sum)
		}
	}
	out.Own, out.Sources, out.Bypass = out.Own/total, out.Sources/total, out.Bypass/total
	return out, nil
}

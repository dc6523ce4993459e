package heat

import (
	"context"
	"fmt"
)

// Resistances are the effective thermal resistances from a pixel's coil to the
// air, in K/W: the coil's steady rise over the power of one pixel. They depend on
// that power, because warm air rises faster.
type Resistances struct {
	Watts float64 // per pixel
	Alone float64 // only this pixel on
	AllOn float64 // every pixel on
}

// Resistance returns the effective resistances of a pixel at a power per pixel in
// watts.
func (n *Network) Resistance(ctx context.Context, pixel int, watts float64) (Resistances, error) {
	if pixel < 0 || pixel >= n.pixels {
		return Resistances{}, &ParamError{"pixel", pixel, fmt.Sprintf("0 to %d", n.pixels-1)}
	}
	if !(watts > 0) {
		return Resistances{}, &ParamError{"watts", watts, "more than 0"}
	}
	if n.missing(n.p.Heated, pixel) {
		return Resistances{}, &ParamError{"pixel", pixel, "a pixel whose coil layer is not absent"}
	}
	out := Resistances{Watts: watts}
	load := &FixedPower{make([]float64, n.pixels)}
	load.Watts[pixel] = watts
	r, err := n.Steady(ctx, load)
	if err != nil {
		return out, fmt.Errorf("one pixel at %g W: %w", watts, err)
	}
	out.Alone = (r.Coils[pixel] - n.p.Ambient) / watts
	for p := range load.Watts {
		load.Watts[p] = watts
	}
	if r, err = n.Steady(ctx, load); err != nil {
		return out, fmt.Errorf("all pixels at %g W: %w", watts, err)
	}
	out.AllOn = (r.Coils[pixel] - n.p.Ambient) / watts
	return out, nil
}

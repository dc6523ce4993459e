package coil

import "fmt"

// EvenStack returns the copper layers of a board, front first, with the
// dielectric between them evenly divided. Thickness is the finished board's,
// copper included; copperOuter is the thickness of the first and last layer,
// copperInner that of the others (not used with fewer than three). The front face
// of the front copper is z = 0. All lengths in metres. The error is a *param.Error.
func EvenStack(layers int, thickness, copperOuter, copperInner float64) ([]Layer, error) {
	if layers < 1 {
		return nil, params.Refuse("layers", nil, fmt.Sprintf("%d layers", layers), "1 or more")
	}
	if err := positive("layers", "outer copper thickness", copperOuter); err != nil {
		return nil, err
	}
	if layers > 2 {
		if err := positive("layers", "inner copper thickness", copperInner); err != nil {
			return nil, err
		}
	}
	if layers == 1 {
		return []Layer{{Copper: copperOuter, Z: -copperOuter / 2}}, nil
	}
	if err := positive("layers", "board thickness", thickness); err != nil {
		return nil, err
	}
	copper := 2*copperOuter + float64(layers-2)*copperInner
	if layers == 2 {
		copper = 2 * copperOuter
	}
	between := (thickness - copper) / float64(layers-1)
	if between <= 0 {
		return nil, params.Refuse("layers", nil,
			fmt.Sprintf("%d layers hold %s of copper, which leaves no insulation in a board %s thick", layers, mm(copper), mm(thickness)),
			fmt.Sprintf("fewer layers, thinner copper or a board thicker than %s", mm(copper)))
	}
	stack := make([]Layer, layers)
	z := 0.0 // front face of the layer at hand
	for i := range stack {
		t := copperInner
		if i == 0 || i == layers-1 {
			t = copperOuter
		}
		stack[i] = Layer{Copper: t, Z: z - t/2}
		z -= t + between
	}
	return stack, nil
}

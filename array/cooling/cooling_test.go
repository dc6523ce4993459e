package cooling

import (
	"math"
	"reflect"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/design/trial"
	"lodegrid/array/pixel"
)

// The demo's conductances by hand, without its pin. Heat made evenly through a board
// leaves the board's mean a third of its thickness from the back: 1.7216 mm of laminate
// between eight layers of 34.8 µm, at 0.343 W/(m·K), then 0.3 mm of film at 0.2 and half
// of 1 mm of steel at 50 W/(m·K), over 12 mm × 12 mm, give
//
//	144e-6 m² / (1.7216e-3/3/0.343 + 0.3e-3/0.2 + 0.5e-3/50) m²K/W = 0.0453 W/K
//
// and about as much with the heat made in the coil, two thirds of the cell. A fan blows
// along the back alone.
func TestCoolingByHand(t *testing.T) {
	d := trial.Sign(t, "heat.air_speed=2 m/s", "iron.core_radius=0 mm")
	p, err := pixel.New(t.Context(), d, d.Fluid.Height)
	if err != nil {
		t.Fatal(err)
	}
	c, err := Params(t.Context(), d, p)
	if err != nil {
		t.Fatal(err)
	}
	if got, hand := c.Layers[BoardLayer].Down, 0.0453; math.Abs(got/hand-1) > 0.05 {
		t.Errorf("board to plate %g W/K, by hand %g", got, hand)
	}
	if c.Back.AirSpeed != 2 || c.Front.AirSpeed != 0 || c.Edge.AirSpeed != 0 {
		t.Errorf("air along front, back, edge: %g, %g, %g m/s; want it along the back alone", c.Front.AirSpeed, c.Back.AirSpeed, c.Edge.AirSpeed)
	}
	if c.Layers[1].Back != 144e-6 || c.Layers[BoardLayer].Back != 0 {
		t.Errorf("behind the board the plate has %g m², the board %g; want a pixel's 144 mm² and none", c.Layers[1].Back, c.Layers[BoardLayer].Back)
	}
}

// A core adds to the sheet's field on its axis and changes little far off, where the
// rim of a disc that stood for the sheet would change it by half.
func TestCoreOnASheet(t *testing.T) {
	field := func(core string) func(r3.Vec) r3.Vec {
		d := trial.Sign(t, "iron.core_radius="+core)
		p, err := pixel.New(t.Context(), d, d.Fluid.Height)
		if err != nil {
			t.Fatal(err)
		}
		return p.CoilField().B
	}
	with, without := field("0.9 mm"), field("0 mm")
	at := r3.Vec{Z: 2e-3}
	if a, b := with(at).Z, without(at).Z; !(a > 1.3*b) {
		t.Errorf("on the axis %g T/A with the core, %g without; want clearly more", a, b)
	}
	// The pin makes the pixel a stronger dipole, everywhere by about the same share.
	near := with(r3.Vec{X: 30e-3, Z: 2e-3}).Z / without(r3.Vec{X: 30e-3, Z: 2e-3}).Z
	far := with(r3.Vec{X: 63e-3, Z: 2e-3}).Z / without(r3.Vec{X: 63e-3, Z: 2e-3}).Z
	if !(near > 1) || math.Abs(far/near-1) > 0.15 {
		t.Errorf("the core changes the field by %g at 30 mm and by %g under the stand-in's rim", near, far)
	}
}

// A display that lies knows no up: turned by a quarter it cools the same where no fan blows.
func TestALyingDisplayTurns(t *testing.T) {
	films := func(cols, rows string) []any {
		d := trial.Sign(t, "heat.orientation=face-up", "iron.model=none", "iron.core_radius=0 mm", "grid.cols="+cols, "grid.rows="+rows)
		p, err := pixel.New(t.Context(), d, d.Fluid.Height)
		if err != nil {
			t.Fatal(err)
		}
		c, err := Params(t.Context(), d, p)
		if err != nil {
			t.Fatal(err)
		}
		return []any{c.Front.Length, c.Back.Length, c.Edge.Length}
	}
	if a, b := films("6", "3"), films("3", "6"); !reflect.DeepEqual(a, b) {
		t.Errorf("films of 6 × 3 pixels and of 3 × 6: %v, %v", a, b)
	}
}

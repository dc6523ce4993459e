package heat

import (
	"context"
	"fmt"
	"testing"
)

func TestGeometry(t *testing.T) {
	// A 12 mm pixel of 1.6 mm laminate, 0.3 W/(m·K), 1.9 MJ/(m³·K), by hand.
	near(t, "sheet", Sheet(0.3, 1.6e-3), 4.8e-4, 1e-15)
	near(t, "through", Through(0.3, 1.44e-4, 1.6e-3), 0.027, 1e-15)
	near(t, "capacity", Capacity(1.9e6, 1.44e-4, 1.6e-3), 0.43776, 1e-15)
	near(t, "series", Series(2, 3, 6), 1, 1e-15)
	if Series(1, 0) != 0 {
		t.Error("a gap conducts")
	}
	front, back := Faces(FaceUp, 0.4, 0.2)
	if front.Orientation != FaceUp || back.Orientation != FaceDown || front.FlowLength != 0.4 {
		t.Errorf("%+v, %+v", front, back)
	}
	near(t, "area over perimeter", front.Length, 0.08/1.2, 1e-15)
	if front, back = Faces(Vertical, 0.4, 0.2); front.Length != 0.2 || back.Orientation != Vertical {
		t.Errorf("%+v, %+v", front, back)
	}
}

// A harbour café's tide sign, 10 × 16 pixels upright in still air: how warm one
// pixel gets that is on for good, and the whole sign.
func Example() {
	const pitch = 0.012
	const area = pitch * pitch
	front, back := Faces(Vertical, 16*pitch, 10*pitch)
	front.Emissivity, back.Emissivity = 0.9, 0.9
	n := New(Params{
		Rows: 10, Cols: 16, Ambient: 293.15, Front: front, Back: back,
		Layers: []Layer{
			{ // coil: 70 µm copper over half the area, on 0.8 mm of laminate
				Capacity: Capacity(3.45e6, area/2, 70e-6) + Capacity(1.9e6, area, 0.8e-3),
				Lateral:  Sheet(0.8, 0.8e-3), Down: Through(0.3, area, 0.8e-3), Front: area,
			},
			{ // the rest of the board on a 2 mm aluminium plate
				Capacity: Capacity(1.9e6, area, 0.8e-3) + Capacity(2.43e6, area, 2e-3),
				Lateral:  Sheet(200, 2e-3), Back: area,
			},
		},
	})
	drive := &VoltageDrive{Copper: Copper{3, 0.00393}, Volts: 1, Series: 0.1}
	for range 30 * 60 {
		if err := n.Step(context.Background(), 1.0/30, drive); err != nil {
			fmt.Println(err)
			return
		}
	}
	t, _ := n.Hottest(0)
	fmt.Printf("%.1f °C after a minute of all pixels at 1 V\n", t-273.15)
	b := n.Balance()
	fmt.Printf("%.1f J supplied, %.1f J stored, %.1f J lost\n", b.Supplied, b.Stored, b.Lost)
	// Output:
	// 37.6 °C after a minute of all pixels at 1 V
	// 2884.8 J supplied, 2656.3 J stored, 228.5 J lost
}

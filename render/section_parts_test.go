package render

import (
	"context"
	"testing"

	"lodegrid/array/artwork"
	"lodegrid/array/design/trial"
	"lodegrid/array/escape"
	"lodegrid/array/supply"
	"lodegrid/scenes/player"
	"lodegrid/scenes/studies"
)

// Amounts counted by hand for 4 × 3 pixels: discs, pins and magnets one a pixel, wires two;
// two supplies with three pairs of 1.5 m each make 6 fuses and 18 m of wire; 12 pixels on
// chips of 8 are two; 3 drops of 20 µl in a tank of 1 ml with 5 % air leave 0.89 ml.
func TestPartsByHand(t *testing.T) {
	d := trial.Demo(t, "grid.cols=4", "grid.rows=3", "drive.channels=8", "iron.radius=4 mm", "supply.feeder_len=1.5 m", "tank.rear=1 mm", "tank.room=5 %",
		"magnet.kind=pixel", "magnet.diameter=3 mm", "magnet.length=1 mm", "magnet.depth=2 mm", "magnet.grade=n35")
	b, err := artwork.Draw(context.Background(), d, escape.Answer{})
	if err != nil {
		t.Fatal(err)
	}
	value := func(v float64) supply.Figure { return supply.Figure{Value: v} }
	p := &supply.Proposal{Voltage: value(12), Power: value(150), Supplies: value(2), Capacitor: value(1e-3), CapVoltage: value(16), Runs: value(3), Area: value(1.5e-6), Fuse: value(10)}
	s := PartsSection(d, b, Bought{Supply: p, Drivers: studies.DriverParts{Chips: d.DriverChips(), Channels: 8}, Fill: player.Fill{Drop: 20e-9, On: []int{1, 2, 3}, Inside: 1e-6}})
	want := map[string]string{
		"board": "1", "steel discs": "12", "steel pins": "12", "magnets": "12", "supply": "2", "capacitors of the supply": "1", "wire of the supply": "18 m",
		"connectors of the supply": "6", "fuses of the supply": "6", "drivers": "2", "pins or wires to the drivers": "24", "screws": "4",
		"front pane": "1", "rear pane": "1", "ferrofluid": "0.06 ml", "liquid round it": "0.89 ml",
	}
	for _, row := range s.Tables[0].Rows {
		if got := row[2].Text; want[row[0].Text] != got {
			t.Errorf("%s (%s): %s, want %q", row[0].Text, row[1].Text, got, want[row[0].Text])
		}
		delete(want, row[0].Text)
	}
	if len(want) > 0 {
		t.Errorf("missing: %v", want)
	}
}

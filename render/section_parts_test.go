package render

import (
	"context"
	"math"
	"strings"
	"testing"

	"lodegrid/array/artwork"
	"lodegrid/array/design/trial"
	"lodegrid/array/escape"
	"lodegrid/array/fit"
	"lodegrid/array/supply"
	"lodegrid/field/coil"
	"lodegrid/scenes/player"
	"lodegrid/scenes/studies"
)

// Amounts counted by hand for 4 × 3 pixels: discs, pins and magnets one a pixel, wires two;
// two supplies with three pairs of 1.5 m each make 6 fuses and 18 m of wire; 12 pixels on
// chips of 8 are two; 3 drops of 20 µl in a tank of 1 ml with 5 % air leave 0.89 ml.
func TestPartsByHand(t *testing.T) {
	d := trial.Sign(t, "grid.cols=4", "grid.rows=3", "drive.channels=8", "iron.radius=4 mm", "supply.feeder_len=1.5 m", "supply.power=400 W", "tank.rear=1 mm", "tank.room=5 %",
		"magnet.kind=pixel", "magnet.diameter=3 mm", "magnet.length=1 mm", "magnet.depth=2 mm", "magnet.grade=n35")
	b, err := artwork.Draw(context.Background(), d, escape.Answer{})
	if err != nil {
		t.Fatal(err)
	}
	value := func(v float64) supply.Figure { return supply.Figure{Value: v} }
	p := &supply.Proposal{Voltage: value(12), Power: value(150), Supplies: value(2), Capacitor: value(1e-3), CapVoltage: value(16), Runs: value(3), Area: value(1.5e-6), Fuse: value(10)}
	s := PartsSection(d, b, Bought{Supply: p, Drivers: studies.DriverParts{Chips: d.DriverChips(), Channels: 8}, Fill: player.Fill{Drop: 20e-9, On: []int{1, 2, 3}, Inside: 1e-6, Room: 0.05e-6}})
	want := map[string]string{
		"board": "1", "steel discs": "12", "steel pins": "12", "magnets": "12", "supply": "2", "capacitors of the supply": "1", "wire of the supply": "18 m",
		"connectors of the supply": "6", "fuses of the supply": "6", "drivers": "2", "pins or wires to the drivers": "24", "screws": "4",
		"front pane": "1", "rear pane": "1", "ferrofluid": "0.06 ml", "liquid round it": "0.89 ml",
	}
	for _, row := range s.Tables[0].Rows {
		if row[0].Text == "supply" && row[1].Text != "12 V, 200 W each" { // what the design has chosen, on two
			t.Errorf("the supply is %q", row[1].Text)
		}
		if got := row[2].Text; want[row[0].Text] != got {
			t.Errorf("%s (%s): %s, want %q", row[0].Text, row[1].Text, got, want[row[0].Text])
		}
		delete(want, row[0].Text)
	}
	if len(want) > 0 {
		t.Errorf("missing: %v", want)
	}
}

// The table says what fit expects and two of its errors each way; a coil's resistance is its
// model's, and currents and voltages are rounded to what is set on an instrument.
func TestIncoming(t *testing.T) {
	d := trial.Design(t, "iron.model=slab")
	s, err := IncomingSection(context.Background(), d, 0.2345, 2.345)
	if err != nil {
		t.Fatal(err)
	}
	readings := fit.Incoming(293.15, 0.23, 2.3)
	if err := fit.Expect(context.Background(), d, readings); err != nil {
		t.Fatal(err)
	}
	spec := d.CoilSpec()
	c, err := coil.New(spec, d.Board.Rules)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := readings[0].Value, c.Resistance(293.15); trial.Off(got, want) > 1e-9 {
		t.Errorf("a coil of %g Ω is expected to have %g", want, got)
	}
	rows := s.Tables[0].Rows
	if len(rows) != len(readings) {
		t.Fatalf("%d rows for %d readings", len(rows), len(readings))
	}
	for i, r := range readings {
		for k, want := range []float64{r.Value, r.Error, r.Value - 2*r.Error, r.Value + 2*r.Error} {
			if got := rows[i][2+k].Value; got != want || r.Error <= 0 {
				t.Errorf("%s, column %d: %v, want %g", r.Kind, 3+k, got, want)
			}
		}
	}
}

// A pixel's two tracks to the edge, by hand: 1/58 Ω·mm²/m (IEC 60028) along pieces that run
// along rows and columns alone, on 1 oz of copper, 34.8 µm.
func TestWaysByHand(t *testing.T) {
	d := trial.Sign(t, "board.layers=2", "coil.layers=2", "grid.cols=8", "grid.rows=3")
	b, err := artwork.Draw(context.Background(), d, escape.Answer{})
	if err != nil {
		t.Fatal(err)
	}
	if b, err = artwork.Draw(context.Background(), d, escape.Of(d, b.Coil, 0.1)); err != nil || len(b.Ways) != 48 {
		t.Fatal(err, b.NoWays)
	}
	net, err := b.Trace()
	if err != nil {
		t.Fatal(err)
	}
	pairs := map[[2]int]float64{}
	for _, w := range b.Ways {
		for k, p := range w.Track.Points[1:] {
			q := w.Track.Points[k]
			pairs[[2]int{w.Row, w.Col}] += (math.Abs(p.X-q.X) + math.Abs(p.Y-q.Y)) / 58e6 / (w.Track.Width * 34.8e-6)
		}
	}
	least, most := math.Inf(1), 0.0
	for _, v := range pairs {
		least, most = min(least, v), max(most, v)
	}
	s, _ := DrawnSection(d, b, net, b.Checks())
	got := map[string]any{}
	for _, f := range s.Facts {
		got[f.Key] = f.Value
	}
	for key, want := range map[string]float64{"ways_least_ohm": least, "ways_most_ohm": most} {
		if v, ok := got[key].(float64); !ok || trial.Off(v, want) > 2e-3 {
			t.Errorf("%s: %v, want %g", key, got[key], want)
		}
	}
	for i, v := range b.Led(net) { // with the leads
		if want := pairs[[2]int{i / 8, i % 8}] + net.Leads; !(net.Leads > 0) || trial.Off(v, want) > 2e-3 {
			t.Errorf("pixel %d is led by %g Ω, want %g", i, v, want)
		}
	}
	for _, row := range PartsSection(d, b, Bought{Supply: &supply.Proposal{}}).Tables[0].Rows {
		if strings.HasPrefix(row[0].Text, "pins") && (row[2].Text != "48" || !strings.Contains(row[1].Text, b.Edges()+" edge")) {
			t.Errorf("pins: %v", row)
		}
	}
	if f := fact(t, s, "nets"); f.Value != 24 || !strings.HasPrefix(f.Text, "24: each a pixel's, one path") {
		t.Errorf("nets: %+v", f)
	}
}

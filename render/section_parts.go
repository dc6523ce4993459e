package render

import (
	"context"
	"fmt"
	"math"

	"lodegrid/array/artwork"
	"lodegrid/array/design"
	"lodegrid/array/fit"
	"lodegrid/array/supply"
	"lodegrid/field"
	"lodegrid/field/quantity"
	"lodegrid/scenes/player"
	"lodegrid/scenes/studies"
)

// Bought is what the list of parts goes by beside the design and its board.
type Bought struct {
	Supply, Kick *supply.Proposal // Kick nil without a rail of its own
	Drivers      studies.DriverParts
	Fill         player.Fill
}

// PartsSection is what to buy for a display, by function and rating.
func PartsSection(d design.Design, b *artwork.Board, x Bought) Section {
	t := Table{Key: "list", Columns: []Column{{"part", "part"}, {"rating", "size and rating"}, {"amount", "amount"}}}
	add := func(part string, amount float64, unit, format string, args ...any) {
		t.Rows = append(t.Rows, []Cell{Say(part), Say(fmt.Sprintf(format, args...)), {amount, fmt.Sprintf("%.4g%s", amount, unit)}})
	}
	length := func(v float64) string { return quantity.Format(v, quantity.Length) }
	pixels := float64(d.Pixels())
	peak, of := x.Drivers.Pixel, ""
	if d.Drive.Mode == design.DriveScan {
		of = " of a column"
	}
	width, height := d.Size()
	add("board", 1, "", "%d copper layers, %s × %s, %s thick, %s", len(b.Layers), length(b.Width), length(b.Height), length(d.Board.Thickness), d.Board.Laminate)
	if iron := d.Iron; iron.Model != design.IronNone {
		if iron.Radius == 0 {
			add("steel sheet", 1, "", "%s, %s × %s, %s thick", iron.Steel, length(width), length(height), length(iron.Thickness))
		} else {
			add("steel discs", pixels, "", "%s, %s across, %s thick", iron.Steel, length(2*iron.Radius), length(iron.Thickness))
		}
		if iron.CoreRadius > 0 {
			add("steel pins", pixels, "", "%s, %s across, %s long: from the board's front to the steel", iron.Steel, length(2*iron.CoreRadius), length(-d.IronFront()))
		}
	}
	switch m := d.Magnet; m.Kind {
	case design.MagnetPerPixel:
		add("magnets", pixels, "", "%s, %s across, %s long, magnetised along it", m.Grade, length(m.Diameter), length(m.Length))
	case design.MagnetSheet:
		add("magnet sheet", 1, "", "%s, %s × %s, %s thick, magnetised through it", m.Grade, length(m.Width), length(m.Height), length(m.Length))
	}
	rail := func(what string, p *supply.Proposal, chosen float64) { // W, by the design
		volts, n := quantity.Format(p.Voltage.Value, quantity.Voltage), p.Supplies.Value
		add(what, n, "", "%s, %s each", volts, quantity.Format(max(p.Power.Value, chosen/n), quantity.Power))
		if c := p.Capacitor.Value; c > 0 && !math.IsInf(c, 1) {
			add("capacitors of the "+what, 1, "", "%s in all, rated for %s or more", quantity.Format(c, quantity.Capacitance), quantity.Format(p.CapVoltage.Value, quantity.Voltage))
		}
		runs := n * max(p.Runs.Value, 1)
		if p.Area.Value > 0 {
			add("wire of the "+what, 2*runs*d.Supply.FeederLen, " m", "%s or more, two of %s to each connector", quantity.Format(p.Area.Value, quantity.Area), length(d.Supply.FeederLen))
			add("connectors of the "+what, runs, "", "two poles, %s or more, at the board's end of each pair", quantity.Format(p.Fuse.Value, quantity.Current))
			add("fuses of the "+what, runs, "", "%s, at the supply's end of each pair", quantity.Format(p.Fuse.Value, quantity.Current))
		}
	}
	if x.Supply != nil {
		rail("supply", x.Supply, d.Supply.Power)
		if x.Kick != nil {
			rail("kick supply", x.Kick, 0)
		}
		add("drivers", float64(x.Drivers.Chips), "", "%s, channels: %d, of %s each at any instant, switching at %s", d.Drive.Bridge, x.Drivers.Channels,
			quantity.Format(x.Drivers.Peak, quantity.Current), quantity.Format(d.Drive.Frequency, quantity.Frequency))
		if n := d.Freewheels(); n > 0 {
			add("freewheel diodes", float64(n), "", "one at each output%s, from it to the rail, unless the drivers have them: for %s and more than %s, dropping %s or less at that current (drive.diode_drop)",
				of, quantity.Format(peak, quantity.Current), quantity.Format(d.Rail(), quantity.Voltage), quantity.Format(d.Drive.DiodeDrop, quantity.Voltage))
		}
	}
	pins, wires := fmt.Sprintf("for holes of %s at the coils", length(b.Wire(artwork.WireIn).Drill)), 2*d.Pixels()
	if len(b.Ways) > 0 {
		wires = len(b.Ends())
		pins = fmt.Sprintf("for holes of %s at the %s edge", length(b.Ends()[0].Drill), b.Edges())
	}
	if b.Scanned() {
		pins = fmt.Sprintf("for holes of %s, rows' at the left edge, columns' at the upper and lower ones", length(b.Ends()[0].Drill))
	}
	if d.Drive.Mode == design.DriveScan && d.Drive.Bridge == design.BridgeLowSide {
		where, span := "between it and its row's line", ""
		if b.Scanned() {
			where, span = "on the back", fmt.Sprintf(", its holes %s apart", length(d.Order.DiodeSpan))
		}
		add("diodes", pixels, "", "one at each coil, %s: for %s and more than %s, dropping %s or less at that current (drive.scan_diode)%s",
			where, quantity.Format(peak, quantity.Current), quantity.Format(d.Rail(), quantity.Voltage), quantity.Format(d.Drive.ScanDiode, quantity.Voltage), span)
	}
	add("pins or wires to the drivers", float64(wires), "", "%s", pins)
	if n := len(b.Mounts); n > 0 {
		add("screws", float64(n), "", "for holes of %s", length(b.Mounts[0].Drill))
	}
	add("front pane", 1, "", "%s, %s × %s or more, %s thick", d.Tank.FrontMaterial, length(width), length(height), length(d.Tank.Front))
	if d.Tank.Rear > 0 {
		add("rear pane", 1, "", "%s, the same size, %s thick", d.Tank.RearMaterial, length(d.Tank.Rear))
	}
	millilitres := func(v float64) float64 { return v * 1e6 }
	add("ferrofluid", millilitres(x.Fill.Fluid()), " ml", "%s", d.Fluid.Kind)
	weighs := "less"
	if d.Fluid.DensityDifference < 0 {
		weighs = "more"
	}
	add("liquid round it", millilitres(x.Fill.Carrier()), " ml", "does not mix with it, weighs %s %s, %s", quantity.Format(math.Abs(d.Fluid.DensityDifference), quantity.Density), weighs, quantity.Format(d.Fluid.CarrierViscosity, quantity.Viscosity))
	return Section{Key: "parts", Title: "Parts to order", Tables: []Table{t},
		Notes: []string{"By function and rating: choose makes by their data sheets. Amounts are what one display takes, without spares; plugs, strain relief, enclosure and the mains side are not listed."}}
}

// IncomingSection is what a board that came is measured for, with the values to expect.
func IncomingSection(ctx context.Context, d design.Design, amperes, volts float64) (Section, error) {
	s := Section{Key: "incoming", Title: "Incoming test, one coil at a time"}
	readings := fit.Incoming(field.RoomTemperature, amperes, volts)
	if err := fit.Expect(ctx, d, readings); err != nil {
		return s, err
	}
	t := Table{Key: "readings", Columns: []Column{{"kind", "what"}, {"setup", "at"}, {"expected", "expected"}, {"error", "±"}, {"least", "take from"}, {"most", "to"}}}
	for _, r := range readings {
		least, most := r.Value-2*r.Error, r.Value+2*r.Error
		at := r.String()
		if r.Kind == fit.Tesla {
			at += ", probe on the board over the coil's middle"
		}
		t.Rows = append(t.Rows, []Cell{Say(string(r.Kind)), Say(at), {r.Value, r.Kind.Text(r.Value, false)}, {r.Error, r.Kind.Text(r.Error, true)},
			{least, r.Kind.Text(least, false)}, {most, r.Kind.Text(most, false)}})
	}
	s.Tables = []Table{t}
	s.Notes = []string{
		fmt.Sprintf("Air of %s, at each coil's two holes. ± is one standard deviation, of what is in doubt in the design (lodegrid design --explain, [[doubt]]) and of a plain instrument; nineteen boards in twenty lie within two of them.", celsius(field.RoomTemperature)),
		"Then every pixel's resistance, and none to its neighbours but along what joins them on the board, with the coils cold. A coil far from its neighbours' mean has turns that touch or a joint that does not. Type the readings into a table of lodegrid fit --new to learn what the board really is.",
	}
	return s, nil
}

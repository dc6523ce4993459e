package design

import (
	"lodegrid/array/supply"
	"lodegrid/field/quantity"
)

var gridSettings = []of{
	given("grid.cols", wholeOf(1, maxWhole), "8", "Pixels from left to right."),
	given("grid.rows", wholeOf(1, maxWhole), "8", "Pixels from top to bottom."),
	given("grid.pitch", quantityOf(quantity.Length, above("0 mm", "500 mm")), "12 mm", "From one pixel's middle to the next, both ways."),
}

var driveSettings = []of{
	given("drive.mode", choiceOf(DriveDirect, DriveStagger, DriveScan, DriveKick), string(DriveDirect), "How pixels share the supply: all in phase, phases spread out, one row at a time, or a kick and then a hold."),
	given("drive.bridge", choiceOf(BridgeLowSide, BridgeFull), string(BridgeFull), "One switch and a freewheel diode (levels 0 to 1), or a full bridge that also reverses the current."),
	given("drive.place", choiceOf(PlaceEdge, PlaceBack, PlaceBoard, PlaceAny), string(PlaceEdge),
		"Where the drivers sit: at the board's edge, on its back behind their pixels, on a second board behind it, or any where that is not to be judged."),
	given("drive.frequency", quantityOf(quantity.Frequency, within("10 Hz", "10 MHz")), "20 kHz", "Frequency of the pulse-width modulation."),
	given("drive.on_resistance", quantityOf(quantity.Resistance, within("0 Ω", "1 kΩ")), "0.4 Ω", "Resistance of all switches in a pixel's path, together."),
	given("drive.diode_drop", quantityOf(quantity.Voltage, within("0 V", "5 V")), "0.5 V", "Forward voltage of the freewheel diode."),
	given("drive.scan_diode", quantityOf(quantity.Voltage, within("0 V", "5 V")), "0.7 V", "Forward voltage of the diode at each coil that parts the lines which rows and columns share, at its current; 0 V for a switch there. Mode scan, low side."),
	given("drive.max_duty", quantityOf(quantity.Ratio, above("0 %", "100 %")), "100 %", "Duty at level 1 or −1."),
	follows("drive.kick_voltage", quantityOf(quantity.Voltage, above("0 V", "1 kV")), "supply.voltage",
		"Rail of the kick (mode kick) or of the scanned row (mode scan).", func(d *Design) { d.Drive.KickVoltage = d.Supply.Voltage }),
	given("drive.kick_time", quantityOf(quantity.Time, within("0 s", "60 s")), "50 ms", "Length of the kick; mode kick."),
	given("drive.hold_duty", quantityOf(quantity.Ratio, within("0 %", "100 %")), "30 %", "Duty after the kick; mode kick."),
	given("drive.scan_time", quantityOf(quantity.Time, above("0 s", "60 s")), "20 ms", "One pass over all rows; mode scan."),
	given("drive.scan_rows", wholeOf(1, maxWhole), "1", "Rows that are on at once, each column's line cut into as many; mode scan."),
	given("drive.in_series", wholeOf(1, maxWhole), "1", "Coils in series on one output, neighbours in a row: they light together and share the voltage. A picture that wants them singly is refused."),
	follows("drive.most_lit", wholeOf(1, maxWhole), "all of them",
		"Most pixels that the firmware ever lights at once; the supply is sized for that many, and no worst pattern has more.", func(d *Design) { d.Drive.MostLit = d.Pixels() }),
	given("drive.feeder_width", quantityOf(quantity.Length, above("0 mm", "100 mm")), "1 mm", "Width of the feeder along each row of pixels, and of the one along each column."),
	follows("drive.feeder_copper", quantityOf(quantity.CopperWeight, above("0 µm", "20 oz")), "board.copper_outer",
		"Copper of the feeders and their bus.", func(d *Design) { d.Drive.FeederCopper = d.Board.CopperOuter }),
	given("drive.feeder_ends", wholeOf(1, 2), "1", "Ends at which the feeders meet a bus: one, left and top, or both."),
	given("drive.bus_width", quantityOf(quantity.Length, within("0 mm", "1 m")), "10 mm", "Width of the bus that joins the feeders of the rows, and of that of the columns; 0 mm for one that drops no voltage."),
	given("drive.channels", wholeOf(1, maxWhole), "1", "Pixels, or strings of coils in series, that one driver chip switches."),
	given("drive.driver_current", quantityOf(quantity.Current, within("0 A", "1 kA")), "0 A", "Most current that a channel of the driver bears or lets through; 0 A when none is chosen yet."),
	given("drive.driver_frequency", quantityOf(quantity.Frequency, within("0 Hz", "100 MHz")), "0 Hz", "Highest PWM frequency of the driver; 0 Hz when none is chosen yet."),
	given("drive.edge_time", quantityOf(quantity.Time, within("0 s", "1 ms")), "0 s", "Time that the driver takes to switch, on or off."),
	given("drive.edge_loss", quantityOf(quantity.Energy, within("0 J", "1 J")), "0 J", "Energy lost each time that the driver switches at full current, on or off."),
	given("drive.driver_resistance", quantityOf(quantity.ThermalResistance, within("0 K/W", "1000 K/W")), "0 K/W", "Thermal resistance of a driver chip to the air, on its board; 0 K/W when it is not known."),
}

var supplySettings = []of{
	given("supply.voltage", quantityOf(quantity.Voltage, above("0 V", "1 kV")), "12 V", "Voltage at the board."),
	given("supply.power", quantityOf(quantity.Power, within("0 W", "1000 kW")), "0 W", "Name-plate rating; 0 W when none is chosen yet."),
	given("supply.derating", quantityOf(quantity.Ratio, above("0 %", "100 %")), "80 %", "Share of the rating used continuously."),
	given("supply.efficiency", quantityOf(quantity.Ratio, above("0 %", "100 %")), "88 %", "Efficiency from mains to the board."),
	given("supply.droop", quantityOf(quantity.Voltage, above("0 V", "1 kV")), "0.5 V", "Fall of the rail allowed when the load steps."),
	given("supply.feeder_len", quantityOf(quantity.Length, within("0 m", "1000 m")), "1 m", "Length of the feeder from supply to board, one way."),
	given("supply.kind", choiceOf(supply.Usual, supply.USBPD), string(supply.Usual), "Supplies as they are usually sold, or a port of USB Power Delivery with its fixed voltages of 5, 9, 15 and 20 V."),
	given("supply.full_to", quantityOf(quantity.Temperature, within("0 °C", "100 °C")), "50 °C", "Air up to which a supply gives its rating; above, taken as the display's, it gives 2.5 % less per kelvin."),
	given("supply.tolerance", quantityOf(quantity.Ratio, within("0 %", "20 %")), "0 %", "How far the supply's voltage may be off either way; supply, feeders and capacitors are sized for the high end."),
	given("supply.series_resistance", quantityOf(quantity.Resistance, within("0 Ω", "10 Ω")), "0 Ω", "Series resistance of the bulk capacitors, together."),
	given("supply.contact_current", quantityOf(quantity.Current, within("0 A", "1 kA")), "0 A", "Current that one contact of the board's connector bears; 0 A when none is chosen yet."),
	given("supply.response", quantityOf(quantity.Time, above("0 s", "1 s")), "1 ms", "Time that the supply takes to follow a step of the load."),
}

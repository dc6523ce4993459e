package design

import (
	"lodegrid/array/supply"
	"lodegrid/field/quantity"
)

var gridSettings = []of{
	{
		key: "grid.cols", kind: wholeOf(func(d *Design) *int { return &d.Grid.Cols }, 1, maxWhole),
		preset: "8", sentence: "Pixels from left to right.",
	}, {
		key: "grid.rows", kind: wholeOf(func(d *Design) *int { return &d.Grid.Rows }, 1, maxWhole),
		preset: "8", sentence: "Pixels from top to bottom.",
	}, {
		key: "grid.pitch", kind: quantityOf(quantity.Length, func(d *Design) *float64 { return &d.Grid.Pitch }, above("0 mm", "500 mm")),
		preset: "12 mm", sentence: "From one pixel's middle to the next, both ways.",
	},
}

var driveSettings = []of{
	{
		key: "drive.mode", kind: choiceOf(func(d *Design) *DriveMode { return &d.Drive.Mode }, DriveDirect, DriveStagger, DriveScan, DriveKick),
		preset:   string(DriveDirect),
		sentence: "How pixels share the supply: all in phase, phases spread out, one row at a time, or a kick and then a hold.",
	}, {
		key: "drive.bridge", kind: choiceOf(func(d *Design) *Bridge { return &d.Drive.Bridge }, BridgeLowSide, BridgeFull),
		preset: string(BridgeFull), sentence: "One switch and a freewheel diode (levels 0 to 1), or a full bridge that also reverses the current.",
	}, {
		key: "drive.place", kind: choiceOf(func(d *Design) *Place { return &d.Drive.Place }, PlaceEdge, PlaceBack, PlaceBoard, PlaceAny),
		preset: string(PlaceEdge), sentence: "Where the drivers sit: at the board's edge, on its back behind their pixels, on a second board behind it, or any where that is not to be judged.",
	}, {
		key: "drive.frequency", kind: quantityOf(quantity.Frequency, func(d *Design) *float64 { return &d.Drive.Frequency }, within("10 Hz", "10 MHz")),
		preset: "20 kHz", sentence: "Frequency of the pulse-width modulation.",
	}, {
		key: "drive.on_resistance", kind: quantityOf(quantity.Resistance, func(d *Design) *float64 { return &d.Drive.OnResistance }, within("0 Ω", "1 kΩ")),
		preset: "0.4 Ω", sentence: "Resistance of all switches in a pixel's path, together.",
	}, {
		key: "drive.diode_drop", kind: quantityOf(quantity.Voltage, func(d *Design) *float64 { return &d.Drive.DiodeDrop }, within("0 V", "5 V")),
		preset: "0.5 V", sentence: "Forward voltage of the freewheel diode.",
	}, {
		key: "drive.max_duty", kind: quantityOf(quantity.Ratio, func(d *Design) *float64 { return &d.Drive.MaxDuty }, above("0 %", "100 %")),
		preset: "100 %", sentence: "Duty at level 1 or −1.",
	}, {
		key: "drive.kick_voltage", kind: quantityOf(quantity.Voltage, func(d *Design) *float64 { return &d.Drive.KickVoltage }, above("0 V", "1 kV")),
		source: "supply.voltage", derive: func(d *Design) { d.Drive.KickVoltage = d.Supply.Voltage },
		sentence: "Rail of the kick (mode kick) or of the scanned row (mode scan).",
	}, {
		key: "drive.kick_time", kind: quantityOf(quantity.Time, func(d *Design) *float64 { return &d.Drive.KickTime }, within("0 s", "60 s")),
		preset: "50 ms", sentence: "Length of the kick; mode kick.",
	}, {
		key: "drive.hold_duty", kind: quantityOf(quantity.Ratio, func(d *Design) *float64 { return &d.Drive.HoldDuty }, within("0 %", "100 %")),
		preset: "30 %", sentence: "Duty after the kick; mode kick.",
	}, {
		key: "drive.scan_time", kind: quantityOf(quantity.Time, func(d *Design) *float64 { return &d.Drive.ScanTime }, above("0 s", "60 s")),
		preset: "20 ms", sentence: "One pass over all rows; mode scan.",
	}, {
		key: "drive.scan_rows", kind: wholeOf(func(d *Design) *int { return &d.Drive.ScanRows }, 1, maxWhole),
		preset: "1", sentence: "Rows that are on at once, each column's line cut into as many; mode scan.",
	}, {
		key: "drive.in_series", kind: wholeOf(func(d *Design) *int { return &d.Drive.InSeries }, 1, maxWhole),
		preset: "1", sentence: "Coils in series on one output, neighbours in a row: they light together and share the voltage. A picture that wants them singly is refused.",
	}, {
		key: "drive.most_lit", kind: wholeOf(func(d *Design) *int { return &d.Drive.MostLit }, 1, maxWhole),
		source: "all of them", derive: func(d *Design) { d.Drive.MostLit = d.Pixels() },
		sentence: "Most pixels that the firmware ever lights at once; the supply is sized for that many, and no worst pattern has more.",
	}, {
		key: "drive.feeder_width", kind: quantityOf(quantity.Length, func(d *Design) *float64 { return &d.Drive.FeederWidth }, above("0 mm", "100 mm")),
		preset: "1 mm", sentence: "Width of the feeder along each row of pixels, and of the one along each column.",
	}, {
		key: "drive.feeder_copper", kind: quantityOf(quantity.CopperWeight, func(d *Design) *float64 { return &d.Drive.FeederCopper }, above("0 µm", "20 oz")),
		source: "board.copper_outer", derive: func(d *Design) { d.Drive.FeederCopper = d.Board.CopperOuter },
		sentence: "Copper of the feeders and their bus.",
	}, {
		key: "drive.feeder_ends", kind: wholeOf(func(d *Design) *int { return &d.Drive.FeederEnds }, 1, 2),
		preset: "1", sentence: "Ends at which the feeders meet a bus: one, left and top, or both.",
	}, {
		key: "drive.bus_width", kind: quantityOf(quantity.Length, func(d *Design) *float64 { return &d.Drive.BusWidth }, within("0 mm", "1 m")),
		preset: "10 mm", sentence: "Width of the bus that joins the feeders of the rows, and of that of the columns; 0 mm for one that drops no voltage.",
	}, {
		key: "drive.channels", kind: wholeOf(func(d *Design) *int { return &d.Drive.Channels }, 1, maxWhole),
		preset: "1", sentence: "Pixels, or strings of coils in series, that one driver chip switches.",
	}, {
		key: "drive.driver_current", kind: quantityOf(quantity.Current, func(d *Design) *float64 { return &d.Drive.DriverCurrent }, within("0 A", "1 kA")),
		preset: "0 A", sentence: "Most current that a channel of the driver bears or lets through; 0 A when none is chosen yet.",
	}, {
		key: "drive.driver_frequency", kind: quantityOf(quantity.Frequency, func(d *Design) *float64 { return &d.Drive.DriverFrequency }, within("0 Hz", "100 MHz")),
		preset: "0 Hz", sentence: "Highest PWM frequency of the driver; 0 Hz when none is chosen yet.",
	}, {
		key: "drive.edge_time", kind: quantityOf(quantity.Time, func(d *Design) *float64 { return &d.Drive.EdgeTime }, within("0 s", "1 ms")),
		preset: "0 s", sentence: "Time that the driver takes to switch, on or off.",
	}, {
		key: "drive.edge_loss", kind: quantityOf(quantity.Energy, func(d *Design) *float64 { return &d.Drive.EdgeLoss }, within("0 J", "1 J")),
		preset: "0 J", sentence: "Energy lost each time that the driver switches at full current, on or off.",
	}, {
		key: "drive.driver_resistance", kind: quantityOf(quantity.ThermalResistance, func(d *Design) *float64 { return &d.Drive.DriverResistance }, within("0 K/W", "1000 K/W")),
		preset: "0 K/W", sentence: "Thermal resistance of a driver chip to the air, on its board; 0 K/W when it is not known.",
	},
}

var supplySettings = []of{
	{
		key: "supply.voltage", kind: quantityOf(quantity.Voltage, func(d *Design) *float64 { return &d.Supply.Voltage }, above("0 V", "1 kV")),
		preset: "12 V", sentence: "Voltage at the board.",
	}, {
		key: "supply.power", kind: quantityOf(quantity.Power, func(d *Design) *float64 { return &d.Supply.Power }, within("0 W", "1000 kW")),
		preset: "0 W", sentence: "Name-plate rating; 0 W when none is chosen yet.",
	}, {
		key: "supply.derating", kind: quantityOf(quantity.Ratio, func(d *Design) *float64 { return &d.Supply.Derating }, above("0 %", "100 %")),
		preset: "80 %", sentence: "Share of the rating used continuously.",
	}, {
		key: "supply.efficiency", kind: quantityOf(quantity.Ratio, func(d *Design) *float64 { return &d.Supply.Efficiency }, above("0 %", "100 %")),
		preset: "88 %", sentence: "Efficiency from mains to the board.",
	}, {
		key: "supply.droop", kind: quantityOf(quantity.Voltage, func(d *Design) *float64 { return &d.Supply.Droop }, above("0 V", "1 kV")),
		preset: "0.5 V", sentence: "Fall of the rail allowed when the load steps.",
	}, {
		key: "supply.feeder_len", kind: quantityOf(quantity.Length, func(d *Design) *float64 { return &d.Supply.FeederLen }, within("0 m", "1000 m")),
		preset: "1 m", sentence: "Length of the feeder from supply to board, one way.",
	}, {
		key: "supply.kind", kind: choiceOf(func(d *Design) *supply.Sort { return &d.Supply.Kind }, supply.Usual, supply.USBPD),
		preset: string(supply.Usual), sentence: "Supplies as they are usually sold, or a port of USB Power Delivery with its fixed voltages of 5, 9, 15 and 20 V.",
	}, {
		key: "supply.full_to", kind: quantityOf(quantity.Temperature, func(d *Design) *float64 { return &d.Supply.FullTo }, within("0 °C", "100 °C")),
		preset: "50 °C", sentence: "Air up to which a supply gives its rating; above, taken as the display's, it gives 2.5 % less per kelvin.",
	}, {
		key: "supply.tolerance", kind: quantityOf(quantity.Ratio, func(d *Design) *float64 { return &d.Supply.Tolerance }, within("0 %", "20 %")),
		preset: "0 %", sentence: "How far the supply's voltage may be off either way; supply, feeders and capacitors are sized for the high end.",
	}, {
		key: "supply.series_resistance", kind: quantityOf(quantity.Resistance, func(d *Design) *float64 { return &d.Supply.SeriesResistance }, within("0 Ω", "10 Ω")),
		preset: "0 Ω", sentence: "Series resistance of the bulk capacitors, together.",
	}, {
		key: "supply.contact_current", kind: quantityOf(quantity.Current, func(d *Design) *float64 { return &d.Supply.ContactCurrent }, within("0 A", "1 kA")),
		preset: "0 A", sentence: "Current that one contact of the board's connector bears; 0 A when none is chosen yet.",
	}, {
		key: "supply.response", kind: quantityOf(quantity.Time, func(d *Design) *float64 { return &d.Supply.Response }, above("0 s", "1 s")),
		preset: "1 ms", sentence: "Time that the supply takes to follow a step of the load.",
	},
}

package design

import (
	"lodegrid/field/material"
	"lodegrid/field/quantity"
)

var heatSettings = []of{
	{
		key: "heat.ambient", kind: spanOf(quantity.Temperature, func(d *Design) (low, high *float64) { return &d.Heat.AmbientLow, &d.Heat.Ambient }, within("-60 °C", "100 °C")),
		preset: "15 °C to 35 °C", sentence: "Temperature of the air, one or from the coldest to the warmest: heat is judged in the warmest, what coils draw in the coldest.",
	}, {
		key: "heat.orientation", kind: choiceOf(func(d *Design) *Orientation { return &d.Heat.Orientation }, Vertical, FaceUp, FaceDown),
		preset: string(Vertical), sentence: "The way the display faces.",
	}, {
		key: "heat.emissivity", kind: numberOf(func(d *Design) *float64 { return &d.Heat.Emissivity }, within("0", "1")),
		preset: "0.9", sentence: "Emissivity of the outer faces; bare metal is near 0.1.",
	}, {
		key: "heat.convection", kind: numberOf(func(d *Design) *float64 { return &d.Heat.Convection }, within("0.1", "10")),
		preset: "1", sentence: "Factor on what the correlations say still or moved air takes from an open face; lodegrid fit finds it.",
	}, {
		key: "heat.storage", kind: numberOf(func(d *Design) *float64 { return &d.Heat.Storage }, within("0.1", "10")),
		preset: "1", sentence: "Factor on the heat that board, copper and steel store; lodegrid fit finds it.",
	}, {
		key: "heat.air_speed", kind: quantityOf(quantity.Speed, func(d *Design) *float64 { return &d.Heat.AirSpeed }, within("0 m/s", "50 m/s")),
		source: "heat.air_flow over heat.back_gap and the grid's height", derive: func(d *Design) {
			d.Heat.AirSpeed = 0
			if _, h := d.Size(); d.Heat.AirFlow > 0 && d.Heat.BackGap > 0 {
				d.Heat.AirSpeed = d.Heat.AirFlow / d.Heat.BackGap / h
			}
		},
		sentence: "Air that a fan moves along the back; 0 m/s is still air.",
	}, {
		key: "heat.air_flow", kind: quantityOf(quantity.Flow, func(d *Design) *float64 { return &d.Heat.AirFlow }, within("0 m³/h", "10000 m³/h")),
		preset: "0 m³/h", sentence: "Air that a fan sends through the gap behind the display, from side to side: less than its free flow, since the gap resists.",
	}, {
		key: "heat.back", kind: choiceOf(func(d *Design) *Back { return &d.Heat.Back }, BackFree, BackWall, BackSealed, BackCase, BackClamped, BackFan),
		source: "fan with heat.air_speed, else wall for a vertical display and sealed for one that lies", derive: func(d *Design) { d.Heat.Back = d.Heat.Usual() },
		sentence: "What is behind the display: free air, a wall with the gap open or sealed all round, a closed case in the air, a plate as cool as the air that it is clamped to, or a fan, in the open with heat.air_speed, before a wall with heat.air_flow.",
	}, {
		key: "heat.back_gap", kind: quantityOf(quantity.Length, func(d *Design) *float64 { return &d.Heat.BackGap }, within("0 mm", "1 m")),
		preset: "10 mm", sentence: "Air between the display's back and the wall or the case.",
	}, {
		key: "heat.back_contact", kind: quantityOf(quantity.ThermalResistanceArea, func(d *Design) *float64 { return &d.Heat.BackContact }, above("0 m² K/W", "1 m² K/W")),
		preset: "0.001 m² K/W", sentence: "From the back to the plate it is clamped to, back clamped; common practice for a dry joint, no source.",
	}, {
		key: "heat.case_width", kind: quantityOf(quantity.Length, func(d *Design) *float64 { return &d.Heat.CaseWidth }, above("0 mm", "10 m")),
		source: "the grid's and 20 mm", derive: func(d *Design) { w, _ := d.Size(); d.Heat.CaseWidth = w + 0.02 },
		sentence: "Width of the case, or of the sealed gap; back case or sealed.",
	}, {
		key: "heat.case_height", kind: quantityOf(quantity.Length, func(d *Design) *float64 { return &d.Heat.CaseHeight }, above("0 mm", "10 m")),
		source: "the grid's and 20 mm", derive: func(d *Design) { _, h := d.Size(); d.Heat.CaseHeight = h + 0.02 },
		sentence: "Height of the case, or of the sealed gap.",
	}, {
		key: "heat.case_wall", kind: quantityOf(quantity.ThermalResistanceArea, func(d *Design) *float64 { return &d.Heat.CaseWall }, within("0 m² K/W", "1 m² K/W")),
		preset: "0.01 m² K/W", sentence: "Through the wall of the case: 0.01 m² K/W is 2 mm of plastic, metal is near 0.",
	}, {
		key: "heat.case_emissivity", kind: numberOf(func(d *Design) *float64 { return &d.Heat.CaseEmissivity }, within("0", "1")),
		preset: "0.9", sentence: "Emissivity of the case, inside and outside.",
	}, {
		key: "heat.case_vents", kind: quantityOf(quantity.Area, func(d *Design) *float64 { return &d.Heat.CaseVents }, within("0 mm²", "1 m²")),
		preset: "0 mm²", sentence: "Free area of the case's openings below, and as much again above.",
	}, {
		key: "heat.board_conductivity", kind: quantityOf(quantity.Conductivity, func(d *Design) *float64 { return &d.Heat.BoardConductivity }, above("0 W/(m K)", "500 W/(m K)")),
		source: "from board.laminate", derive: fromLaminate(func(d *Design, m material.Laminate) { d.Heat.BoardConductivity = m.InPlane }),
		sentence: "Thermal conductivity of the laminate, along the board.",
	}, {
		key: "heat.copper_fraction", kind: quantityOf(quantity.Ratio, func(d *Design) *float64 { return &d.Heat.CopperFraction }, within("0 %", "100 %")),
		source: "board.planes, else drive.feeder_width along each row and each column, on one layer each", derive: func(d *Design) { d.Heat.CopperFraction = d.planeFraction() },
		sentence: "Share of the board's copper planes that copper outside the coils covers. A share given here stands for all of board.planes, runs both ways and so conducts by half each way.",
	}, {
		key: "heat.front_insulation", kind: quantityOf(quantity.ThermalResistanceArea, func(d *Design) *float64 { return &d.Heat.FrontInsulation }, within("0 m² K/W", "10 m² K/W")),
		preset: "0.02 m² K/W", sentence: "Thermal resistance of pane and tank between the board and the air in front.",
	},
}

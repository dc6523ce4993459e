package design

import (
	"lodegrid/field/material"
	"lodegrid/field/quantity"
)

var heatSettings = []of{
	given("heat.ambient", spanOf(quantity.Temperature, within("-60 °C", "100 °C")), "15 °C to 35 °C",
		"Temperature of the air, one or from the coldest to the warmest: heat is judged in the warmest, what coils draw in the coldest."),
	given("heat.orientation", choiceOf(Vertical, FaceUp, FaceDown), string(Vertical), "The way the display faces."),
	given("heat.emissivity", numberOf(within("0", "1")), "0.9", "Emissivity of the outer faces; bare metal is near 0.1."),
	given("heat.convection", numberOf(within("0.1", "10")), "1", "Factor on what the correlations say still or moved air takes from an open face; lodegrid fit finds it."),
	given("heat.storage", numberOf(within("0.1", "10")), "1", "Factor on the heat that board, copper and steel store; lodegrid fit finds it."),
	follows("heat.air_speed", quantityOf(quantity.Speed, within("0 m/s", "50 m/s")), "heat.air_flow over heat.back_gap and the grid's height",
		"Air that a fan moves along the back; 0 m/s is still air.", func(d *Design) {
			d.Heat.AirSpeed = 0
			if _, h := d.Size(); d.Heat.AirFlow > 0 && d.Heat.BackGap > 0 {
				d.Heat.AirSpeed = d.Heat.AirFlow / d.Heat.BackGap / h
			}
		}),
	given("heat.air_flow", quantityOf(quantity.Flow, within("0 m³/h", "10000 m³/h")), "0 m³/h",
		"Air that a fan sends through the gap behind the display, from side to side: less than its free flow, since the gap resists."),
	follows("heat.back", choiceOf(BackFree, BackWall, BackSealed, BackCase, BackClamped, BackFan), "fan with heat.air_speed, else wall for a vertical display and sealed for one that lies",
		"What is behind the display: free air, a wall with the gap open or sealed all round, a closed case in the air, a plate as cool as the air that it is clamped to, or a fan, in the open with heat.air_speed, before a wall with heat.air_flow.", func(d *Design) { d.Heat.Back = d.Heat.Usual() }),
	given("heat.back_gap", quantityOf(quantity.Length, within("0 mm", "1 m")), "10 mm", "Air between the display's back and the wall or the case."),
	given("heat.back_contact", quantityOf(quantity.ThermalResistanceArea, above("0 m² K/W", "1 m² K/W")), "0.001 m² K/W",
		"From the back to the plate it is clamped to, back clamped; common practice for a dry joint, no source."),
	follows("heat.case_width", quantityOf(quantity.Length, above("0 mm", "10 m")), "the grid's and 20 mm",
		"Width of the case, or of the sealed gap; back case or sealed.", func(d *Design) { w, _ := d.Size(); d.Heat.CaseWidth = w + 0.02 }),
	follows("heat.case_height", quantityOf(quantity.Length, above("0 mm", "10 m")), "the grid's and 20 mm",
		"Height of the case, or of the sealed gap.", func(d *Design) { _, h := d.Size(); d.Heat.CaseHeight = h + 0.02 }),
	given("heat.case_wall", quantityOf(quantity.ThermalResistanceArea, within("0 m² K/W", "1 m² K/W")), "0.01 m² K/W", "Through the wall of the case: 0.01 m² K/W is 2 mm of plastic, metal is near 0."),
	given("heat.case_emissivity", numberOf(within("0", "1")), "0.9", "Emissivity of the case, inside and outside."),
	given("heat.case_vents", quantityOf(quantity.Area, within("0 mm²", "1 m²")), "0 mm²", "Free area of the case's openings below, and as much again above."),
	follows("heat.board_conductivity", quantityOf(quantity.Conductivity, above("0 W/(m K)", "500 W/(m K)")), "from board.laminate",
		"Thermal conductivity of the laminate, along the board.", fromLaminate(func(d *Design, m material.Laminate) { d.Heat.BoardConductivity = m.InPlane })),
	follows("heat.copper_fraction", quantityOf(quantity.Ratio, within("0 %", "100 %")), "board.planes, else drive.feeder_width along each row and each column, on one layer each",
		"Share of the board's copper planes that copper outside the coils covers. A share given here stands for all of board.planes, runs both ways and so conducts by half each way.", func(d *Design) { d.Heat.CopperFraction = d.planeFraction() }),
	given("heat.front_insulation", quantityOf(quantity.ThermalResistanceArea, within("0 m² K/W", "10 m² K/W")), "0.02 m² K/W", "Thermal resistance of pane and tank between the board and the air in front."),
}

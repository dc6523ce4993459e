package render

import (
	"fmt"

	"lodegrid/array/design"
	"lodegrid/field"
	"lodegrid/field/quantity"
	"lodegrid/scenes/player"
)

// chartPoints is the greatest number of steps that a chart over time draws; a longer
// scene shows the greatest value of several frames at each.
const chartPoints = 600

// PowerChart draws what a played scene draws from the supply, frame by frame.
func PowerChart(d design.Design, l *player.Ledger) Chart {
	c := Chart{Title: "Supply power over the scene", X: "time, s", Y: "power, W", FromZero: true, Lines: []Line{
		overTime("frame's average", l.Entries, func(e player.Entry) float64 { return e.SupplyPower }),
		overTime("worst instant", l.Entries, func(e player.Entry) float64 { return e.SupplyPeakPower }),
	}}
	if limit := d.UsablePower(); limit > 0 {
		c.Levels = []Level{{Label: fmt.Sprintf("the supply, derated: %s W", quantity.Figure(limit, 3)), Y: limit}}
	}
	return c
}

// HeatChart draws the temperatures of a played scene, frame by frame.
func HeatChart(d design.Design, l *player.Ledger) Chart {
	return Chart{Title: "Temperatures over the scene", X: "time, s", Y: "temperature, °C", Lines: []Line{
		overTime("hottest coil", l.Entries, func(e player.Entry) float64 { return e.Hottest - field.ZeroCelsius }),
		overTime("surface within reach", l.Entries, func(e player.Entry) float64 { return e.Touch - field.ZeroCelsius }),
	}, Levels: []Level{
		{Label: fmt.Sprintf("board limit, %.0f °C", d.Limits.Board-field.ZeroCelsius), Y: d.Limits.Board - field.ZeroCelsius},
		{Label: fmt.Sprintf("touch limit, %.0f °C", d.Limits.Touch-field.ZeroCelsius), Y: d.Limits.Touch - field.ZeroCelsius},
	}}
}

// overTime is a value of every entry as steps, or the greatest of equally many
// entries where there are more than chartPoints.
func overTime(label string, entries []player.Entry, value func(player.Entry) float64) Line {
	line := Line{Label: label}
	each := (len(entries) + chartPoints - 1) / chartPoints
	for i := 0; i < len(entries); i += each {
		part := entries[i:min(i+each, len(entries))]
		high := value(part[0])
		for _, e := range part[1:] {
			high = max(high, value(e))
		}
		last := part[len(part)-1]
		line.X = append(line.X, part[0].Start-entries[0].Start, last.Start+last.Duration-entries[0].Start)
		line.Y = append(line.Y, high, high)
	}
	return line
}

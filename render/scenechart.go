package render

import (
	"fmt"
	"slices"

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

// HeatChart draws the temperatures of a played scene, frame by frame. A board limit so far above
// that it would press the curves flat is told in the title alone.
func HeatChart(d design.Design, l *player.Ledger) Chart {
	coil := overTime("hottest coil", l.Entries, func(e player.Entry) float64 { return e.Hottest - field.ZeroCelsius })
	surface := overTime("surface within reach", l.Entries, func(e player.Entry) float64 { return e.Touch - field.ZeroCelsius })
	board, touch := d.Limits.Board-field.ZeroCelsius, d.Limits.Touch-field.ZeroCelsius
	c := Chart{Title: "Temperatures over the scene", X: "time, s", Y: "temperature, °C", Lines: []Line{coil, surface},
		Levels: []Level{{Label: fmt.Sprintf("touch limit, %.0f °C", touch), Y: touch}}}
	low, top := min(slices.Min(surface.Y), touch), max(slices.Max(coil.Y), touch)
	if board-top <= 3*(top-low) {
		c.Levels = append(c.Levels, Level{Label: fmt.Sprintf("board limit, %.0f °C", board), Y: board})
	} else {
		c.Title += fmt.Sprintf(", the board's limit of %.0f °C far above", board)
	}
	return c
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

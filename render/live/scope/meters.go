package scope

import (
	"fmt"

	"lodegrid/array/design"
	"lodegrid/field/quantity"
	"lodegrid/scenes/player"
)

// running adds up what the meters show.
type running struct {
	time                  float64 // s
	energy, charge        float64 // J, C
	peakPower, peakAmpere float64 // W, A, worst instant so far
	hottest               float64 // K
}

func (r *running) add(e player.Entry, dt float64) {
	r.time += dt
	r.energy += e.SupplyPower * dt
	r.charge += e.SupplyCurrent * dt
	r.peakPower = max(r.peakPower, e.SupplyPeakPower)
	r.peakAmpere = max(r.peakAmpere, e.SupplyPeakCurrent)
	r.hottest = max(r.hottest, e.Hottest)
}

// Meters is what the display costs and where it fails, SI units, temperatures in
// kelvin.
type Meters struct {
	Clock, Length float64 // s into the scene, and of the scene
	Frame, Frames int     // from 1

	Power, AveragePower, PeakPower       float64 // W from the supply
	PowerLimit                           float64 // W, what the supply gives for long; 0 = no supply chosen
	Current, AverageCurrent, PeakCurrent float64 // A

	Hottest          float64 // K, hottest coil
	HotRow, HotCol   int     // from 1, row 1 at the top
	BoardLimit       float64 // K
	Lit              int     // pixels meant to hold a drop
	Failing, FalseOn int     // lit pixels that do not, dark ones that do
}

// Meters reads the meters.
func (c *Scope) Meters() Meters {
	d := c.grid.Design
	m := Meters{
		Clock: c.clock, Length: c.Length(), Frame: c.frame + 1, Frames: len(c.scene.Frames),
		Power: c.entry.SupplyPower, PeakPower: c.meters.peakPower, PowerLimit: supplyLimit(d),
		Current: c.entry.SupplyCurrent, PeakCurrent: c.meters.peakAmpere,
		Hottest: c.entry.Hottest, HotRow: c.entry.HottestPixel/d.Grid.Cols + 1, HotCol: c.entry.HottestPixel%d.Grid.Cols + 1,
		BoardLimit: d.Limits.Board, Lit: c.entry.Lit, Failing: len(c.entry.Failing), FalseOn: len(c.entry.FalseOn),
	}
	if c.meters.time > 0 {
		m.AveragePower, m.AverageCurrent = c.meters.energy/c.meters.time, c.meters.charge/c.meters.time
	} else {
		m.Hottest = d.Heat.Ambient
	}
	return m
}

// supplyLimit is the power that the supply on hand gives for long.
func supplyLimit(d design.Design) float64 {
	return d.Supply.Power * d.Supply.Derating * d.Limits.SupplyLoad
}

// Lines is the meters in words, one fact per line.
func (m Meters) Lines() []string {
	watts := func(v float64) string { return quantity.Format(v, quantity.Power) }
	amps := func(v float64) string { return quantity.Format(v, quantity.Current) }
	supply := "supply limit: none chosen"
	if m.PowerLimit > 0 {
		supply = "supply limit " + watts(m.PowerLimit)
	}
	return []string{
		fmt.Sprintf("time %.1f of %.1f s, frame %d of %d", m.Clock, m.Length, m.Frame, m.Frames),
		fmt.Sprintf("supply %s now, %s average, %s peak; %s", watts(m.Power), watts(m.AveragePower), watts(m.PeakPower), supply),
		fmt.Sprintf("current %s now, %s average, %s peak", amps(m.Current), amps(m.AverageCurrent), amps(m.PeakCurrent)),
		fmt.Sprintf("hottest coil %.1f °C at row %d, column %d; board limit %.0f °C", m.Hottest-273.15, m.HotRow, m.HotCol, m.BoardLimit-273.15),
		fmt.Sprintf("lit pixels that lose their drop: %d of %d", m.Failing, m.Lit),
		fmt.Sprintf("dark pixels that keep a drop: %d", m.FalseOn),
	}
}

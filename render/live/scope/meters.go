package scope

import (
	"fmt"

	"lodegrid/array/design"
	"lodegrid/array/extent"
	"lodegrid/field"
	"lodegrid/field/quantity"
	"lodegrid/scenes/player"
)

// totals adds up what the meters show since the display was built or put to rest.
type totals struct {
	time                float64 // s
	energy, charge      float64 // J, C
	peakPower, peakAmps float64 // W, A, at the worst instant
	hottest, touch      float64 // K
	failing, falseOn    int     // most at once
}

func (t *totals) add(e player.Entry, dt float64) {
	t.time += dt
	t.energy += e.SupplyPower * dt
	t.charge += e.SupplyCurrent * dt
	t.peakPower = max(t.peakPower, e.SupplyPeakPower)
	t.peakAmps = max(t.peakAmps, e.SupplyPeakCurrent)
	t.hottest = max(t.hottest, e.Hottest)
	t.touch = max(t.touch, e.Touch)
	t.failing = max(t.failing, len(e.Failing))
	t.falseOn = max(t.falseOn, len(e.FalseOn))
}

// Meters is what the display costs and where it fails, in SI units, temperatures in
// kelvin. Averages and peaks run since the display was built or put to rest; before
// time goes on they are what is shown.
type Meters struct {
	Clock, Length float64 // s into the scene, and of the scene
	Frame, Frames int     // from 1

	Power, AveragePower, PeakPower       float64 // W from the supply
	PowerLimit                           float64 // W, what the supply gives for long; 0 = no supply chosen
	Current, AverageCurrent, PeakCurrent float64 // A

	Ambient, Hottest, HottestEver float64 // K, hottest coil
	HotPlace                      string  // its pixel
	BoardLimit                    float64 // K
	Touch, TouchEver, TouchLimit  float64 // K, hottest surface a hand can reach

	Lit              int // pixels meant to hold a drop
	Wanted           int // pixels that are to be seen
	Shown            int // of them those that the tank's fluid is on now
	Failing, FalseOn int // lit pixels that lose theirs, dark ones that keep one
	HoldLimit        float64
	FalseOnLimit     float64
	ShownLimit       float64
}

// Meters reads the meters.
func (c *View) Meters() Meters {
	d := c.grid.Design
	m := Meters{
		Clock: c.clock, Length: c.Length(), Frame: c.frame + 1, Frames: len(c.scene.Frames),
		Power: c.entry.SupplyPower, PeakPower: max(c.totals.peakPower, c.entry.SupplyPeakPower), PowerLimit: supplyLimit(d),
		Current: c.entry.SupplyCurrent, PeakCurrent: max(c.totals.peakAmps, c.entry.SupplyPeakCurrent),
		Ambient: d.Heat.Ambient, Hottest: c.entry.Hottest, HottestEver: max(c.totals.hottest, c.entry.Hottest),
		HotPlace:   extent.PlaceOf(c.entry.HottestPixel, d.Grid.Cols),
		BoardLimit: d.Limits.Board,
		Touch:      max(c.entry.Touch, d.Heat.Ambient), TouchEver: max(c.totals.touch, c.entry.Touch, d.Heat.Ambient), TouchLimit: d.Limits.Touch,
		Lit: c.entry.Lit, Wanted: c.want, Shown: c.shown, Failing: len(c.entry.Failing), FalseOn: len(c.entry.FalseOn),
		HoldLimit: d.Limits.Hold, FalseOnLimit: d.Limits.FalseOn, ShownLimit: d.Limits.Shown,
	}
	m.AveragePower, m.AverageCurrent = m.Power, m.Current
	if c.totals.time > 0 {
		m.AveragePower, m.AverageCurrent = c.totals.energy/c.totals.time, c.totals.charge/c.totals.time
	}
	return m
}

// Bare tells whether the fluid is on fewer of the wanted pixels than is asked.
func (m Meters) Bare() bool { return float64(m.Shown) < m.ShownLimit*float64(m.Wanted) }

// supplyLimit is the power that the supply on hand gives for long.
func supplyLimit(d design.Design) float64 {
	return d.UsablePower()
}

// Watts writes a power as the meters show it.
func Watts(v float64) string { return quantity.Format(v, quantity.Power) }

// Amps writes a current as the meters show it.
func Amps(v float64) string { return quantity.Format(v, quantity.Current) }

// Celsius writes a temperature in kelvin as the meters show it.
func Celsius(k float64) string { return fmt.Sprintf("%.1f °C", k-field.ZeroCelsius) }

// Lines is the meters in words, one fact per line, for a screen reader or a log.
func (m Meters) Lines() []string {
	supply := "no supply chosen"
	if m.PowerLimit > 0 {
		supply = "supply gives " + Watts(m.PowerLimit)
		if m.Power > m.PowerLimit {
			supply += ", too little"
		}
	}
	over := func(v, limit float64) string {
		if v > limit {
			return fmt.Sprintf(", over the limit of %.0f °C", limit-field.ZeroCelsius)
		}
		return fmt.Sprintf(", limit %.0f °C", limit-field.ZeroCelsius)
	}
	return []string{
		fmt.Sprintf("Time %.1f of %.1f s, frame %d of %d", m.Clock, m.Length, m.Frame, m.Frames),
		fmt.Sprintf("Supply power %s now, %s average, %s peak; %s", Watts(m.Power), Watts(m.AveragePower), Watts(m.PeakPower), supply),
		fmt.Sprintf("Supply current %s now, %s average, %s peak", Amps(m.Current), Amps(m.AverageCurrent), Amps(m.PeakCurrent)),
		fmt.Sprintf("Hottest coil %s at %s%s", Celsius(m.Hottest), m.HotPlace, over(m.Hottest, m.BoardLimit)),
		fmt.Sprintf("Hottest surface to touch %s%s", Celsius(m.Touch), over(m.Touch, m.TouchLimit)),
		fmt.Sprintf("Lit pixels that lose their drop: %d of %d", m.Failing, m.Lit),
		fmt.Sprintf("Dark pixels that keep a drop: %d", m.FalseOn),
		fmt.Sprintf("Wanted pixels that the fluid is on: %d of %d", m.Shown, m.Wanted),
	}
}

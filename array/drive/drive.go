package drive

import (
	"cmp"
	"fmt"
	"math"

	"lodegrid/array/extent"
)

// Mode names how pixels share the supply.
type Mode string

// The drive modes.
const (
	Direct  Mode = "direct"  // every pixel its own PWM, all periods starting together
	Stagger Mode = "stagger" // the same, each pixel's period starting at its own time
	Scan    Mode = "scan"    // one row at a time
	Kick    Mode = "kick"    // full duty from the kick rail for a while, then a lower hold
)

// Params describes the drive of a whole grid.
type Params struct {
	Mode       Mode
	Bridge     Bridge
	Rows, Cols int

	Voltage      float64 // V, supply rail
	BoostVoltage float64 // V, rail of the kick or of the scanned rows; 0 = Voltage
	Frequency    float64 // Hz, PWM
	Inductance   float64 // H, of a pixel's coil
	// SteelResistance is that of Circuit, Ω.
	SteelResistance float64
	// KickInductance (H) and KickSteel (Ω) are what both are under a kick's duty, in mode Kick;
	// an inductance of 0 = as in the hold.
	KickInductance, KickSteel float64
	// Under is what both are under pulses of another duty 0…1 than full level's; nil where they
	// are the same under any.
	Under func(duty float64) (inductance, steel float64)

	OnResistance float64 // Ω, all switches in a pixel's path
	DiodeDrop    float64 // V, freewheel diode of a low-side driver
	PathDrop     float64 // V, diode in series with each output's coils; see Circuit
	MaxDuty      float64 // 0…1, duty at level ±1

	// FrameTime is how long one picture is held, in seconds; Frame uses it.
	FrameTime float64
	// ScanTime is one pass over all rows, in seconds, in mode Scan; 0 = FrameTime.
	ScanTime float64
	// Turns is how many turns a scan has, row r being on in turn r mod Turns; 0 = Rows.
	Turns int

	KickTime float64 // s, mode Kick
	HoldDuty float64 // 0…1, duty at level ±1 after the kick, mode Kick

	// Slots is the number of start times per PWM period that the driver offers in
	// mode Stagger; 0 = 128.
	Slots int

	// Series is how many coils each output has in series, neighbours in a row that light
	// together; 0 = 1. The columns are to be a multiple of it, or a single one, which stands
	// for a string of coils that are all alike.
	Series int

	// PixelVoltage, if given, is the voltage of the supply rail at each pixel
	// (Wiring works it out); the boost rail is taken to sag in the same proportion.
	PixelVoltage []float64
}

// Drive computes currents for a validated set of parameters. It holds no state and
// may be used from several goroutines.
type Drive struct {
	p      Params
	base   Circuit
	period float64 // s, PWM
	boost  float64 // V
	lowest float64 // lowest level
}

// New returns the drive of parameters that a design can have; it panics on others.
func New(p Params) *Drive {
	p.BoostVoltage = cmp.Or(p.BoostVoltage, p.Voltage)
	p.ScanTime = cmp.Or(p.ScanTime, p.FrameTime)
	p.Turns = cmp.Or(p.Turns, p.Rows)
	p.Series = max(p.Series, 1)
	if p.Mode != Kick || p.KickInductance == 0 {
		p.KickInductance, p.KickSteel = p.Inductance, p.SteelResistance
	}
	p.Slots = cmp.Or(p.Slots, 128)
	n := float64(p.Series)
	d := &Drive{p: p, base: Circuit{
		Bridge: p.Bridge, Voltage: p.Voltage / n, Resistance: 1, Inductance: p.Inductance,
		OnResistance: p.OnResistance / n, DiodeDrop: p.DiodeDrop / n, PathDrop: p.PathDrop / n, SteelResistance: p.SteelResistance, Series: p.Series,
	}}
	if extent.Check(p.Rows, p.Cols) != nil || p.Turns < 1 || p.Turns > p.Rows || p.Series > 1 && p.Cols > 1 && p.Cols%p.Series != 0 ||
		!(p.Voltage > 0 && p.BoostVoltage > 0 && p.Frequency > 0 && p.FrameTime > 0 && p.ScanTime > 0 && p.Inductance > 0 && p.KickInductance > 0) {
		panic(fmt.Sprintf("drive: no design has these parameters: %+v", p))
	}
	d.period = 1 / p.Frequency
	d.boost = p.BoostVoltage
	if p.Bridge == FullBridge {
		d.lowest = -1
	}
	return d
}

// Params returns the parameters, with the defaults filled in.
func (d *Drive) Params() Params { return d.p }

// Pixels returns the number of pixels.
func (d *Drive) Pixels() int { return d.p.Rows * d.p.Cols }

// WithVoltages returns the same drive with its own rail voltage at each pixel.
func (d *Drive) WithVoltages(volts []float64) *Drive {
	p := d.p
	p.PixelVoltage = volts
	return New(p)
}

// Circuit returns pixel i's circuit on the supply rail at a level −1…1, with its coil at a
// resistance in ohms; in a string that is the mean of its coils.
func (d *Drive) Circuit(i int, level, resistance float64) Circuit {
	c := d.base
	c.Resistance = resistance
	if d.p.PixelVoltage != nil {
		c.Voltage = d.mean(d.p.PixelVoltage, i) / float64(d.p.Series)
	}
	d.pulsed(&c, level, d.holdDuty(level))
	return c
}

// pulsed gives a circuit what its coil is under the pulses of a level, a dark one's current dying
// out as full level's.
func (d *Drive) pulsed(c *Circuit, level, duty float64) {
	if part := math.Abs(level); d.p.Under != nil && part != 0 && part != 1 {
		c.Inductance, c.SteelResistance = d.p.Under(duty)
	}
}

// first tells whether a pixel is the first of its string, which stands for all of it.
func (d *Drive) first(i int) bool { return d.p.Series == 1 || i%d.p.Cols%d.p.Series == 0 }

// string are the pixels in series with pixel i: from, before to.
func (d *Drive) string(i int) (from, to int) {
	from = i - i%d.p.Cols%d.p.Series
	return from, min(from+d.p.Series, i-i%d.p.Cols+d.p.Cols)
}

// mean is the mean of values over the pixels in series with pixel i.
func (d *Drive) mean(values []float64, i int) float64 {
	if d.p.Series == 1 {
		return values[i]
	}
	from, to := d.string(i)
	sum := 0.0
	for _, v := range values[from:to] {
		sum += v
	}
	return sum / float64(to-from)
}

// Boosted is Circuit on the rail of the kick or of the scan, in a kick with what the steel is to
// its pulses.
func (d *Drive) Boosted(i int, level, resistance float64) Circuit {
	c := d.Circuit(i, 1, resistance)
	c.Voltage *= d.boost / d.p.Voltage
	c.Inductance, c.SteelResistance = d.p.KickInductance, d.p.KickSteel
	duty, _ := d.Duty(level)
	d.pulsed(&c, level, duty)
	return c
}

// Duty returns the duty 0…1 and the direction, 1 or −1, of a level.
func (d *Drive) Duty(level float64) (duty, sign float64) {
	if level < 0 {
		return -level * d.p.MaxDuty, -1
	}
	return level * d.p.MaxDuty, 1
}

// holdDuty is the duty on the supply rail once the pixel holds its level.
func (d *Drive) holdDuty(level float64) float64 {
	if d.p.Mode == Kick {
		return math.Abs(level) * d.p.HoldDuty
	}
	return math.Abs(level) * d.p.MaxDuty
}

// check refuses levels that the drive cannot show.
func (d *Drive) check(levels []float64) error {
	for i, v := range levels {
		if !(v >= d.lowest && v <= 1) {
			return d.refuse(i, v)
		}
		if d.first(i) {
			continue
		}
		if from, to := d.string(i); v != levels[from] {
			return &LevelError{i, d.p.Cols, v, fmt.Sprintf("%v, as at %s: %d coils in series share an output", levels[from], extent.PlaceOf(from, d.p.Cols), to-from)}
		}
	}
	return nil
}

// periods divides a time into the whole number of PWM periods nearest to the
// asked frequency, at least one: a scanned row's slot and a kick start and end with
// a period.
func (d *Drive) periods(time float64) (n, period float64) {
	n = math.Max(1, math.Round(time/d.period))
	return n, time / n
}

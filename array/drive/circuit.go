package drive

import (
	"fmt"
	"math"

	"lodegrid/field/quantity"
)

// Bridge names the topology of a pixel's driver.
type Bridge string

// The driver topologies.
const (
	LowSide    Bridge = "low-side" // one switch and a freewheel diode: current one way
	FullBridge Bridge = "h-bridge" // current both ways, slow decay through the switches
)

// Circuit is one coil and its driver.
type Circuit struct {
	Bridge       Bridge
	Voltage      float64 // V, rail
	Resistance   float64 // Ω, of the coil at its temperature
	Inductance   float64 // H
	OnResistance float64 // Ω, all switches in the path
	DiodeDrop    float64 // V, freewheel diode; not used by a full bridge
	// PathDrop is the voltage in V of a diode in series with the coil, which the current passes
	// while switched on and while it freewheels; not used by a full bridge.
	PathDrop float64
	// SteelResistance is what the ripple's mean square is multiplied by for the heat of the
	// eddy currents in the steel, Ω; see Ladder.PWM.
	SteelResistance float64
	// Series is how many like coils share the rail in series, 0 for one. The circuit is a
	// coil's part then: with n coils, V = n R i + Ron i + n L di/dt is the circuit of one on V/n
	// behind Ron/n with the diode's drop over n, and it takes a part i/n of the rail's current.
	Series int
}

// string is over how many coils the rail's current is shared out.
func (c *Circuit) string() float64 { return math.Max(1, float64(c.Series)) }

// InString is the inductance in henries of each of n like coils in a row in series, which also
// sees the others: of an own inductance and the mutual ones of coils one, two, … places apart.
//
//	n L' = n L + 2 Σ (n − k) M_k
func InString(n int, own float64, mutual func(apart int) float64) float64 {
	sum := 0.0
	for k := 1; k < n; k++ {
		sum += float64(n-k) * mutual(k)
	}
	return own + 2*sum/float64(n)
}

// FinalCurrent returns the current in amperes that a coil left on settles to,
// (V − Vs)/(R + Ron) with the diode in its path.
func (c Circuit) FinalCurrent() float64 {
	return math.Max(0, c.Voltage-c.path()) / (c.Resistance + c.OnResistance)
}

// path is the voltage of a diode in series with the coil.
func (c *Circuit) path() float64 {
	if c.Bridge == FullBridge {
		return 0
	}
	return c.PathDrop
}

// TimeConstant returns L/(R + Ron) in seconds, of the rise.
func (c Circuit) TimeConstant() float64 { return c.Inductance / (c.Resistance + c.OnResistance) }

// Constant is TimeConstant with its derivation.
func (c Circuit) Constant() quantity.Derived {
	return quantity.Derived{Value: c.TimeConstant(), Why: fmt.Sprintf("L/(R + Ron) = %.5g H / (%.5g Ω + %.5g Ω)", c.Inductance, c.Resistance, c.OnResistance)}
}

// PWM returns the settled current under PWM: duty 0…1 of each period in seconds,
// sign of the current positive. Its End is the current at the start of a period.
func (c Circuit) PWM(duty, period float64) PixelState {
	t := newTrain(&c, duty, period)
	var s sums
	start := t.settled()
	end := t.run(start, 1, &s)
	return c.state(&s, 1, start, end)
}

// Mean is the settled mean of PWM in amperes, with its derivation: over a period the
// coil's inductance takes no voltage.
func (c Circuit) Mean(duty, period float64) quantity.Derived {
	s := c.PWM(duty, period)
	m := quantity.Derived{Value: s.Average}
	switch {
	case c.Bridge == FullBridge:
		m.Why = fmt.Sprintf("D V/(R + Ron) = %.5g × %.5g V / (%.5g Ω + %.5g Ω)", duty, c.Voltage, c.Resistance, c.OnResistance)
	case s.Discontinuous:
		m.Why = fmt.Sprintf("duty %.5g of %.5g V on %.5g Ω + %.5g Ω and %.5g H; the current dies out within a period of %.5g s", duty, c.Voltage, c.Resistance, c.OnResistance, c.Inductance, period)
	default:
		switched := s.RailAverage * c.string() // without what the rail gives for the steel's heat
		if c.Voltage > 0 {
			switched -= s.Steel / c.Voltage
		}
		named, inPath := "", ""
		if c.PathDrop > 0 {
			named, inPath = " − V_path", fmt.Sprintf(" − %.5g V", c.PathDrop)
		}
		m.Why = fmt.Sprintf("(D V − (1 − D) V_diode%s − Ron I_switch)/R = (%.5g × %.5g V − (1 − %.5g) × %.5g V%s − %.5g Ω × %.5g A) / %.5g Ω",
			named, duty, c.Voltage, duty, c.DiodeDrop, inPath, c.OnResistance, switched, c.Resistance)
	}
	if c.Series > 1 {
		m.Why += fmt.Sprintf("; each of %d coils in series has that part of the rail, the switches and the diode", c.Series)
	}
	return m
}

// state turns sums in the direction of the drive into a PixelState.
func (c *Circuit) state(s *sums, sign, start, end float64) PixelState {
	if s.time == 0 {
		return PixelState{Min: sign * start, Max: sign * start, Average: sign * start, RMS: math.Abs(start), End: sign * end}
	}
	p := PixelState{
		Average:       sign * s.q / s.time,
		RMS:           math.Sqrt(s.q2 / s.time),
		Min:           sign * s.min,
		Max:           sign * s.max,
		End:           sign * end,
		RailAverage:   s.qOn / s.time / c.string(),
		Copper:        c.Resistance * s.q2 / s.time,
		Stored:        c.Inductance * (end - start) * (end + start) / 2 / s.time,
		Discontinuous: s.died,
	}
	if c.SteelResistance > 0 {
		p.Steel = c.SteelResistance * s.ripple()
		p.Copper += p.Steel
		if c.Voltage > 0 {
			p.RailAverage += p.Steel / c.Voltage / c.string()
		}
	}
	p.Power = c.Voltage * c.string() * p.RailAverage
	if sign < 0 {
		p.Min, p.Max = p.Max, p.Min
	}
	if c.Bridge == FullBridge {
		p.Switch = c.OnResistance * s.q2 / s.time
	} else {
		p.Switch = c.OnResistance * s.q2On / s.time
		p.OnBoard = c.PathDrop * s.q / s.time
		p.Diode = c.DiodeDrop*s.qOff/s.time + p.OnBoard
	}
	return p
}

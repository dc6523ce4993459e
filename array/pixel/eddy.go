package pixel

import (
	"context"
	"fmt"
	"math"
	"math/cmplx"

	"lodegrid/array/design"
	"lodegrid/array/drive"
	"lodegrid/field"
	"lodegrid/field/coil"
	"lodegrid/field/iron"
	"lodegrid/field/material"
)

// eddyFrequencies are those at which the steel's eddy currents are solved for, Hz: from
// direct current to the harmonics of a fast PWM.
var eddyFrequencies = []float64{0, 4e3, 20e3, 100e3, 400e3}

// Eddy is a pixel's coil on its steel with eddy currents, linear, by frequency.
type Eddy struct {
	Frequencies []float64
	Inductance  []float64 // H, coil and steel
	Resistance  []float64 // Ω, that the steel's eddy currents add to the copper's
	// Gain is the field on the axis at the fluid over that of the coil in air, in phase
	// with the current and behind it.
	Gain   []complex128
	Ladder drive.Ladder
}

// newEddy solves for a round coil on conducting steel; nil for any other.
func newEddy(ctx context.Context, d design.Design, c *coil.Coil, z float64) (*Eddy, error) {
	if d.Iron.Model == design.IronNone || !c.Radial() {
		return nil, nil
	}
	steel, err := material.SteelNamed(d.Iron.Steel)
	if err != nil {
		return nil, err
	}
	near, ok := c.Source(c.Spec().Outer/8, FilamentError).(field.Coaxial)
	if !ok || steel.ElectricConductivity == 0 {
		return nil, nil
	}
	p := iron.EddyProblem{Coil: near, Scale: d.Coil.Outer / 2, Frequencies: eddyFrequencies}
	for _, g := range ironRegions(d, nil) {
		p.Steel = append(p.Steel, iron.Conductor{R0: g.R0, R1: g.R1, Z0: g.Z0, Z1: g.Z1, MuR: d.Iron.MuR, Conductivity: steel.ElectricConductivity})
	}
	rows, err := iron.SolveEddy(ctx, p)
	if err != nil {
		return nil, fmt.Errorf("computing the eddy currents in the steel: %w", err)
	}
	e := &Eddy{Frequencies: eddyFrequencies}
	_, air := near.Field(0, z-near.Center.Z)
	for _, h := range rows {
		e.Inductance = append(e.Inductance, c.Inductance()+h.Inductance)
		e.Resistance = append(e.Resistance, max(0, h.Resistance))
		e.Gain = append(e.Gain, 1+h.Axis(z)/complex(air, 0))
	}
	if e.Ladder, err = drive.FitLadder(e.Frequencies, e.Inductance, e.Resistance); err != nil {
		return nil, fmt.Errorf("the steel's eddy currents: %w", err)
	}
	return e, nil
}

// gain is the size of Gain at a frequency in hertz.
func (e *Eddy) gain(frequency float64) float64 {
	return e.at(frequency, func(k int) float64 { return cmplx.Abs(e.Gain[k]) })
}

// InductanceAt is the inductance in henries at a frequency in hertz.
func (e *Eddy) InductanceAt(frequency float64) float64 {
	return e.at(frequency, func(k int) float64 { return e.Inductance[k] })
}

// at is a value at a frequency, on straight lines over its logarithm.
func (e *Eddy) at(frequency float64, value func(k int) float64) float64 {
	last := len(e.Frequencies) - 1
	for k := 1; k <= last; k++ {
		low, high := e.Frequencies[k-1], e.Frequencies[k]
		if frequency > high {
			continue
		}
		part := frequency / high
		if low > 0 {
			part = math.Log(frequency/low) / math.Log(high/low)
		}
		a, b := value(k-1), value(k)
		return a + part*(b-a)
	}
	return value(last)
}

// UnderPWM is the inductance in henries with which the drive counts, and the resistance
// by which the ripple heats the steel: those in air without conducting steel.
func (p Pixel) UnderPWM(d design.Design) (inductance, steel float64) {
	if p.Eddy == nil {
		return p.Coil.Inductance(), 0
	}
	duty := d.Drive.MaxDuty
	if d.Drive.Mode == design.DriveKick {
		duty = d.Drive.HoldDuty
	}
	return p.Eddy.Ladder.PWM(duty, d.Drive.Frequency, p.Coil.Resistance(field.RoomTemperature)+d.Drive.OnResistance/float64(d.Coils()))
}

// Shield is what eddy currents in the steel leave of the ripple's field, per ampere, at the
// PWM's frequency, which carries most of it.
func (p Pixel) Shield(d design.Design) float64 {
	if p.Eddy == nil {
		return 1
	}
	return p.Eddy.gain(d.Drive.Frequency) / p.Eddy.gain(0)
}

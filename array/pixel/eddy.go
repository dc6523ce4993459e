package pixel

import (
	"context"
	"fmt"
	"math"
	"math/cmplx"
	"strings"

	"lodegrid/array/design"
	"lodegrid/array/drive"
	"lodegrid/field"
	"lodegrid/field/coil"
	"lodegrid/field/iron"
	"lodegrid/field/material"
	"lodegrid/field/memo"
)

// eddyFrequencies are those at which the steel's eddy currents are solved for, Hz: from
// direct current to the harmonics of a fast PWM. Those in a board's metal set in lower.
var (
	eddyFrequencies  = []float64{0, 4e3, 20e3, 100e3, 400e3}
	metalFrequencies = []float64{0, 250, 1e3, 4e3, 20e3, 100e3, 400e3}
)

// Eddy is a pixel's coil on its steel and over its board's metal with eddy currents, linear,
// by frequency.
type Eddy struct {
	Frequencies []float64
	Inductance  []float64 // H, coil and steel
	Resistance  []float64 // Ω, that the eddy currents add to the copper's
	// Of names what they run in; Alike is how far the round coil that stands for one of
	// another shape is off, of the inductance over a perfect conductor; 0 for a round one.
	Of    string
	Alike float64
	// Gain is the field on the axis at the fluid over that of the coil in air, in phase
	// with the current and behind it.
	Gain   []complex128
	Ladder drive.Ladder

	known *answers
}

// answers are those of a ladder under PWM, H and Ω: a search over duties asks for many.
type answers = memo.Of[pulsed, [2]float64]

// pulsed is a PWM: a duty, a frequency in Hz, through a resistance in Ω.
type pulsed struct{ duty, frequency, resistance float64 }

func newAnswers() *answers { return memo.New[pulsed, [2]float64](1 << 12) }

// under is Ladder.PWM, each answer worked out once.
func (e *Eddy) under(duty, frequency, resistance float64) (inductance, steel float64) {
	x, _ := e.known.Get(pulsed{duty, frequency, resistance}, func() (x [2]float64, _ error) {
		x[0], x[1] = e.Ladder.PWM(duty, frequency, resistance)
		return x, nil
	})
	return x[0], x[1]
}

// eddies are those of coils on steel and metal, by all that they follow from.
var eddies = memo.New[string, *Eddy](1 << 8)

// newEddy solves for a round coil on conducting steel, and for any over a metal core: of
// another shape a round one of the same area stands for it, in proportion to what a perfect
// conductor takes from either. Nil where nothing conducts, and for steel that is not solved for.
func newEddy(ctx context.Context, d design.Design, c *coil.Coil, z float64) (*Eddy, error) {
	e := &Eddy{Frequencies: eddyFrequencies, known: newAnswers()}
	p := iron.EddyProblem{Scale: d.Coil.Outer / 2}
	if d.Iron.Model != design.IronNone && c.Radial() {
		steel := material.SteelNamed(d.Iron.Steel)
		if steel.ElectricConductivity > 0 {
			e.Of = "steel"
			for _, g := range ironRegions(d, nil) {
				p.Steel = append(p.Steel, iron.Conductor{R0: g.R0, R1: g.R1, Z0: g.Z0, Z1: g.Z1, MuR: d.Iron.MuR, Conductivity: steel.ElectricConductivity})
			}
		}
	}
	height, part := c.Spec().Outer/8, 1.0
	round := c
	if front, back, metal := d.MetalCore(); metal > 0 {
		p.Steel = append(p.Steel, iron.Conductor{R0: d.Iron.CoreRadius, R1: wideDisc * d.Coil.Outer / 2, Z0: back, Z1: front, MuR: 1, Conductivity: metal})
		e.Frequencies, e.Of = metalFrequencies, strings.TrimPrefix(e.Of+" and the board's metal", " and the ")
		back := c.Spec().Layers[len(c.Spec().Layers)-1]
		height = min(height, back.Z-back.Copper/2-front)
		var err error
		if round, part, e.Alike, err = standIn(d, c, front); err != nil {
			return nil, err
		}
	}
	if len(p.Steel) == 0 {
		return nil, nil
	}
	near, ok := round.Source(height, FilamentError).(field.Coaxial)
	if !ok {
		return nil, nil
	}
	p.Coil, p.Frequencies = near, e.Frequencies
	return eddies.Get(fmt.Sprint(p, e.Of, e.Alike, part, c.Inductance(), z), func() (*Eddy, error) { return e.solve(ctx, p, c.Inductance(), part, z) })
}

// solve works out eddy currents under a coil of an inductance in henries in air, of which they
// take a part of what they take of the problem's coil.
func (e *Eddy) solve(ctx context.Context, p iron.EddyProblem, inductance, part, z float64) (*Eddy, error) {
	rows, err := iron.SolveEddy(ctx, p)
	if err != nil {
		return nil, fmt.Errorf("computing the eddy currents: %w", err)
	}
	_, air := p.Coil.Field(0, z-p.Coil.Center.Z)
	for _, h := range rows {
		e.Inductance = append(e.Inductance, inductance+part*h.Inductance)
		e.Resistance = append(e.Resistance, max(0, part*h.Resistance))
		e.Gain = append(e.Gain, 1+h.Axis(z)/complex(air, 0))
	}
	e.Ladder = drive.FitLadder(e.Frequencies, e.Inductance, e.Resistance)
	return e, nil
}

// standIn is a round coil for one over a metal core whose front is at a height in metres: the
// coil itself where it is round. Part is what a perfect conductor there takes from the coil's
// inductance over what it takes from the stand-in's; alike is how far these shares of the
// inductances differ, of the coil's inductance over that conductor.
func standIn(d design.Design, c *coil.Coil, front float64) (round *coil.Coil, part, alike float64, err error) {
	if c.Radial() {
		return c, 1, 0, nil
	}
	fail := func(err error) (*coil.Coil, float64, float64, error) {
		return nil, 0, 0, fmt.Errorf("a round coil for eddy currents in the board's metal: %w", err)
	}
	drawn, err := coil.New(d.CoilSpec(), d.Board.Rules) // the rules are for what is drawn
	if err != nil {
		return fail(err)
	}
	spec := drawn.Spec()
	spec.Outer, spec.Shape, spec.CornerRadius, spec.Inner = 2*math.Sqrt(spec.Enclosed()/math.Pi), coil.Round, 0, 0
	if round, err = coil.New(spec, d.Board.Rules); err != nil {
		return fail(err)
	}
	if round, err = d.Made(round); err != nil {
		return fail(err)
	}
	own := c.MutualWithImage(front)
	its := round.MutualWithImage(front)
	return round, own / its, math.Abs(own-its*c.Inductance()/round.Inductance()) / (c.Inductance() - own), nil
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
// by which the ripple heats what eddy currents run in: those in air where there are none; in
// mode kick in the hold. In a string the inductance is that beside the others.
func (p Pixel) UnderPWM(d design.Design) (inductance, steel float64) {
	return p.underDuty(d, heldDuty(d))
}

// heldDuty is the duty at which full level is held.
func heldDuty(d design.Design) float64 {
	if d.Drive.Mode == design.DriveKick {
		return d.Drive.HoldDuty
	}
	return d.Drive.MaxDuty
}

func (p Pixel) underDuty(d design.Design, duty float64) (inductance, steel float64) {
	inductance = p.Coil.Inductance()
	if p.Eddy != nil {
		inductance, steel = p.Eddy.under(duty, d.Drive.Frequency, p.Coil.Resistance(field.RoomTemperature)+d.Switches())
	}
	return p.InString(d, inductance), steel
}

// Shield is what eddy currents leave of the ripple's field, per ampere, at the
// PWM's frequency, which carries most of it.
func (p Pixel) Shield(d design.Design) float64 {
	if p.Eddy == nil {
		return 1
	}
	return p.Eddy.gain(d.Drive.Frequency) / p.Eddy.gain(0)
}

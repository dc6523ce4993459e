package pixel

import (
	"context"
	"fmt"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/design"
	"lodegrid/array/drive"
	"lodegrid/field"
	"lodegrid/field/coil"
	"lodegrid/field/kernel"
	"lodegrid/field/material"
	"lodegrid/field/quantity"
)

// FilamentError bounds the share of the field lost by replacing a track's width
// by filaments; see coil.Source.
const FilamentError = 1e-4

// Pixel is one pixel of a design at the origin: its coil, its own magnet and the
// steel behind them.
type Pixel struct {
	Coil *coil.Coil
	Iron Iron
	// Air is the coil's field at 1 A without steel, Magnet the pixel's own bias
	// magnet without steel, nil when there is none.
	Air, Magnet field.Source
	// Full is what full level means for a cold coil in the drive's mode, and OnWhy the
	// derivation of its settled current: held, or while its row is on.
	Full  drive.Course
	OnWhy string
	// Eddy is the coil on its conducting steel and over its board's metal by frequency, nil
	// where there is neither, or only steel under a coil that is not round.
	Eddy *Eddy
	// FullCurrent is the mean of that current over time, A: of it, in mode scan, its
	// row's share.
	FullCurrent float64

	beside *beside
}

// New builds the pixel of a design, its fields accurate at height z (m) and
// above.
func New(ctx context.Context, d design.Design, z float64) (Pixel, error) {
	return build(ctx, d, z, true)
}

// Steady is New for currents that change slowly: without what eddy currents make of others.
func Steady(ctx context.Context, d design.Design, z float64) (Pixel, error) {
	return build(ctx, d, z, false)
}

func build(ctx context.Context, d design.Design, z float64, eddy bool) (Pixel, error) {
	c, err := coil.New(d.CoilSpec(), d.Board.Rules)
	if err != nil {
		return Pixel{}, fmt.Errorf("building the coil: %w", err)
	}
	if c, err = d.Made(c); err != nil {
		return Pixel{}, fmt.Errorf("building the coil as made: %w", err)
	}
	p := Pixel{Coil: c, Air: c.Source(z, FilamentError), beside: newBeside()}
	if eddy {
		if p.Eddy, err = newEddy(ctx, d, c, z); err != nil {
			return Pixel{}, err
		}
	}
	p.SetDrive(d)
	if d.Magnet.Kind == design.MagnetPerPixel {
		p.Magnet = field.CylinderMagnet{
			Radius: d.Magnet.Diameter / 2, Length: d.Magnet.Length,
			Remanence: Remanence(d, d.Heat.Ambient), Center: r3.Vec{Z: d.MagnetCenter()},
		}
	}
	p.Iron, err = newIron(ctx, d, p, z)
	return p, err
}

// Remade is the pixel with the copper that a design's board really has, its coil drawn as
// before: tracks of another width in the same places leave what steel and metal add as it is.
func (p Pixel) Remade(d design.Design, z float64) (Pixel, error) {
	drawn, err := coil.New(d.CoilSpec(), d.Board.Rules)
	if err != nil {
		return p, fmt.Errorf("building the coil: %w", err)
	}
	before := p.Coil.Inductance()
	if p.Coil, err = d.Made(drawn); err != nil {
		return p, fmt.Errorf("building the coil as made: %w", err)
	}
	p.Air, p.beside = p.Coil.Source(z, FilamentError), newBeside()
	if p.Eddy != nil {
		e := *p.Eddy
		e.known = newAnswers()
		e.Inductance = slices.Clone(e.Inductance)
		floats.AddConst(p.Coil.Inductance()-before, e.Inductance)
		e.Ladder = drive.FitLadder(e.Frequencies, e.Inductance, e.Resistance)
		p.Eddy = &e
	}
	p.SetDrive(d)
	return p, nil
}

// circuit is a coil with its driver on the supply, the coil at a resistance in ohms.
func (p Pixel) circuit(d design.Design, resistance float64) drive.Circuit {
	c := behind(d, resistance)
	c.Inductance, c.SteelResistance = p.UnderPWM(d)
	return c
}

// behind is a resistance in ohms with its driver on the supply, without inductance.
func behind(d design.Design, resistance float64) drive.Circuit {
	n := float64(d.Coils())
	return drive.Circuit{
		Bridge: d.Drive.Bridge, Voltage: d.Supply.Voltage / n, Resistance: resistance,
		OnResistance: d.Switches(), DiodeDrop: d.Drive.DiodeDrop / n, PathDrop: d.PathDrop() / n, Series: d.Coils(),
	}
}

// TimeConstant is L/(R + Ron) in seconds with the coil at tempK kelvin and an own
// inductance in henries, that in air or that with its steel, in its string.
func (p Pixel) TimeConstant(d design.Design, tempK, inductance float64) quantity.Derived {
	c := p.circuit(d, p.Coil.Resistance(tempK))
	c.Inductance = p.InString(d, inductance)
	return c.Constant()
}

// SetDrive works out what full level means for the pixel, its coil at 20 °C.
func (p *Pixel) SetDrive(d design.Design) {
	p.Full, p.OnWhy = FullCourse(d, *p)
	p.FullCurrent = p.Full.Mean()
}

// FullCourse is what full level means for a coil at 20 °C, and the derivation of its
// settled current.
func FullCourse(d design.Design, p Pixel) (drive.Course, string) {
	course := CourseAt(d, p, 1)
	on := p.circuit(d, p.Coil.Resistance(field.RoomTemperature))
	duty, when := d.Drive.MaxDuty, ""
	switch d.Drive.Mode {
	case design.DriveKick:
		duty, when = d.Drive.HoldDuty, "held once the kick is over: "
	case design.DriveScan:
		when = "while its row is on: "
		on.Voltage = d.Drive.KickVoltage
	}
	return course, when + on.Mean(duty, 1/d.Drive.Frequency).Why
}

// CourseAt is what a level means for a coil at 20 °C.
func CourseAt(d design.Design, p Pixel, level float64) drive.Course {
	drv := NewDrive(d, p, 1, d.Scene.FrameTime)
	return drv.Course(0, level, p.Coil.Resistance(field.RoomTemperature))
}

// FullDuty is the current of a cold pixel that is on without a break on the supply, A.
func FullDuty(d design.Design, p Pixel) float64 {
	return behind(d, p.Coil.Resistance(field.RoomTemperature)).FinalCurrent()
}

// CoilField is the coil's field at 1 A with the steel behind it, in front of the
// steel.
func (p Pixel) CoilField() field.Source { return plus(p.Air, p.Iron.coil) }

// Lit is the field of everything that a pixel makes at a current in amperes, coil,
// steel and magnet, in front of its steel.
func (p Pixel) Lit(current float64) field.Source {
	return plus(field.Scaled{Source: p.CoilField(), Factor: p.Iron.Effective(current)}, p.MagnetField())
}

// MagnetField is the field of the pixel's own magnet with the steel behind it,
// nil without a magnet.
func (p Pixel) MagnetField() field.Source {
	if p.Magnet == nil {
		return nil
	}
	return plus(p.Magnet, p.Iron.magnet)
}

func plus(a, b field.Source) field.Source {
	if b == nil {
		return a
	}
	return field.Sum{a, b}
}

// Remanence is the magnet's remanence in tesla at a temperature in kelvin, by the
// grade's reversible coefficient.
func Remanence(d design.Design, tempK float64) float64 {
	return material.Grade{Remanence: d.Magnet.Remanence, TempCoefficient: d.Magnet.TempCoefficient}.RemanenceAt(tempK)
}

// Fold returns the turning symmetry of the coil's closed-turn field.
func Fold(c *coil.Coil) int {
	switch {
	case c.Radial():
		return 0
	case c.Spec().Shape == coil.Hexagon:
		return 6
	}
	return 4
}

// kernelError is the error asked of kernels, as a share of the largest field.
const kernelError = 1e-10

// CoilKernel stores the coil's field at 1 A, steel included, on the plane z (m) out
// to reach (m).
func (p Pixel) CoilKernel(ctx context.Context, z, reach float64) (*kernel.Kernel, error) {
	return kernel.Build(ctx, kernel.Spec{
		Source: p.CoilField(), Height: z, Fold: Fold(p.Coil), Reach: reach,
		Scale: p.Coil.Spec().Outer / 2, RelTol: kernelError,
	})
}

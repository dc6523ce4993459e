package array

import (
	"cmp"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/design"
	"lodegrid/array/drive"
	"lodegrid/field"
)

// What a fluid feels of a field that changes is the mean of the pressure over time. It goes
// with the square of the field: that of the mean, and that of the ripple as far as the
// magnetisation follows. The body's poles shorten the time in which it does, along its axis
// more than across (ferrofluid.Body.Lag), so the drive tells the ripple through either lag,
// and the pressure is that of the field
//
//	B_z² = ⟨B_z⟩² + ripple_z²,  B_r² = ⟨B_r⟩² + ripple_r²
//
// With a bias field the cross term of coil and magnet follows the mean current alone. For a
// fluid that is not near saturation this is exact. A fluid that saturates feels less: of a
// current that is on for a share D of the time, with a field that alone would make ξ =
// 3χH/Ms inside, the pull is told too large by about ξ²(1 − D)/30 (measured in the tests).
//
// Where all periods start together the ripples of pixels add up as their fields do; where
// the starts are spread over the period (mode stagger) they do not on the average, and the
// mean squares add up.

// amps is a current over time: its mean in amperes, and how much of its ripple the fluid
// follows along its axis and across it, RMS.
type amps struct{ mean, along, across float64 }

// Currents is what flows through the pixels of a grid while a picture stands.
type Currents struct {
	Mean []float64 // A, signed, over time
	// Along and Across are how much of each ripple the fluid follows along its axis and
	// across it, A, RMS: see Grid.Lags. In mode scan it is the ripple during the row's
	// turn. Nil stands for none.
	Along, Across []float64
}

// NewCurrents returns the currents of a dark grid.
func (g *Grid) NewCurrents() Currents {
	n := g.Design.Pixels()
	return Currents{make([]float64, n), make([]float64, n), make([]float64, n)}
}

// Steady are currents in amperes without a ripple.
func Steady(currents []float64) Currents { return Currents{Mean: currents} }

// set makes the current of pixel k that of a cold coil.
func (c Currents) set(k int, a amps) {
	c.Mean[k], c.Along[k], c.Across[k] = a.mean, a.along, a.across
}

// clear makes all pixels dark.
func (c Currents) clear() {
	clear(c.Mean)
	clear(c.Along)
	clear(c.Across)
}

// Follow fills in what the drive makes of levels with the coils at resistances in ohms: the
// ripples that the fluid follows; kicked, which may be nil, names the pixels in their kick.
func (g *Grid) Follow(c Currents, d *drive.Drive, levels, resistance []float64, kicked []bool) error {
	along, across := g.lags()
	if err := d.Ripples(c.Along, levels, resistance, along, kicked); err != nil {
		return err
	}
	if err := d.Ripples(c.Across, levels, resistance, across, kicked); err != nil {
		return err
	}
	shield := g.Pixel.shield(g.Design)
	for k := range c.Along {
		c.Along[k] *= shield
		c.Across[k] *= shield
	}
	return nil
}

// lags are the times in seconds by which the reference drop's magnetisation lags behind a
// field along its axis and across it.
func (g *Grid) lags() (along, across float64) {
	return g.Fluid.Axially().Lag(g.Design.Fluid.Relaxation), g.Fluid.Sideways().Lag(g.Design.Fluid.Relaxation)
}

// shield is what eddy currents in the steel leave of the ripple's field, per ampere, at the
// PWM's frequency, which carries most of it.
func (p Pixel) shield(d design.Design) float64 {
	if p.Eddy == nil {
		return 1
	}
	return p.Eddy.gain(d.Drive.Frequency) / p.Eddy.gain(0)
}

// followsTurns is how much of the rows' turns the fluid follows, 0…1: 1 but where its lag
// is no longer short against a turn, in mode scan. The current is on for a share of a scan;
// what lags behind such a rectangle has this share of its mean square about the mean.
func (g *Grid) followsTurns() float64 {
	turns, lag := float64(g.turns()), 0.0
	if along, across := g.lags(); turns > 1 {
		lag = max(along, across)
	}
	if lag == 0 {
		return 1
	}
	scan := g.Design.Drive.ScanTime
	if scan == 0 {
		scan = cmp.Or(g.Design.Scene.FrameTime, usualFrame)
	}
	return drive.Followed(1/turns, scan/lag)
}

// stretch is a stretch of a pixel's course as the fluid feels it.
func (g *Grid) stretch(p Pixel, s drive.Stretch) amps {
	along, across := g.lags()
	shield := p.shield(g.Design)
	return amps{s.Average, s.Ripple(along) * shield, s.Ripple(across) * shield}
}

// at is the current of a cold pixel at a level, its mean taken over the rows' turns in mode
// scan and its ripple within the turn. Between the levels its mean is in proportion.
func (g *Grid) at(level float64) amps {
	switch size := math.Abs(level); size {
	case 0:
		return amps{}
	case 1:
		a := g.stretch(g.Pixel, g.Pixel.Full.On)
		a.mean = level * g.Pixel.FullCurrent
		return a
	default:
		a := amps{mean: level * g.Pixel.FullCurrent}
		if course, err := courseAt(g.Design, g.Pixel, size); err == nil {
			s := g.stretch(g.Pixel, course.On)
			a.along, a.across = s.along, s.across
		}
		return a
	}
}

// inStep tells whether the periods of all pixels start together.
func (g *Grid) inStep() bool { return g.Design.Drive.Mode != design.DriveStagger }

// swing is the ripple of the field at a place as far as the fluid follows it: in step its
// components at the instant when all swing the same way, T; otherwise Z and X are its mean
// squares along the axis and across it, T².
type swing = r3.Vec

// rocked is by what a pixel's ripple moves a swing: the weights of its field per ampere.
type rocked struct {
	along, across float64
	inStep        bool
}

// rock is the weights of a current, signed as its mean is, through a pixel.
func (g *Grid) rock(pixel int, a amps) rocked {
	if a.mean == 0 {
		return rocked{inStep: g.inStep()}
	}
	f := g.gain(pixel) * g.Pixel.Iron.share(a.mean*g.gain(pixel))
	if g.inStep() {
		f = math.Copysign(f, f*a.mean)
		return rocked{a.along * f, a.across * f, true}
	}
	return rocked{a.along * a.along * f * f, a.across * a.across * f * f, false}
}

// less is the weights that take a pixel from another current to this one.
func (r rocked) less(o rocked) rocked {
	return rocked{r.along - o.along, r.across - o.across, r.inStep}
}

// none tells that a current does not swing.
func (r rocked) none() bool { return r.along == 0 && r.across == 0 }

// add puts a pixel's field per ampere onto a swing.
func (r rocked) add(s swing, k r3.Vec) swing {
	if r.inStep {
		return swing{X: s.X + r.across*k.X, Y: s.Y + r.across*k.Y, Z: s.Z + r.along*k.Z}
	}
	return swing{X: s.X + r.across*(k.X*k.X+k.Y*k.Y), Z: s.Z + r.along*k.Z*k.Z}
}

// felt is the mean pressure in Pa of a field over time: its mean and its swing.
func (g *Grid) felt(b r3.Vec, s swing) float64 {
	along2, across2 := b.Z*b.Z, b.X*b.X+b.Y*b.Y
	if s == (swing{}) {
		return g.pressure.Pi(along2, across2)
	}
	if g.inStep() {
		along2 += s.Z * s.Z
		across2 += s.X*s.X + s.Y*s.Y
	} else { // sums of squares that grew and shrank
		along2 += max(0, s.Z)
		across2 += max(0, s.X)
	}
	return g.pressure.Pi(along2, across2)
}

// feltBy is the field of a pixel at its settled current as the reference drop feels it: its
// components are the RMS of mean and ripple, as far as the fluid follows.
func (g *Grid) feltBy(p Pixel) field.Source {
	a := g.stretch(p, p.Full.On)
	lit := p.Lit(a.mean)
	if a.along == 0 && a.across == 0 {
		return lit
	}
	share := p.Iron.share(a.mean)
	return feltField{lit, p.CoilField(), a.along * share, a.across * share}
}

// feltField is a field with a ripple of a coil in A RMS.
type feltField struct {
	mean, coil    field.Source
	along, across float64
}

// B implements field.Source.
func (f feltField) B(at r3.Vec) r3.Vec {
	m, c := f.mean.B(at), f.coil.B(at)
	return r3.Vec{
		X: math.Copysign(math.Hypot(m.X, f.across*c.X), m.X),
		Y: math.Copysign(math.Hypot(m.Y, f.across*c.Y), m.Y),
		Z: math.Copysign(math.Hypot(m.Z, f.along*c.Z), m.Z),
	}
}

// RippleFollowed is how much of its settled ripple's mean square the reference drop follows
// on a pixel's axis, 0…1, what eddy currents in the steel take from the field included; 0
// without a ripple.
func (g *Grid) RippleFollowed() float64 {
	all, a := g.Pixel.Full.On.Ripple(0), g.stretch(g.Pixel, g.Pixel.Full.On)
	if all <= 1e-6*math.Abs(a.mean) {
		return 0
	}
	return a.along * a.along / (all * all)
}

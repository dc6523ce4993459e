package grid

import (
	"cmp"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/design"
	"lodegrid/array/drive"
	"lodegrid/array/pixel"
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

// Amps is a current over time: its mean in amperes, and how much of its ripple the fluid
// follows along its axis and across it, RMS.
type Amps struct{ Mean, Along, Across float64 }

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

// Set makes the current of pixel k that of a cold coil.
func (c Currents) Set(k int, a Amps) {
	c.Mean[k], c.Along[k], c.Across[k] = a.Mean, a.Along, a.Across
}

// Clear makes all pixels dark.
func (c Currents) Clear() {
	clear(c.Mean)
	clear(c.Along)
	clear(c.Across)
}

// Follow fills in what the drive makes of levels with the coils at resistances in ohms: the
// ripples that the fluid follows; kicked, which may be nil, names the pixels in their kick.
func (g *Grid) Follow(c Currents, d *drive.Drive, levels, resistance []float64, kicked []bool) {
	along, across := g.lags()
	d.Ripples(c.Along, levels, resistance, along, kicked)
	d.Ripples(c.Across, levels, resistance, across, kicked)
	shield := g.Pixel.Shield(g.Design)
	for k := range c.Along {
		c.Along[k] *= shield
		c.Across[k] *= shield
	}
}

// lags are the times in seconds by which the reference drop's magnetisation lags behind a
// field along its axis and across it.
func (g *Grid) lags() (along, across float64) {
	return g.Fluid.Axially().Lag(g.Design.Fluid.Relaxation), g.Fluid.Sideways().Lag(g.Design.Fluid.Relaxation)
}

// FollowsTurns is how much of the rows' turns the fluid follows, 0…1: 1 but where its lag
// is no longer short against a turn, in mode scan. The current is on for a share of a scan;
// what lags behind such a rectangle has this share of its mean square about the mean.
func (g *Grid) FollowsTurns() float64 {
	turns, lag := float64(g.Turns()), 0.0
	if along, across := g.lags(); turns > 1 {
		lag = max(along, across)
	}
	if lag == 0 {
		return 1
	}
	scan := cmp.Or(g.Design.Drive.ScanTime, g.Design.Scene.FrameTime, pixel.UsualFrame)
	return drive.Followed(1/turns, scan/lag)
}

// Stretch is a stretch of a pixel's course as the fluid feels it.
func (g *Grid) Stretch(p pixel.Pixel, s drive.Stretch) Amps {
	along, across := g.lags()
	shield := p.Shield(g.Design)
	return Amps{s.Average, s.Ripple(along) * shield, s.Ripple(across) * shield}
}

// At is the current of a cold pixel at a level, its mean taken over the rows' turns in mode
// scan and its ripple within the turn. A level is a share of the duty: behind a freewheel diode
// the mean falls faster. Beyond full level, which no drive has, it is in proportion, steady.
func (g *Grid) At(level float64) Amps {
	full := g.Pixel.Full.On
	on, size := full, math.Abs(level)
	switch size {
	case 0:
		return Amps{}
	case 1:
	default:
		if size > 1 {
			return Amps{Mean: level * g.Pixel.FullCurrent}
		}
		on = g.Course(level).On
	}
	a := g.Stretch(g.Pixel, on)
	a.Mean = math.Copysign(g.Pixel.FullCurrent, level)
	if full.Average != 0 {
		a.Mean *= on.Average / full.Average
	}
	return a
}

// Course is what a level of −1…1 means for a cold pixel, its currents without their sign.
func (g *Grid) Course(level float64) drive.Course {
	return pixel.CourseAt(g.Design, g.Pixel, math.Abs(level))
}

// InStep tells whether the periods of all pixels start together.
func (g *Grid) InStep() bool { return g.Design.Drive.Mode != design.DriveStagger }

// Swing is the ripple of the field at a place as far as the fluid follows it: in step its
// components at the instant when all swing the same way, T; otherwise Z and X are its mean
// squares along the axis and across it, T².
type Swing = r3.Vec

// Rocked is by what a pixel's ripple moves a swing: the weights of its field per ampere.
type Rocked struct {
	along, across float64
	inStep        bool
}

// Rock is the weights of a current, signed as its mean is.
func (g *Grid) Rock(a Amps) Rocked {
	if a.Mean == 0 {
		return Rocked{inStep: g.InStep()}
	}
	f := g.Pixel.Iron.Share(a.Mean)
	if g.InStep() {
		f = math.Copysign(f, f*a.Mean)
		return Rocked{a.Along * f, a.Across * f, true}
	}
	return Rocked{a.Along * a.Along * f * f, a.Across * a.Across * f * f, false}
}

// Less is the weights that take a pixel from another current to this one.
func (r Rocked) Less(o Rocked) Rocked {
	return Rocked{r.along - o.along, r.across - o.across, r.inStep}
}

// None tells that a current does not swing.
func (r Rocked) None() bool { return r.along == 0 && r.across == 0 }

// Add puts a pixel's field per ampere onto a swing.
func (r Rocked) Add(s Swing, k r3.Vec) Swing {
	if r.inStep {
		return Swing{X: s.X + r.across*k.X, Y: s.Y + r.across*k.Y, Z: s.Z + r.along*k.Z}
	}
	return Swing{X: s.X + r.across*(k.X*k.X+k.Y*k.Y), Z: s.Z + r.along*k.Z*k.Z}
}

// Felt is the mean pressure in Pa of a field over time: its mean and its Swing.
func (g *Grid) Felt(b r3.Vec, s Swing) float64 {
	along2, across2 := b.Z*b.Z, b.X*b.X+b.Y*b.Y
	if s == (Swing{}) {
		return g.Pressure.Pi(along2, across2)
	}
	z, xy := g.Squares(s)
	return g.Pressure.Pi(along2+z, across2+xy)
}

// Squares are the mean squares of a swing along the axis and across it, T².
func (g *Grid) Squares(s Swing) (along2, across2 float64) {
	if g.InStep() {
		return s.Z * s.Z, s.X*s.X + s.Y*s.Y
	}
	return max(0, s.Z), max(0, s.X) // sums of squares that grew and shrank
}

// FeltBy is the field of a pixel at its settled current as the reference drop feels it: its
// components are the RMS of mean and ripple, as far as the fluid follows.
func (g *Grid) FeltBy(p pixel.Pixel) field.Source {
	a := g.Stretch(p, p.Full.On)
	if a.Along == 0 && a.Across == 0 {
		return p.Lit(a.Mean)
	}
	share := p.Iron.Share(a.Mean)
	return feltField{p.CoilField(), p.MagnetField(), p.Iron.Effective(a.Mean), a.Along * share, a.Across * share}
}

// feltField is the field of a coil at a mean current and a ripple in A RMS, and of a magnet,
// which may be nil.
type feltField struct {
	coil, magnet        field.Source
	mean, along, across float64
}

// B implements field.Source.
func (f feltField) B(at r3.Vec) r3.Vec {
	c := f.coil.B(at)
	m := r3.Scale(f.mean, c)
	if f.magnet != nil {
		m = r3.Add(m, f.magnet.B(at))
	}
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
	all, a := g.Pixel.Full.On.Ripple(0), g.Stretch(g.Pixel, g.Pixel.Full.On)
	if all <= 1e-6*math.Abs(a.Mean) {
		return 0
	}
	return a.Along * a.Along / (all * all)
}

package choose

import (
	"cmp"
	"context"
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/design"
	"lodegrid/array/drive"
	"lodegrid/array/escape"
	"lodegrid/array/grid"
	"lodegrid/array/handover"
	"lodegrid/array/pixel"
	"lodegrid/field"
	"lodegrid/field/coil"
	"lodegrid/field/material"
	"lodegrid/scenes"
	"lodegrid/scenes/choreograph"
	"lodegrid/scenes/verdict"
)

// The quick figures of a candidate are those of one pixel on its own. Its coil is made and
// its field in air computed as everywhere else; a sheet adds the coil's mirror image times a
// factor, a pin one shape times the flux that the coil sends through it. Factor, shape, what
// steel does to inductance, and how warm a watt a pixel makes the display come from an
// anchor: a coil of the same board and steel that was worked out in full. So a coil like its
// anchor is told well, one far from it less so; what is chosen is worked out anew. A hop's time
// goes by the pressure along the drop's rim, which near the axis pulls more than the disc as a
// whole: it orders candidates, and a factor from those worked out puts it right.

// Figures are what candidates are judged by.
type Figures struct {
	Force   float64 // N, with which a lone lit pixel keeps the drop
	Ratio   float64 // hold ratio: quick that of a lone pixel, exact the scene's least
	Release float64 // greatest hold ratio of a dark pixel
	Heat    float64 // W, of a lit pixel's coil, cold
	Power   float64 // W, from the supply at most
	Turn    float64 // K, of the hottest turn
	Touch   float64 // K, of the hottest surface within reach
	Kick    float64 // duty of a kick, of a carried scene
	Time    float64 // s, of the slowest hand-over with a kick; +Inf for none
	Price   float64
	Ways    bool // the connections find theirs
}

// use is what a scene asks of a display.
type use struct {
	share  []float64 // of the time at which each pixel is on, by its level
	most   float64   // levels at once
	moving float64   // s, of the shortest frame
	kicks  float64   // of a lit pixel per second
	// Of a scene that is carried: the part of a lit pixel's time at which it holds, the mean
	// square of its other levels over that time, and the sum of their squares at most.
	holds, moves, peak, part float64
	lit                      [][]float64    // share of the time at which each pixel is on, by parts of the scene
	busy                     []scenes.Frame // squares of levels while most is moved
}

func useOf(s scenes.Scene) use {
	u := use{share: make([]float64, s.Rows*s.Cols), moving: math.Inf(1), kicks: kicks(s)}
	total := s.Duration()
	for _, f := range s.Frames {
		sum := 0.0
		for k, v := range f.Levels {
			sum += math.Abs(v)
			u.share[k] += math.Abs(v) * f.Duration / total
		}
		u.most, u.moving = max(u.most, sum), min(u.moving, f.Duration)
	}
	return u
}

// made is a winding that can be made.
type made struct {
	winding
	rules      coil.Rules // of its board
	coil       *coil.Coil
	resistance float64  // Ω at 20 °C
	inductance float64  // H in air
	air, image []r3.Vec // T at 1 A along a radius: alone, and of its image in a sheet
	flux       float64  // T at 1 A, mean over the length of a pin
}

// quick evaluates candidates.
type quick struct {
	design  design.Design
	offer   Offer
	use     use
	carry   bool       // the drops are carried: a lit pixel holds, and kicks or guards at times
	move    float64    // s, that a hand-over may take; a kick is as weak as that allows
	slow    []hung     // from weakly held on
	grid    *grid.Grid // of any coil: the fluid and its pressure
	drop    grid.Drop
	away    []float64 // m, radii at which fields are told
	fall    [][]float64
	anchors map[place]*anchor
}

// The radii at which a field is told, the places at which a drop is pulled, perPitch of them
// a pitch, and those on half of its rim.
const radii, places, perPitch, rim = 56, 24, 16, 12

func newQuick(ctx context.Context, d design.Design, o Offer, s scenes.Scene) (*quick, error) {
	if d.Coil.Shape != coil.Round {
		return nil, fmt.Errorf(`choosing a coil: the search winds round coils, coil.shape is %q; set it to "round"`, d.Coil.Shape)
	}
	q := &quick{offer: o, use: useOf(s), carry: d.Scene.Carry, anchors: map[place]*anchor{}}
	q.move = cmp.Or(o.Move, q.use.moving)
	own := d
	d, err := choreograph.Switched(d).With() // what follows the duty follows this one
	if err != nil {
		return nil, fmt.Errorf("choosing a coil: %w", err)
	}
	bare, err := d.With(design.Change{Key: "iron.model", Value: string(design.IronNone)}, design.Change{Key: "iron.core_radius", Value: "0 mm"}, design.Change{Key: "magnet.kind", Value: string(design.MagnetNone)})
	if err != nil {
		return nil, fmt.Errorf("choosing a coil: %w", err)
	}
	if q.grid, err = grid.New(ctx, bare, 0); err != nil {
		return nil, fmt.Errorf("choosing a coil: %w", err)
	}
	q.design, q.drop = d, q.grid.Drop()
	reach := d.Grid.Pitch*places/perPitch + d.Fluid.DropDiameter/2
	for j := range radii {
		q.away = append(q.away, reach*float64(j)/(radii-1))
	}
	q.fall = fallOf(d.Grid.Pitch, d.Fluid.DropDiameter/2, reach/(radii-1))
	if q.carry {
		if err := q.plan(ctx, own, s); err != nil {
			return nil, fmt.Errorf("choosing a coil: %w", err)
		}
	}
	return q, nil
}

// fallOf are the weights with which pressures along a radius, a step apart, make the fall per
// metre outwards of the mean pressure of a drop at each of the places: the sum of the
// pressure along the drop's rim over its area.
func fallOf(pitch, radius, step float64) [][]float64 {
	out := make([][]float64, places)
	for i := range out {
		out[i] = make([]float64, radii)
		x := pitch * float64(i+1) / perPitch
		for k := range rim {
			sin, cos := math.Sincos(math.Pi * (float64(k) + 0.5) / rim)
			weight := -2 * cos / (rim * radius)
			u := math.Hypot(x+radius*cos, radius*sin) / step
			first := min(int(u)-1, radii-4)
			for a := range 4 { // the cubic through four
				w := 1.0
				for b := range 4 {
					if b != a {
						w *= (u - float64(first+b)) / float64(a-b)
					}
				}
				j := first + a
				if j < 0 {
					j = -j // a field is even about the axis
				}
				out[i][j] += weight * w
			}
		}
	}
	return out
}

// wind makes a winding's coil; the error is the board house's rule.
func (q *quick) wind(w winding) (*made, error) {
	d := q.design
	d.Board.Rules = q.offer.rules(w.board, w.copper)
	spec, err := w.spec(d)
	if err != nil {
		return nil, err
	}
	c, err := coil.New(spec, d.Board.Rules)
	if err != nil {
		return nil, err
	}
	b := q.design.Board
	if c, err = c.Made(q.design.Coil.Etch, b.OuterMade, b.InnerMade, w.board.Layers); err != nil {
		return nil, err
	}
	x := &made{winding: w, rules: d.Board.Rules, coil: c, resistance: c.Resistance(field.RoomTemperature), inductance: c.Inductance()}
	z, front := q.design.Fluid.Height, -w.thickness-q.design.Iron.Gap
	near := c.Source(z, quickError)
	x.air = q.along(near)
	x.image = q.along(field.Mirror{Source: near, Z: front, Factor: 1})
	const depths = 4
	for k := range depths {
		x.flux += c.Source(1e-4, quickError).B(r3.Vec{Z: front * (float64(k) + 0.5) / depths}).Z / depths
	}
	return x, nil
}

// quickError is the share of the field that filaments may err by.
const quickError = 3e-3

// along is a field along the radius on the fluid plane.
func (q *quick) along(s field.Source) []r3.Vec {
	list := make([]r3.Vec, len(q.away))
	for j, r := range q.away {
		list[j] = s.B(r3.Vec{X: r, Z: q.design.Fluid.Height})
	}
	return list
}

// fits tells whether a core fits a coil's middle, and magnets stand beside each other.
func (q *quick) fits(w *made, s steel) bool {
	return (s.wide <= q.design.Grid.Pitch || q.design.Pixels() == 1) && s.core <= w.coil.FreeRadius()-q.design.Board.HoleClearance
}

// on is the design with a coil on its steel, as far as the quick figures go.
func (q *quick) on(w *made, s steel) design.Design {
	d := q.design
	d.Board.Rules, d.Board.Layers, d.Board.CopperOuter, d.Board.CopperInner = w.rules, w.board.Layers, w.copper.Weight, w.copper.Weight
	spec := w.coil.Spec()
	d.Coil.Outer, d.Coil.Layers, d.Coil.ParallelGroups = spec.Outer, len(spec.Layers), w.groups
	d.Iron.CoreRadius, d.Iron.Thickness = s.core, s.sheet
	d.Iron.Model = design.IronNone
	if s.sheet > 0 {
		d.Iron.Model = design.IronAuto
	}
	d.Magnet.Kind = design.MagnetNone
	if s.magnet > 0 {
		d.Magnet.Kind = design.MagnetPerPixel
	}
	return d
}

// ratio is the hold ratio of a force in N, of a pixel alone.
func (q *quick) ratio(force float64) float64 {
	need, grip := q.drop.Pinning, 0.0
	if q.drop.Weight > 0 {
		need, grip = q.drop.Weight, q.drop.Pinning
	}
	if force = max(force, 0) + grip; force == 0 {
		return 0
	}
	return force / need
}

// dark is the hold ratio of a pixel without current, by its magnet alone.
func (q *quick) dark(s steel, a *anchor) float64 {
	if s.magnet == 0 {
		return 0
	}
	return q.ratio(floats.Max(q.pulled(q.grid, make([]r3.Vec, radii), a.magnet, grid.Amps{}, q.drop.Volume)))
}

// stopped is the limit that a coil on its steel breaks with every drive, "" for none: a magnet
// that keeps a dark drop, or no way out for tracks that carry nothing.
func (q *quick) stopped(w *made, s steel, a *anchor) Limit {
	if q.dark(s, a) > q.design.Limits.FalseOn {
		return verdict.Releases
	}
	if !escape.Of(q.on(w, s), w.coil, 0).Fits() {
		return verdict.Wiring
	}
	return ""
}

// each tells the figures of a coil on its steel with every drive.
func (q *quick) each(w *made, s steel, a *anchor, drives []supplied, tell func(k int, f Figures)) {
	d, g, drop := q.on(w, s), q.grid, q.drop
	unit := make([]r3.Vec, radii) // T at 1 A
	for j := range unit {
		unit[j] = r3.Add(w.air[j], r3.Add(r3.Scale(a.factor, w.image[j]), r3.Scale(w.flux/a.flux, a.pin[j])))
	}
	weight := max(drop.Weight, 0)
	mobility, drag := handover.Motion(d.Fluid)
	// A fluid follows a row's turns as a rule, so that a share of the time counts as that.
	pulled := func(amps grid.Amps, share float64) []float64 {
		return q.pulled(g, unit, a.magnet, amps, share*drop.Volume)
	}
	dark, ways := q.dark(s, a), waysOf{fits: 0, not: math.Inf(1)}
	var kicked []float64
	steps := map[int][]float64{} // forces of currents a tenth apart
	volts, lasts := 0.0, 0.0
	for k, v := range drives {
		if d.Drive.KickVoltage == d.Supply.Voltage {
			d.Drive.KickVoltage = v.volts
		}
		d.Supply.Voltage = v.volts
		if d.Drive.Mode == design.DriveKick {
			d.Drive.HoldDuty = v.duty
		} else {
			d.Drive.MaxDuty = v.duty
		}
		drv := pixel.DriveOf(d, func(duty float64) (inductance, steel float64) { return a.underPWM(d, w, duty) }, nil, 1, d.Scene.FrameTime)
		course := drv.Course(0, 1, w.resistance)
		on := g.Stretch(a.pixel, course.On)
		if volts != v.volts {
			volts = v.volts
			kicked, lasts = pulled(q.kick(a, course, w, v.volts), 1), math.Inf(1)
			if d.Drive.Mode == design.DriveKick {
				lasts = course.Kick.Seconds
			}
		}
		held := pulled(on, course.Share)
		if d.Drive.Mode == design.DriveScan {
			kicked = held
		}
		f := Figures{Force: max(floats.Max(held[:perPitch]), 0), Release: dark, Time: drag + hop(held, kicked, lasts, weight, drop.Pinning, d.Grid.Pitch/perPitch, mobility/drop.Volume)}
		f.Ratio = q.ratio(f.Force)
		square := course.MeanSquare()
		f.Heat = square*w.resistance + course.On.Steel()*course.Share
		amperes := course.Mean()
		diode := amperes * d.PathDrop()
		f.Power = q.use.most * (f.Heat + square*d.Switches() + diode)
		mean, kicks := f.Heat+diode, 0.0
		if q.carry {
			slow := q.slower(f.Force)
			f.Time *= slow
			full := q.steady(w, v.volts)
			need := q.weakest(full, func(k int) float64 {
				if steps[k] == nil {
					steps[k] = pulled(grid.Amps{Mean: math.Pow(ladder, float64(k))}, 1)
				}
				return slow * (drag + hop(held, steps[k], lasts, weight, drop.Pinning, d.Grid.Pitch/perPitch, mobility/drop.Volume))
			})
			f.Kick = min(max(need/full, choreograph.Weakest*v.duty), 1)
			kick, heat := q.kickAt(a, d, w, f.Kick)
			if f.Time <= q.move {
				f.Time = q.move
			}
			amperes = kick.Mean()
			mean, kicks = f.Heat*q.use.holds+heat*q.use.moves, heat
			f.Power += q.use.peak * (heat + kick.MeanSquare()*d.Switches())
		}
		f.Turn, f.Touch = a.warmth(mean, kicks)
		f.Ways = ways.out(d, w.coil, amperes)
		supply, ok := q.offer.supply(v.volts, f.Power, d.UsableShare())
		f.Price = math.Inf(1)
		if ok {
			f.Price = total(q.offer.cost(d, w.board, w.copper, w.coil, supply))
		}
		tell(k, f)
	}
}

// waysOf are the currents, A, up to which a coil's connections are known to find their way and
// from which they are known not to.
type waysOf struct{ fits, not float64 }

// out tells whether the connections of a design's coil find their way with tracks for a current
// in A: what is as wide or narrower than tracks that do, does.
func (k *waysOf) out(d design.Design, c *coil.Coil, amperes float64) bool {
	switch {
	case amperes >= k.not:
		return false
	case amperes > k.fits:
		if !escape.Of(d, c, amperes).Fits() {
			k.not = amperes
			return false
		}
		k.fits = amperes
	}
	return true
}

// pulled are the forces on a drop at the places along a radius by a coil's field at 1 A, times
// a scale in m³.
func (q *quick) pulled(g *grid.Grid, unit, magnet []r3.Vec, amps grid.Amps, scale float64) []float64 {
	rock, pressure := g.Rock(amps), make([]float64, radii)
	for j, b := range unit {
		pressure[j] = g.Felt(r3.Add(r3.Scale(amps.Mean, b), magnet[j]), rock.Add(grid.Swing{}, b))
	}
	fall := make([]float64, places)
	for i, row := range q.fall {
		fall[i] = floats.Dot(row, pressure) * scale
	}
	return fall
}

// kick is the current of a kick: that of mode kick, or the supply without a break.
func (q *quick) kick(a *anchor, course drive.Course, w *made, volts float64) grid.Amps {
	if q.design.Drive.Mode == design.DriveKick {
		return q.grid.Stretch(a.pixel, course.Kick)
	}
	return grid.Amps{Mean: q.steady(w, volts)}
}

// steady is the current in A of a supply without a break.
func (q *quick) steady(w *made, volts float64) float64 {
	return volts / (float64(q.design.Coils())*w.resistance + q.design.Drive.OnResistance)
}

// hop is the time in seconds in which a drop comes up from the next pixel, where it hung by
// the forces held, to where the forces kicked bear it, N at places a step in m apart from the
// first on; +Inf when it does not. The kick lasts so many seconds, what it leaves of the way is
// made by the forces held. speed is that for a newton.
func hop(held, kicked []float64, lasts, weight, grip, step, speed float64) float64 {
	sag := 0
	for sag < perPitch-1 && held[sag] < weight {
		sag++
	}
	sum := 0.0
	for i := min(perPitch+sag, places-1); i >= 0; i-- {
		forces := kicked
		if sum > lasts {
			forces = held
		}
		net := forces[i] - weight - grip
		if net <= 0 {
			if i >= perPitch/2 {
				return math.Inf(1)
			}
			break // where it rests
		}
		sum += step / (speed * net)
	}
	return sum
}

// hot is the power of a coil that is driven by voltage and warmer than 20 °C over its cold
// one.
func hot(temperature float64) float64 {
	return 1 / material.Linear(material.AnnealedCopper.TempCoefficient, temperature)
}

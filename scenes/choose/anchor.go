package choose

import (
	"context"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/cooling"
	"lodegrid/array/design"
	"lodegrid/array/heat"
	"lodegrid/array/pixel"
	"lodegrid/field"
)

// place is what coils share an anchor on: board's thickness, steel and magnet.
type place struct {
	thickness float64
	steel
}

// anchor is what a coil worked out in full tells about others like it.
type anchor struct {
	pixel  pixel.Pixel
	factor float64  // of the image in the sheet
	pin    []r3.Vec // T at 1 A along the radius, what steel adds beside the image
	flux   float64  // T at 1 A through the pin
	magnet []r3.Vec // T along the radius

	inductance float64 // H, in air
	ladder     map[response][2]float64

	rises [warmths]float64 // K, surface over air, for the watts of a pixel that is on
	turns [warmths]float64 // K, hottest turn over air
	air   float64          // K
	// Of a carried scene, surface and turn: the greatest rise over that of the mean, and what
	// kicks of a watt add, K.
	region, pulse [2]float64
}

// The watts of a lit pixel at which the display's heat is worked out: a decade in three.
const warmths, coolest, perDecade = 8, 0.01, 3

// at makes the anchor of a place from a coil of it.
func (q *quick) at(ctx context.Context, w *made, s steel) (*anchor, error) {
	key := place{w.thickness, s}
	if a := q.anchors[key]; a != nil {
		return a, nil
	}
	c := Candidate{w.winding, s, supplied{q.design.Supply.Voltage, max(q.design.Drive.MaxDuty, 1e-3)}}
	start := q.design
	start.Board.Rules = w.rules
	d, err := start.With(c.changes(start, w.coil.Spec().Turns, Supply{Power: q.design.Supply.Power})...)
	if err != nil {
		return nil, fmt.Errorf("working out a coil to start from: %w", err)
	}
	if s.magnet > 0 { // it stands without steel, so that all but its own field is that of the coil alone
		plain, err := q.at(ctx, w, steel{})
		if err != nil {
			return nil, err
		}
		p, err := pixel.New(ctx, d, d.Fluid.Height)
		if err != nil {
			return nil, fmt.Errorf("working out a magnet: %w", err)
		}
		a := *plain
		a.magnet = q.among(p.MagnetField())
		q.anchors[key] = &a
		return &a, nil
	}
	a := &anchor{pin: make([]r3.Vec, radii), magnet: make([]r3.Vec, radii), flux: 1, region: [2]float64{1, 1}, inductance: w.inductance, ladder: map[response][2]float64{}, air: d.Heat.Ambient}
	if a.pixel, err = pixel.New(ctx, d, d.Fluid.Height); err != nil {
		return nil, fmt.Errorf("working out a coil to start from: %w", err)
	}
	if w.flux != 0 {
		a.flux = w.flux
	}
	if s.sheet > 0 {
		plain := a
		if s.core > 0 {
			if plain, err = q.at(ctx, w, steel{sheet: s.sheet}); err != nil {
				return nil, err
			}
		}
		at := r3.Vec{Z: d.Fluid.Height}
		steel := func(b *anchor) float64 { return b.pixel.CoilField().B(at).Z - b.pixel.Air.B(at).Z }
		if a.factor = plain.factor; plain == a {
			a.factor = steel(a) / w.image[0].Z
		}
		full, air := q.along(a.pixel.CoilField()), q.along(a.pixel.Air)
		for j := range a.pin { // a sheet is no perfect mirror far from the axis
			a.pin[j] = r3.Sub(r3.Sub(full[j], air[j]), r3.Scale(a.factor, w.image[j]))
		}
	}
	q.anchors[key] = a
	return a, a.warm(ctx, d, q.use)
}

// around is how many pixels away magnets still count, and toward in how many directions the
// field of a lattice of them is told.
const around, toward = 2, 8

// among is the field along a radius of a magnet among those of other pixels, the mean of all
// directions: they take a tenth to a fifth of the force that one alone has.
func (q *quick) among(magnet field.Source) []r3.Vec {
	list, g := make([]r3.Vec, len(q.away)), q.design.Grid
	cols, rows := min(around, g.Cols-1), min(around, g.Rows-1)
	for k := range toward {
		sin, cos := math.Sincos(2 * math.Pi * (float64(k) + 0.5) / toward)
		for j, r := range q.away {
			var b r3.Vec
			for x := -cols; x <= cols; x++ {
				for y := -rows; y <= rows; y++ {
					b = r3.Add(b, magnet.B(r3.Vec{X: r*cos - float64(x)*g.Pitch, Y: r*sin - float64(y)*g.Pitch, Z: q.design.Fluid.Height}))
				}
			}
			list[j] = r3.Add(list[j], r3.Scale(1./toward, r3.Vec{X: b.X*cos + b.Y*sin, Z: b.Z}))
		}
	}
	return list
}

// underPWM is the inductance of a coil in henries and what steel adds to its resistance to
// the ripple in ohms, as the anchor's in proportion to the inductances in air.
func (a *anchor) underPWM(d design.Design, w *made, duty float64) (inductance, steel float64) {
	k := w.inductance / a.inductance
	if a.pixel.Eddy == nil {
		return k * a.pixel.InString(d, a.inductance), 0
	}
	u := math.Log((w.resistance+d.Switches())/k) / stride
	at := func(step float64) [2]float64 {
		x, known := a.ladder[response{duty, step}]
		if !known {
			x[0], x[1] = a.pixel.Eddy.Ladder.PWM(duty, d.Drive.Frequency, math.Exp(step*stride))
			a.ladder[response{duty, step}] = x
		}
		return x
	}
	low, part := math.Floor(u), u-math.Floor(u)
	x, y := at(low), at(low+1)
	return k * a.pixel.InString(d, x[0]+part*(y[0]-x[0])), k * (x[1] + part*(y[1]-x[1]))
}

// response is where a ladder's answer is known: a duty and the logarithm of a resistance, in
// steps of stride. Straight between them it is within 0.3 % of the demo coil's inductance and
// 0.03 % of its resistance, from 0.05 to 500 Ω; half the stride leaves 0.13 % and 0.01 %.
type response struct{ duty, step float64 }

const stride = 0.1

// warm works out how warm the display gets in the scene's mean.
func (a *anchor) warm(ctx context.Context, d design.Design, u use) error {
	params, err := cooling.Params(ctx, d, a.pixel)
	if err != nil {
		return err
	}
	n := heat.New(params)
	watts := make([]float64, len(u.share))
	for k := range a.rises {
		each := coolest * math.Pow(10, float64(k)/perDecade)
		for p, share := range u.share {
			watts[p] = each * share
		}
		r, err := n.Steady(ctx, &heat.FixedPower{Watts: watts})
		if err != nil {
			a.rises[k], a.turns[k] = math.Inf(1), math.Inf(1) // no steady state
			continue
		}
		n.StartFrom(r.State())
		a.rises[k], a.turns[k] = n.Touch()-a.air, r.Hottest-a.air
	}
	if u.busy != nil {
		return a.peaks(ctx, n, u, 5*coolest)
	}
	return nil
}

// warmth is how hot the hottest turn and the hottest surface get, K, in the scene's mean of
// lit pixels that make so many watts cold, and at most while kicks make so many.
func (a *anchor) warmth(watts, kicks float64) (turn, touch float64) {
	scale := 1.0
	for range 3 {
		turn, touch = a.air+a.region[1]*a.rise(&a.turns, watts*scale)+a.pulse[1]*kicks*scale, a.air+a.region[0]*a.rise(&a.rises, watts*scale)+a.pulse[0]*kicks*scale
		scale = hot(min(turn, field.RoomTemperature+300))
	}
	return turn, touch
}

// rise reads a table: a power law between two of its values and beyond them.
func (a *anchor) rise(table *[warmths]float64, watts float64) float64 {
	if watts <= 0 {
		return 0
	}
	u := math.Log10(watts/coolest) * perDecade
	k := min(max(int(u), 0), warmths-2)
	low, high := table[k], table[k+1]
	if !(low > 0) || math.IsInf(high, 0) {
		return high
	}
	return low * math.Pow(high/low, u-float64(k))
}

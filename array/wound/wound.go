package wound

import (
	"context"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/design"
	"lodegrid/array/pixel"
	"lodegrid/field"
	"lodegrid/field/coil"
	"lodegrid/field/iron"
	"lodegrid/field/material"
	"lodegrid/field/param"
	"lodegrid/field/quantity"
)

// Spec is a wound electromagnet as it is bought: round wire on a bobbin about an
// iron core, its front end in the plane of the board's front, z = 0. Metres.
type Spec struct {
	Outer, Inner float64 // diameters of the winding
	Height       float64 // length of the winding and its core
	Wire         float64 // bare diameter
	Core         float64 // diameter of the core; 0 = none
	Shell        float64 // thickness of an iron pot round the winding and behind it; 0 = none
	Steel        string  // of core and shell, a name of field/material
	Voltage      float64 // V
}

// Default is a small holding magnet as shops sell them for 5 V: 20 mm across and
// 15 mm long over all, an 8 mm core, no pot. The dimensions are common practice, no
// source; the wire makes it draw about 0.13 A.
func Default() Spec {
	return Spec{
		Outer: 20e-3, Inner: 9e-3, Height: 15e-3, Wire: 0.2e-3, Core: 8e-3,
		Steel: "low-carbon", Voltage: 5,
	}
}

// Params names this package in the errors of its parameters.
const Params = param.Of("wound electromagnet")

// insulation is the enamel's grade.
const insulation = 1

// Magnet is a wound electromagnet worked out.
type Magnet struct {
	Spec    Spec
	Winding *coil.Winding
	Current float64 // A at Spec.Voltage, cold
	// Steel is the finite-element result at Current, nil without iron.
	Steel *iron.Solution

	air field.Source // at 1 A
}

// New works out a wound electromagnet. The error is a *param.Error, or that of
// the finite elements.
func New(ctx context.Context, s Spec) (*Magnet, error) {
	mm := func(v float64) string { return quantity.Format(v, quantity.Length) }
	for _, v := range []struct {
		part        string
		value, most float64
		dim         quantity.Dimension
	}{{"outer", s.Outer, 1, quantity.Length}, {"inner", s.Inner, 1, quantity.Length}, {"height", s.Height, 1, quantity.Length}, {"wire", s.Wire, 1, quantity.Length}, {"volts", s.Voltage, 1000, quantity.Voltage}} {
		if !(v.value > 0 && v.value <= v.most) {
			return nil, Params.Refuse(v.part, nil, quantity.Format(v.value, v.dim), "more than "+quantity.Format(0, v.dim)+", up to "+quantity.Format(v.most, v.dim))
		}
	}
	if s.Inner >= s.Outer {
		return nil, Params.Refuse("inner", nil, mm(s.Inner)+" in a winding of "+mm(s.Outer), "less than "+mm(s.Outer))
	}
	if !(s.Core >= 0 && s.Core < s.Inner) {
		return nil, Params.Refuse("core", nil, mm(s.Core)+" across in a winding that is open to "+mm(s.Inner), "0 mm to less than "+mm(s.Inner))
	}
	if !(s.Shell >= 0 && s.Shell <= 1) {
		return nil, Params.Refuse("shell", nil, mm(s.Shell), "0 mm to "+mm(1))
	}
	winding, err := coil.NewWinding(coil.WindingSpec{
		InnerRadius: s.Inner / 2, OuterRadius: s.Outer / 2, Length: s.Height, Wire: s.Wire, Grade: insulation,
	})
	if err != nil {
		return nil, fmt.Errorf("wound electromagnet: %w", err)
	}
	w := &Magnet{Spec: s, Winding: winding, Current: s.Voltage / winding.Resistance(field.RoomTemperature)}
	clearance := s.Outer / 50
	if s.Core > 0 {
		clearance = min(clearance, (s.Inner-s.Core)/2)
	}
	w.air = winding.SourceAround(clearance)
	if s.Core == 0 && s.Shell == 0 {
		return w, nil
	}
	steel := material.SteelNamed(s.Steel)
	curve := pixel.CurveOf(steel, steel.MuR)
	p := iron.Problem{Scale: s.Outer / 2, Applied: field.Scaled{Source: w.air, Factor: w.Current}}
	add := func(r0, r1, z0, z1 float64) {
		if r1 > r0 && z1 > z0 {
			p.Steel = append(p.Steel, iron.Region{R0: r0, R1: r1, Z0: z0, Z1: z1, Curve: curve})
		}
	}
	add(0, s.Core/2, -s.Height, 0)
	if s.Shell > 0 {
		// The bobbin's flange keeps the pot off the copper.
		edge, back := s.Outer/2+clearance, -s.Height-clearance
		add(0, s.Core/2, back, -s.Height)
		add(0, edge+s.Shell, back-s.Shell, back)
		add(edge, edge+s.Shell, back, 0)
	}
	if w.Steel, err = iron.Solve(ctx, p); err != nil {
		return nil, fmt.Errorf("computing the iron of the wound electromagnet: %w", err)
	}
	return w, nil
}

// Air is the field without iron at Current, Field that with it, in tesla, off the
// winding and the iron.
func (w *Magnet) Air(p r3.Vec) r3.Vec { return r3.Scale(w.Current, w.air.B(p)) }

// Field is the field with the iron; see Air.
func (w *Magnet) Field(p r3.Vec) r3.Vec {
	b := w.Air(p)
	if w.Steel != nil {
		b = r3.Add(b, w.Steel.B(p))
	}
	return b
}

// Power is the heat in the winding in watts, cold.
func (w *Magnet) Power() float64 { return w.Spec.Voltage * w.Current }

// Merit is a coil as it is compared with another, cold.
type Merit struct {
	Resistance  float64 // Ω
	Inductance  float64 // H, in air
	Current     float64 // A
	Power       float64 // W, at that current, steady
	Alone       float64 // T, Bz at the fluid's height without iron
	Field       float64 // T, with it
	PerRootWatt float64 // T/√W, Field over √Power: what a given heat buys
	Width       float64 // m, iron included
}

// Against holds the pixel's flat coil at its full level, as steady current, against the
// wound electromagnet at its own voltage without a driver, each at the fluid's height
// over its front. fits tells whether the wound one fits the pitch.
func (w *Magnet) Against(d design.Design, p pixel.Pixel) (flat, wound Merit, fits bool) {
	i, r, f := p.Full.On.Average, p.Coil.Resistance(field.RoomTemperature), p.Axis(d.Fluid.Height)[0]
	ampere := p // at 1 A: a pixel that is never driven has its merit too
	ampere.Full.On.Average = 1
	flat = Merit{
		Resistance: r, Inductance: p.Coil.Inductance(), Current: i, Power: i * i * r * p.Full.Share,
		Alone: f.Alone, Field: f.Coil, PerRootWatt: ampere.Axis(d.Fluid.Height)[0].Coil / math.Sqrt(r), Width: p.Coil.Spec().Outer,
	}
	at := r3.Vec{Z: d.Fluid.Height}
	wound = Merit{
		Resistance: w.Winding.Resistance(field.RoomTemperature), Inductance: w.Winding.Inductance(), Current: w.Current, Power: w.Power(),
		Alone: w.Air(at).Z, Field: w.Field(at).Z, PerRootWatt: w.Field(at).Z / math.Sqrt(w.Power()), Width: w.Spec.Outer + 2*w.Spec.Shell,
	}
	return flat, wound, wound.Width <= d.Grid.Pitch || d.Pixels() == 1
}

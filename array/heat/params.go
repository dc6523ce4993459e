package heat

import (
	"cmp"
	"fmt"
	"math"

	"lodegrid/array/extent"
	"lodegrid/field/param"
)

// params names this package in the errors of its parameters.
const params = param.Of("heat")

// Method names a time-stepping scheme.
type Method string

// The schemes; see step.go for what each is good at.
const (
	Auto     Method = ""         // the board and the step length decide
	Split    Method = "split"    // symmetric splitting into tridiagonal sweeps, one step per call
	Implicit Method = "implicit" // linearly implicit, whole board at once, one step per call
)

// The limits of what New accepts.
const (
	MaxLayers = 4
)

// Params describes a network. Areas, capacities and conductances are per pixel.
type Params struct {
	Rows, Cols int

	Ambient      float64 // K, of the air; 150 … 400
	Surroundings float64 // K, of the walls that radiation goes to; 0 = Ambient

	Layers []Layer // front first, 1 … MaxLayers
	Heated int     // the layer that holds the coils and takes the power

	// Stages are how a coil is warmer than its node; none for a coil that is as warm.
	Stages []Stage
	Alpha  float64 // 1/K, of the copper's resistance at 20 °C, for its hottest turn
	// StagesError is how far the stages are from what they stand for, in parts of the
	// hottest turn's rise; for the record.
	StagesError float64

	Front, Back, Edge Film // the faces; one that no layer exposes may stay empty

	// Ceiling is the temperature in kelvin of any node above which a run stops
	// with a *RunawayError; 0 = 700 K, well past any laminate.
	Ceiling float64

	Method Method // Auto unless a test or a comparison wants one scheme
	// Tolerance is the error in kelvin that Auto aims at: in each internal step of
	// a long one, and over a run of short ones (see splitStep); 0 = 0.01 K.
	Tolerance float64
}

// Layer is one layer of the stack.
type Layer struct {
	Capacity float64 // J/K
	Lateral  float64 // W/K between neighbouring pixels
	Down     float64 // W/K to the next layer behind; not used by the last layer

	Front float64 // m², area exposed to the front air
	Back  float64 // m², area exposed to the back air
	Rim   float64 // m², area per pixel side that has no neighbour, cooled as Edge
}

// paramCheck collects the first complaint.
type paramCheck struct{ err *param.Error }

func (c *paramCheck) fail(field string, value any, accept string) {
	if c.err == nil {
		c.err = params.Refuse(field, value, "", accept)
	}
}

// between accepts lo <= v <= hi; a NaN is refused.
func (c *paramCheck) between(field string, v, lo, hi float64, unit string) {
	if !(v >= lo && v <= hi) {
		c.fail(field, v, fmt.Sprintf("%g to %g %s", lo, hi, unit))
	}
}

const (
	minCapacity = 1e-9
	maxCapacity = 1e9
	maxConduct  = 1e9
	maxArea     = 1e3
)

// validate returns nil or a *param.Error, and fills the defaults in.
func (p *Params) validate() error {
	var c paramCheck
	if extent.Check(p.Rows, 1) != nil {
		c.fail("Rows", p.Rows, fmt.Sprintf("1 to %d", extent.MaxSide))
	}
	if extent.Check(1, p.Cols) != nil {
		c.fail("Cols", p.Cols, fmt.Sprintf("1 to %d", extent.MaxSide))
	}
	c.between("Ambient", p.Ambient, 150, 400, "K")
	p.Surroundings = cmp.Or(p.Surroundings, p.Ambient)
	c.between("Surroundings", p.Surroundings, 3, 600, "K (or 0 for Ambient)")
	p.Ceiling = cmp.Or(p.Ceiling, 700)
	c.between("Ceiling", p.Ceiling, math.Nextafter(p.Ambient, 1e9), 3000, "K, above Ambient")
	p.Tolerance = cmp.Or(p.Tolerance, 0.01)
	c.between("Tolerance", p.Tolerance, 1e-9, 100, "K")
	switch p.Method {
	case Auto, Split, Implicit:
	default:
		c.fail("Method", fmt.Sprintf("%q", p.Method), `"", "split" or "implicit"`)
	}
	if n := len(p.Layers); n < 1 || n > MaxLayers {
		c.fail("len(Layers)", n, fmt.Sprintf("1 to %d", MaxLayers))
	}
	if p.Heated < 0 || p.Heated >= max(1, len(p.Layers)) {
		c.fail("Heated", p.Heated, fmt.Sprintf("0 to %d, the index of a layer", len(p.Layers)-1))
	}
	if n := len(p.Stages); n > MaxStages {
		c.fail("len(Stages)", n, fmt.Sprintf("0 to %d", MaxStages))
	}
	for i, s := range p.Stages {
		c.between(fmt.Sprintf("Stages[%d].Time", i), s.Time, 1e-9, 1e9, "s")
		for _, v := range []float64{s.Mean, s.Hottest, s.Again, s.Front, s.Back} {
			c.between(fmt.Sprintf("Stages[%d]", i), v, -1e6, 1e6, "K/W")
		}
	}
	c.between("Alpha", p.Alpha, 0, 0.1, "/K")
	if c.err != nil {
		return c.err
	}
	front, back, rim := false, false, false
	for i := range p.Layers {
		l := &p.Layers[i]
		at := func(name string) string { return fmt.Sprintf("Layers[%d].%s", i, name) }
		c.between(at("Capacity"), l.Capacity, minCapacity, maxCapacity, "J/K")
		c.between(at("Lateral"), l.Lateral, 0, maxConduct, "W/K")
		c.between(at("Down"), l.Down, 0, maxConduct, "W/K")
		c.between(at("Front"), l.Front, 0, maxArea, "m²")
		c.between(at("Back"), l.Back, 0, maxArea, "m²")
		c.between(at("Rim"), l.Rim, 0, maxArea, "m²")
		front = front || l.Front > 0
		back = back || l.Back > 0
		rim = rim || l.Rim > 0
	}
	if front {
		p.Front.validate(&c, "Front")
	}
	if back {
		p.Back.validate(&c, "Back")
	}
	if rim {
		p.Edge.validate(&c, "Edge")
	}
	if c.err != nil {
		return c.err
	}
	return nil
}

func (f *Film) validate(c *paramCheck, face string) {
	switch f.Orientation {
	case "", Vertical, FaceUp, FaceDown:
	default:
		c.fail(face+".Orientation", fmt.Sprintf("%q", f.Orientation), `"vertical", "face-up" or "face-down"`)
	}
	c.between(face+".Coefficient", f.Coefficient, 0, 1e6, "W/(m²·K)")
	if !(f.Coefficient > 0) {
		c.between(face+".Length", f.Length, 1e-4, 100, "m")
	}
	c.between(face+".AirSpeed", f.AirSpeed, 0, 50, "m/s")
	c.between(face+".FlowLength", f.FlowLength, 0, 100, "m")
	c.between(face+".Emissivity", f.Emissivity, 0, 1, "")
	c.between(face+".Insulation", f.Insulation, 0, 1e6, "m²·K/W")
	if b := f.Behind; b != nil {
		switch b.Kind {
		case Wall, Sealed, Case:
			c.between(face+".Behind.Gap", b.Gap, 1e-5, 10, "m")
			c.between(face+".Behind.Width", b.Width, 1e-4, 100, "m")
			c.between(face+".Behind.Height", b.Height, 1e-4, 100, "m")
		case Clamped:
			c.between(face+".Behind.Contact", b.Contact, 1e-9, 1e3, "m²·K/W")
		default:
			c.fail(face+".Behind.Kind", fmt.Sprintf("%q", b.Kind), `"wall", "sealed", "case" or "clamped"`)
		}
		if b.Kind == Sealed || b.Kind == Case {
			c.between(face+".Behind.CaseArea", b.CaseArea, 1e-9, 1e3, "m²")
			c.between(face+".Behind.CaseLength", b.CaseLength, 1e-4, 100, "m")
			c.between(face+".Behind.CaseWall", b.CaseWall, 0, 100, "m²·K/W")
			c.between(face+".Behind.CaseEmissivity", b.CaseEmissivity, 0, 1, "")
			c.between(face+".Behind.Vents", b.Vents, 0, 10, "m²")
		}
	}
	if a := f.Air; a != nil {
		c.between(face+".Air.Viscosity", a.Viscosity, 1e-9, 1, "m²/s")
		c.between(face+".Air.Diffusivity", a.Diffusivity, 1e-9, 1, "m²/s")
		c.between(face+".Air.Conductivity", a.Conductivity, 1e-6, 10, "W/(m·K)")
		c.between(face+".Air.Prandtl", a.Prandtl, 1e-3, 1e5, "")
		c.between(face+".Air.Expansion", a.Expansion, 0, 1, "1/K")
	}
}

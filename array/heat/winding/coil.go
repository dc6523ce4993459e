package winding

import (
	"math"
)

// Material conducts heat along the board and through it, and stores it.
type Material struct {
	Along, Through float64 // W/(m·K)
	Heat           float64 // J/(m³·K)
}

// Layer is one layer of the stack, front first.
type Layer struct {
	Thickness float64 // m
	Body      Material
	Copper    bool    // a layer of copper, its gaps filled with Body
	Share     float64 // of the coil's heat made in this layer; 0 = not wound
	// Plane is the share of copper in the plane around the turns of a wound layer and
	// all over one that is not wound.
	Plane  float64
	Radius float64 // m, of a layer that is a disc on the axis; 0 = all over
}

// Ring is a turn: copper between two radii in m.
type Ring struct {
	Inner, Outer float64
	Weight       float64 // share of the turn that is there, for its heat
}

// Coil is a coil and what lies around it.
type Coil struct {
	Layers  []Layer
	Board   int    // layers of the board; what follows lies behind it
	Rings   []Ring // inside out
	Copper  Material
	Core    Material
	CoreOut float64 // m, radius of a pin through the whole stack; 0 = none
	Cell    float64 // m, radius of the cell: pitch/√π
	Reach   float64 // m, radius of the board; Cell for a board whose coils are all on
	// Front and Back are what the two faces give off, W/(m²·K).
	Front, Back float64
}

// fill is the share of copper in the band of the turns.
func (c *Coil) fill() float64 {
	copper := 0.0
	for _, r := range c.Rings {
		copper += r.Outer - r.Inner
	}
	return copper / (c.outer() - c.Rings[0].Inner)
}

func (c *Coil) outer() float64 { return c.Rings[len(c.Rings)-1].Outer }

// cover is the share of the cell that the coil covers, its bore included.
func (c *Coil) cover() float64 { return min(c.outer()*c.outer()/(c.Cell*c.Cell), 1) }

// across is what the band of the turns conducts along a radius, track and gap one
// after the other, and round is what it conducts along the turns.
func (c *Coil) across(body Material) float64 {
	f := c.fill()
	return 1 / (f/c.Copper.Along + (1-f)/body.Along)
}

func (c *Coil) round(body Material) float64 {
	f := c.fill()
	return f*c.Copper.Along + (1-f)*body.Along
}

// plane is a layer's material around its turns.
func (c *Coil) plane(s Layer) Material {
	mix := func(a, b float64) float64 { return s.Plane*a + (1-s.Plane)*b }
	return Material{mix(c.Copper.Along, s.Body.Along), mix(c.Copper.Through, s.Body.Through), mix(c.Copper.Heat, s.Body.Heat)}
}

// Off is a layer of a board of coils that are off, as one material.
//
// A disc whose turns conduct a along its radius and b round it looks to an even flow
// of heat like one that conducts √(ab), whatever its size. With a bore of radius ρ
// times its own that conducts like the sheet, and n = √(b/a), its answer to an even
// flow is worked out from the two solutions r^±n in the band. Discs side by side in a
// sheet mix by Maxwell's formula in two dimensions,
//
//	k = k_sheet (1 + φβ)/(1 − φβ)
//
// (J. C. Maxwell, Treatise, art. 314; Rayleigh 1892 finds it low by up to a few per
// cent at such φ; from memory).
func (c *Coil) Off(s Layer) Material {
	if !s.Copper {
		return s.Body
	}
	sheet := c.plane(s)
	if s.Share == 0 {
		return sheet
	}
	a, b := c.across(s.Body), c.round(s.Body)
	n, k := math.Sqrt(b/a), math.Sqrt(a*b)
	// In the band T = A r^n + B r^-n with r in outer radii; at the bore's edge ρ
	// the flow along r meets a bore of T ∝ r.
	rho := c.Rings[0].Inner / c.outer()
	t := (k - sheet.Along) / (k + sheet.Along) * math.Pow(rho, 2*n) // B/A
	disc := k * (1 - t) / (1 + t)
	phi := c.cover()
	beta := phi * (disc - sheet.Along) / (disc + sheet.Along)
	band := c.fill() * (phi - min(c.Rings[0].Inner*c.Rings[0].Inner/(c.Cell*c.Cell), 1))
	return Material{
		Along:   sheet.Along * (1 + beta) / (1 - beta),
		Through: band*c.Copper.Through + (1-band)*sheet.Through,
		Heat:    band*c.Copper.Heat + (1-band)*sheet.Heat,
	}
}

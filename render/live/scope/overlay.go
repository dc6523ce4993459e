package scope

import (
	"fmt"
	"math"
	"strings"

	"lodegrid/field"
	"lodegrid/render"
)

// Overlay names what is drawn over the tank.
type Overlay int

// The overlays.
const (
	Fluid Overlay = iota // the tank as a person sees it
	Strength
	Arrows
	Hold
	Temperature
	Current
	Crosstalk
	overlays = iota
)

// overlayFacts are an overlay's names and what its colours mean.
var overlayFacts = [overlays]struct {
	name   string // on the command line
	label  string // on a button
	title  string // above the colour bar
	about  string // one sentence
	unit   string
	colors *render.ColorMap
	signed bool
}{
	Fluid:       {name: "fluid", label: "Tank", title: "Tank", about: "The tank as a person in front of it sees it."},
	Strength:    {name: "field", label: "Field", title: "Field", about: "Field strength on the fluid plane, bias magnets too.", unit: "mT", colors: render.Strength},
	Arrows:      {name: "arrows", label: "Arrows", title: "To viewer", about: "Arrows: field along the pane. Colour: field towards the viewer, negative away from it.", unit: "mT", colors: render.Balance, signed: true},
	Hold:        {name: "hold", label: "Hold", title: "Pull ÷ need", about: "Pull on a drop over what it needs. Red cross: lit, loses its drop. Red ring: dark, keeps one.", colors: render.Strength},
	Temperature: {name: "temperature", label: "Heat", title: "Coil", about: "Temperature of each pixel's coil.", unit: "°C", colors: render.Warmth},
	Current:     {name: "current", label: "Current", title: "Current", about: "Average current of each coil; negative is reversed.", unit: "A", colors: render.Balance, signed: true},
	Crosstalk: {name: "crosstalk", label: "Crosstalk", title: "From others", about: "Field of the other pixels on a pixel, over its own at full current. Red ring: dark, keeps a drop.",
		unit: "%", colors: render.Balance, signed: true},
}

// Overlays lists all overlays in the order they are offered.
func Overlays() []Overlay {
	list := make([]Overlay, overlays)
	for i := range list {
		list[i] = Overlay(i)
	}
	return list
}

// ParseOverlay reads an overlay's name; empty is Fluid.
func ParseOverlay(name string) (Overlay, error) {
	var names []string
	for i, f := range overlayFacts {
		if f.name == name {
			return Overlay(i), nil
		}
		names = append(names, f.name)
	}
	if name == "" {
		return Fluid, nil
	}
	return Fluid, fmt.Errorf("unknown overlay %q; accepted: %s", name, strings.Join(names, ", "))
}

// String is the overlay's name.
func (o Overlay) String() string { return overlayFacts[o].name }

// Label is the overlay's name on a button.
func (o Overlay) Label() string { return overlayFacts[o].label }

// About says in a sentence what the overlay shows.
func (o Overlay) About() string { return overlayFacts[o].about }

// PerPixel reports whether the overlay has one value per pixel.
func (o Overlay) PerPixel() bool { return o >= Hold }

// Overlay is the overlay in use.
func (c *View) Overlay() Overlay { return c.lens.overlay }

// SetOverlay chooses what is drawn over the tank. It belongs to the lens, as the outline
// does: the version is the simulation's.
func (c *View) SetOverlay(o Overlay) {
	if o >= 0 && o < overlays {
		c.lens.overlay = o
	}
}

// Outline reports whether rings stand where the picture wants fluid.
func (c *View) Outline() bool { return c.lens.outline }

// SetOutline sets whether they do.
func (c *View) SetOutline(on bool) { c.lens.outline = on }

// Legend is the meaning of an overlay's colours.
type Legend struct {
	Title, Unit string
	Low, High   float64 // in Unit
	Open        bool    // values beyond High have its colour
	Colors      *render.ColorMap
	Marks       []Tick // limits, to be drawn across the bar
}

// Tick is a place on a scale.
type Tick struct {
	Value float64
	Label string
}

// Legend returns the meaning of the present overlay's colours, ok false for Fluid,
// which needs none. The range grows with what has been shown and never shrinks, so
// that a colour keeps its meaning while a scene plays.
func (c *View) Legend() (l Legend, ok bool) {
	f := overlayFacts[c.lens.overlay]
	if f.colors == nil {
		return Legend{}, false
	}
	l = Legend{Title: f.title, Unit: f.unit, Colors: f.colors}
	l.Low, l.High = c.span()
	d := c.grid.Design
	switch c.lens.overlay {
	case Hold:
		l.Open = true
		l.Marks = []Tick{{d.Limits.Hold, "lit at least"}, {d.Limits.FalseOn, "dark at most"}}
	case Temperature:
		if limit := d.Limits.Board - field.ZeroCelsius; limit <= l.High {
			l.Marks = []Tick{{limit, "limit"}}
		}
	}
	return l, true
}

// span is the range of the present overlay's colours.
func (c *View) span() (low, high float64) {
	d := c.grid.Design
	top := c.top()
	switch c.lens.overlay {
	case Strength:
		return 0, ceil(max(top, 1e-3))
	case Arrows:
		high = ceil(max(top, 1e-3))
		return -high, high
	case Hold:
		return 0, ceil(2 * d.Limits.Hold)
	case Temperature:
		low = math.Floor((d.Heat.Ambient-field.ZeroCelsius)/5) * 5
		return low, low + ceil(max(top-low, 10))
	case Current:
		high = max(c.grid.Pixel.FullCurrent, 1e-3)
		return -high, high
	case Crosstalk:
		high = ceil(max(top, 10))
		return -high, high
	}
	return 0, 1
}

// Values fills dst with the present overlay's value for each pixel, in the legend's
// unit; it is for overlays that are PerPixel, others give none.
func (c *View) Values(dst []float64) []float64 {
	dst = dst[:0]
	switch c.lens.overlay {
	case Hold:
		dst = append(dst, c.holds...)
	case Temperature:
		for _, t := range c.coils {
			dst = append(dst, t-field.ZeroCelsius)
		}
	case Current:
		for _, p := range c.pixels {
			dst = append(dst, p.Average)
		}
	case Crosstalk:
		for i := range c.levels {
			dst = append(dst, 100*c.foreign(i))
		}
	}
	return dst
}

// reach lets the present overlay's range grow to what is shown, values times scale
// being in the legend's unit.
func (c *View) reach(values []float64, scale float64) {
	low, high := 0.0, 0.0
	for _, v := range values {
		low, high = min(low, v), max(high, v)
	}
	if overlayFacts[c.lens.overlay].signed {
		high = max(high, -low)
	}
	top := max(c.top(), scale*high)
	c.lens.tops[c.lens.overlay] = top
}

// top is the largest magnitude that the present overlay has shown of this display.
func (c *View) top() float64 {
	if c.lens.panel != c.panel {
		c.lens.panel, c.lens.tops = c.panel, [overlays]float64{}
	}
	return c.lens.tops[c.lens.overlay]
}

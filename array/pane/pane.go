// Package pane bends the panes of a tank: thin plates of one thickness under the pressure
// of the liquid between them (S. Timoshenko & S. Woinowsky-Krieger, Theory of Plates and
// Shells, 2nd ed. 1959, §§ 30, 32, 54, from memory). It holds while the bow is below half
// the pane's thickness; beyond, panes bow less than it says.
package pane

import "math"

// Material is what a pane is made of.
type Material struct {
	Name    string
	Young   float64 // Pa
	Poisson float64
	Density float64 // kg/m³
}

// Handbook values of common grades, from memory; plastics creep under a lasting load to a
// half or a third of this stiffness within years. The last two back a rear pane.
var materials = []Material{
	{"glass", 70e9, 0.22, 2500},
	{"acrylic", 3.2e9, 0.37, 1190},
	{"polycarbonate", 2.3e9, 0.37, 1200},
	{laminate, 20e9, 0.15, 1850},
	{steel, 200e9, 0.29, 7850},
}

const (
	laminate = "glass-epoxy"
	steel    = "steel"
)

// Names lists the materials of panes.
func Names() []string { return []string{"glass", "acrylic", "polycarbonate"} }

// Sheet is a flat piece of one thickness, m.
type Sheet struct {
	Material  string
	Thickness float64
}

// material is what a sheet is made of; the zero Material where it is not in the table.
func (s Sheet) material() Material {
	for _, m := range materials {
		if m.Name == s.Material {
			return m
		}
	}
	return Material{}
}

// Stiffness is the flexural rigidity D = Et³/12(1−ν²), N·m.
func (s Sheet) Stiffness() float64 {
	m := s.material()
	return m.Young * s.Thickness * s.Thickness * s.Thickness / (12 * (1 - m.Poisson*m.Poisson))
}

// weight is a sheet's weight by its area, N/m².
func (s Sheet) weight(gravity float64) float64 { return s.material().Density * gravity * s.Thickness }

// Backing is the stiffness of a board, and of a steel sheet behind it that is not glued to
// it so that both slide, m thick each, N·m.
func Backing(board, sheet float64) float64 {
	return Sheet{laminate, board}.Stiffness() + Sheet{steel, sheet}.Stiffness()
}

// terms is the highest wavenumber of the series for a bow: of an even load on a square
// they leave less than 1e-5 of it undone.
const terms = 31

// Plate is a pane width × height metres, supported along its edges and free to turn there.
type Plate struct {
	width, height float64
	amplitude     [terms + 1][terms + 1]float64 // of sin(πmx/width) sin(πny/height), m
}

// NewPlate bends a plate of stiffness d, N·m, under a pressure that grows evenly from top
// to bottom, Pa. The series is Navier's.
func NewPlate(width, height, d, top, bottom float64) *Plate {
	p := &Plate{width: width, height: height}
	for n := 1; n <= terms; n++ {
		load := top - bottom
		if n%2 == 1 {
			load = top + bottom
		}
		for m := 1; m <= terms; m += 2 {
			k := math.Pi * math.Pi * (float64(m*m)/(width*width) + float64(n*n)/(height*height))
			p.amplitude[m][n] = 8 * load / (math.Pi * math.Pi * float64(m*n) * d * k * k)
		}
	}
	return p
}

// At is how far the plate bends out at x from its left and y from its upper edge, m, and
// how steeply it does along either.
func (p *Plate) At(x, y float64) (bow, alongX, alongY float64) {
	var sines, slopes [terms + 1]float64
	for n := range sines {
		k := math.Pi * float64(n) / p.height
		sin, cos := math.Sincos(k * y)
		sines[n], slopes[n] = sin, k*cos
	}
	for m := 1; m <= terms; m += 2 {
		var w, slope float64
		for n, a := range p.amplitude[m] {
			w += a * sines[n]
			slope += a * slopes[n]
		}
		k := math.Pi * float64(m) / p.width
		sin, cos := math.Sincos(k * x)
		bow, alongX, alongY = bow+w*sin, alongX+w*cos*k, alongY+slope*sin
	}
	return bow, alongX, alongY
}

// Most is the greatest bow, m, and how far below the upper edge it is, m.
func (p *Plate) Most() (most, at float64) {
	const steps = 200
	for s := 1; s < steps; s++ {
		y := p.height * float64(s) / steps
		if w, _, _ := p.At(p.width/2, y); math.Abs(w) > math.Abs(most) {
			most, at = w, y
		}
	}
	return most, at
}

// perSpan is the bow in the middle between four of many equal spacers in a square lattice,
// over pa⁴/D. A pane that rests on points under an even load is a sum of waves of the
// lattice, w = pa⁴/(2π)⁴D Σ (1 − cos 2π(mx+ny)/a)/(m²+n²)², in the middle Σ over odd m+n
// of 2/(m²+n²)² = 6 ζ(2) G with Catalan's constant G: G/16π².
const perSpan = 0.915965594177219 / (16 * math.Pi * math.Pi)

// BowBetween is how far a pane of stiffness d, N·m, bends out under an even pressure, Pa,
// between spacers a metres apart in both directions that it is fixed to, far from its
// edges.
func BowBetween(a, d, pressure float64) float64 { return perSpan * pressure * a * a * a * a / d }

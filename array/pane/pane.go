// Package pane bends the panes of a tank: thin plates of one thickness under the pressure
// of the liquid between them (S. Timoshenko & S. Woinowsky-Krieger, Theory of Plates and
// Shells, 2nd ed. 1959, §§ 30, 32, 54, from memory). It holds while the bow is below half
// the pane's thickness.
package pane

import "math"

// Material is what a pane is made of.
type Material struct {
	Name    string
	Young   float64 // Pa
	Poisson float64
}

// Handbook values of common grades, from memory; plastics creep under a lasting load to a
// half or a third of this stiffness within years.
var materials = []Material{
	{"glass", 70e9, 0.22},
	{"acrylic", 3.2e9, 0.37},
	{"polycarbonate", 2.3e9, 0.37},
}

// Names lists the materials.
func Names() []string {
	var list []string
	for _, m := range materials {
		list = append(list, m.Name)
	}
	return list
}

// Stiffness is the flexural rigidity D = Et³/12(1−ν²) of a pane t metres thick, N·m; 0 for
// a material that is not in the table.
func Stiffness(material string, t float64) float64 {
	for _, m := range materials {
		if m.Name == material {
			return m.Young * t * t * t / (12 * (1 - m.Poisson*m.Poisson))
		}
	}
	return 0
}

// terms is the highest wavenumber of the series for a bow: of a uniform load on a square
// they leave less than 1e-6 of it undone.
const terms = 59

// Bow is the most that a pane width × height metres, of stiffness d, N·m, supported along
// its edges and free to turn there, bends out under a pressure that grows evenly from top
// to bottom, Pa; and how far below its upper edge that is, m. The series is Navier's.
func Bow(width, height, d, top, bottom float64) (most, at float64) {
	// Along the upright through its middle: amplitudes of sin(πny/height).
	var amplitude [terms + 1]float64
	for n := 1; n <= terms; n++ {
		load := top - bottom
		if n%2 == 1 {
			load = top + bottom
		}
		for m, sign := 1, 1.0; m <= terms; m, sign = m+2, -sign {
			k := float64(m*m)/(width*width) + float64(n*n)/(height*height)
			amplitude[n] += sign * 8 * load / (math.Pi * math.Pi * float64(m) * float64(n)) / (math.Pow(math.Pi, 4) * d * k * k)
		}
	}
	const steps = 200
	for s := 1; s < steps; s++ {
		w := 0.0
		for n := 1; n <= terms; n++ {
			w += amplitude[n] * math.Sin(math.Pi*float64(n)*float64(s)/steps)
		}
		if math.Abs(w) > math.Abs(most) {
			most, at = w, height*float64(s)/steps
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

// Spacing is the distance of the spacers between which a pane bends out by a bow, m.
func Spacing(bow, d, pressure float64) float64 {
	return math.Pow(bow*d/(perSpan*pressure), 0.25)
}

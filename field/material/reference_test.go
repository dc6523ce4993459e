package material

import "slices"

// Steels returns the table of steels.
func Steels() []Steel {
	list := slices.Clone(steels)
	for i := range list {
		list[i] = list[i].clone()
	}
	return list
}

// Grades returns the table of magnet grades.
func Grades() []Grade { return append([]Grade(nil), grades...) }

// Laminates returns the table of laminates.
func Laminates() []Laminate { return append([]Laminate(nil), laminates...) }

// Fluids returns the table of fluid classes.
func Fluids() []Fluid { return append([]Fluid(nil), fluids...) }

// OunceThickness is the thickness in metres of one ounce of copper a square foot
// as board houses round it, 1.37 mil. The exact mass over the density gives 34.3 µm, and the
// finished thickness of an etched board may be less still. (Common practice, no
// source; IPC-4562 gives 34.3 µm nominal, from memory.)
const OunceThickness = 34.8e-6

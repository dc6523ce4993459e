package material

import "slices"

// Steel is a soft magnetic sheet or bar behind the coils.
type Steel struct {
	Name string
	Note string
	MuR  float64 // relative permeability for the linear models, at the few tenths of a tesla that coils reach

	// CurveH and CurveB are measured points of the magnetisation curve, A/m and T,
	// from the origin, both rising; beyond the last B rises as in vacuum. They are
	// nil where none is at hand: then Saturation and InitialMuR describe the
	// curve of Fröhlich and Kennelly,
	//	B = µ0 H + Js H/(H + a),  a = Js/(µ0 (InitialMuR − 1)),  Js = Saturation.
	CurveH, CurveB []float64
	InitialMuR     float64
	Saturation     float64 // T, polarisation; 0 for a steel that is not ferromagnetic

	Conductivity float64 // W/(m·K), thermal
	// ElectricConductivity in S/m sets the eddy currents; from memory, of 0.14, 0.47,
	// 0.60 and 0.72 µΩ·m at 20 °C. Alloys of one name differ by a tenth and more.
	ElectricConductivity float64
	Density              float64 // kg/m³
	HeatCapacity         float64 // J/(kg·K)
	Source               string
}

// Low-carbon steel stops being linear where its flux density passes SaturationBegins and
// gains next to nothing past SaturationEnds, T (from memory). A share of the steel above
// SaturationBegins of less than SaturationTold is a corner's and not worth a word.
const (
	SaturationBegins = 1.5
	SaturationEnds   = 2.0
	SaturationTold   = 0.01
)

var steels = []Steel{
	{
		Name: "low-carbon", Note: "mild or cold-rolled sheet, about 0.1 % carbon; annealing raises the permeability, bending lowers it",
		MuR: 700,
		CurveH: []float64{0, 238.7, 318.3, 358.1, 437.7, 477.5, 636.6, 795.8, 1114.1, 1273.2, 1591.5, 2228.2, 3183.1,
			4774.6, 6366.2, 7957.7, 15915.5, 47746.5, 63662, 79577.5, 159155, 318310, 1909860},
		CurveB: []float64{0, 0.2003, 0.3204, 0.40045, 0.50055, 0.5606, 0.7908, 0.9310, 1.1014, 1.2016, 1.302, 1.4028, 1.524,
			1.626, 1.698, 1.73, 1.87, 2.04, 2.07, 2.095, 2.2, 2.4, 4.4},
		InitialMuR: 668, Saturation: 2.0,
		ElectricConductivity: 7e6,
		Conductivity:         50, Density: 7870, HeatCapacity: 481,
		Source: "curve: points for 0.1 % carbon steel passed from one field solver's library to the next, a public copy seen, their first " +
			"measurement unknown; no Rayleigh region; MuR: the curve's at 0.25 T; density: the same copy; 50 W/(m·K), 481 J/(kg·K): from memory",
	},
	{
		Name: "silicon", Note: "electrical sheet, non-oriented, about 3 % silicon, annealed",
		MuR: 4000, InitialMuR: 5000, Saturation: 2.0,
		ElectricConductivity: 2.1e6,
		Conductivity:         22, Density: 7650, HeatCapacity: 490,
		Source: "from memory; the permeability is that of an annealed, unstrained sheet and differs several-fold between grades",
	},
	{
		Name: "ferritic-stainless", Note: "17 % chromium sheet as delivered, not annealed for magnetic use",
		MuR: 500, InitialMuR: 500, Saturation: 1.5,
		ElectricConductivity: 1.67e6,
		Conductivity:         23.9, Density: 7695, HeatCapacity: 460,
		Source: "13.8 BTU/(h·ft·°F) at 100 °C, 0.278 lb/in³, 0.11 BTU/(lb·°F): trade table of the 17 % chromium steel, seen; permeability and saturation: from memory, " +
			"in the range that P. Oxley et al., J. Magn. Magn. Mater. 321 (2009) 2107, report for such steels as delivered (abstract seen)",
	},
	{
		Name: "austenitic-stainless", Note: "18 % chromium, 8 % nickel: no use as back iron, listed so that a design may say so; cold work makes it weakly magnetic",
		MuR: 1.005, InitialMuR: 1.005, Saturation: 0,
		ElectricConductivity: 1.39e6,
		Conductivity:         16.2, Density: 8000, HeatCapacity: 500,
		Source: "1.003–1.005 when annealed: a steelmaker's paper on stainless steels, seen; the thermal values: from memory",
	},
}

// SteelNames lists the accepted names.
func SteelNames() []string { return names(steels, Steel.name) }

// SteelNamed returns the steel of that name, nothing for a name that is none.
func SteelNamed(name string) Steel {
	return find(name, steels, Steel.name).clone()
}

func (x Steel) name() string { return x.Name }

func (x Steel) clone() Steel {
	x.CurveH, x.CurveB = slices.Clone(x.CurveH), slices.Clone(x.CurveB)
	return x
}

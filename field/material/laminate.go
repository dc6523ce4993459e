package material

import "lodegrid/field"

// Laminate is the insulating body of a board.
type Laminate struct {
	Name         string
	Note         string
	InPlane      float64 // W/(m·K), thermal, along the board
	Through      float64 // W/(m·K), thermal, across the board
	Density      float64 // kg/m³
	HeatCapacity float64 // J/(kg·K)
	Limit        float64 // K, highest lasting temperature
	// ElectricConductivity, S/m, is that of a metal body, in which eddy currents run;
	// Dielectric (m) is what lies between it and the copper, a single layer.
	ElectricConductivity, Dielectric float64
	Source                           string
}

const (
	frFourThermal = "1.059 and 0.343 W/(m·K) measured along and across glass-epoxy laminate (PCB glass-fibre laminates: Thermal " +
		"conductivity measurements and their effect on simulation, J. Electron. Mater., abstract seen); 1850 kg/m³ quoted by a secondary source; " +
		"950 J/(kg·K): epoxy laminates 0.94–0.95 J/(g·K), IEEE Trans. Reliab. 68 (2019) 248, table VI, seen; "
)

var laminates = []Laminate{
	{
		Name: "fr4", Note: "glass-epoxy, glass transition 130–140 °C",
		InPlane: 1.059, Through: 0.343, Density: 1850, HeatCapacity: 950, Limit: field.ZeroCelsius + 130,
		Source: frFourThermal + "limit 130 °C: maximum operating temperature under UL 796, quoted by a secondary source",
	},
	{
		Name: "fr4-high-tg", Note: "glass-epoxy, glass transition 170 °C or more",
		InPlane: 1.059, Through: 0.343, Density: 1850, HeatCapacity: 950, Limit: field.ZeroCelsius + 150,
		Source: frFourThermal + "limit 20 K below the glass transition: quoted by a secondary source",
	},
	{
		Name: "polyimide", Note: "flexible film with adhesive; a still-air display will want a stiffener",
		InPlane: 0.12, Through: 0.12, Density: 1420, HeatCapacity: 1090, Limit: field.ZeroCelsius + 105,
		Source: "film 0.12 W/(m·K), 1420 kg/m³, 1090 J/(kg·K): from memory; limit 105 °C of acrylic adhesive: from memory " +
			"(the bare film stands 200 °C and more: flex makers' tables, seen)",
	},
	{
		Name: "aluminium", ElectricConductivity: 20e6, Dielectric: 0.1e-3, Note: "one copper layer on 0.1 mm of filled dielectric over aluminium, the rest of board.thickness",
		InPlane: 138, Through: 1.6 / (0.1/1.0 + 1.5/138), Density: 2680, HeatCapacity: 880, Limit: field.ZeroCelsius + 130,
		Source: "dielectric 1.0–3.2 W/(m·K): trade article, seen, the low end taken; wrought aluminium 138 W/(m·K), 2680 kg/m³, 880 J/(kg·K): from memory; " +
			"across: the two in series, computed; 20 MS/m (35 % of annealed copper's): from memory, and by Wiedemann and Franz from 138 W/(m·K) within 5 %; " +
			"limit of the epoxy dielectric: from memory",
	},
}

// LaminateNames lists the accepted names.
func LaminateNames() []string { return names(laminates, Laminate.name) }

// LaminateNamed returns the laminate of that name, nothing for a name that is none.
func LaminateNamed(name string) Laminate {
	return find(name, laminates, Laminate.name)
}

func (x Laminate) name() string { return x.Name }

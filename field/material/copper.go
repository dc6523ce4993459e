package material

// Copper is a kind of copper: how it conducts and stores heat.
type Copper struct {
	Resistivity     float64 // Ω·m at 20 °C
	TempCoefficient float64 // 1/K, change of resistivity relative to Resistivity
	Density         float64 // kg/m³
	HeatCapacity    float64 // J/(kg·K)
	Conductivity    float64 // W/(m·K), thermal
	Source          string
}

// ResistivityAt returns the resistivity in Ω·m at the absolute temperature tempK
// by the linear law, which holds for copper within 1 % from −50 to 200 °C (from
// memory).
func (c Copper) ResistivityAt(tempK float64) float64 {
	return c.Resistivity * Linear(c.TempCoefficient, tempK)
}

// AnnealedCopper is the copper plated on and etched from a board.
var AnnealedCopper = Copper{
	Resistivity:     1. / 58e6,
	TempCoefficient: 0.00393,
	Density:         8890,
	HeatCapacity:    385,
	Conductivity:    391,
	Source: "IEC 60028 (1925): 1/58 Ω·mm²/m and 8.89 g/cm³ at 20 °C, quoted by secondary sources; " +
		"0.00393/K IEC 60028, from memory; 385 J/(kg·K), 391 W/(m·K) for copper foil: table VI of a printed-board via study, " +
		"IEEE Trans. Reliab. 68 (2019) 248, seen",
}

// CopperResistivity returns the resistivity of AnnealedCopper, Ω·m, at the absolute
// temperature tempK.
func CopperResistivity(tempK float64) float64 { return AnnealedCopper.ResistivityAt(tempK) }

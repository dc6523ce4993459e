package field

// Standard values that much else refers to.
const (
	// Gravity is the standard acceleration of free fall, m/s², exact by definition: 3rd
	// CGPM (1901), declaration on the unit of mass.
	Gravity = 9.80665
	// ZeroCelsius is 0 °C in kelvin, exact by the definition of the Celsius scale (SI
	// brochure, 9th edition, 2.3.1).
	ZeroCelsius = 273.15
	// RoomTemperature is 20 °C in kelvin, at which resistances (IEC 60028) and magnets
	// are told.
	RoomTemperature = ZeroCelsius + 20
	// Atmosphere is the standard one's pressure at sea level, Pa (ISO 2533).
	Atmosphere = 101325
)

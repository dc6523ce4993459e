package quantity

import (
	"fmt"
	"math/big"
)

// The dimensions. The first unit of each is the usual one; the conversion factors
// are exact (BIPM, The International System of Units, 9th edition; NIST SP 811
// appendix B for inch, gauss, poise and dyne; both from memory) save the copper
// weight, where the trade rounds.
var (
	Length = define("length", "m",
		show("mm", "1e-3", 1e-4), show("µm", "1e-6", 0, "micron"), show("m", "1", 1, "metre", "meter"),
		also("cm", "1e-2"), minor("mil", "25.4e-6", "thou"), minor("in", "25.4e-3", "inch", "\""))
	// CopperWeight is a thickness: 1 oz of copper spread over a square foot is taken
	// as 34.8 µm (common practice; 34.3 and 35 µm are also in use).
	CopperWeight = define("copper weight", "m",
		also("oz", "34.8e-6", "oz/ft2", "oz/sqft", "ounce"), show("µm", "1e-6", 0, "micron"), also("mm", "1e-3"),
		minor("mil", "25.4e-6", "thou"), also("m", "1"))
	Area = define("area", "m²",
		show("mm²", "1e-6", 1e-7), show("µm²", "1e-12", 0), show("m²", "1", 0.1), also("cm²", "1e-4"))

	Volume = define("volume", "m³",
		show("mL", "1e-6", 1e-6, "ml", "cm3"), show("µL", "1e-9", 0, "ul", "mm3"), show("L", "1e-3", 1e-3, "l", "dm3"),
		show("m³", "1", 1))

	Voltage = define("voltage", "V",
		show("V", "1", 1), show("mV", "1e-3", 1e-3), show("µV", "1e-6", 0), show("kV", "1e3", 1e3))
	Current = define("current", "A",
		show("A", "1", 1), show("mA", "1e-3", 1e-3), show("µA", "1e-6", 0), show("kA", "1e3", 1e3))
	Resistance = define("resistance", "Ω",
		show("Ω", "1", 1, "Ohm", "ohms"), show("mΩ", "1e-3", 1e-3, "mOhm"), show("µΩ", "1e-6", 0, "uOhm"),
		show("kΩ", "1e3", 1e3, "kOhm"), show("MΩ", "1e6", 1e6, "MOhm"))
	Inductance = define("inductance", "H",
		show("µH", "1e-6", 1e-6), show("mH", "1e-3", 1e-3), show("nH", "1e-9", 0), show("H", "1", 1))
	Capacitance = define("capacitance", "F",
		show("µF", "1e-6", 1e-6), show("mF", "1e-3", 1e-2), show("nF", "1e-9", 1e-9), show("pF", "1e-12", 0),
		show("F", "1", 1))
	Power = define("power", "W",
		show("W", "1", 1), show("mW", "1e-3", 1e-3), show("µW", "1e-6", 0), show("kW", "1e3", 1e3))
	Energy = define("energy", "J",
		show("J", "1", 1), show("mJ", "1e-3", 1e-3), show("µJ", "1e-6", 1e-6), show("nJ", "1e-9", 0),
		show("kJ", "1e3", 1e3), also("Wh", "3600"), also("kWh", "3.6e6"))

	Time = define("time", "s",
		show("s", "1", 1, "sec"), show("ms", "1e-3", 1e-3, "msec"), show("µs", "1e-6", 1e-6, "usec"), show("ns", "1e-9", 0),
		show("min", "60", 120), show("h", "3600", 7200, "hr"))
	Frequency = define("frequency", "Hz",
		show("kHz", "1e3", 1e3), show("Hz", "1", 0), show("MHz", "1e6", 1e6))

	// Temperature is absolute, in kelvin.
	Temperature = define("temperature", "K",
		celsius(), also("K", "1", "kelvin"), fahrenheit())
	PerKelvin = define("temperature coefficient", "1/K",
		show("%/K", "1e-2", 1e-4, "%/°C", "%/degC"), show("ppm/K", "1e-6", 0, "ppm/°C", "ppm/degC"),
		also("1/K", "1", "/K", "K-1", "1/°C", "1/degC"))

	FluxDensity = define("flux density", "T",
		show("mT", "1e-3", 1e-5), show("T", "1", 1, "tesla"), show("µT", "1e-6", 0),
		minor("G", "1e-4", "gauss"), minor("kG", "0.1"))
	Magnetisation = define("magnetisation", "A/m",
		show("kA/m", "1e3", 1e3), show("A/m", "1", 0), show("MA/m", "1e6", 1e6), minor("emu/cm³", "1e3", "emu/cc"))

	Force = define("force", "N",
		show("mN", "1e-3", 1e-3), show("N", "1", 1), show("µN", "1e-6", 1e-6), show("nN", "1e-9", 0))
	// ForceDensity is a force on a volume, or a gradient of pressure.
	ForceDensity = define("force per volume", "N/m³",
		show("N/m³", "1", 0.1), show("mN/m³", "1e-3", 0), show("kN/m³", "1e3", 1e3), also("Pa/m", "1"))
	Pressure = define("pressure", "Pa",
		show("Pa", "1", 0.1), show("mPa", "1e-3", 0), show("kPa", "1e3", 1e3), also("mbar", "100"), also("bar", "1e5"))
	Density = define("density", "kg/m³",
		show("kg/m³", "1", 0), also("g/cm³", "1e3", "g/cc", "g/mL", "g/ml", "kg/L", "kg/l"))
	// DensityPerKelvin is how a density changes with temperature.
	DensityPerKelvin = define("density per kelvin", "kg/(m³·K)",
		show("kg/(m³·K)", "1", 0, "kg/m³/K", "kg/(m³K)"))
	Viscosity = define("viscosity", "Pa·s",
		show("mPa·s", "1e-3", 1e-5, "mPas"), show("Pa·s", "1", 1, "Pas"), show("µPa·s", "1e-6", 0, "uPas"),
		minor("cP", "1e-3"))
	SurfaceTension = define("surface tension", "N/m",
		show("mN/m", "1e-3", 1e-4), show("N/m", "1", 1), show("µN/m", "1e-6", 0), minor("dyn/cm", "1e-3", "dyne/cm"))
	// LineTension is a force per length of contact line.
	LineTension = define("force per length", "N/m",
		show("mN/m", "1e-3", 1e-4), show("N/m", "1", 1), show("µN/m", "1e-6", 0), also("µN/mm", "1e-3"))
	Speed = define("speed", "m/s",
		show("m/s", "1", 0.1), show("mm/s", "1e-3", 1e-4), show("µm/s", "1e-6", 0), also("cm/s", "1e-2"))

	Flow = define("flow of volume", "m³/s",
		show("m³/h", "1/3600", 0, "m3/h"), also("m³/s", "1", "m3/s"), also("L/s", "1e-3", "l/s"), also("L/min", "1/60000", "l/min"))

	Conductivity = define("thermal conductivity", "W/(m·K)",
		show("W/(m·K)", "1", 0, "W/mK", "W/m/K", "W/m K", "W/(mK)", "W m-1 K-1"), also("mW/(m·K)", "1e-3", "mW/mK", "mW/m/K"))
	ThermalResistance = define("thermal resistance", "K/W",
		show("K/W", "1", 0, "°C/W", "degC/W"))
	ThermalResistanceArea = define("thermal resistance of an area", "m²·K/W",
		show("m²·K/W", "1", 0, "m2K/W", "K m2/W", "K/(W/m2)"), also("cm²·K/W", "1e-4", "cm2K/W", "K cm2/W"),
		also("mm²·K/W", "1e-6", "mm2K/W", "K mm2/W"))

	// Ratio is a share of a whole.
	Ratio = define("share", "1",
		show("%", "1e-2", 1e-4, "percent"), show("ppm", "1e-6", 0))
)

var all []Dimension

func define(name, si string, units ...unit) Dimension {
	d := Dimension{&dimension{name: name, si: si, units: units}}
	all = append(all, d)
	return d
}

// show declares a unit that Format takes for values from `from` (SI) upwards.
func show(symbol, factor string, from float64, spellings ...string) unit {
	u := also(symbol, factor, spellings...)
	u.shown, u.from = true, from
	return u
}

// also declares a unit that is read, and written only on request.
func also(symbol, factor string, spellings ...string) unit {
	r := rational(factor)
	scale, _ := r.Float64()
	return unit{symbol: symbol, also: spellings, factor: r, scale: scale}
}

// minor declares a unit that is read, and written when it saves digits.
func minor(symbol, factor string, spellings ...string) unit {
	u := also(symbol, factor, spellings...)
	u.minor = true
	return u
}

func celsius() unit {
	u := show("°C", "1", 0, "degC", "deg C", "celsius")
	u.offset = rational("273.15")
	return u
}

func fahrenheit() unit {
	u := minor("°F", "5/9", "degF", "deg F")
	u.offset = rational("45967/180") // 273.15 − 32·5/9
	return u
}

func rational(text string) *big.Rat {
	r, ok := new(big.Rat).SetString(text)
	if !ok {
		panic(fmt.Sprintf("quantity: bad factor %q", text)) // a slip in the table above; any test run finds it
	}
	return r
}

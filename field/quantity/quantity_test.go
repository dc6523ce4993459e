package quantity_test

import (
	"errors"
	"flag"
	"io"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"lodegrid/field/quantity"
)

// The factors are definitions: the international inch (25.4 mm), the thermochemical
// zero of the Celsius scale (273.15 K), 1 G = 1e-4 T, 1 P = 0.1 Pa·s, 1 dyn = 1e-5 N
// (NIST SP 811, appendix B, from memory). 1 oz = 34.8 µm is common practice.
func TestParse(t *testing.T) {
	for _, c := range []struct {
		text string
		dim  quantity.Dimension
		want float64
	}{
		{"4 mil", quantity.Length, 101.6e-6},
		{"4mil", quantity.Length, 0.1016e-3},
		{"0.8mm", quantity.Length, 0.8e-3},
		{" 0.8 mm\t", quantity.Length, 0.8e-3},
		{".8 mm", quantity.Length, 0.8e-3},
		{"+8e-1 mm", quantity.Length, 0.8e-3},
		{"1 in", quantity.Length, 25.4e-3},
		{"1 cm", quantity.Length, 0.01},
		{"35 um", quantity.CopperWeight, 35e-6},
		{"35 µm", quantity.CopperWeight, 35e-6},
		{"35 μm", quantity.CopperWeight, 35e-6},
		{"35\u00a0µm", quantity.CopperWeight, 35e-6},
		{"35\u2009µm", quantity.CopperWeight, 35e-6},
		{"1 oz", quantity.CopperWeight, 34.8e-6},
		{"0.5 oz/ft²", quantity.CopperWeight, 17.4e-6},
		{"16 mT", quantity.FluxDensity, 16e-3},
		{"1.2 T", quantity.FluxDensity, 1.2},
		{"50 G", quantity.FluxDensity, 5e-3},
		{"25 degC", quantity.Temperature, 298.15},
		{"25 °C", quantity.Temperature, 298.15},
		{"25 ℃", quantity.Temperature, 298.15},
		{"25°C", quantity.Temperature, 298.15},
		{"−40 °C", quantity.Temperature, 233.15},
		{"-40 °F", quantity.Temperature, 233.15},
		{"212 degF", quantity.Temperature, 373.15},
		{"-273.15 °C", quantity.Temperature, 0},
		{"293.15 K", quantity.Temperature, 293.15},
		{"20 kHz", quantity.Frequency, 20e3},
		{"80 %", quantity.Ratio, 0.8},
		{"80%", quantity.Ratio, 0.8},
		{"10 mN/m", quantity.SurfaceTension, 10e-3},
		{"26 dyn/cm", quantity.SurfaceTension, 26e-3},
		{"20 kA/m", quantity.Magnetisation, 20e3},
		{"400 emu/cm^3", quantity.Magnetisation, 400e3},
		{"-0.11 %/K", quantity.PerKelvin, -0.0011},
		{"-0.11 % / K", quantity.PerKelvin, -0.0011},
		{"3930 ppm/°C", quantity.PerKelvin, 3930e-6},
		{"50 kg/m3", quantity.Density, 50},
		{"50 kg / m³", quantity.Density, 50},
		{"1.2 g/cm³", quantity.Density, 1200},
		{"10 mPa s", quantity.Viscosity, 10e-3},
		{"10 mPa·s", quantity.Viscosity, 10e-3},
		{"10 mPa*s", quantity.Viscosity, 10e-3},
		{"10 cP", quantity.Viscosity, 10e-3},
		{"0.3 W/(m K)", quantity.Conductivity, 0.3},
		{"0.3 W/mK", quantity.Conductivity, 0.3},
		{"0.3 W/(m·K)", quantity.Conductivity, 0.3},
		{"0.02 m² K/W", quantity.ThermalResistanceArea, 0.02},
		{"200 cm²·K/W", quantity.ThermalResistanceArea, 0.02},
		{"4.7 Ω", quantity.Resistance, 4.7},
		{"4.7 Ω", quantity.Resistance, 4.7}, // U+2126
		{"47 mohm", quantity.Resistance, 0.047},
		{"1.5 kΩ", quantity.Resistance, 1500},
		{"2 min", quantity.Time, 120},
		{"12 µs", quantity.Time, 12e-6},
		{"-0 mm", quantity.Length, 0},
	} {
		got, err := quantity.Parse(c.text, c.dim)
		if err != nil {
			t.Errorf("Parse(%q, %s): %v", c.text, c.dim, err)
		} else if got != c.want {
			t.Errorf("Parse(%q, %s) = %v, want %v", c.text, c.dim, got, c.want)
		}
	}
}

func TestParseRefuses(t *testing.T) {
	for _, c := range []struct {
		text string
		dim  quantity.Dimension
		want string
	}{
		{"5", quantity.Length, `5 has no unit of length; accepted: "5 mm" or with µm, m, cm, mil, in`},
		{"1e3", quantity.Voltage, `1e3 has no unit of voltage; accepted: "1e3 V" or with mV, µV, kV`},
		{"0.8", quantity.Ratio, `0.8 has no unit of share; accepted: "80 %" or with ppm`},
		{"80", quantity.Ratio, `80 has no unit of share; accepted: "80 %" or with ppm`},
		{"", quantity.Length, `no quantity given; accepted: "1 mm" or with µm, m, cm, mil, in`},
		{"mm", quantity.Length, `"mm" does not start with a number; accepted: "1 mm" or with µm, m, cm, mil, in`},
		{"- 5 mm", quantity.Length, `"- 5 mm" does not start with a number; accepted: "1 mm" or with µm, m, cm, mil, in`},
		{"12 mn", quantity.Length, `unknown unit "mn"; accepted: mm, µm, m, cm, mil, in (did you mean "mm"?)`},
		{"12 mills", quantity.Length, `unknown unit "mills"; accepted: mm, µm, m, cm, mil, in (did you mean "mil"?)`},
		{"12 parsec", quantity.Length, `unknown unit "parsec"; accepted: mm, µm, m, cm, mil, in`},
		{"12 mV", quantity.Length, `"mV" is a unit of voltage, not of length; accepted: mm, µm, m, cm, mil, in (did you mean "mm"?)`},
		{"12 mm²", quantity.Length, `"mm²" is a unit of area, not of length; accepted: mm, µm, m, cm, mil, in (did you mean "mm"?)`},
		{"16 MT", quantity.FluxDensity, `unknown unit "MT"; accepted: mT, T, µT, G, kG (did you mean "mT"?)`},
		{"20 khz", quantity.Frequency, `unknown unit "khz"; accepted: kHz, Hz, MHz (did you mean "kHz"?)`},
		{"25 C", quantity.Temperature, `unknown unit "C"; accepted: °C, K, °F (did you mean "°C"?)`},
		{"5 m s", quantity.Time, `unknown unit "m s"; accepted: s, ms, µs, ns, min, h (did you mean "ms"?)`},
		{"5 mm 3", quantity.Length, `unknown unit "mm 3"; accepted: mm, µm, m, cm, mil, in (did you mean "mm"?)`},
		{"0,8 mm", quantity.Length, `"," inside the number "0,8 mm"; accepted: a decimal point written "." and no marks between thousands`},
		{"1_000 mm", quantity.Length, `"_" inside the number "1_000 mm"; accepted: a decimal point written "." and no marks between thousands`},
		{"NaN mm", quantity.Length, `"NaN mm" is not a finite number; accepted: "1 mm" or with µm, m, cm, mil, in`},
		{"-inf V", quantity.Voltage, `"-inf V" is not a finite number; accepted: "1 V" or with mV, µV, kV`},
		{"1e308 kV", quantity.Voltage, `"1e308 kV" is out of range; accepted: a voltage in V, mV, µV, kV`},
		{"1e999999999999 V", quantity.Voltage, `"1e999999999999 V" is out of range; accepted: a voltage in V, mV, µV, kV`},
		{"1e-350 V", quantity.Voltage, `"1e-350 V" is out of range; accepted: a voltage in V, mV, µV, kV`},
		{"-300 °C", quantity.Temperature, `"-300 °C" is below absolute zero; accepted: a temperature in °C, K, °F`},
		{"-1 K", quantity.Temperature, `"-1 K" is below absolute zero; accepted: a temperature in °C, K, °F`},
		{strings.Repeat("1", 100) + " mm", quantity.Length, `103 characters are too many for a quantity; accepted: a length in mm, µm, m, cm, mil, in`},
	} {
		v, err := quantity.Parse(c.text, c.dim)
		if err == nil {
			t.Errorf("Parse(%q, %s) = %v, want an error", c.text, c.dim, v)
			continue
		}
		if err.Error() != c.want {
			t.Errorf("Parse(%q, %s):\n got %v\nwant %v", c.text, c.dim, err, c.want)
		}
		var e *quantity.Error
		if !errors.As(err, &e) || e.Text != c.text || e.Dimension != c.dim {
			t.Errorf("Parse(%q): error %#v does not carry the text and dimension", c.text, err)
		}
	}
	if _, err := quantity.Parse("5 mm", quantity.Dimension{}); err == nil {
		t.Error("the zero Dimension accepted a length")
	}
}

func TestFormat(t *testing.T) {
	for _, c := range []struct {
		v    float64
		dim  quantity.Dimension
		want string
	}{
		{4.7, quantity.Resistance, "4.7 Ω"},
		{0.0471, quantity.Resistance, "47.1 mΩ"},
		{12e-6, quantity.Time, "12 µs"},
		{308.35, quantity.Temperature, "35.2 °C"},
		{273.15, quantity.Temperature, "0 °C"},
		{273.149, quantity.Temperature, "0 °C"},
		{403.15, quantity.Temperature, "130 °C"},
		{0.31e-3, quantity.FluxDensity, "0.31 mT"},
		{3.1e-6, quantity.FluxDensity, "3.1 µT"},
		{1.2, quantity.FluxDensity, "1.2 T"},
		{101.6e-6, quantity.Length, "0.1016 mm"},
		{34.8e-6, quantity.CopperWeight, "34.8 µm"},
		{0.192, quantity.Length, "192 mm"},
		{2.5, quantity.Length, "2.5 m"},
		{0.99996, quantity.Current, "1 A"},
		{0.9994, quantity.Current, "999 mA"},
		{-0.0123456, quantity.Current, "-12.35 mA"},
		{1234567, quantity.Resistance, "1.235 MΩ"},
		{0, quantity.Current, "0 A"},
		{0.8, quantity.Ratio, "80 %"},
		{13000, quantity.Ratio, "1.3e6 %"},
		{90, quantity.Time, "90 s"},
		{300, quantity.Time, "5 min"},
		{20e3, quantity.Frequency, "20 kHz"},
		{50, quantity.Frequency, "50 Hz"},
		{-0.0011, quantity.PerKelvin, "-0.11 %/K"},
		{math.NaN(), quantity.Voltage, "NaN V"},
		{math.Inf(1), quantity.Temperature, "∞ °C"},
		{math.Inf(-1), quantity.Voltage, "-∞ V"},
		{1e-20, quantity.Voltage, "1e-14 µV"},
	} {
		if got := quantity.Format(c.v, c.dim); got != c.want {
			t.Errorf("Format(%v, %s) = %q, want %q", c.v, c.dim, got, c.want)
		}
	}
	if got := quantity.FormatIn(0.5, quantity.Current, "mA"); got != "500 mA" {
		t.Errorf("FormatIn(0.5 A, mA) = %q", got)
	}
	if got := quantity.FormatIn(101.6e-6, quantity.Length, "mil"); got != "4 mil" {
		t.Errorf("FormatIn(101.6 µm, mil) = %q", got)
	}
	if got := quantity.FormatIn(0.5, quantity.Current, "mm"); got != "500 mA" {
		t.Errorf("FormatIn with a foreign unit = %q, want what Format gives", got)
	}
	if got := quantity.In(310.65, quantity.Temperature, "°C"); math.Abs(got-37.5) > 1e-12 {
		t.Errorf("In(310.65 K, °C) = %v, want 37.5", got)
	}
	if got := quantity.In(1, quantity.Length, "V"); !math.IsNaN(got) {
		t.Errorf("In with a foreign unit = %v, want NaN", got)
	}
}

func TestFigure(t *testing.T) {
	for _, c := range []struct {
		x      float64
		digits int
		want   string
	}{
		{0.30000000000000004, 4, "0.3"}, // what adding 0.1 and 0.2 leaves
		{1.5 - 1.4999999999999998, 4, "0"},
		{-5e-13, 4, "0"},
		{2e-12, 2, "2e-12"},
		{0, 3, "0"},
		{12345.678, 4, "12350"},
		{12345.678, 7, "12345.68"},
		{999.96, 4, "1000"},
		{-0.000123456, 3, "-0.000123"},
		{0.0000999, 3, "9.99e-5"},
		{999999.9, 6, "1e6"}, // rounded first, then written
		{1e6, 3, "1e6"},
		{2.5e100, 2, "2.5e100"},
		{math.NaN(), 3, "NaN"},
		{math.Inf(-1), 3, "-∞"},
	} {
		if got := quantity.Figure(c.x, c.digits); got != c.want {
			t.Errorf("Figure(%v, %d) = %q, want %q", c.x, c.digits, got, c.want)
		}
	}
}

func TestExact(t *testing.T) {
	for _, c := range []struct {
		v    float64
		dim  quantity.Dimension
		want string
	}{
		{101.6e-6, quantity.Length, "4 mil"},
		{12e-3, quantity.Length, "12 mm"},
		{0.3e-3, quantity.Length, "0.3 mm"},
		{1.6e-3, quantity.Length, "1.6 mm"},
		{34.8e-6, quantity.CopperWeight, "1 oz"},
		{35e-6, quantity.CopperWeight, "35 µm"},
		{298.15, quantity.Temperature, "25 °C"},
		{308.35, quantity.Temperature, "35.2 °C"},
		{20e3, quantity.Frequency, "20 kHz"},
		{0.8, quantity.Ratio, "80 %"},
		{-0.0011, quantity.PerKelvin, "-0.11 %/K"},
		{0, quantity.Length, "0 mm"},
		{1.0 / 3, quantity.Voltage, "0.3333333333333333 V"},
	} {
		if got := quantity.Exact(c.v, c.dim); got != c.want {
			t.Errorf("Exact(%v, %s) = %q, want %q", c.v, c.dim, got, c.want)
		}
	}
	if got := quantity.Exact(math.NaN(), quantity.Voltage); got != "NaN V" {
		t.Errorf("Exact(NaN) = %q", got)
	}
}

// Every dimension, over the sizes its units span and far beyond: Exact reads back to
// the same float64, and Format to within half a unit of its third digit.
func TestRoundTrip(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for _, d := range quantity.Dimensions() {
		for range 60 {
			v := (rng.Float64()*9 + 1) * math.Pow(10, float64(rng.IntN(30)-15))
			if d == quantity.Temperature {
				v = rng.Float64() * 2000
			} else if rng.IntN(2) == 0 {
				v = -v
			}
			text := quantity.Exact(v, d)
			if back, err := quantity.Parse(text, d); err != nil || back != v {
				t.Fatalf("%s: %v written exactly as %q reads back as %v, %v", d, v, text, back, err)
			}
			text = quantity.Format(v, d)
			back, err := quantity.Parse(text, d)
			tol := 0.005 * math.Abs(v)
			if d == quantity.Temperature {
				tol = 0.0501
			}
			if err != nil || math.Abs(back-v) > tol {
				t.Fatalf("%s: %v written as %q reads back as %v, %v", d, v, text, back, err)
			}
		}
	}
}

func TestFlag(t *testing.T) {
	pitch := 12e-3
	set := flag.NewFlagSet("test", flag.ContinueOnError)
	set.SetOutput(io.Discard)
	f := quantity.Flag{Dim: quantity.Length, Value: &pitch}
	set.TextVar(&f, "pitch", f, "pixel pitch")
	if got := set.Lookup("pitch").DefValue; got != "12 mm" {
		t.Errorf("default shown as %q, want 12 mm", got)
	}
	if err := set.Parse([]string{"--pitch", "0.5in"}); err != nil || pitch != 12.7e-3 {
		t.Errorf("pitch = %v, %v, want 12.7 mm", pitch, err)
	}
	if err := set.Parse([]string{"--pitch", "5"}); err == nil || pitch != 12.7e-3 {
		t.Errorf("a bare number: pitch = %v, error %v; want it refused and the value kept", pitch, err)
	}
	if err := (&quantity.Flag{Dim: quantity.Length}).UnmarshalText([]byte("1 mm")); err == nil {
		t.Error("a flag without a place for its value took one")
	}
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"4 mil", "-0.11 %/K", "25 °C", "1e999 V", "5", "NaN mm", "0,8 mm", "1e-320 m", "−3 m", "\xff 5"} {
		f.Add(s, 0)
	}
	dims := quantity.Dimensions()
	f.Fuzz(func(t *testing.T, text string, i int) {
		d := dims[(i%len(dims)+len(dims))%len(dims)]
		v, err := quantity.Parse(text, d)
		if err != nil {
			if err.Error() == "" {
				t.Error("an error without a message")
			}
			return
		}
		if math.IsNaN(v) || math.IsInf(v, 0) {
			t.Fatalf("Parse(%q) = %v", text, v)
		}
		exact := quantity.Exact(v, d)
		if back, err := quantity.Parse(exact, d); err != nil || back != v {
			t.Fatalf("Parse(%q) = %v, written exactly as %q reads back as %v, %v", text, v, exact, back, err)
		}
		quantity.Format(v, d)
	})
}

func FuzzFormat(f *testing.F) {
	f.Add(1.0, 0)
	f.Add(math.MaxFloat64, 3)
	f.Add(5e-324, 5)
	dims := quantity.Dimensions()
	f.Fuzz(func(t *testing.T, v float64, i int) {
		d := dims[(i%len(dims)+len(dims))%len(dims)]
		text := quantity.Format(v, d)
		if text == "" || len(text) > 40 {
			t.Errorf("Format(%v, %s) = %q", v, d, text)
		}
		if math.IsNaN(v) || math.IsInf(v, 0) || (d == quantity.Temperature && v < 0) {
			return
		}
		exact := quantity.Exact(v, d)
		if back, err := quantity.Parse(exact, d); err != nil || back != v {
			t.Errorf("%s: %v written exactly as %q reads back as %v, %v", d, v, exact, back, err)
		}
	})
}

func TestCountIsSingularForOneOnly(t *testing.T) {
	for _, c := range []struct {
		n    int
		name string
		want string
	}{{0, "pixel", "0 pixels"}, {1, "pixel", "1 pixel"}, {2, "pixel", "2 pixels"}, {2, "way", "2 ways"}} {
		if got := quantity.Count(c.n, c.name); got != c.want {
			t.Errorf("Count(%d, %q) = %q, want %q", c.n, c.name, got, c.want)
		}
	}
}

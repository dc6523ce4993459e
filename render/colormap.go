package render

import (
	"image/color"
	"math"
)

// ColorMap turns a share 0…1 into a colour by a table of 256 steps.
type ColorMap [256]color.RGBA

// At returns the colour at t; t is held inside 0…1 and NaN is mid-grey.
func (m *ColorMap) At(t float64) color.RGBA {
	if math.IsNaN(t) {
		return color.RGBA{128, 128, 128, 255}
	}
	return m[int(min(max(t, 0), 1)*255+0.5)]
}

// The maps are straight lines in the Oklab colour space (B. Ottosson, "A
// perceptual color space for image processing", 2020): lightness rises evenly
// from end to end, so equal steps in the number look equal and the order survives
// in grey and for colour-blind eyes; hue changes from blue to yellow, the pair
// that the common forms of colour blindness keep apart.
var (
	// Strength is for magnitudes: dark blue through teal and green to pale yellow.
	Strength = ramp([]lch{{0.17, 0.07, 280}, {0.42, 0.11, 240}, {0.66, 0.12, 180}, {0.93, 0.13, 105}})
	// Warmth is for temperatures: near-black violet through red-brown to pale straw.
	Warmth = ramp([]lch{{0.16, 0.06, 310}, {0.40, 0.13, 10}, {0.66, 0.15, 50}, {0.95, 0.07, 95}})
	// Balance is for signed values: 0.5 is pale grey, blue below, orange above.
	Balance = ramp([]lch{{0.32, 0.13, 255}, {0.66, 0.10, 245}, {0.94, 0.00, 90}, {0.68, 0.12, 60}, {0.36, 0.11, 45}})
)

// lch is a colour in Oklab's cylindrical form: lightness, chroma, hue in degrees.
type lch struct{ l, c, h float64 }

// lab returns Oklab L, a, b.
func (k lch) lab() [3]float64 {
	sin, cos := math.Sincos(k.h * math.Pi / 180)
	return [3]float64{k.l, k.c * cos, k.c * sin}
}

func ramp(stops []lch) *ColorMap {
	var m ColorMap
	for i := range m {
		t := float64(i) / 255 * float64(len(stops)-1)
		n := min(int(t), len(stops)-2)
		a, b := stops[n].lab(), stops[n+1].lab()
		f := t - float64(n)
		m[i] = oklab(a[0]+f*(b[0]-a[0]), a[1]+f*(b[1]-a[1]), a[2]+f*(b[2]-a[2]))
	}
	return &m
}

// oklab converts to sRGB, channels held in range (matrices from Ottosson 2020).
func oklab(L, a, b float64) color.RGBA {
	l := cube(L + 0.3963377774*a + 0.2158037573*b)
	m := cube(L - 0.1055613458*a - 0.0638541728*b)
	s := cube(L - 0.0894841775*a - 1.2914855480*b)
	return color.RGBA{
		encode(4.0767416621*l - 3.3077115913*m + 0.2309699292*s),
		encode(-1.2684380046*l + 2.6097574011*m - 0.3413193965*s),
		encode(-0.0041960863*l - 0.7034186147*m + 1.7076147010*s),
		255,
	}
}

func cube(x float64) float64 { return x * x * x }

// encode applies the sRGB transfer curve (IEC 61966-2-1).
func encode(v float64) uint8 {
	v = min(max(v, 0), 1)
	if v <= 0.0031308 {
		v *= 12.92
	} else {
		v = 1.055*math.Pow(v, 1/2.4) - 0.055
	}
	return uint8(v*255 + 0.5)
}

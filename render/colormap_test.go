package render

import (
	"image/color"
	"math"
	"testing"
)

// toOklab takes a colour back to Oklab: the sRGB curve of IEC 61966-2-1 undone, then the
// forward matrices of B. Ottosson, "A perceptual color space for image processing"
// (2020), which are not those the maps are made with.
func toOklab(c color.RGBA) (l, a, b float64) {
	linear := func(v uint8) float64 {
		x := float64(v) / 255
		if x <= 0.04045 {
			return x / 12.92
		}
		return math.Pow((x+0.055)/1.055, 2.4)
	}
	r, g, bl := linear(c.R), linear(c.G), linear(c.B)
	x := math.Cbrt(0.4122214708*r + 0.5363325363*g + 0.0514459929*bl)
	y := math.Cbrt(0.2119034982*r + 0.6806995451*g + 0.1073969566*bl)
	z := math.Cbrt(0.0883024619*r + 0.2817188376*g + 0.6299787005*bl)
	return 0.2104542553*x + 0.7936177850*y - 0.0040720468*z,
		1.9779984951*x - 2.4285922050*y + 0.4505937099*z,
		0.0259040371*x + 0.7827717662*y - 0.8086757660*z
}

// White, and the primary red that Ottosson gives for a check (L 0.628, a 0.225, b 0.126;
// from memory).
func TestOklabOfKnownColours(t *testing.T) {
	for _, c := range []struct {
		c       color.RGBA
		l, a, b float64
	}{{color.RGBA{255, 255, 255, 255}, 1, 0, 0}, {color.RGBA{255, 0, 0, 255}, 0.628, 0.225, 0.126}, {color.RGBA{}, 0, 0, 0}} {
		l, a, b := toOklab(c.c)
		if math.Abs(l-c.l) > 1e-3 || math.Abs(a-c.a) > 1e-3 || math.Abs(b-c.b) > 1e-3 {
			t.Errorf("%v is L %.4f a %.4f b %.4f, want %g, %g, %g", c.c, l, a, b, c.l, c.a, c.b)
		}
		if got := oklab(l, a, b); max(got.R, c.c.R)-min(got.R, c.c.R) > 1 || max(got.B, c.c.B)-min(got.B, c.c.B) > 1 {
			t.Errorf("%v comes back as %v", c.c, got)
		}
	}
}

// Lightness rises from end to end, in steps as even as eight bits allow, so that the
// order of values survives in grey; so does the luminance a grey printer uses.
func TestColorMapsRise(t *testing.T) {
	for name, m := range map[string]*ColorMap{"Strength": Strength, "Warmth": Warmth} {
		first, _, _ := toOklab(m[0])
		last, _, _ := toOklab(m[255])
		before := first
		for i := 1; i < 256; i++ {
			l, _, _ := toOklab(m[i])
			// One step of eight bits is up to 0.005 of lightness in the dark.
			if l < before-0.002 {
				t.Errorf("%s: lightness falls from %.4f to %.4f at %d", name, before, l, i)
			}
			if i >= 16 {
				if back, _, _ := toOklab(m[i-16]); l-back < 0.4*(last-first)/16 {
					t.Errorf("%s: lightness stands still before %d: %.4f to %.4f", name, i, back, l)
				}
			}
			before = l
		}
		if last-first < 0.7 {
			t.Errorf("%s: lightness %.2f to %.2f is little of the range", name, first, last)
		}
	}
	// Balance rises to its middle and falls from there, alike on both sides.
	for i := range 127 {
		low, _, blue := toOklab(Balance[i])
		next, _, _ := toOklab(Balance[i+1])
		high, _, orange := toOklab(Balance[255-i])
		if next < low-0.002 {
			t.Errorf("Balance: lightness falls from %.4f to %.4f at %d", low, next, i)
		}
		if math.Abs(low-high) > 0.05 {
			t.Errorf("Balance: lightness %.3f at %d and %.3f at %d", low, i, high, 255-i)
		}
		if i < 100 && !(blue < -0.02 && orange > 0.02) {
			t.Errorf("Balance: blueness %.3f at %d and %.3f at %d: signs look alike", blue, i, orange, 255-i)
		}
	}
}

func TestColorMapAt(t *testing.T) {
	for _, c := range []struct {
		t    float64
		want color.RGBA
	}{
		{0, Strength[0]}, {-3, Strength[0]}, {math.Inf(-1), Strength[0]}, {1, Strength[255]}, {7, Strength[255]}, {math.Inf(1), Strength[255]},
		{0.5, Strength[128]}, {100.0 / 255, Strength[100]}, {math.NaN(), color.RGBA{128, 128, 128, 255}},
	} {
		if got := Strength.At(c.t); got != c.want {
			t.Errorf("at %g: %v, want %v", c.t, got, c.want)
		}
	}
}

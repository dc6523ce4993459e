package read

import (
	"image"
	"image/color"
	"math"
	"sync"
)

// Weights of linear red, green and blue in the luminance of sRGB's primaries:
// ITU-R BT.709-6 (2015), item 3.2, which IEC 61966-2-1 adopts.
const (
	weightR = 0.2126
	weightG = 0.7152
	weightB = 0.0722
)

// decodeSRGB returns the linear light 0…1 of an sRGB component 0…1:
// IEC 61966-2-1:1999, c/12.92 up to 0.04045, ((c+0.055)/1.055)^2.4 above.
func decodeSRGB(c float64) float64 {
	if c <= 0.04045 {
		return c / 12.92
	}
	return math.Pow((c+0.055)/1.055, 2.4)
}

var linear8 = func() (t [256]float64) {
	for i := range t {
		t[i] = decodeSRGB(float64(i) / 255)
	}
	return t
}()

// linear16 is made on the first picture that needs it.
var linear16 = sync.OnceValue(func() *[65536]float64 {
	var t [65536]float64
	for i := range t {
		t[i] = decodeSRGB(float64(i) / 65535)
	}
	return &t
})

// luminance8 returns the luminance of an opaque colour of three 8-bit sRGB
// components.
func luminance8(r, g, b uint8) float64 {
	return weightR*linear8[r] + weightG*linear8[g] + weightB*linear8[b]
}

// luminanceOver returns the luminance of c laid over a background luminance;
// the mixing is done in linear light.
func luminanceOver(c color.Color, background float64) float64 {
	if c, ok := c.(color.NRGBA); ok { // Convert goes through a product with alpha and back
		return over(luminance8(c.R, c.G, c.B), float64(c.A)/255, background)
	}
	n := color.NRGBA64Model.Convert(c).(color.NRGBA64)
	t := linear16()
	y := weightR*t[n.R] + weightG*t[n.G] + weightB*t[n.B]
	return over(y, float64(n.A)/65535, background)
}

// over lays a luminance over another.
func over(y, alpha, background float64) float64 { return y*alpha + background*(1-alpha) }

// luminanceRows is a picture as rows of luminance: it writes those from column x on of
// row y to dst.
type luminanceRows func(dst []float64, x, y int) error

// rowsOf returns the rows of img over a background luminance, y counted from the
// top of img's bounds.
func rowsOf(img image.Image, background float64) luminanceRows {
	b := img.Bounds()
	x0, y0 := b.Min.X, b.Min.Y
	switch m := img.(type) {
	case *image.Gray:
		return func(dst []float64, x, y int) error {
			row := m.Pix[m.PixOffset(x0+x, y0+y):]
			for i := range dst {
				dst[i] = linear8[row[i]]
			}
			return nil
		}
	case *image.YCbCr:
		return func(dst []float64, x, y int) error {
			for i := range dst {
				yi, ci := m.YOffset(x0+x+i, y0+y), m.COffset(x0+x+i, y0+y)
				dst[i] = luminance8(color.YCbCrToRGB(m.Y[yi], m.Cb[ci], m.Cr[ci]))
			}
			return nil
		}
	case *image.RGBA: // as a PNG of colour type 2 is decoded: alpha may still vary elsewhere
		return func(dst []float64, x, y int) error {
			row := m.Pix[m.PixOffset(x0+x, y0+y):]
			for i := range dst {
				p := row[4*i : 4*i+4]
				if p[3] == 255 {
					dst[i] = luminance8(p[0], p[1], p[2])
				} else {
					dst[i] = luminanceOver(color.RGBA{p[0], p[1], p[2], p[3]}, background)
				}
			}
			return nil
		}
	case *image.NRGBA:
		return func(dst []float64, x, y int) error {
			row := m.Pix[m.PixOffset(x0+x, y0+y):]
			for i := range dst {
				p := row[4*i : 4*i+4]
				v := luminance8(p[0], p[1], p[2])
				if p[3] != 255 {
					v = over(v, float64(p[3])/255, background)
				}
				dst[i] = v
			}
			return nil
		}
	case *image.Paletted:
		var t [256]float64
		for i, c := range m.Palette[:min(len(m.Palette), len(t))] {
			t[i] = luminanceOver(c, background)
		}
		return func(dst []float64, x, y int) error {
			row := m.Pix[m.PixOffset(x0+x, y0+y):]
			for i := range dst {
				dst[i] = t[row[i]]
			}
			return nil
		}
	}
	return func(dst []float64, x, y int) error {
		for i := range dst {
			dst[i] = luminanceOver(img.At(x0+x+i, y0+y), background)
		}
		return nil
	}
}

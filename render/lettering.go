package render

import (
	"image"
	"image/color"
	"sync"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gomedium"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
)

// Lettering draws text of one size. It is safe for concurrent use.
type Lettering struct {
	mu   sync.Mutex
	face font.Face
	size float64
}

// NewLettering returns regular or medium lettering of a size in pixels.
func NewLettering(px float64, medium bool) *Lettering {
	data := goregular.TTF
	if medium {
		data = gomedium.TTF
	}
	f, err := opentype.Parse(data)
	if err != nil {
		panic("render: built-in font: " + err.Error()) // cannot happen: the font is compiled in
	}
	face, err := opentype.NewFace(f, &opentype.FaceOptions{Size: px, DPI: 72, Hinting: font.HintingFull})
	if err != nil {
		panic("render: built-in font: " + err.Error())
	}
	return &Lettering{face: face, size: px}
}

// Draw writes s with its left end at x and its baseline at y.
func (l *Lettering) Draw(dst *image.RGBA, x, y int, s string, c color.Color) {
	l.mu.Lock()
	defer l.mu.Unlock()
	d := font.Drawer{Dst: dst, Src: image.NewUniform(c), Face: l.face, Dot: fixed.P(x, y)}
	d.DrawString(s)
}

// Width returns the width of s in pixels.
func (l *Lettering) Width(s string) int {
	l.mu.Lock()
	defer l.mu.Unlock()
	return font.MeasureString(l.face, s).Ceil()
}

// Height returns the distance between lines in pixels.
func (l *Lettering) Height() int { return int(l.size*1.35 + 0.5) }

package live

import (
	"bytes"
	"fmt"
	"image/color"
	"strings"

	"github.com/hajimehoshi/ebiten/v2"
	"github.com/hajimehoshi/ebiten/v2/text/v2"
	"golang.org/x/image/font/gofont/gomedium"
	"golang.org/x/image/font/gofont/goregular"
)

// letters draws text in the sizes of the window.
type letters struct {
	regular, medium *text.GoTextFaceSource
	faces           map[style]*text.GoTextFace
	options         text.DrawOptions
	scale           float64
}

// style is a size in device-independent pixels and a weight.
type style struct {
	size   float64
	medium bool
}

// The window's styles.
var (
	small = style{11.5, false}
	plain = style{13, false}
	bold  = style{13, true}
	large = style{16, true}
)

// side is which part of a text stands at the given place.
type side int

const (
	leftAt side = iota
	middleAt
	rightAt
)

func newLetters() (*letters, error) {
	l := &letters{}
	var err error
	if l.regular, err = text.NewGoTextFaceSource(bytes.NewReader(goregular.TTF)); err != nil {
		return nil, fmt.Errorf("reading the built-in font: %w", err)
	}
	if l.medium, err = text.NewGoTextFaceSource(bytes.NewReader(gomedium.TTF)); err != nil {
		return nil, fmt.Errorf("reading the built-in font: %w", err)
	}
	l.setScale(1)
	return l, nil
}

// setScale sets the device pixels per device-independent one.
func (l *letters) setScale(scale float64) {
	if scale != l.scale {
		l.scale = scale
		l.faces = map[style]*text.GoTextFace{}
	}
}

func (l *letters) face(s style) *text.GoTextFace {
	f, ok := l.faces[s]
	if !ok {
		f = &text.GoTextFace{Source: l.regular, Size: s.size * l.scale}
		if s.medium {
			f.Source = l.medium
		}
		l.faces[s] = f
	}
	return f
}

// draw writes one line, its vertical middle at y.
func (l *letters) draw(dst *ebiten.Image, words string, s style, x, y int, at side, c color.Color) {
	o := &l.options
	*o = text.DrawOptions{}
	o.GeoM.Translate(float64(x), float64(y))
	o.ColorScale.ScaleWithColor(c)
	o.PrimaryAlign = [...]text.Align{leftAt: text.AlignStart, middleAt: text.AlignCenter, rightAt: text.AlignEnd}[at]
	o.SecondaryAlign = text.AlignCenter
	text.Draw(dst, words, l.face(s), o)
}

// width is the width of a line in device pixels.
func (l *letters) width(words string, s style) float64 {
	return text.AdvanceAt(words, len(words), l.face(s))
}

// cut shortens a line to a width.
func (l *letters) cut(words string, s style, width int) string {
	if l.width(words, s) <= float64(width) {
		return words
	}
	runes := []rune(words)
	low, high := 0, len(runes)
	for low < high {
		n := (low + high + 1) / 2
		if l.width(string(runes[:n])+"…", s) <= float64(width) {
			low = n
		} else {
			high = n - 1
		}
	}
	return strings.TrimRight(string(runes[:low]), " ,;") + "…"
}

// wrap breaks words into at most a number of lines of a width; what does not fit is
// cut off with a sign of it.
func (l *letters) wrap(words string, s style, width, lines int) []string {
	var out []string
	rest := strings.Fields(words)
	for len(rest) > 0 && len(out) < lines {
		n := 1
		for n < len(rest) && l.width(strings.Join(rest[:n+1], " "), s) <= float64(width) {
			n++
		}
		if len(out) == lines-1 {
			n = len(rest)
		}
		out = append(out, l.cut(strings.Join(rest[:n], " "), s, width))
		rest = rest[n:]
	}
	return out
}

package generate

import (
	_ "embed"
	"fmt"
	"image"
	"strings"
	"sync"

	"golang.org/x/image/font/basicfont"
	"golang.org/x/image/math/fixed"
)

// bitmap is a small picture of dots: a glyph, or a line of them.
type bitmap struct {
	rows, cols int
	lit        []bool // row by row
}

func newBitmap(rows, cols int) bitmap {
	return bitmap{rows: rows, cols: cols, lit: make([]bool, rows*cols)}
}

func (b bitmap) at(row, col int) bool { return b.lit[row*b.cols+col] }

// paste lights the dots of g with its top left corner at row, col.
func (b bitmap) paste(g bitmap, row, col int) {
	for r := range g.rows {
		for c := range g.cols {
			if g.at(r, c) {
				b.lit[(row+r)*b.cols+col+c] = true
			}
		}
	}
}

// dotFont is a font of dot glyphs of one height.
type dotFont struct {
	name   string
	height int
	gap    int // dark columns between glyphs
	space  int // width of a space
	glyph  func(r rune) (bitmap, bool)
	holds  string // the characters it has, for messages
}

//go:embed glyphs5x7.txt
var glyphs5x7 string

//go:embed glyphs3x5.txt
var glyphs3x5 string

// font5x7 has glyphs of up to 5 columns and 7 rows, spaced by their own width.
var font5x7 = sync.OnceValue(func() dotFont {
	return mustDrawnFont("5 × 7", glyphs5x7, 7, 3,
		"the printable ASCII characters and Ä Ö Ü Å É Ø Æ ä ö ü å é è à ç ñ ø æ ß ° € £ – ·")
})

// font3x5 has the ten digits, 3 columns and 5 rows each, and a few signs.
var font3x5 = sync.OnceValue(func() dotFont {
	return mustDrawnFont("3 × 5", glyphs3x5, 5, 2, "0–9 : . -")
})

// font7x13 is the face Face7x13 of golang.org/x/image/font/basicfont, made from
// the public domain misc-fixed bitmap font.
var font7x13 = sync.OnceValue(func() dotFont {
	face := basicfont.Face7x13
	f := dotFont{name: "7 × 13", height: face.Ascent + face.Descent, gap: face.Advance - face.Width,
		space: face.Width, holds: "the printable ASCII characters"}
	f.glyph = func(r rune) (bitmap, bool) {
		box, mask, at, _, ok := face.Glyph(fixed.P(0, face.Ascent), r)
		if !ok {
			return bitmap{}, false
		}
		b := newBitmap(f.height, face.Width)
		for y := range b.rows {
			for x := range b.cols {
				p := image.Pt(x, y)
				if p.In(box) {
					_, _, _, a := mask.At(at.X+x-box.Min.X, at.Y+y-box.Min.Y).RGBA()
					b.lit[y*b.cols+x] = a >= 0x8000
				}
			}
		}
		return b, true
	}
	return f
})

// mustDrawnFont parses a table of glyphs that is part of the program; the tests
// parse every one of them.
func mustDrawnFont(name, text string, height, space int, holds string) dotFont {
	glyphs, err := parseGlyphs(text, height)
	if err != nil {
		panic(fmt.Sprintf("scenes: glyph table %s: %v", name, err))
	}
	return dotFont{name: name, height: height, gap: 1, space: space, holds: holds,
		glyph: func(r rune) (bitmap, bool) { b, ok := glyphs[r]; return b, ok }}
}

func parseGlyphs(text string, height int) (map[rune]bitmap, error) {
	glyphs := map[rune]bitmap{}
	lines := strings.Split(text, "\n")
	for n := 0; n < len(lines); n++ {
		if lines[n] == "" || strings.HasPrefix(lines[n], "//") {
			continue
		}
		if n+height >= len(lines) {
			return nil, fmt.Errorf("line %d: fewer than %d lines of dots follow", n+1, height)
		}
		head, dots := []rune(lines[n]), lines[n+1:n+1+height]
		for _, d := range dots {
			if len(d) != len(dots[0]) || strings.Trim(d, "#. ") != "" {
				return nil, fmt.Errorf("block at line %d: uneven or foreign line %q", n+1, d)
			}
		}
		for col, r := range head {
			if r == ' ' {
				continue
			}
			end := col
			for end < len(dots[0]) && dots[0][end] != ' ' {
				end++
			}
			if _, twice := glyphs[r]; twice || end == col || col > 0 && dots[0][col-1] != ' ' {
				return nil, fmt.Errorf("line %d: glyph %q is misplaced or drawn twice", n+1, r)
			}
			b := newBitmap(height, end-col)
			for y, d := range dots {
				for x := range b.cols {
					if d[col+x] == ' ' {
						return nil, fmt.Errorf("line %d: glyph %q has a gap", n+2+y, r)
					}
					b.lit[y*b.cols+x] = d[col+x] == '#'
				}
			}
			glyphs[r] = b
		}
		n += height
	}
	return glyphs, nil
}

// line sets text in one line. A character without a glyph is an error that names
// it, its place and what the font has.
func (f dotFont) line(text string) (bitmap, error) {
	var glyphs []bitmap
	width := 0
	for i, r := range []rune(text) {
		g, ok := f.glyph(r)
		if r == ' ' {
			g, ok = newBitmap(f.height, f.space), true
		}
		if !ok {
			return bitmap{}, fmt.Errorf("text %q: no glyph for %q (character %d) in the %s font; it has %s", text, r, i+1, f.name, f.holds)
		}
		glyphs = append(glyphs, g)
		width += g.cols + f.gap
	}
	if len(glyphs) == 0 {
		return bitmap{}, fmt.Errorf("text %q: nothing to set", text)
	}
	b := newBitmap(f.height, width-f.gap)
	col := 0
	for _, g := range glyphs {
		b.paste(g, 0, col)
		col += g.cols + f.gap
	}
	return b, nil
}

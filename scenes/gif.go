package scenes

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	"image/gif"
	"io"
	"math"
)

// ReadGIF reads an animated GIF, one frame of the scene for each of its own,
// with its own timing in steps of 10 ms. A delay of 0 becomes o.ZeroDelay; every
// other delay is kept as written. Frames are drawn over what the frames before
// them left: partial frames, local colour tables, transparency and the disposal
// methods (0 and 1 leave, 2 clear to transparent, 3 put back what was there) are
// honoured. The screen begins transparent; transparent pixels have
// o.Background's luminance. What a frame draws outside the logical screen is cut
// off; a screen of size 0 is taken as large as the frames need. The loop count is
// not read.
//
// A file that ends early is an error that says how many frames were whole.
func ReadGIF(ctx context.Context, r io.Reader, name string, rows, cols int, o Options) (Scene, error) {
	if err := o.check(rows, cols); err != nil {
		return Scene{}, fmt.Errorf("reading GIF %s: %w", name, err)
	}
	in := o.Limits.reader(ctx, r)
	data, err := io.ReadAll(in)
	if err != nil {
		return Scene{}, inputErrorf(name, "reading after %d bytes: %w", in.count(), err)
	}
	g, err := scanGIF(data, min(o.Limits.Frames, o.Limits.Levels/(rows*cols)))
	if errors.Is(err, errGIFEnd) {
		return Scene{}, inputErrorf(name, "the GIF file ends early, after %d bytes with %d whole frames: cut off", len(data), len(g.frames))
	}
	if err != nil {
		return Scene{}, inputErrorf(name, "GIF, after %d whole frames: %w", len(g.frames), err)
	}
	if len(g.frames) == 0 {
		return Scene{}, inputErrorf(name, "the GIF file holds no frame")
	}
	if g.width == 0 || g.height == 0 {
		for _, f := range g.frames {
			g.width = max(g.width, f.left+f.width)
			g.height = max(g.height, f.top+f.height)
		}
	}
	if err := o.Limits.checkPicture(g.width, g.height); err != nil {
		return Scene{}, inputErrorf(name, "%w", err)
	}
	var work int64
	for _, f := range g.frames {
		work += max(int64(g.width)*int64(g.height), int64(f.width)*int64(f.height))
	}
	if work > o.Limits.WorkPixels {
		return Scene{}, inputErrorf(name, "%d frames of %d × %d pixels are over the limit of %g gigapixels in all; scale it down first",
			len(g.frames), g.width, g.height, float64(o.Limits.WorkPixels)/1e9)
	}

	s := blank(name, rows, cols, len(g.frames), 0)
	screen := newGIFScreen(g.width, g.height)
	average := newAverager(g.width, g.height, rows, cols, o.Fit, o.Background)
	var alone []byte
	for i, f := range g.frames {
		var img *image.Paletted
		if f.width > 0 && f.height > 0 {
			if err := o.Limits.checkPicture(f.width, f.height); err != nil {
				return Scene{}, inputErrorf(name, "frame %d: %w", i, err)
			}
			alone = g.alone(alone, f)
			m, err := gif.Decode(bytes.NewReader(alone))
			if err != nil {
				return Scene{}, inputErrorf(name, "decoding frame %d of %d: %w", i, len(g.frames), err)
			}
			p, ok := m.(*image.Paletted)
			if !ok {
				return Scene{}, inputErrorf(name, "decoding frame %d: unexpected picture kind %T", i, m)
			}
			img = p
		}
		area := image.Rect(f.left, f.top, f.left+f.width, f.top+f.height).Intersect(screen.bounds())
		if f.disposal() == 3 {
			screen.save(area)
		}
		if img != nil {
			screen.draw(img, area, image.Pt(f.left, f.top))
		}
		if err := average.average(ctx, s.Frames[i].Levels, screen.rows(o.Background)); err != nil {
			return Scene{}, fmt.Errorf("reading GIF %s, after %d of %d frames: %w", name, i, len(g.frames), err)
		}
		o.Mapping.Map(s.Frames[i].Levels, s.Frames[i].Levels, cols)
		s.Frames[i].Duration = o.ZeroDelay
		if d := f.delay(); d > 0 {
			s.Frames[i].Duration = float64(d) / 100
		}
		switch f.disposal() {
		case 2:
			screen.clear(area)
		case 3:
			screen.restore(area)
		}
	}
	if err := s.validate(o.Limits); err != nil {
		return Scene{}, inputErrorf(name, "%w", err)
	}
	return s, nil
}

// gifScreen is the logical screen as luminances; a transparent pixel is
// negative. GIF pixels are either opaque or transparent, so nothing is mixed.
type gifScreen struct {
	width, height int
	y             []float32
	saved         []float32
}

const gifTransparent = -1

func newGIFScreen(width, height int) *gifScreen {
	s := &gifScreen{width: width, height: height, y: make([]float32, width*height)}
	s.clear(s.bounds())
	return s
}

func (s *gifScreen) bounds() image.Rectangle { return image.Rect(0, 0, s.width, s.height) }

// line returns the pixels of area in row y.
func (s *gifScreen) line(area image.Rectangle, y int) []float32 {
	return s.y[y*s.width+area.Min.X : y*s.width+area.Max.X]
}

func (s *gifScreen) clear(area image.Rectangle) {
	for y := area.Min.Y; y < area.Max.Y; y++ {
		line := s.line(area, y)
		for i := range line {
			line[i] = gifTransparent
		}
	}
}

func (s *gifScreen) save(area image.Rectangle) {
	s.saved = s.saved[:0]
	for y := area.Min.Y; y < area.Max.Y; y++ {
		s.saved = append(s.saved, s.line(area, y)...)
	}
}

func (s *gifScreen) restore(area image.Rectangle) {
	for i, y := 0, area.Min.Y; y < area.Max.Y; i, y = i+area.Dx(), y+1 {
		copy(s.line(area, y), s.saved[i:])
	}
}

// draw lays img, whose origin goes to at, over the part of the screen in area.
func (s *gifScreen) draw(img *image.Paletted, area image.Rectangle, at image.Point) {
	var t [256]float32
	for i := range t {
		t[i] = gifTransparent
		if i < len(img.Palette) {
			if r, g, b, a := img.Palette[i].RGBA(); a != 0 {
				t[i] = float32(luminance8(uint8(r>>8), uint8(g>>8), uint8(b>>8)))
			}
		}
	}
	for y := area.Min.Y; y < area.Max.Y; y++ {
		from := img.Pix[img.PixOffset(area.Min.X-at.X, y-at.Y):]
		for i, line := 0, s.line(area, y); i < len(line); i++ {
			if v := t[from[i]]; v >= 0 {
				line[i] = v
			}
		}
	}
}

// rows returns the screen over a background luminance.
func (s *gifScreen) rows(background float64) luminanceRows {
	return func(dst []float64, y int) {
		for x, v := range s.y[y*s.width : (y+1)*s.width] {
			dst[x] = float64(v)
			if math.Signbit(float64(v)) {
				dst[x] = background
			}
		}
	}
}

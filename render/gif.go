package render

import (
	"bufio"
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/gif"
	"io"
	"math"
	"time"

	"lodegrid/render/output"
)

// GIF writes an animated GIF frame by frame, so that memory does not grow with
// the film's length (the GIF89a layout: header, looping extension, then a graphic
// control block and an image block per frame, and a trailer). Close must be
// called.
type GIF struct {
	w       *bufio.Writer
	palette color.Palette // the last entry is the transparent one
	last    *image.Paletted
	nearest map[color.RGBA]uint8
	size    image.Point
	owed    time.Duration // rounding carried from frame to frame, so that the length stays right
	started bool
}

// NewGIF starts a film that loops for ever. Every frame is mapped to the nearest
// colour of the palette, at most 255; one more stands for what did not change.
func NewGIF(w io.Writer, palette color.Palette) (*GIF, error) {
	if len(palette) < 2 || len(palette) > 255 {
		return nil, fmt.Errorf("starting a GIF: palette of %d colours; 2…255 are possible", len(palette))
	}
	return &GIF{
		w: bufio.NewWriter(w), palette: append(append(color.Palette{}, palette...), color.RGBA{}),
		nearest: map[color.RGBA]uint8{},
	}, nil
}

// Add appends a frame shown for the given time. GIF counts hundredths of a
// second; what rounding takes from one frame is given to the next. All frames must
// have the first one's size.
func (g *GIF) Add(img *image.RGBA, shown time.Duration) error {
	if g.started && img.Rect.Size() != g.size {
		return fmt.Errorf("adding a GIF frame: size %v differs from the film's %v", img.Rect.Size(), g.size)
	}
	if s := img.Rect.Size(); s.X < 1 || s.Y < 1 || s.X > math.MaxUint16 || s.Y > math.MaxUint16 {
		return fmt.Errorf("adding a GIF frame: size %v; each side must be 1…65535", s)
	}
	g.owed += shown
	hundredths := min(max(int((g.owed+5*time.Millisecond)/(10*time.Millisecond)), 1), math.MaxUint16)
	g.owed -= time.Duration(hundredths) * 10 * time.Millisecond

	p := g.changed(g.paletted(img))
	var one bytes.Buffer
	err := gif.EncodeAll(&one, &gif.GIF{
		Image: []*image.Paletted{p}, Delay: []int{hundredths},
		Disposal: []byte{gif.DisposalNone},
		Config:   image.Config{ColorModel: g.palette, Width: img.Rect.Dx(), Height: img.Rect.Dy()},
	})
	if err != nil {
		return fmt.Errorf("encoding a GIF frame: %w", err)
	}
	data := one.Bytes()
	head := 13 // "GIF89a" and the logical screen descriptor
	if data[10]&0x80 != 0 {
		head += 3 << (1 + data[10]&7) // the global colour table
	}
	if !g.started {
		g.started, g.size = true, img.Rect.Size()
		g.w.Write(data[:head])
		// The looping extension that every viewer reads: repeat without end.
		g.w.WriteString("\x21\xff\x0bNETSCAPE2.0\x03\x01\x00\x00\x00" + output.GIFMark)
	}
	// What remains is the frame's own blocks and the trailer byte.
	if _, err := g.w.Write(data[head : len(data)-1]); err != nil {
		return fmt.Errorf("writing a GIF frame: %w", err)
	}
	return nil
}

// Close ends the film. A film without frames is an error.
func (g *GIF) Close() error {
	if !g.started {
		return fmt.Errorf("ending a GIF: it has no frames")
	}
	g.w.WriteByte(0x3b)
	if err := g.w.Flush(); err != nil {
		return fmt.Errorf("writing the GIF's end: %w", err)
	}
	return nil
}

func (g *GIF) paletted(img *image.RGBA) *image.Paletted {
	p := image.NewPaletted(image.Rect(0, 0, img.Rect.Dx(), img.Rect.Dy()), g.palette)
	for y := range img.Rect.Dy() {
		row := img.Pix[y*img.Stride:]
		for x := range img.Rect.Dx() {
			c := color.RGBA{row[4*x], row[4*x+1], row[4*x+2], 255}
			k, ok := g.nearest[c]
			if !ok {
				k = uint8(g.palette[:len(g.palette)-1].Index(c))
				if len(g.nearest) < 1<<16 {
					g.nearest[c] = k
				}
			}
			p.Pix[y*p.Stride+x] = k
		}
	}
	return p
}

// changed cuts a frame down to the rectangle that differs from the one before and
// makes what is the same inside it transparent, which compresses to little.
func (g *GIF) changed(p *image.Paletted) *image.Paletted {
	before := g.last
	g.last = p
	if before == nil {
		return p
	}
	box := image.Rectangle{Min: p.Rect.Max, Max: p.Rect.Min}
	for y := range p.Rect.Max.Y {
		for x := range p.Rect.Max.X {
			if k := y*p.Stride + x; p.Pix[k] != before.Pix[k] {
				box.Min.X, box.Max.X = min(box.Min.X, x), max(box.Max.X, x+1)
				box.Min.Y, box.Max.Y = min(box.Min.Y, y), max(box.Max.Y, y+1)
			}
		}
	}
	if box.Empty() {
		box = image.Rect(0, 0, 1, 1)
	}
	out := image.NewPaletted(box, g.palette)
	for y := box.Min.Y; y < box.Max.Y; y++ {
		for x := box.Min.X; x < box.Max.X; x++ {
			if k := y*p.Stride + x; p.Pix[k] != before.Pix[k] {
				out.SetColorIndex(x, y, p.Pix[k])
			} else {
				out.SetColorIndex(x, y, uint8(len(g.palette)-1))
			}
		}
	}
	return out
}

package read

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"image"
	"io"
	"math"

	"lodegrid/scenes"
)

// GIF reads an animated GIF, one frame of the scene for each of its own,
// with its own timing in steps of 10 ms. A delay of 0 becomes o.ZeroDelay; every
// other delay is kept as written. Frames are drawn over what the frames before
// them left: partial frames, local colour tables, transparency and the disposal
// methods (0 and 1 leave, 2 clear to transparent, 3 put back what was there) are
// honoured. The screen begins transparent; transparent pixels have
// o.Background's luminance. What a frame draws outside the logical screen is cut
// off; a screen of size 0 is taken as large as the frames need. The loop count is
// not read.
//
// The file is read twice: what it asks for is known, and held against the limits,
// before anything is decoded. A file that ends early is an error that says how many
// frames were whole.
func GIF(ctx context.Context, r io.ReadSeeker, name string, rows, cols int, o Options) (scenes.Scene, error) {
	if err := o.Check(rows, cols); err != nil {
		return scenes.Scene{}, fmt.Errorf("reading GIF %s: %w", name, err)
	}
	start, err := r.Seek(0, io.SeekCurrent)
	if err != nil {
		return scenes.Scene{}, fmt.Errorf("reading GIF %s: %w", name, err)
	}
	p := gifPlan{limits: o.Limits, grid: rows * cols, averager: func(width, height int) *averager {
		return newAverager(width, height, rows, cols, o.Fit, o.Background)
	}}
	for !p.counted { // a second time when the file does not tell the size of its screen
		if err := p.each(ctx, r, start, name, p.count); err != nil {
			return scenes.Scene{}, err
		}
	}
	s := scenes.New(name, rows, cols, p.frames, o.ZeroDelay)
	p.screen.allocate(p.saved)
	seen := make([]float64, rows*cols) // luminances
	p.screen.average.begin(seen)
	if err := p.each(ctx, r, start, name, func(g *gifReader) error {
		if g.whole >= len(s.Frames) {
			return errors.New("the file changed while it was read")
		}
		f := &s.Frames[g.whole]
		if g.frame.delay > 0 {
			f.Duration = float64(g.frame.delay) / 100
		}
		if err := p.screen.show(ctx, g, seen, o.Background); err != nil {
			return err
		}
		o.Mapping.Map(f.Levels, seen, cols)
		return nil
	}); err != nil {
		return scenes.Scene{}, err
	}
	if err := s.ValidateWithin(o.Limits); err != nil {
		return scenes.Scene{}, scenes.InputErrorf(name, "%w", err)
	}
	return s, nil
}

// gifPlan is what a file asks for.
type gifPlan struct {
	limits        scenes.Limits
	grid          int // pixels of the scene
	averager      func(width, height int) *averager
	frames        int
	width, height int        // that the frames need
	screen        *gifScreen // nil until its size is known
	counted       bool
	saved         int64 // pixels that are put back, at most
	work          int64 // pixels to decode and to average
}

// each calls do for every frame of a file, which takes in the frame's data.
func (p *gifPlan) each(ctx context.Context, r io.ReadSeeker, start int64, name string, do func(*gifReader) error) error {
	if _, err := r.Seek(start, io.SeekStart); err != nil {
		return fmt.Errorf("reading GIF %s: %w", name, err)
	}
	in := p.limits.Reader(ctx, r)
	g := &gifReader{in: bufio.NewReaderSize(in, 1<<16)}
	err := g.header()
	for err == nil {
		if err = g.next(); err == nil {
			err = do(g)
		}
	}
	switch {
	case errors.Is(err, io.EOF) && g.whole == 0:
		return scenes.InputErrorf(name, "the GIF file holds no frame")
	case errors.Is(err, io.EOF) && p.screen == nil:
		if err = p.size(p.width, p.height); err == nil {
			return nil
		}
	case errors.Is(err, io.EOF):
		return nil
	case in.Failed != nil:
		err = in.Failed
	case errors.Is(err, errGIFEnd):
		return scenes.InputErrorf(name, "the GIF file ends early, after %d bytes with %d whole frames: cut off", in.Count(), g.whole)
	}
	return scenes.InputErrorf(name, "GIF, after %d whole frames: %w", g.whole, err)
}

// size sets the size of the screen.
func (p *gifPlan) size(width, height int) error {
	if err := p.limits.CheckPicture(width, height); err != nil {
		return err
	}
	p.screen = &gifScreen{bounds: image.Rect(0, 0, width, height), average: p.averager(width, height)}
	p.frames = 0
	return nil
}

// count adds what a frame asks for.
func (p *gifPlan) count(g *gifReader) error {
	f := &g.frame
	if p.frames++; p.frames == 1 && g.width > 0 && g.height > 0 {
		if err := p.size(g.width, g.height); err != nil {
			return err
		}
		p.frames = 1
	}
	if err := p.limits.CheckFrames(p.frames, p.grid); err != nil {
		return err
	}
	p.width, p.height = max(p.width, f.left+f.width), max(p.height, f.top+f.height)
	if p.counted = p.screen != nil; p.counted {
		area := f.area().Intersect(p.screen.bounds)
		if f.disposal == gifPutBack {
			p.saved = max(p.saved, int64(area.Dx())*int64(area.Dy()))
		}
		if err := p.limits.CheckMemory("the animation", 4*(int64(p.screen.bounds.Dx())*int64(p.screen.bounds.Dy())+p.saved)); err != nil {
			return err
		}
		p.work += int64(f.width) * int64(f.height)
		for _, changed := range p.screen.changed(area) {
			p.work += p.screen.average.pixels(changed)
		}
		if err := p.limits.CheckWork(p.work); err != nil {
			return err
		}
		p.screen.leave(f, area)
	}
	return g.skipFrame()
}

// gifScreen is the logical screen as luminances. GIF pixels are either opaque or
// transparent, so nothing is mixed.
type gifScreen struct {
	bounds   image.Rectangle
	y        []float32 // row by row, below zero (−0 for black) where opaque; 0 is transparent
	saved    []float32
	average  *averager
	begun    bool
	disposed image.Rectangle // what the disposal of the frame before changed
}

func opaque(v float32) bool { return math.Float32bits(v)>>31 != 0 }

// The disposal methods that change the screen.
const (
	gifClear   = 2
	gifPutBack = 3
)

func (s *gifScreen) allocate(saved int64) {
	s.y = make([]float32, s.bounds.Dx()*s.bounds.Dy())
	s.saved = make([]float32, saved)
	s.begun, s.disposed = false, image.Rectangle{}
}

// changed returns what differs from the frame before once area is drawn.
func (s *gifScreen) changed(area image.Rectangle) []image.Rectangle {
	if !s.begun {
		s.begun = true
		return []image.Rectangle{s.bounds}
	}
	if s.disposed.In(area) {
		return []image.Rectangle{area}
	}
	return []image.Rectangle{s.disposed, area}
}

// leave notes what the disposal of a frame changes.
func (s *gifScreen) leave(f *gifFrame, area image.Rectangle) {
	s.disposed = image.Rectangle{}
	if f.disposal == gifClear || f.disposal == gifPutBack {
		s.disposed = area
	}
}

// show draws the frame that g is at, averages what it changed into seen, and disposes
// of the frame.
func (s *gifScreen) show(ctx context.Context, g *gifReader, seen []float64, background float64) error {
	f := &g.frame
	area := f.area().Intersect(s.bounds)
	if f.disposal == gifPutBack {
		if area.Dx()*area.Dy() > len(s.saved) {
			return errors.New("the file changed while it was read")
		}
		s.each(area, func(i int, line []float32) { copy(s.saved[i:], line) })
	}
	if err := s.draw(ctx, g, area); err != nil {
		return err
	}
	for _, changed := range s.changed(area) {
		if err := s.average.average(ctx, seen, s.rows(background), changed); err != nil {
			return err
		}
	}
	switch f.disposal {
	case gifClear:
		s.each(area, func(_ int, line []float32) { clear(line) })
	case gifPutBack:
		s.each(area, func(i int, line []float32) { copy(line, s.saved[i:]) })
	}
	s.leave(f, area)
	return nil
}

// line returns the pixels of area in row y.
func (s *gifScreen) line(area image.Rectangle, y int) []float32 {
	return s.y[y*s.bounds.Dx()+area.Min.X : y*s.bounds.Dx()+area.Max.X]
}

// each calls do for every row of area with the number of pixels before it.
func (s *gifScreen) each(area image.Rectangle, do func(i int, line []float32)) {
	for y := area.Min.Y; y < area.Max.Y; y++ {
		do((y-area.Min.Y)*area.Dx(), s.line(area, y))
	}
}

// draw lays the frame over the part of the screen in area.
func (s *gifScreen) draw(ctx context.Context, g *gifReader, area image.Rectangle) error {
	f := &g.frame
	if f.width == 0 || f.height == 0 {
		return g.skipFrame()
	}
	var t [256]float32
	for i := range len(f.colours) / 3 {
		t[i] = -float32(luminance8(f.colours[3*i], f.colours[3*i+1], f.colours[3*i+2]))
		if t[i] == 0 {
			t[i] = float32(math.Copysign(0, -1))
		}
	}
	if f.transparent >= 0 {
		t[f.transparent] = 0
	}
	return g.pixels(func(y int, indices []byte) error {
		if y += f.top; y < area.Max.Y && !area.Empty() {
			line := s.line(area, y)
			for i, v := range indices[area.Min.X-f.left:][:len(line)] {
				if v := t[v]; opaque(v) {
					line[i] = v
				}
			}
		}
		return ctx.Err()
	})
}

// rows returns the screen over a background luminance.
func (s *gifScreen) rows(background float64) luminanceRows {
	return func(dst []float64, x, y int) error {
		for i, v := range s.y[y*s.bounds.Dx()+x:][:len(dst)] {
			if opaque(v) {
				dst[i] = -float64(v)
			} else {
				dst[i] = background
			}
		}
		return nil
	}
}

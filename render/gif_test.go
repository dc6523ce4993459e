package render

import (
	"bytes"
	"errors"
	"image"
	"image/color"
	"image/draw"
	"image/gif"
	"math/rand/v2"
	"strings"
	"testing"
	"time"
)

// greys is a palette of n steps from black to white: no colour is farther than half a
// step from it, if it is grey.
func greys(n int) color.Palette {
	var p color.Palette
	for i := range n {
		v := uint8(i * 255 / (n - 1))
		p = append(p, color.RGBA{v, v, v, 255})
	}
	return p
}

// decoded plays a GIF as a viewer does, each frame laid over what stands, and returns
// the pictures.
func decoded(t *testing.T, data []byte) (*gif.GIF, []*image.RGBA) {
	t.Helper()
	g, err := gif.DecodeAll(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	canvas := image.NewRGBA(image.Rect(0, 0, g.Config.Width, g.Config.Height))
	var out []*image.RGBA
	for i, frame := range g.Image {
		draw.Draw(canvas, frame.Rect, frame, frame.Rect.Min, draw.Over)
		if g.Disposal[i] != gif.DisposalNone {
			t.Errorf("frame %d is disposed of by %d, want it left standing", i, g.Disposal[i])
		}
		shown := image.NewRGBA(canvas.Rect)
		copy(shown.Pix, canvas.Pix)
		out = append(out, shown)
	}
	return g, out
}

// What a viewer shows is what was added, to half a step of the palette, for frames that
// change everywhere, in a corner, in a single element and not at all.
func TestGIFShowsTheFrames(t *testing.T) {
	const w, h, steps = 23, 17, 18
	random := rand.New(rand.NewPCG(1, 2))
	noise := image.NewRGBA(image.Rect(0, 0, w, h))
	for k := 0; k < len(noise.Pix); k += 4 {
		v := uint8(random.IntN(256))
		copy(noise.Pix[k:], []uint8{v, v, v, 255})
	}
	alter := func(from *image.RGBA, r image.Rectangle, v uint8) *image.RGBA {
		to := image.NewRGBA(from.Rect)
		copy(to.Pix, from.Pix)
		draw.Draw(to, r, image.NewUniform(color.RGBA{v, v, v, 255}), image.Point{}, draw.Src)
		return to
	}
	frames := []*image.RGBA{noise}
	for _, c := range []struct {
		r image.Rectangle
		v uint8
	}{
		{image.Rect(w-5, h-4, w, h), 255}, {image.Rect(0, 0, 1, 1), 0}, {image.Rect(0, 0, 0, 0), 0},
		{image.Rect(0, 0, w, h), 128}, {image.Rect(3, 2, 9, 11), 30},
	} {
		frames = append(frames, alter(frames[len(frames)-1], c.r, c.v))
	}
	var b bytes.Buffer
	film, err := NewGIF(&b, greys(steps))
	if err != nil {
		t.Fatal(err)
	}
	// 12 pictures per second last 8⅓ hundredths each; 2 ms is less than one.
	times := []time.Duration{time.Second / 12, time.Second / 12, time.Second / 12, 2 * time.Millisecond, 3 * time.Second, time.Second / 12}
	var total time.Duration
	for i, f := range frames {
		total += times[i]
		if err := film.Add(f, times[i]); err != nil {
			t.Fatal(err)
		}
	}
	if err := film.Close(); err != nil {
		t.Fatal(err)
	}
	g, shown := decoded(t, b.Bytes())
	if len(shown) != len(frames) || g.LoopCount != 0 {
		t.Fatalf("%d frames, loop count %d; want %d for ever (0)", len(shown), g.LoopCount, len(frames))
	}
	for i, f := range frames {
		for k, v := range f.Pix {
			if d := int(v) - int(shown[i].Pix[k]); d > 8 || d < -8 { // 255/17/2 = 7.5
				t.Fatalf("frame %d, byte %d: shows %d, was %d", i, k, shown[i].Pix[k], v)
			}
		}
	}
	sum := 0
	for i, d := range g.Delay {
		if d < 1 {
			t.Errorf("frame %d stands for %d hundredths", i, d)
		}
		sum += d
	}
	if off := time.Duration(sum)*10*time.Millisecond - total; off > 5*time.Millisecond || off < -5*time.Millisecond {
		t.Errorf("the film lasts %d hundredths, want %v", sum, total)
	}
	if r := g.Image[3].Rect; r.Dx() != 1 || r.Dy() != 1 {
		t.Errorf("a frame like the one before takes %v, want one element", r)
	}
	if r := g.Image[1].Rect; !r.In(image.Rect(w-5, h-4, w, h)) {
		t.Errorf("a change in a corner takes %v", r)
	}
}

// Rounding never adds up: an hour of frames at a rate GIF cannot express keeps its
// length.
func TestGIFKeepsTime(t *testing.T) {
	var b bytes.Buffer
	film, err := NewGIF(&b, greys(2))
	if err != nil {
		t.Fatal(err)
	}
	img := image.NewRGBA(image.Rect(0, 0, 1, 1))
	for range 700 {
		if err := film.Add(img, time.Second/7); err != nil {
			t.Fatal(err)
		}
	}
	if err := film.Close(); err != nil {
		t.Fatal(err)
	}
	g, shown := decoded(t, b.Bytes())
	sum := 0
	for _, d := range g.Delay {
		sum += d
	}
	if len(shown) != 700 || sum != 100*100 {
		t.Errorf("%d frames of one element last %d hundredths, want 700 and 10000", len(shown), sum)
	}
}

// A picture cut from a larger one starts where it starts.
func TestGIFOfASubImage(t *testing.T) {
	whole := image.NewRGBA(image.Rect(0, 0, 9, 9))
	draw.Draw(whole, whole.Rect, image.NewUniform(color.Black), image.Point{}, draw.Src)
	whole.SetRGBA(4, 5, color.RGBA{255, 255, 255, 255})
	var b bytes.Buffer
	film, err := NewGIF(&b, greys(2))
	if err != nil {
		t.Fatal(err)
	}
	if err := film.Add(whole.SubImage(image.Rect(3, 3, 7, 8)).(*image.RGBA), time.Second); err != nil {
		t.Fatal(err)
	}
	if err := film.Close(); err != nil {
		t.Fatal(err)
	}
	_, shown := decoded(t, b.Bytes())
	if s := shown[0].Rect.Size(); s != (image.Point{X: 4, Y: 5}) || shown[0].RGBAAt(1, 2).R != 255 || shown[0].RGBAAt(0, 0).R != 0 {
		t.Errorf("size %v with %v at its white place", s, shown[0].RGBAAt(1, 2))
	}
}

type brokenWriter struct{ left int }

var errFull = errors.New("the disk is full")

func (w *brokenWriter) Write(p []byte) (int, error) {
	if w.left -= len(p); w.left < 0 {
		return 0, errFull
	}
	return len(p), nil
}

func TestGIFRefuses(t *testing.T) {
	for _, n := range []int{0, 1, 256} {
		var p color.Palette
		for range n {
			p = append(p, color.Black)
		}
		if _, err := NewGIF(&bytes.Buffer{}, p); err == nil || !strings.Contains(err.Error(), "2…255") {
			t.Errorf("a palette of %d: %v", n, err)
		}
	}
	film, err := NewGIF(&bytes.Buffer{}, greys(4))
	if err != nil {
		t.Fatal(err)
	}
	if err := film.Close(); err == nil {
		t.Error("a film without frames was written")
	}
	if err := film.Add(image.NewRGBA(image.Rect(0, 0, 0, 5)), time.Second); err == nil {
		t.Error("an empty frame was taken")
	}
	if err := film.Add(image.NewRGBA(image.Rect(0, 0, 4, 5)), time.Second); err != nil {
		t.Error(err)
	}
	if err := film.Add(image.NewRGBA(image.Rect(0, 0, 5, 4)), time.Second); err == nil || !strings.Contains(err.Error(), "size") {
		t.Errorf("a frame of another size: %v", err)
	}
	full, err := NewGIF(&brokenWriter{left: 100}, greys(255))
	if err != nil {
		t.Fatal(err)
	}
	noise := image.NewRGBA(image.Rect(0, 0, 120, 120))
	for k := range noise.Pix {
		noise.Pix[k] = uint8(k * 7919 >> 3)
	}
	err = full.Add(noise, time.Second)
	if err == nil {
		err = full.Close()
	}
	if !errors.Is(err, errFull) {
		t.Errorf("a full disk: %v", err)
	}
}

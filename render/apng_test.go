package render

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"strings"
	"testing"
	"time"
)

// readAPNG takes an animated PNG apart by the specification (PNG Third Edition, W3C 2025, section
// 11.3.6) and puts its frames together again: every frame's data behind a header of its own size is
// a PNG file.
func readAPNG(t *testing.T, data []byte) (frames []*image.RGBA, delays []time.Duration) {
	t.Helper()
	const signature = "\x89PNG\r\n\x1a\n"
	if !bytes.HasPrefix(data, []byte(signature)) {
		t.Fatal("no PNG signature")
	}
	chunk := func(to *bytes.Buffer, kind string, body []byte) {
		all := append([]byte(kind), body...)
		binary.Write(to, binary.BigEndian, uint32(len(body)))
		to.Write(all)
		binary.Write(to, binary.BigEndian, crc32.ChecksumIEEE(all))
	}
	var header, control, pixels []byte
	var canvas *image.RGBA
	announced, sequence := 0, uint32(0)
	finish := func() {
		if control == nil {
			return
		}
		w, h := binary.BigEndian.Uint32(control), binary.BigEndian.Uint32(control[4:])
		at := image.Pt(int(binary.BigEndian.Uint32(control[8:])), int(binary.BigEndian.Uint32(control[12:])))
		one := bytes.NewBufferString(signature)
		own := append(binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, w), h), header[8:]...)
		chunk(one, "IHDR", own)
		chunk(one, "IDAT", pixels)
		chunk(one, "IEND", nil)
		img, err := png.Decode(one)
		if err != nil {
			t.Fatalf("frame %d: %v", len(frames)+1, err)
		}
		if canvas == nil {
			canvas = image.NewRGBA(image.Rect(0, 0, int(binary.BigEndian.Uint32(header)), int(binary.BigEndian.Uint32(header[4:]))))
			if img.Bounds() != canvas.Rect {
				t.Errorf("the first frame is %v of %v", img.Bounds(), canvas.Rect)
			}
		}
		box := image.Rectangle{Min: at, Max: at.Add(img.Bounds().Size())}
		if !box.In(canvas.Rect) {
			t.Fatalf("frame %d at %v goes beyond %v", len(frames)+1, box, canvas.Rect)
		}
		draw.Draw(canvas, box, img, image.Point{}, draw.Src)
		frame := image.NewRGBA(canvas.Rect)
		copy(frame.Pix, canvas.Pix)
		frames = append(frames, frame)
		delays = append(delays, time.Duration(binary.BigEndian.Uint16(control[16:]))*time.Second/time.Duration(binary.BigEndian.Uint16(control[18:])))
		control, pixels = nil, nil
	}
	for rest := data[8:]; len(rest) > 0; {
		n := binary.BigEndian.Uint32(rest)
		kind, body := string(rest[4:8]), rest[8:8+n]
		if crc32.ChecksumIEEE(rest[4:8+n]) != binary.BigEndian.Uint32(rest[8+n:]) {
			t.Errorf("%s: wrong checksum", kind)
		}
		rest = rest[12+n:]
		if kind == "fcTL" || kind == "fdAT" {
			if got := binary.BigEndian.Uint32(body); got != sequence {
				t.Errorf("%s has number %d, want %d", kind, got, sequence)
			}
			sequence++
			body = body[4:]
		}
		switch kind {
		case "IHDR":
			header = body
		case "acTL":
			announced = int(binary.BigEndian.Uint32(body))
		case "fcTL":
			finish()
			control = body
		case "IDAT", "fdAT":
			if (kind == "IDAT") != (len(frames) == 0) {
				t.Errorf("frame %d is in %s", len(frames)+1, kind)
			}
			pixels = append(pixels, body...)
		}
	}
	finish()
	if announced != len(frames) {
		t.Errorf("%d frames are announced, %d there", announced, len(frames))
	}
	return frames, delays
}

func TestAPNGKeepsEveryColour(t *testing.T) {
	var b bytes.Buffer
	const n = 7
	film, err := NewAPNG(&b, n)
	if err != nil {
		t.Fatal(err)
	}
	var want []*image.RGBA
	for k := range n {
		img := image.NewRGBA(image.Rect(0, 0, 40, 30))
		for i := range 40 * 30 {
			img.SetRGBA(i%40, i/40, color.RGBA{uint8(5 * (i % 40)), uint8(8 * (i / 40)), 77, 255})
		}
		if k != 3 { // frame 4 is like frame 3 but for the dot
			img.SetRGBA(5*k, 4*k, color.RGBA{255, uint8(k), 0, 255})
		}
		want = append(want, img)
		if err := film.Add(img, time.Second/12); err != nil {
			t.Fatal(err)
		}
	}
	if err := film.Close(); err != nil {
		t.Fatal(err)
	}
	got, delays := readAPNG(t, b.Bytes())
	total := time.Duration(0)
	for k := range got {
		if !bytes.Equal(got[k].Pix, want[k].Pix) {
			t.Errorf("frame %d differs", k+1)
		}
		total += delays[k]
	}
	if off := total - n*time.Second/12; len(got) != n || off < -time.Millisecond || off > time.Millisecond {
		t.Errorf("%d frames in %v", len(got), total)
	}
	// Only the dots are drawn anew: a viewer that knows PNG alone shows the first frame.
	if first, err := png.Decode(&b); err != nil || first.At(0, 0) != want[0].At(0, 0) {
		t.Errorf("as a plain PNG: %v", err)
	}
}

func TestAPNGRefuses(t *testing.T) {
	if _, err := NewAPNG(&bytes.Buffer{}, 0); err == nil {
		t.Error("a film of nothing was begun")
	}
	film, err := NewAPNG(&bytes.Buffer{}, 2)
	if err != nil {
		t.Fatal(err)
	}
	solid := func(w int) *image.RGBA {
		img := image.NewRGBA(image.Rect(0, 0, w, 4))
		draw.Draw(img, img.Rect, image.White, image.Point{}, draw.Src)
		return img
	}
	if err := film.Add(solid(4), time.Second); err != nil {
		t.Fatal(err)
	}
	if err := film.Add(solid(5), time.Second); err == nil || !strings.Contains(err.Error(), "differs") {
		t.Errorf("another size: %v", err)
	}
	if err := film.Close(); err == nil || !strings.Contains(err.Error(), "1 frames of 2") {
		t.Errorf("cut short: %v", err)
	}
	if err := film.Add(solid(4), time.Second); err != nil {
		t.Error(err)
	}
	if err := film.Add(solid(4), time.Second); err == nil {
		t.Error("a frame too many was taken")
	}
	broken, _ := NewAPNG(&brokenWriter{left: 20}, 1)
	if err := broken.Add(solid(4), time.Second); err == nil {
		err = broken.Close()
		if err == nil {
			t.Error("a broken writer was not told")
		}
	}
}

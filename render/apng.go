package render

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"image"
	"image/png"
	"io"
	"math"
	"time"
)

// APNG writes an animated PNG frame by frame, in all colours, so that memory does not grow with
// the film's length (PNG Third Edition, W3C 2025, section 11.3.6: acTL, then an fcTL before the
// data of each frame, which is in IDAT chunks for the first and in fdAT chunks after it). A
// viewer that does not know it shows the first frame. Close must be called.
type APNG struct {
	w        *bufio.Writer
	frames   int // announced
	written  int
	sequence uint32
	last     *image.RGBA
	owed     time.Duration // rounding carried from frame to frame
}

// NewAPNG starts a film of so many frames that loops without end.
func NewAPNG(w io.Writer, frames int) (*APNG, error) {
	if frames < 1 || frames > math.MaxInt32 {
		return nil, fmt.Errorf("starting an animated PNG: %d frames", frames)
	}
	return &APNG{w: bufio.NewWriter(w), frames: frames}, nil
}

// Add appends an opaque frame shown for the given time, kept to a thousandth of a second; what
// rounding takes from one frame is given to the next. All frames must have the first one's size.
func (a *APNG) Add(img *image.RGBA, shown time.Duration) error {
	if a.last != nil && img.Rect != a.last.Rect {
		return fmt.Errorf("adding a frame to an animated PNG: %v differs from the film's %v", img.Rect, a.last.Rect)
	}
	if a.written == a.frames {
		return fmt.Errorf("adding a frame to an animated PNG: it was begun for %d", a.frames)
	}
	a.owed += shown
	delay := min(max((a.owed+time.Millisecond/2)/time.Millisecond, 1), math.MaxUint16)
	a.owed -= delay * time.Millisecond
	box := img.Rect
	if a.last != nil {
		box = changedBox(img, a.last)
	}
	var one bytes.Buffer
	if err := png.Encode(&one, img.SubImage(box)); err != nil {
		return fmt.Errorf("encoding a frame of an animated PNG: %w", err)
	}
	data := one.Bytes()
	const signature, header = 8, 12 + 13
	if a.last == nil {
		a.last = image.NewRGBA(img.Rect)
		a.w.Write(data[:signature+header])
		a.chunk("acTL", binary.BigEndian.AppendUint32(nil, uint32(a.frames)), []byte{0, 0, 0, 0})
	}
	copy(a.last.Pix, img.Pix)
	at := box.Min.Sub(img.Rect.Min)
	var control []byte
	for _, v := range []int{box.Dx(), box.Dy(), at.X, at.Y} {
		control = binary.BigEndian.AppendUint32(control, uint32(v))
	}
	// Thousandths; the frame stays and is drawn over.
	a.chunk("fcTL", a.next(), control, binary.BigEndian.AppendUint16(nil, uint16(delay)), []byte{1000 >> 8, 1000 & 0xff, 0, 0})
	for rest := data[signature+header:]; len(rest) >= 12; {
		n := int(binary.BigEndian.Uint32(rest))
		if string(rest[4:8]) == "IDAT" {
			if a.written == 0 {
				a.chunk("IDAT", rest[8:8+n])
			} else {
				a.chunk("fdAT", a.next(), rest[8:8+n])
			}
		}
		rest = rest[12+n:]
	}
	a.written++
	return nil
}

// Close ends the film. A film with fewer frames than it was begun for is an error.
func (a *APNG) Close() error {
	if a.written != a.frames {
		return fmt.Errorf("ending an animated PNG: %d frames of %d", a.written, a.frames)
	}
	a.chunk("IEND")
	if err := a.w.Flush(); err != nil {
		return fmt.Errorf("writing an animated PNG: %w", err)
	}
	return nil
}

// next is a number of the sequence that fcTL and fdAT chunks share.
func (a *APNG) next() []byte {
	a.sequence++
	return binary.BigEndian.AppendUint32(nil, a.sequence-1)
}

// chunk writes a chunk; the writer keeps its first error.
func (a *APNG) chunk(kind string, parts ...[]byte) {
	data := append([]byte(kind), bytes.Join(parts, nil)...)
	a.w.Write(binary.BigEndian.AppendUint32(nil, uint32(len(data)-4)))
	a.w.Write(data)
	a.w.Write(binary.BigEndian.AppendUint32(nil, crc32.ChecksumIEEE(data)))
}

// changedBox is the rectangle in which a picture differs from the one before, one element where
// it does not.
func changedBox(img, before *image.RGBA) image.Rectangle {
	box := image.Rectangle{}
	for y := img.Rect.Min.Y; y < img.Rect.Max.Y; y++ {
		from := img.PixOffset(img.Rect.Min.X, y)
		a, b := img.Pix[from:from+4*img.Rect.Dx()], before.Pix[from:from+4*img.Rect.Dx()]
		if bytes.Equal(a, b) {
			continue
		}
		first, last := 0, img.Rect.Dx()-1
		for bytes.Equal(a[4*first:4*first+4], b[4*first:4*first+4]) {
			first++
		}
		for bytes.Equal(a[4*last:4*last+4], b[4*last:4*last+4]) {
			last--
		}
		box = box.Union(image.Rect(img.Rect.Min.X+first, y, img.Rect.Min.X+last+1, y+1))
	}
	if box.Empty() {
		box = image.Rectangle{Min: img.Rect.Min, Max: img.Rect.Min.Add(image.Pt(1, 1))}
	}
	return box
}

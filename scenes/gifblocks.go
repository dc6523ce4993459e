package scenes

import (
	"encoding/binary"
	"errors"
	"fmt"
)

// gifFile is the block structure of a GIF file (GIF89a specification, 1990),
// read without decoding any picture.
type gifFile struct {
	width, height int    // logical screen; may be 0 or smaller than the frames in odd files
	global        []byte // global colour table, empty if none
	globalField   byte   // its size field, 0…7
	frames        []gifFrame
}

// gifFrame is one image block with the graphic control that precedes it.
type gifFrame struct {
	control                  []byte // the 8 bytes of its graphic control extension, nil if none
	left, top, width, height int
	field                    byte   // packed field of the image descriptor
	body                     []byte // local colour table and image data, to the block terminator
}

// delay returns the time in hundredths of a second until the next frame.
func (f gifFrame) delay() int {
	if f.control == nil {
		return 0
	}
	return int(binary.LittleEndian.Uint16(f.control[4:]))
}

// disposal returns the disposal method, 0…7: what happens to the frame's
// rectangle after its delay. 0 and 1 leave it, 2 clears it, 3 puts back what was
// there; 4…7 are not defined and are taken as 0.
func (f gifFrame) disposal() int {
	if f.control == nil {
		return 0
	}
	return int(f.control[3] >> 2 & 7)
}

// errGIFEnd says that the file ends before its end mark.
var errGIFEnd = errors.New("the file ends early")

// scanGIF reads the block structure. frames is the greatest number of frames
// accepted. When an error is returned the frames before it are whole.
func scanGIF(data []byte, frames int) (gifFile, error) {
	var g gifFile
	c := gifCursor{data: data}
	head := c.take(13)
	if head == nil {
		return g, errGIFEnd
	}
	if v := string(head[:6]); v != "GIF87a" && v != "GIF89a" {
		return g, fmt.Errorf("not a GIF file: it begins with %q, want GIF87a or GIF89a", v)
	}
	g.width = int(binary.LittleEndian.Uint16(head[6:]))
	g.height = int(binary.LittleEndian.Uint16(head[8:]))
	if f := head[10]; f&0x80 != 0 {
		g.globalField = f & 7
		if g.global = c.take(3 << (g.globalField + 1)); g.global == nil {
			return g, errGIFEnd
		}
	}
	var control []byte
	for {
		mark := c.take(1)
		if mark == nil {
			return g, errGIFEnd
		}
		switch mark[0] {
		case ';':
			return g, nil
		case '!':
			label := c.take(1)
			if label == nil {
				return g, errGIFEnd
			}
			start := c.at - 2
			if !c.skipBlocks() {
				return g, errGIFEnd
			}
			switch label[0] {
			case 0xF9:
				control = data[start:c.at]
				if len(control) != 8 || control[2] != 4 {
					return g, fmt.Errorf("byte %d: a graphic control of %d bytes, want 8", start, len(control))
				}
			case 0x01: // a plain text block takes the control that precedes it
				control = nil
			}
		case ',':
			if len(g.frames) == frames {
				return g, fmt.Errorf("more than %d frames", frames)
			}
			f, ok := c.image()
			if !ok {
				return g, errGIFEnd
			}
			f.control = control
			control = nil
			g.frames = append(g.frames, f)
		default:
			return g, fmt.Errorf("byte %d: unknown block 0x%02x", c.at-1, mark[0])
		}
	}
}

type gifCursor struct {
	data []byte
	at   int
}

// take returns the next n bytes, or nil if there are fewer.
func (c *gifCursor) take(n int) []byte {
	if n > len(c.data)-c.at {
		return nil
	}
	b := c.data[c.at : c.at+n : c.at+n]
	c.at += n
	return b
}

// skipBlocks passes over data sub-blocks up to and with their terminator.
func (c *gifCursor) skipBlocks() bool {
	for {
		n := c.take(1)
		if n == nil {
			return false
		}
		if n[0] == 0 {
			return true
		}
		if c.take(int(n[0])) == nil {
			return false
		}
	}
}

// image reads an image block after its mark.
func (c *gifCursor) image() (gifFrame, bool) {
	d := c.take(9)
	if d == nil {
		return gifFrame{}, false
	}
	f := gifFrame{
		left:   int(binary.LittleEndian.Uint16(d)),
		top:    int(binary.LittleEndian.Uint16(d[2:])),
		width:  int(binary.LittleEndian.Uint16(d[4:])),
		height: int(binary.LittleEndian.Uint16(d[6:])),
		field:  d[8],
	}
	start := c.at
	if f.field&0x80 != 0 && c.take(3<<(f.field&7+1)) == nil {
		return f, false
	}
	if c.take(1) == nil || !c.skipBlocks() { // code size, data
		return f, false
	}
	f.body = c.data[start:c.at]
	return f, true
}

// alone returns a GIF file that holds just this frame, at the origin of a
// logical screen of its own size, so that a frame reaching over the edge of its
// screen can be decoded as well.
func (g gifFile) alone(dst []byte, f gifFrame) []byte {
	dst = append(dst[:0], "GIF89a"...)
	dst = binary.LittleEndian.AppendUint16(dst, uint16(f.width))
	dst = binary.LittleEndian.AppendUint16(dst, uint16(f.height))
	if len(g.global) > 0 {
		dst = append(dst, 0x80|g.globalField, 0, 0)
		dst = append(dst, g.global...)
	} else {
		dst = append(dst, 0, 0, 0)
	}
	dst = append(dst, f.control...)
	dst = append(dst, ',', 0, 0, 0, 0)
	dst = binary.LittleEndian.AppendUint16(dst, uint16(f.width))
	dst = binary.LittleEndian.AppendUint16(dst, uint16(f.height))
	dst = append(dst, f.field)
	dst = append(dst, f.body...)
	return append(dst, ';')
}

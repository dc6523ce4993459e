package read

import (
	"bufio"
	"compress/lzw"
	"encoding/binary"
	"errors"
	"fmt"
	"image"
	"io"
	"slices"
)

// gifReader reads the block structure of a GIF file (GIF89a specification, 1990)
// frame by frame, holding no more of it than a block.
type gifReader struct {
	in            *bufio.Reader
	at            int64 // bytes taken from in
	width, height int   // logical screen; may be 0 or smaller than the frames in odd files
	global        []byte
	frame         gifFrame // the one being read
	whole         int      // frames read to their end
	block         int      // bytes left of the data block being read
	lzw           lzw.Reader
	line          []byte
	scratch       [768]byte
	local         [768]byte // colours of the frame
}

// gifFrame is one image block with the graphic control that precedes it.
type gifFrame struct {
	left, top, width, height int
	interlaced               bool
	delay                    int // hundredths of a second until the next frame
	// disposal is what happens to the frame's rectangle after its delay. 0 and 1 leave
	// it, 2 clears it, 3 puts back what was there; 4…7 are not defined and are taken
	// as 0.
	disposal    int
	transparent int    // index of the colour that leaves what is there, −1 for none
	colours     []byte // red, green and blue of each, of the frame or of the file; nil if neither has any
}

func (f *gifFrame) area() image.Rectangle {
	return image.Rect(f.left, f.top, f.left+f.width, f.top+f.height)
}

// errGIFEnd says that the file ends before its end mark.
var errGIFEnd = errors.New("the file ends early")

// take returns the next n bytes, 768 at most, valid until the next call.
func (g *gifReader) take(n int) ([]byte, error) {
	m, err := io.ReadFull(g.in, g.scratch[:n])
	g.at += int64(m)
	return g.scratch[:n], gifEnd(err)
}

func gifEnd(err error) error {
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		return errGIFEnd
	}
	return err
}

// colours reads a colour table if a packed field says that there is one.
func (g *gifReader) colours(field byte) ([]byte, error) {
	if field&0x80 == 0 {
		return nil, nil
	}
	return g.take(3 << (field&7 + 1))
}

// header reads what comes before the first block.
func (g *gifReader) header() error {
	b, err := g.take(13)
	if err != nil {
		return err
	}
	if v := string(b[:6]); v != "GIF87a" && v != "GIF89a" {
		return fmt.Errorf("not a GIF file: it begins with %q, want GIF87a or GIF89a", v)
	}
	g.width = int(binary.LittleEndian.Uint16(b[6:]))
	g.height = int(binary.LittleEndian.Uint16(b[8:]))
	table, err := g.colours(b[10])
	g.global = append(g.global, table...)
	return err
}

// next reads up to the data of the next frame, which pixels or skip must take in. The
// error is io.EOF at the file's end mark.
func (g *gifReader) next() error {
	f := gifFrame{transparent: -1}
	for {
		start := g.at
		b, err := g.take(1)
		if err != nil {
			return err
		}
		switch b[0] {
		case ';':
			return io.EOF
		case '!':
			if b, err = g.take(1); err != nil {
				return err
			}
			switch b[0] {
			case 0xF9:
				if b, err = g.take(6); err != nil {
					return err
				}
				if b[0] != 4 || b[5] != 0 {
					return fmt.Errorf("byte %d: a graphic control of another size than 8 bytes", start)
				}
				f.disposal, f.delay, f.transparent = int(b[1]>>2&7), int(binary.LittleEndian.Uint16(b[2:])), -1
				if b[1]&1 != 0 {
					f.transparent = int(b[4])
				}
				continue
			case 0xFF: // of an application; an empty name does not end it
				if b, err = g.take(1); err != nil {
					return err
				}
				g.block = int(b[0])
			case 0x01: // a plain text block takes the control that precedes it
				f = gifFrame{transparent: -1}
			}
			if err := g.skip(); err != nil {
				return err
			}
		case ',':
			return g.descriptor(f)
		default:
			return fmt.Errorf("byte %d: unknown block 0x%02x", start, b[0])
		}
	}
}

// descriptor reads an image block up to its data.
func (g *gifReader) descriptor(f gifFrame) error {
	b, err := g.take(9)
	if err != nil {
		return err
	}
	f.left, f.top = int(binary.LittleEndian.Uint16(b)), int(binary.LittleEndian.Uint16(b[2:]))
	f.width, f.height = int(binary.LittleEndian.Uint16(b[4:])), int(binary.LittleEndian.Uint16(b[6:]))
	f.interlaced = b[8]&0x40 != 0
	table, err := g.colours(b[8])
	if err != nil {
		return err
	}
	if f.colours = g.global; table != nil {
		f.colours = g.local[:copy(g.local[:], table)]
	}
	g.frame = f
	return nil
}

// skip passes over data blocks up to and with their terminator.
func (g *gifReader) skip() error {
	for {
		n, err := g.in.Discard(g.block)
		if g.at += int64(n); err != nil {
			return gifEnd(err)
		}
		b, err := g.in.ReadByte()
		if err != nil {
			return gifEnd(err)
		}
		g.at++
		if g.block = int(b); b == 0 {
			return nil
		}
	}
}

// skipFrame passes over the data of the frame.
func (g *gifReader) skipFrame() error {
	if _, err := g.take(1); err != nil { // code size
		return err
	}
	if err := g.skip(); err != nil {
		return err
	}
	g.whole++
	return nil
}

// ReadByte and Read give the data blocks of a frame as one stream.
func (g *gifReader) ReadByte() (byte, error) {
	for range 2 {
		b, err := g.in.ReadByte()
		if err != nil {
			return 0, gifEnd(err)
		}
		g.at++
		if g.block > 0 {
			g.block--
			return b, nil
		}
		if g.block = int(b); b == 0 {
			if err := g.in.UnreadByte(); err != nil { // left for skip
				return 0, err
			}
			g.at--
			return 0, io.EOF
		}
	}
	return 0, io.EOF // an empty block ends the data
}

func (g *gifReader) Read(p []byte) (int, error) {
	for i := range p {
		b, err := g.ReadByte()
		if err != nil {
			return i, err
		}
		p[i] = b
	}
	return len(p), nil
}

// pixels hands over the frame's rows as colour indices, each with its number, in the
// order of the file.
func (g *gifReader) pixels(row func(y int, indices []byte) error) error {
	f := &g.frame
	b, err := g.take(1)
	if err != nil {
		return err
	}
	if b[0] < 2 || b[0] > 8 {
		return fmt.Errorf("pixels of %d bits, want 2…8", b[0])
	}
	if len(f.colours) == 0 {
		return errors.New("no colour table")
	}
	g.lzw.Reset(g, lzw.LSB, int(b[0]))
	g.line = slices.Grow(g.line[:0], f.width)[:f.width]
	line := g.line
	most := max(len(f.colours)/3-1, f.transparent)
	passes := [][2]int{{0, 1}} // first row, step
	if f.interlaced {
		passes = [][2]int{{0, 8}, {4, 8}, {2, 4}, {1, 2}}
	}
	for _, pass := range passes {
		for y := pass[0]; y < f.height && f.width > 0; y += pass[1] {
			if _, err := io.ReadFull(&g.lzw, line); err != nil {
				if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
					err = errors.New("the frame has too few pixels")
				}
				return err
			}
			if v := slices.Max(line); int(v) > most {
				return fmt.Errorf("colour %d of a table of %d", v, most+1)
			}
			if err := row(y, line); err != nil {
				return err
			}
		}
	}
	// What follows the last pixel, an end code or a byte too many, tells nothing.
	if err := g.skip(); err != nil {
		return err
	}
	g.whole++
	return nil
}

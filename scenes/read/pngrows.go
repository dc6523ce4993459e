package read

import (
	"bufio"
	"bytes"
	"compress/zlib"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"hash"
	"hash/crc32"
	"io"
)

// pngRows reads a PNG picture that is not interlaced (PNG Third Edition, W3C 2025) row
// by row, holding two rows of it. The standard library's decoder, which reads small
// pictures, holds the whole of one: half a gigabyte for 64 megapixels of four samples
// of 16 bits. What either makes of a file is the same; its tests compare them.
type pngRows struct {
	pngHeader
	in         *pngData
	inflate    io.Reader
	row, above []byte // each with its filter's number before it
	at         int    // row that row holds, −1 before the first
	background float64
	table      []float64 // luminance of each value of a picture of one sample of up to 8 bits
	key        []byte    // samples of the colour that is transparent, nil for none
}

// pngHeader is what the first chunk says.
type pngHeader struct {
	width, height     int
	depth, colour     byte
	interlaced        bool
	samples, perPixel int // of a pixel; bytes of a pixel, at least 1
}

// Colour types of a PNG.
const (
	pngGray      = 0
	pngTrue      = 2
	pngPalette   = 3
	pngGrayAlpha = 4
	pngTrueAlpha = 6
)

// pngSignature begins every PNG file.
const pngSignature = "\x89PNG\r\n\x1a\n"

// parsePNGHeader reads the header from the start of a file that a decoder has found
// right.
func parsePNGHeader(head []byte) (pngHeader, error) {
	if len(head) < 33 || string(head[:8]) != pngSignature || string(head[12:16]) != "IHDR" {
		return pngHeader{}, errors.New("a PNG file without its header")
	}
	h := pngHeader{
		width: int(binary.BigEndian.Uint32(head[16:])), height: int(binary.BigEndian.Uint32(head[20:])),
		depth: head[24], colour: head[25], interlaced: head[28] != 0,
	}
	h.samples = map[byte]int{pngGray: 1, pngTrue: 3, pngPalette: 1, pngGrayAlpha: 2, pngTrueAlpha: 4}[h.colour]
	h.perPixel = max(1, h.samples*int(h.depth)/8)
	return h, nil
}

// decoded returns how many bytes the standard decoder takes for the picture.
func (h pngHeader) decoded() int64 {
	perPixel := int64(4)
	if h.samples == 1 {
		perPixel = 1
	}
	if h.depth == 16 {
		perPixel *= 2
	}
	if h.interlaced { // its passes, too
		perPixel *= 2
	}
	return int64(h.width) * int64(h.height) * perPixel
}

// newPNGRows reads up to the pixels.
func newPNGRows(r io.Reader, h pngHeader, background float64) (*pngRows, error) {
	p := &pngRows{pngHeader: h, at: -1, background: background, in: &pngData{in: bufio.NewReaderSize(r, 1<<15), crc: crc32.NewIEEE()}}
	if _, err := p.in.in.Discard(len(pngSignature)); err != nil {
		return nil, err
	}
	var palette, alpha []byte
	for p.in.kind != "IDAT" {
		if err := p.in.next(); err != nil {
			return nil, err
		}
		switch p.in.kind {
		case "PLTE", "tRNS":
			b, err := p.in.whole(768)
			if err != nil {
				return nil, err
			}
			if p.in.kind == "PLTE" {
				palette = b
			} else {
				alpha = b
			}
		case "IEND":
			return nil, errors.New("no pixels before the end")
		}
	}
	if err := p.colours(palette, alpha); err != nil {
		return nil, err
	}
	inflate, err := zlib.NewReader(p.in)
	if err != nil {
		return nil, err
	}
	p.inflate = inflate
	n := 1 + (h.width*h.samples*int(h.depth)+7)/8
	p.row, p.above = make([]byte, n), make([]byte, n)
	return p, nil
}

// colours prepares how samples become luminance.
func (p *pngRows) colours(palette, alpha []byte) error {
	if p.colour == pngGray || p.colour == pngTrue {
		if want := 2 * p.samples; alpha != nil && len(alpha) != want {
			return fmt.Errorf("a transparent colour of %d bytes, want %d", len(alpha), want)
		}
		p.key = alpha
	}
	if p.samples != 1 || p.depth > 8 {
		return nil
	}
	most := 1<<p.depth - 1
	p.table = make([]float64, most+1)
	if p.colour == pngGray {
		for i := range p.table {
			p.table[i] = linear8[i*255/most]
		}
		if p.key != nil && int(p.key[1]) <= most {
			p.table[p.key[1]] = p.background
		}
		return nil
	}
	if len(palette) == 0 || len(palette)%3 != 0 {
		return fmt.Errorf("a palette of %d bytes, want three a colour", len(palette))
	}
	palette = append(palette, make([]byte, 768)...) // colours beyond it are black
	for i := range p.table {
		y := luminance8(palette[3*i], palette[3*i+1], palette[3*i+2])
		if i < len(alpha) {
			y = over(y, float64(alpha[i])/255, p.background)
		}
		p.table[i] = y
	}
	return nil
}

// luminances writes those from column x on of row y, which must not lie before one
// asked for earlier.
func (p *pngRows) luminances(dst []float64, x, y int) error {
	for p.at < y {
		if err := p.read(); err != nil {
			return err
		}
	}
	row := p.row[1:]
	switch {
	case p.table != nil:
		for i := range dst {
			bit := (x + i) * int(p.depth)
			v := row[bit/8] >> (8 - int(p.depth) - bit%8)
			dst[i] = p.table[int(v)&(len(p.table)-1)]
		}
	case p.depth == 8:
		for i := range dst {
			s := row[(x+i)*p.perPixel:][:p.perPixel]
			y, a := linear8[s[0]], byte(255)
			if p.samples >= 3 {
				y = luminance8(s[0], s[1], s[2])
			}
			switch {
			case p.samples%2 == 0:
				a = s[p.samples-1]
			case p.key != nil && s[0] == p.key[1] && s[1] == p.key[3] && s[2] == p.key[5]:
				a = 0
			}
			if dst[i] = y; a != 255 {
				dst[i] = over(y, float64(a)/255, p.background)
			}
		}
	default:
		t := linear16()
		for i := range dst {
			s := row[(x+i)*p.perPixel:][:p.perPixel]
			y, a := t[binary.BigEndian.Uint16(s)], uint16(65535)
			if p.samples >= 3 {
				y = weightR*y + weightG*t[binary.BigEndian.Uint16(s[2:])] + weightB*t[binary.BigEndian.Uint16(s[4:])]
			}
			switch {
			case p.samples%2 == 0:
				a = binary.BigEndian.Uint16(s[len(s)-2:])
			case p.key != nil && bytes.Equal(s, p.key):
				a = 0
			}
			if dst[i] = y; a != 65535 {
				dst[i] = over(y, float64(a)/65535, p.background)
			}
		}
	}
	return nil
}

// read reads the next row and takes its filter off.
func (p *pngRows) read() error {
	p.row, p.above = p.above, p.row
	if _, err := io.ReadFull(p.inflate, p.row); err != nil {
		if err == io.EOF {
			err = io.ErrUnexpectedEOF
		}
		return err
	}
	p.at++
	now, above, n := p.row[1:], p.above[1:], p.perPixel
	switch p.row[0] {
	case 0:
	case 1: // left
		for i := n; i < len(now); i++ {
			now[i] += now[i-n]
		}
	case 2: // above
		for i, v := range above {
			now[i] += v
		}
	case 3: // mean of both
		for i := range min(n, len(now)) {
			now[i] += above[i] / 2
		}
		for i := n; i < len(now); i++ {
			now[i] += byte((int(now[i-n]) + int(above[i])) / 2)
		}
	case 4: // whichever of left, above and above left is nearest to left + above − above left
		for i := range min(n, len(now)) {
			now[i] += above[i]
		}
		for i := n; i < len(now); i++ {
			now[i] += paeth(int(now[i-n]), int(above[i]), int(above[i-n]))
		}
	default:
		return fmt.Errorf("row %d has filter %d, want 0…4", p.at+1, p.row[0])
	}
	return nil
}

// paeth is the predictor of PNG Third Edition, 9.4.
func paeth(left, above, corner int) byte {
	toLeft, toAbove := above-corner, left-corner
	toCorner := toLeft + toAbove
	toLeft, toAbove, toCorner = max(toLeft, -toLeft), max(toAbove, -toAbove), max(toCorner, -toCorner)
	switch {
	case toLeft <= toAbove && toLeft <= toCorner:
		return byte(left)
	case toAbove <= toCorner:
		return byte(above)
	}
	return byte(corner)
}

// finish reads what is left and checks that it is whole.
func (p *pngRows) finish(ctx context.Context) error {
	for p.at < p.height-1 {
		if err := ctx.Err(); err != nil {
			return err
		}
		if err := p.read(); err != nil {
			return err
		}
	}
	if n, err := p.inflate.Read(p.row[:1]); n != 0 || err != io.EOF {
		if n != 0 || err == nil {
			err = errors.New("pixels after the last row")
		}
		return err
	}
	for p.in.kind != "IEND" {
		if err := p.in.next(); err != nil {
			return err
		}
	}
	return p.in.end()
}

// pngData reads the chunks of a PNG, and the data of all its IDAT chunks as one stream.
type pngData struct {
	in   *bufio.Reader
	kind string // of the chunk being read
	left int64  // bytes of its data
	crc  hash.Hash32
	head [8]byte
}

// next ends a chunk and reads the head of the next.
func (d *pngData) next() error {
	if d.kind != "" {
		if err := d.end(); err != nil {
			return err
		}
	}
	if _, err := io.ReadFull(d.in, d.head[:]); err != nil {
		return err
	}
	d.crc.Reset()
	_, _ = d.crc.Write(d.head[4:])
	d.left, d.kind = int64(binary.BigEndian.Uint32(d.head[:])), string(d.head[4:])
	return nil
}

// end passes over what is left of a chunk and checks it.
func (d *pngData) end() error {
	if _, err := io.CopyN(d.crc, d.in, d.left); err != nil {
		return err
	}
	if _, err := io.ReadFull(d.in, d.head[:4]); err != nil {
		return err
	}
	if binary.BigEndian.Uint32(d.head[:]) != d.crc.Sum32() {
		return fmt.Errorf("the chunk %q is damaged: its checksum does not fit", d.kind)
	}
	return nil
}

// whole returns the data of the chunk, of most bytes at most.
func (d *pngData) whole(most int64) ([]byte, error) {
	if d.left > most {
		return nil, fmt.Errorf("a chunk %q of %d bytes, want %d at most", d.kind, d.left, most)
	}
	b := make([]byte, d.left)
	_, err := io.ReadFull(d, b)
	return b, err
}

func (d *pngData) Read(p []byte) (int, error) {
	for d.left == 0 {
		if d.kind != "IDAT" {
			return 0, io.EOF
		}
		if err := d.next(); err != nil {
			return 0, err
		}
		if d.kind != "IDAT" {
			return 0, io.EOF
		}
	}
	n, err := d.in.Read(p[:min(int64(len(p)), d.left)])
	_, _ = d.crc.Write(p[:n])
	d.left -= int64(n)
	if err == io.EOF {
		err = io.ErrUnexpectedEOF
	}
	return n, err
}

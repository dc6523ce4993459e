package read

import (
	"bytes"
	"compress/zlib"
	"context"
	"encoding/binary"
	"hash/crc32"
	"io"
	"strings"
	"testing"

	"lodegrid/field/peak"
)

// Colour types of a PNG.
const (
	pngGray      = 0
	pngTrue      = 2
	pngPalette   = 3
	pngTrueAlpha = 6
)

// pngBuilder writes PNG files chunk by chunk.
type pngBuilder struct{ bytes.Buffer }

func newPNG(width, height, depth, colour, interlace int) *pngBuilder {
	b := &pngBuilder{}
	b.WriteString("\x89PNG\r\n\x1a\n")
	h := binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, uint32(width)), uint32(height))
	return b.chunk("IHDR", append(h, byte(depth), byte(colour), 0, 0, byte(interlace)))
}

func (b *pngBuilder) chunk(kind string, data []byte) *pngBuilder {
	b.Write(binary.BigEndian.AppendUint32(nil, uint32(len(data))))
	b.WriteString(kind)
	b.Write(data)
	b.Write(binary.BigEndian.AppendUint32(nil, crc32.Update(crc32.ChecksumIEEE([]byte(kind)), crc32.IEEETable, data)))
	return b
}

// pixels writes rows, each with its filter before it, in data chunks of size bytes.
func (b *pngBuilder) pixels(size int, rows func(w io.Writer)) *pngBuilder {
	var data bytes.Buffer
	w, _ := zlib.NewWriterLevel(&data, zlib.BestSpeed)
	rows(w)
	_ = w.Close()
	for data.Len() > 0 {
		b.chunk("IDAT", data.Next(size))
	}
	return b
}

func (b *pngBuilder) end() []byte { return b.chunk("IEND", nil).Bytes() }

// Large pictures in few bytes: read within the memory allowed, or refused by their header.
func TestLargePictures(t *testing.T) {
	rows := func(bytes int) func(w io.Writer) {
		return func(w io.Writer) {
			row := make([]byte, bytes+1)
			for y := range 8000 {
				row[0] = byte(y % 5)
				_, _ = w.Write(row)
			}
		}
	}
	for name, test := range map[string]struct {
		data func() []byte
		want string
	}{
		"colours.png": {func() []byte { return newPNG(8000, 8000, 8, pngTrue, 0).pixels(1<<16, rows(3*8000)).end() }, ""},
		"gray.png":    {func() []byte { return newPNG(8000, 8000, 16, pngGray, 0).pixels(1<<16, rows(2*8000)).end() }, ""},
		"alpha.png":   {func() []byte { return newPNG(8000, 8000, 16, pngTrueAlpha, 0).pixels(1<<16, rows(8*8000)).end() }, "alpha.png: the picture takes 512 MB to decode, the limit is 260 MB; scale it down first"},
		"clear.png": {func() []byte {
			return newPNG(8000, 8000, 16, pngGray, 0).chunk("tRNS", []byte{0, 1}).pixels(1<<16, rows(2*8000)).end()
		}, "the picture takes 512 MB"},
		// A byte a pixel and as much for its passes, where four would be refused: 36,011,250
		// bytes, filters included, in the seven passes of 6000 × 6000 pixels.
		"palette.png": {func() []byte {
			passes := func(w io.Writer) {
				for range 3750 {
					_, _ = w.Write(make([]byte, 9603))
				}
			}
			return newPNG(6000, 6000, 8, pngPalette, 1).chunk("PLTE", []byte{9, 9, 9}).pixels(1<<16, passes).end()
		}, ""},
		"interlaced.png": {func() []byte { return newPNG(8000, 8000, 16, pngTrue, 1).pixels(1<<16, rows(100)).end() }, "interlaced.png: the picture takes 1024 MB to decode, the limit is 260 MB; scale it down first"},
		"9000.png":       {func() []byte { return newPNG(9000, 9000, 8, pngGray, 0).pixels(1<<16, rows(100)).end() }, "over the limit of 64 megapixels"},
	} {
		t.Run(name, func(t *testing.T) {
			path := peak.File(t, name, func(w io.Writer) { _, _ = w.Write(test.data()) })
			peak.Below(t, 300_000_000, func() {
				s, _, err := Open(context.Background(), path, 10, 16, DefaultOptions())
				if test.want == "" && err != nil || test.want != "" && (err == nil || !strings.Contains(err.Error(), test.want)) {
					t.Errorf("%d frames, error %v, want it to say %q", len(s.Frames), err, test.want)
				}
			})
		})
	}
}

package read

import (
	"bytes"
	"compress/zlib"
	"context"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"image"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"lodegrid/field/peak"
)

// pngBuilder writes PNG files chunk by chunk.
type pngBuilder struct{ bytes.Buffer }

func newPNG(width, height, depth, colour, interlace int) *pngBuilder {
	b := &pngBuilder{}
	b.WriteString(pngSignature)
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

// filtered applies the filters of PNG Third Edition, 9.2, to rows of samples, each
// chosen by chance.
func filtered(w io.Writer, r *rand.Rand, rows [][]byte, bpp int) {
	above := make([]byte, len(rows[0]))
	for _, row := range rows {
		f := r.IntN(5)
		out := []byte{byte(f)}
		for i, v := range row {
			var left, corner byte
			if i >= bpp {
				left, corner = row[i-bpp], above[i-bpp]
			}
			switch f {
			case 1:
				v -= left
			case 2:
				v -= above[i]
			case 3:
				v -= byte((int(left) + int(above[i])) / 2)
			case 4:
				p := int(left) + int(above[i]) - int(corner)
				near := []byte{left, above[i], corner}
				v -= slices.MinFunc(near, func(a, b byte) int { return abs(p-int(a)) - abs(p-int(b)) })
			}
			out = append(out, v)
		}
		_, _ = w.Write(out)
		above = row
	}
}

func abs(v int) int { return max(v, -v) }

// samplePNG is a picture of noise with every filter, of few values so that transparent
// colours occur.
func samplePNG(seed uint64, width, height, depth, colour int, transparent bool) []byte {
	r := rand.New(rand.NewPCG(seed, 0))
	samples := []int{1, 0, 3, 1, 2, 0, 4}[colour]
	row := func() []byte {
		b := make([]byte, (width*samples*depth+7)/8)
		for i := range b {
			if b[i] = byte(r.IntN(256)); r.IntN(2) == 0 {
				b[i] = 7
			}
		}
		return b
	}
	var rows [][]byte
	for range height {
		rows = append(rows, row())
	}
	b := newPNG(width, height, depth, colour, 0)
	if colour == pngPalette {
		palette := make([]byte, 3*min(1<<depth, 200))
		for i := range palette {
			palette[i] = byte(r.IntN(256))
		}
		b.chunk("PLTE", palette)
	}
	if transparent {
		key := map[int][]byte{pngGray: {0, 7}, pngTrue: {0, 7, 0, 7, 0, 7}, pngPalette: {128, 255}}[colour]
		if depth == 16 {
			key = bytes.Repeat([]byte{7}, len(key))
		} else if colour == pngGray {
			key[1] &= byte(1<<depth - 1)
		}
		b.chunk("tRNS", key)
	}
	b.chunk("tEXt", []byte("a\x00b")).pixels(50, func(w io.Writer) { filtered(w, r, rows, max(1, samples*depth/8)) })
	return b.end()
}

// pngKinds calls do with every kind of picture that is not interlaced.
func pngKinds(do func(depth, colour int, transparent bool)) {
	for colour, depths := range map[int][]int{pngGray: {1, 2, 4, 8, 16}, pngTrue: {8, 16}, pngPalette: {1, 2, 4, 8}, pngGrayAlpha: {8, 16}, pngTrueAlpha: {8, 16}} {
		for _, depth := range depths {
			do(depth, colour, false)
			if colour != pngGrayAlpha && colour != pngTrueAlpha {
				do(depth, colour, true)
			}
		}
	}
}

// comparePNG reads a picture row by row and whole, and returns the greatest difference
// of a luminance.
func comparePNG(data []byte, background float64) (worst float64, err error) {
	img, _, err := image.Decode(bytes.NewReader(data))
	if err != nil {
		return 0, fmt.Errorf("the standard decoder: %w", err)
	}
	h, err := parsePNGHeader(data)
	if err != nil {
		return 0, err
	}
	p, err := newPNGRows(bytes.NewReader(data), h, background)
	if err != nil {
		return 0, err
	}
	whole := rowsOf(img, background)
	got, want := make([]float64, h.width), make([]float64, h.width)
	for y := range h.height {
		x := y % h.width
		if err := p.luminances(got[x:], x, y); err != nil {
			return 0, err
		}
		if err := whole(want[x:], x, y); err != nil {
			return 0, err
		}
		for i := x; i < h.width; i++ {
			worst = math.Max(worst, math.Abs(got[i]-want[i]))
		}
	}
	return worst, p.finish(context.Background())
}

func TestPNGRowsAgainstStandardDecoder(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(samples, "*.png"))
	if err != nil || len(files) < 5 {
		t.Fatal(files, err)
	}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if worst, err := comparePNG(data, 0.25); err != nil || worst > 1e-15 {
			t.Errorf("%s: off by %g, %v", file, worst, err)
		}
	}
	n := 0
	pngKinds(func(depth, colour int, transparent bool) {
		for seed := range uint64(3) {
			n++
			if worst, err := comparePNG(samplePNG(seed, 13, 11, depth, colour, transparent), 0.25); err != nil || worst > 1e-15 {
				t.Errorf("colour type %d of %d bits, transparent %v: off by %g, %v", colour, depth, transparent, worst, err)
			}
		}
	})
	t.Logf("%d pictures of each kind, %d samples", n, len(files))
}

func TestPNGRowsErrors(t *testing.T) {
	good := samplePNG(1, 13, 11, 8, pngTrue, true)
	read := func(data []byte) error {
		h, err := parsePNGHeader(good)
		if err != nil {
			return err
		}
		p, err := newPNGRows(bytes.NewReader(data), h, 0)
		if err != nil {
			return err
		}
		return p.finish(context.Background())
	}
	if err := read(good); err != nil {
		t.Fatal(err)
	}
	for n := 33; n < len(good); n++ {
		if read(good[:n]) == nil {
			t.Errorf("the first %d of %d bytes were read", n, len(good))
		}
		broken := bytes.Clone(good)
		broken[n] ^= 0x10
		if read(broken) == nil {
			t.Errorf("read with byte %d changed", n)
		}
	}
	zeros := func(n int) func(io.Writer) { return func(w io.Writer) { _, _ = w.Write(make([]byte, n)) } }
	head := func() *pngBuilder { return newPNG(13, 11, 8, pngTrue, 0) }
	for want, data := range map[string][]byte{
		"unexpected EOF":            head().pixels(99, zeros(11*40-1)).end(),
		"pixels after the last row": head().pixels(99, zeros(11*40+1)).end(),
		"row 1 has filter 5":        head().pixels(99, func(w io.Writer) { _, _ = w.Write(bytes.Repeat([]byte{5}, 440)) }).end(),
		"no pixels before the end":  head().end(),
		"a transparent colour of 2": head().chunk("tRNS", []byte{1, 2}).pixels(99, zeros(440)).end(),
		`a chunk "PLTE" of 3000`:    head().chunk("PLTE", make([]byte, 3000)).pixels(99, zeros(440)).end(),
		`chunk "tEXt" is damaged`:   append(head().chunk("tEXt", nil).Bytes()[:head().Len()+11], good...),
	} {
		if err := read(data); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("error %v, want it to say %q", err, want)
		}
	}
}

// Large pictures in few bytes: read in little memory, or refused by their header.
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
		"16-bit.png":     {func() []byte { return newPNG(8000, 8000, 16, pngTrue, 0).pixels(1<<16, rows(6*8000)).end() }, ""},
		"alpha.png":      {func() []byte { return newPNG(8000, 8000, 16, pngTrueAlpha, 0).pixels(1<<16, rows(8*8000)).end() }, ""},
		"gray.png":       {func() []byte { return newPNG(8000, 8000, 16, pngGray, 0).pixels(1<<16, rows(2*8000)).end() }, ""},
		"interlaced.png": {func() []byte { return newPNG(8000, 8000, 16, pngTrue, 1).pixels(1<<16, rows(100)).end() }, "interlaced.png: the picture takes 1024 MB to decode, the limit is 260 MB; scale it down first"},
		"9000.png":       {func() []byte { return newPNG(9000, 9000, 8, pngGray, 0).pixels(1<<16, rows(100)).end() }, "over the limit of 64 megapixels"},
	} {
		t.Run(name, func(t *testing.T) {
			path := peak.File(t, name, func(w io.Writer) { _, _ = w.Write(test.data()) })
			peak.Below(t, 100<<20, func() {
				s, _, err := Open(context.Background(), path, 10, 16, DefaultOptions())
				if test.want == "" && err != nil || test.want != "" && (err == nil || !strings.Contains(err.Error(), test.want)) {
					t.Errorf("%d frames, error %v, want it to say %q", len(s.Frames), err, test.want)
				}
			})
		})
	}
}

// FuzzPNGRows compares with the standard decoder on any pixels, and reads any bytes.
func FuzzPNGRows(f *testing.F) {
	f.Add(uint8(8), uint8(2), uint8(3), uint8(2), []byte{}, []byte{4, 1, 2, 3, 4, 5, 6, 7, 8, 9, 3, 1, 2, 3, 4, 5, 6, 7, 8, 9})
	f.Add(uint8(2), uint8(3), uint8(5), uint8(1), []byte{0, 9}, []byte{0, 0x1b, 0xc0})
	f.Add(uint8(16), uint8(0), uint8(1), uint8(2), []byte{1, 2}, []byte{1, 1, 2, 2, 0, 0})
	f.Fuzz(func(t *testing.T, depth, colour, width, height uint8, transparent, pixels []byte) {
		b := newPNG(int(width), int(height), int(depth), int(colour), 0)
		if colour == pngPalette {
			b.chunk("PLTE", []byte("abcdefghi"))
		}
		if len(transparent) > 0 {
			b.chunk("tRNS", transparent)
		}
		data := b.pixels(20, func(w io.Writer) { _, _ = w.Write(pixels) }).end()
		_, kind, err := image.Decode(bytes.NewReader(data))
		if err == nil && kind == "png" {
			if worst, err := comparePNG(data, 0.25); err != nil || worst > 1e-15 {
				t.Errorf("off by %g, %v", worst, err)
			}
		}
		if h, err := parsePNGHeader(append(data[:33:33], pixels...)); err == nil && h.width < 1<<16 && h.samples > 0 {
			if p, err := newPNGRows(bytes.NewReader(append(data[:33:33], pixels...)), h, 0); err == nil {
				_ = p.finish(context.Background())
			}
		}
	})
}

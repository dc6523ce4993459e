package read

import (
	"bufio"
	"bytes"
	"compress/lzw"
	"context"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"image"
	"image/color"
	"image/gif"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"lodegrid/scenes"
)

// samples is the folder of sample inputs; testdata/scenes/make.sh made them.
const samples = "../../testdata/scenes"

// srgbLuminance repeats the definition (IEC 61966-2-1, ITU-R BT.709) without the
// package's tables.
func srgbLuminance(r, g, b byte) float64 {
	lin := func(c byte) float64 {
		v := float64(c) / 255
		if v <= 0.04045 {
			return v / 12.92
		}
		return math.Pow((v+0.055)/1.055, 2.4)
	}
	return 0.2126*lin(r) + 0.7152*lin(g) + 0.0722*lin(b)
}

type gifReference struct {
	width, height int
	delays        []int
	frames        [][]byte // RGBA
}

func readGIFReference(t *testing.T, file string) gifReference {
	t.Helper()
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	var ref gifReference
	var pixels []byte
	lines := bufio.NewScanner(bytes.NewReader(text))
	lines.Buffer(nil, 1<<20)
	for lines.Scan() {
		line := lines.Text()
		switch {
		case strings.HasPrefix(line, "#"):
		case strings.HasPrefix(line, "size "):
			if _, err := fmt.Sscanf(line, "size %d %d", &ref.width, &ref.height); err != nil {
				t.Fatal(err)
			}
		case strings.HasPrefix(line, "delays "):
			for _, f := range strings.Fields(line)[1:] {
				d, err := strconv.Atoi(f)
				if err != nil {
					t.Fatal(err)
				}
				ref.delays = append(ref.delays, d)
			}
		default:
			b, err := hex.DecodeString(line)
			if err != nil {
				t.Fatal(err)
			}
			pixels = append(pixels, b...)
		}
	}
	size := 4 * ref.width * ref.height
	if size == 0 || len(pixels) != size*len(ref.delays) {
		t.Fatalf("%s: %d bytes of pixels for %d frames of %d × %d", file, len(pixels), len(ref.delays), ref.width, ref.height)
	}
	for ; len(pixels) > 0; pixels = pixels[size:] {
		ref.frames = append(ref.frames, pixels[:size])
	}
	return ref
}

// TestGIFAgainstImageMagick compares every frame and delay with what ImageMagick
// makes of the same file; LODEGRID_GIF_REFERENCE names another folder of such
// pairs (.ci/checks/gif_imagemagick.sh).
func TestGIFAgainstImageMagick(t *testing.T) {
	dir, least := samples, 3
	if d := os.Getenv("LODEGRID_GIF_REFERENCE"); d != "" {
		dir, least = d, 1
	}
	files, err := filepath.Glob(filepath.Join(dir, "*.gif"))
	if err != nil {
		t.Fatal(err)
	}
	if len(files) < least {
		t.Fatalf("%d sample animations in %s, want at least %d", len(files), dir, least)
	}
	worst, frames := 0.0, 0
	for _, file := range files {
		ref := readGIFReference(t, file+".txt")
		f, err := os.Open(file)
		if err != nil {
			t.Fatal(err)
		}
		o := DefaultOptions()
		o.Background = 0.25 // so that transparent and black differ
		s, err := GIF(context.Background(), f, file, ref.height, ref.width, o)
		if err := f.Close(); err != nil {
			t.Error(err)
		}
		if err != nil {
			t.Errorf("%v", err)
			continue
		}
		if len(s.Frames) != len(ref.frames) {
			t.Errorf("%s: %d frames, ImageMagick finds %d", file, len(s.Frames), len(ref.frames))
			continue
		}
		for i, frame := range s.Frames {
			frames++
			want := float64(ref.delays[i]) / 100
			if ref.delays[i] == 0 {
				want = o.ZeroDelay
			}
			if frame.Duration != want {
				t.Errorf("%s, frame %d: lasts %g s, want %g s", file, i, frame.Duration, want)
			}
			for p, v := range frame.Levels {
				px := ref.frames[i][4*p:]
				want := o.Background
				if px[3] != 0 {
					want = srgbLuminance(px[0], px[1], px[2])
				}
				diff := math.Abs(v - want)
				worst = math.Max(worst, diff)
				if diff > 1e-6 {
					t.Errorf("%s, frame %d, row %d, column %d: level %g, want %g (RGBA %v)",
						file, i, p/ref.width, p%ref.width, v, want, px[:4])
					break
				}
			}
		}
	}
	t.Logf("%d animations, %d frames: greatest difference %.1e", len(files), frames, worst)
}

// gifBuilder writes GIF files block by block, the odd ones included.
type gifBuilder struct{ bytes.Buffer }

var blackWhite = []byte{0, 0, 0, 255, 255, 255}

func newGIF(width, height int, palette []byte) *gifBuilder {
	b := &gifBuilder{}
	b.WriteString("GIF89a")
	b.u16(width, height)
	if palette != nil {
		b.Write([]byte{0x80, 0, 0})
		b.Write(palette) // of two colours
	} else {
		b.Write([]byte{0, 0, 0})
	}
	return b
}

func (b *gifBuilder) u16(vs ...int) {
	for _, v := range vs {
		b.Write(binary.LittleEndian.AppendUint16(nil, uint16(v)))
	}
}

// control adds a graphic control; transparent < 0 is none.
func (b *gifBuilder) control(delay, disposal, transparent int) *gifBuilder {
	flags, index := byte(disposal<<2), byte(0)
	if transparent >= 0 {
		flags, index = flags|1, byte(transparent)
	}
	b.Write([]byte{'!', 0xF9, 4, flags})
	b.u16(delay)
	b.Write([]byte{index, 0})
	return b
}

func (b *gifBuilder) frame(left, top, width, height int, pixels ...byte) *gifBuilder {
	b.WriteByte(',')
	b.u16(left, top, width, height)
	b.Write([]byte{0, 2})
	var data bytes.Buffer
	w := lzw.NewWriter(&data, lzw.LSB, 2)
	if _, err := w.Write(pixels); err != nil {
		panic(err)
	}
	if err := w.Close(); err != nil {
		panic(err)
	}
	for data.Len() > 0 {
		part := data.Next(255)
		b.WriteByte(byte(len(part)))
		b.Write(part)
	}
	b.WriteByte(0)
	return b
}

func (b *gifBuilder) end() []byte {
	b.WriteByte(';')
	return b.Bytes()
}

// TestGIFOdd reads files that break the letter of the format in ways that occur.
func TestGIFOdd(t *testing.T) {
	tests := map[string]struct {
		data []byte
		rows int
		cols int
		want [][]float64
	}{
		"frame over the screen's edge is cut off": {
			data: newGIF(2, 2, blackWhite).frame(1, 1, 2, 2, 1, 1, 1, 1).end(),
			rows: 2, cols: 2, want: [][]float64{{0, 0, 0, 1}},
		},
		"screen of size 0": {
			data: newGIF(0, 0, blackWhite).frame(1, 0, 1, 2, 1, 1).end(),
			rows: 2, cols: 2, want: [][]float64{{0, 1, 0, 1}},
		},
		"transparent index beyond the table": {
			data: newGIF(2, 1, blackWhite).frame(0, 0, 2, 1, 1, 1).control(0, 1, 3).frame(0, 0, 2, 1, 3, 0).end(),
			rows: 1, cols: 2, want: [][]float64{{1, 1}, {1, 0}},
		},
		"empty frame keeps its time": {
			data: newGIF(1, 1, blackWhite).frame(0, 0, 1, 1, 1).control(3, 1, -1).frame(0, 0, 0, 0).end(),
			rows: 1, cols: 1, want: [][]float64{{1}, {1}},
		},
		"frame wholly off the screen": {
			data: newGIF(1, 1, blackWhite).frame(0, 0, 1, 1, 1).frame(5, 5, 1, 1, 0).end(),
			rows: 1, cols: 1, want: [][]float64{{1}, {1}},
		},
		"disposal method 7 is taken as none": {
			data: newGIF(2, 1, blackWhite).control(0, 7, -1).frame(0, 0, 1, 1, 1).frame(1, 0, 1, 1, 1).end(),
			rows: 1, cols: 2, want: [][]float64{{1, 0}, {1, 1}},
		},
		"data after the end": {
			data: append(newGIF(1, 1, blackWhite).frame(0, 0, 1, 1, 1).end(), "garbage"...),
			rows: 1, cols: 1, want: [][]float64{{1}},
		},
		"put back twice over": {
			data: newGIF(2, 1, blackWhite).frame(0, 0, 2, 1, 1, 0).
				control(0, 3, -1).frame(0, 0, 1, 1, 0).control(0, 3, -1).frame(1, 0, 1, 1, 1).frame(0, 0, 0, 0).end(),
			rows: 1, cols: 2, want: [][]float64{{1, 0}, {0, 0}, {1, 1}, {1, 0}},
		},
	}
	for name, test := range tests {
		t.Run(name, func(t *testing.T) {
			s, err := GIF(context.Background(), bytes.NewReader(test.data), "odd.gif", test.rows, test.cols, DefaultOptions())
			if err != nil {
				t.Fatal(err)
			}
			if len(s.Frames) != len(test.want) {
				t.Fatalf("%d frames, want %d", len(s.Frames), len(test.want))
			}
			for i, f := range s.Frames {
				for p, v := range f.Levels {
					if math.Abs(v-test.want[i][p]) > 1e-6 {
						t.Errorf("frame %d: %v, want %v", i, f.Levels, test.want[i])
						break
					}
				}
			}
		})
	}
}

func TestGIFErrors(t *testing.T) {
	whole := newGIF(1, 1, blackWhite).frame(0, 0, 1, 1, 1).control(5, 1, -1).frame(0, 0, 1, 1, 0).end()
	huge := newGIF(10000, 10000, blackWhite).frame(0, 0, 1, 1, 1).end()
	hugeFrame := newGIF(1, 1, blackWhite).frame(0, 0, 60000, 60000, 1).end()
	many := newGIF(5000, 5000, blackWhite)
	for range 20 {
		many.frame(0, 0, 5000, 5000)
	}
	tests := map[string]struct {
		data []byte
		want string
	}{
		"empty":                {nil, "ends early, after 0 bytes with 0 whole frames"},
		"header only":          {whole[:10], "ends early, after 10 bytes with 0 whole frames"},
		"cut in second frame":  {whole[:len(whole)-4], "with 1 whole frames: cut off"},
		"no end mark":          {whole[:len(whole)-1], "with 2 whole frames: cut off"},
		"no frame":             {newGIF(1, 1, blackWhite).end(), "holds no frame"},
		"no colour table":      {newGIF(1, 1, nil).frame(0, 0, 1, 1, 1).end(), "after 0 whole frames: no colour table"},
		"too few pixels":       {newGIF(2, 2, blackWhite).frame(0, 0, 2, 2, 1).end(), "the frame has too few pixels"},
		"index out of table":   {newGIF(1, 1, blackWhite).frame(0, 0, 1, 1, 2).end(), "colour 2 of a table of 2"},
		"another file":         {[]byte("RIFF0000WAVEfmt "), "not a GIF file"},
		"unknown block":        {append(newGIF(1, 1, blackWhite).Bytes(), 'x'), "byte 19: unknown block 0x78"},
		"10,000 × 10,000":      {huge, "10000 × 10000 pixels is over the limit of 64 megapixels"},
		"frame of 3600 MP":     {hugeFrame, "after 0 whole frames: up to here 3600 megapixels are drawn and averaged, the limit is 400 in all"},
		"20 times 25 MP":       {many.end(), "after 8 whole frames: up to here 450 megapixels are drawn and averaged"},
		"put back 50 MP":       {newGIF(8000, 6250, blackWhite).control(1, 3, -1).frame(0, 0, 8000, 6250).end(), "the animation takes 400 MB to decode, the limit is 260 MB; scale it down first"},
		"screen of size 0 × 0": {newGIF(0, 0, blackWhite).frame(0, 0, 0, 0).end(), "0 × 0 pixels: empty"},
	}
	for name, test := range tests {
		_, err := GIF(context.Background(), bytes.NewReader(test.data), "x.gif", 2, 2, DefaultOptions())
		if err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("%s: error %v, want it to say %q", name, err, test.want)
		} else if !strings.HasPrefix(err.Error(), "x.gif: ") {
			t.Errorf("%s: error %q does not name the file", name, err)
		}
	}
	o := DefaultOptions()
	o.Limits.Bytes = int64(len(whole) - 3)
	if _, err := GIF(context.Background(), bytes.NewReader(whole), "x.gif", 1, 1, o); err == nil || !strings.Contains(err.Error(), "larger than the limit") {
		t.Errorf("file over the byte limit: error %v", err)
	}
	o = DefaultOptions()
	o.Limits.Frames = 1
	if _, err := GIF(context.Background(), bytes.NewReader(whole), "x.gif", 1, 1, o); err == nil || !strings.Contains(err.Error(), "2 frames, the limit is 1") {
		t.Errorf("file over the frame limit: error %v", err)
	}
}

// TestGIFTruncated cuts a sample at every byte: each cut must be an error.
func TestGIFTruncated(t *testing.T) {
	data, err := os.ReadFile(filepath.Join(samples, "disposal.gif"))
	if err != nil {
		t.Fatal(err)
	}
	for n := range data {
		if _, err := GIF(context.Background(), bytes.NewReader(data[:n]), "x.gif", 10, 16, DefaultOptions()); err == nil || !strings.Contains(err.Error(), "cut off") {
			t.Errorf("first %d of %d bytes: error %v", n, len(data), err)
		}
	}
}

func fuzzOptions() Options {
	o := DefaultOptions()
	o.Limits = scenes.Limits{Bytes: 1 << 16, PicturePixels: 1 << 16, WorkPixels: 1 << 20, Memory: 1 << 20, Frames: 100, Levels: 6400, Duration: 1e6}
	return o
}

func FuzzGIF(f *testing.F) {
	for _, name := range []string{"disposal.gif", "palettes.gif", "partial.gif"} {
		data, err := os.ReadFile(filepath.Join(samples, name))
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	f.Add(newGIF(0, 0, blackWhite).control(0, 3, 3).frame(1, 0, 1, 2, 1, 1).end())
	// An application block without a name.
	f.Add([]byte("GIF89a\x01\x00\x01\x00\x80\x00\x00\x00\x00\x00\xff\xff\xff!\xff\x00,0000\v\x00\n\x00\x80000000\x02\x00,\x00\x00\x00\x00\x01\x00\x01\x00\x00\x02\x02L\x01\x00;"))
	// Frames that draw much, put much back, and lie interlaced over the edge.
	f.Add(newGIF(200, 200, blackWhite).control(0, 3, -1).frame(0, 0, 60000, 60000, 1).end())
	interlaced := newGIF(2, 9, blackWhite).frame(1, 2, 2, 9, make([]byte, 18)...).end()
	interlaced[19+9] |= 0x40
	f.Add(interlaced)
	f.Fuzz(func(t *testing.T, data []byte) {
		o := fuzzOptions()
		s, err := GIF(context.Background(), bytes.NewReader(data), "fuzz.gif", 4, 5, o)
		if err != nil {
			return
		}
		if err := s.Validate(); err != nil {
			t.Errorf("accepted an invalid scene: %v", err)
		}
		// What the strict decoder of the standard library reads must be read with
		// as many frames.
		if g, err := gif.DecodeAll(bytes.NewReader(data)); err == nil && len(g.Image) != len(s.Frames) {
			t.Errorf("%d frames, image/gif reads %d", len(s.Frames), len(g.Image))
		}
	})
}

func BenchmarkGIF(b *testing.B) {
	const size, frames = 256, 20
	g := &gif.GIF{}
	for i := range frames {
		m := image.NewPaletted(image.Rect(0, 0, size, size), color.Palette{color.Black, color.White, color.Gray{128}})
		for p := range m.Pix {
			m.Pix[p] = uint8((p + p/size*i) % 3)
		}
		g.Image, g.Delay = append(g.Image, m), append(g.Delay, 5)
	}
	var file bytes.Buffer
	if err := gif.EncodeAll(&file, g); err != nil {
		b.Fatal(err)
	}
	b.Run("scene", func(b *testing.B) {
		for b.Loop() {
			if _, err := GIF(context.Background(), bytes.NewReader(file.Bytes()), "x.gif", 10, 16, DefaultOptions()); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("decode only", func(b *testing.B) { // the part that cannot be saved
		for b.Loop() {
			if _, err := gif.DecodeAll(bytes.NewReader(file.Bytes())); err != nil {
				b.Fatal(err)
			}
		}
	})
}

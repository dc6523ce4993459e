package read

import (
	"bytes"
	"context"
	"image"
	"image/jpeg"
	"io"
	"strings"
	"testing"

	"lodegrid/field/peak"
)

func jpegOf(t *testing.T, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// frameHeader returns the offset of the frame header's mark.
func frameHeader(data []byte) int { return bytes.Index(data, []byte{0xFF, 0xC0, 0}) }

// The memory of a picture is that of what the standard decoder makes.
func TestJPEGCost(t *testing.T) {
	for _, size := range []image.Point{{8, 8}, {9, 17}, {100, 33}} {
		r := image.Rectangle{Max: size}
		for name, img := range map[string]image.Image{"gray": image.NewGray(r), "colour": image.NewRGBA(r)} {
			data := jpegOf(t, img)
			decoded, err := jpeg.Decode(bytes.NewReader(data))
			if err != nil {
				t.Fatal(err)
			}
			var want int
			switch m := decoded.(type) {
			case *image.Gray:
				want = len(m.Pix)
			case *image.YCbCr: // a part of planes of whole blocks
				want = cap(m.Y) + cap(m.Cb) + cap(m.Cr)
			}
			c := jpegCostOf(data)
			if n := int(c.memory); n < want || n > want*3/2+64 {
				t.Errorf("%s of %v: %d bytes, the decoder made %d", name, size, n, want)
			}
			if c.scan != 2*int64(size.X*size.Y) || c.header <= int64(frameHeader(data)) || c.header >= int64(len(data)) {
				t.Errorf("%s of %v: %+v", name, size, c)
			}
		}
	}
	if c := jpegCostOf([]byte("\xff\xd8\xff\xe0\x00\x02\xff\xff\x00\xff\xd0")); c != (jpegCost{}) {
		t.Errorf("without a frame header: %+v", c)
	}
}

func TestLargeJPEG(t *testing.T) {
	large := func(t *testing.T, mark byte) []byte { // by its header alone
		data := jpegOf(t, image.NewRGBA(image.Rect(0, 0, 16, 16)))
		at := frameHeader(data)
		data[at+1] = mark
		copy(data[at+5:], []byte{8000 >> 8, 8000 & 255, 8000 >> 8, 8000 & 255})
		return data
	}
	scans := func(t *testing.T) []byte {
		data := jpegOf(t, image.NewGray(image.Rect(0, 0, 1000, 1000)))
		at := bytes.Index(data, []byte{0xFF, 0xDA})
		return append(bytes.Clone(data[:at]), bytes.Repeat(data[at:len(data)-2], 250)...)
	}
	for name, test := range map[string]struct {
		data func(t *testing.T) []byte
		want string
	}{
		"whole.jpg": {func(t *testing.T) []byte {
			return jpegOf(t, image.NewYCbCr(image.Rect(0, 0, 8000, 8000), image.YCbCrSubsampleRatio420))
		}, ""},
		"progressive.jpg": {func(t *testing.T) []byte { return large(t, 0xC2) }, "progressive.jpg: the picture takes 480 MB to decode, the limit is 260 MB; scale it down first"},
		"scans.jpg":       {scans, "201 scans of the picture: up to here 402 megapixels are drawn and averaged, the limit is 400 in all"},
		"nothing.jpg": {func(*testing.T) []byte {
			return append([]byte("\xff\xd8\xff"), bytes.Repeat([]byte("\xff\xef\xff\xffab"), 11<<20)...)
		}, "nothing.jpg: the size of the picture is not within the first 16 MiB of the file"},
	} {
		t.Run(name, func(t *testing.T) {
			path := peak.File(t, name, func(w io.Writer) { _, _ = w.Write(test.data(t)) })
			peak.Below(t, 200<<20, func() {
				_, _, err := Open(context.Background(), path, 10, 16, DefaultOptions())
				if test.want == "" && err != nil || test.want != "" && (err == nil || !strings.Contains(err.Error(), test.want)) {
					t.Errorf("error %v, want it to say %q", err, test.want)
				}
			})
		})
	}
}

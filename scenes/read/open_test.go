package read

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"io"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"sort"
	"strings"
	"testing"
	"testing/fstest"

	"lodegrid/array/design/trial"
	"lodegrid/scenes"
	"lodegrid/scenes/table"
)

func encodedPNG(t testing.TB, w, h int, c color.Color) []byte {
	t.Helper()
	m := image.NewNRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			m.Set(x, y, c)
		}
	}
	var b bytes.Buffer
	if err := png.Encode(&b, m); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func encodedJPEG(t testing.TB, w, h int, y uint8) []byte {
	t.Helper()
	m := image.NewGray(image.Rect(0, 0, w, h))
	for i := range m.Pix {
		m.Pix[i] = y
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, &jpeg.Options{Quality: 100}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// withPNGSize changes the size a PNG header claims and mends its CRC.
func withPNGSize(b []byte, w, h uint32) []byte {
	b = append([]byte(nil), b...)
	binary.BigEndian.PutUint32(b[16:], w)
	binary.BigEndian.PutUint32(b[20:], h)
	binary.BigEndian.PutUint32(b[29:], crc32.ChecksumIEEE(b[12:29]))
	return b
}

func TestReadPictureErrors(t *testing.T) {
	good := encodedPNG(t, 8, 8, color.White)
	gray := encodedJPEG(t, 64, 64, 100)
	animated := append(append([]byte(nil), good[:33]...), "\x00\x00\x00\x08acTL\x00\x00\x00\x02\x00\x00\x00\x00"...)
	animated = binary.BigEndian.AppendUint32(animated, crc32.ChecksumIEEE(animated[37:]))
	animated = append(animated, good[33:]...)
	damaged := append([]byte(nil), good...)
	damaged[len(damaged)-20] ^= 0xff
	for name, test := range map[string]struct {
		data []byte
		want string
	}{
		"empty":             {nil, "x: not a PNG or JPEG picture"},
		"text":              {[]byte("hello, world"), "not a PNG or JPEG picture"},
		"cut PNG header":    {good[:20], "the file ends within the picture, after 20 bytes: cut off"},
		"cut PNG":           {good[:len(good)-30], "bytes read: png: invalid format: not enough pixel data"},
		"cut JPEG":          {gray[:len(gray)/2], "cut off"},
		"damaged PNG":       {damaged, "bytes read: png: invalid format"},
		"10,000 × 10,000":   {withPNGSize(good, 10000, 10000), "picture of 10000 × 10000 pixels is over the limit of 64 megapixels"},
		"2³¹−1 pixels wide": {withPNGSize(good, 1<<31-1, 1<<31-1), "png: unsupported feature: dimension overflow"},
		"animated":          {animated, "an animated PNG"},
		"a GIF":             {newGIF(1, 1, blackWhite).frame(0, 0, 1, 1, 1).end(), "a gif picture where PNG or JPEG is read"},
	} {
		_, err := Picture(context.Background(), bytes.NewReader(test.data), "x", 2, 2, DefaultOptions())
		if err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("%s: error %v, want it to say %q", name, err, test.want)
		}
	}
	o := DefaultOptions()
	o.Limits.Bytes = int64(len(good)) - 1
	if _, err := Picture(context.Background(), bytes.NewReader(good), "x", 2, 2, o); err == nil || !strings.Contains(err.Error(), "larger than the limit") {
		t.Errorf("file over the byte limit: error %v", err)
	}
}

func TestReadFolder(t *testing.T) {
	grays := map[string]uint8{"f1.png": 10, "f2.png": 20, "f10.PNG": 100, "f9.jpg": 90, "f010.jpeg": 99}
	fsys := fstest.MapFS{
		"d/notes.txt":       {Data: []byte("no picture")},
		"d/.hidden.png":     {Data: []byte("no picture")},
		"d/sub.png/f3.png":  {Data: []byte("no picture")},
		"other/picture.png": {Data: []byte("no picture")},
	}
	for name, y := range grays {
		data := encodedPNG(t, 3, 2, color.Gray{y})
		if strings.Contains(name, ".j") {
			data = encodedJPEG(t, 16, 8, y)
		}
		fsys["d/"+name] = &fstest.MapFile{Data: data}
	}
	o := DefaultOptions()
	o.FrameTime, o.Fit = 0.25, Stretch
	s, err := Folder(context.Background(), fsys, "d", "show", 2, 2, o)
	if err != nil {
		t.Fatal(err)
	}
	order := []uint8{10, 20, 90, 99, 100}
	if len(s.Frames) != len(order) {
		t.Fatalf("%d frames, want %d", len(s.Frames), len(order))
	}
	for i, f := range s.Frames {
		for _, v := range f.Levels {
			// JPEG at its best quality may be off by one code value.
			if want := srgbLuminance(order[i], order[i], order[i]); math.Abs(v-want) > 3e-3 {
				t.Errorf("frame %d: level %g, want %g", i, v, want)
			}
		}
		if f.Duration != 0.25 {
			t.Errorf("frame %d lasts %g s", i, f.Duration)
		}
	}
	if _, err := Folder(context.Background(), fsys, "other", "show", 2, 2, o); err == nil || !strings.Contains(err.Error(), "show/picture.png: not a PNG or JPEG") {
		t.Errorf("a picture that is none: error %v", err)
	}
	if _, err := Folder(context.Background(), fsys, "d/sub.png", "show", 2, 2, o); err == nil {
		t.Error("read a text as a picture")
	}
	if _, err := Folder(context.Background(), fstest.MapFS{"a.txt": {}}, ".", "show", 2, 2, o); err == nil || !strings.Contains(err.Error(), "show: the folder holds no picture") {
		t.Errorf("no pictures: error %v", err)
	}
	if _, err := Folder(context.Background(), fsys, "missing", "show", 2, 2, o); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("no folder: error %v", err)
	}
	o.Limits.Frames = 4
	if _, err := Folder(context.Background(), fsys, "d", "show", 2, 2, o); err == nil || !strings.Contains(err.Error(), "5 frames, the limit is 4") {
		t.Errorf("frame limit: error %v", err)
	}
}

func TestNaturalOrder(t *testing.T) {
	want := []string{"1", "2", "10", "a", "a0", "a00", "a1", "a01", "a1b", "a2", "a10", "a10.png", "a99999999999999999999999", "a100000000000000000000000", "b"}
	got := append([]string(nil), want...)
	sort.Strings(got)
	sort.Slice(got, func(i, j int) bool { return naturalLess(got[i], got[j]) })
	// Names equal but for zeros keep plain order; the list above has them so.
	for i := range want {
		for j := range want {
			if naturalLess(want[i], want[j]) && naturalLess(want[j], want[i]) {
				t.Errorf("%q and %q are both before the other", want[i], want[j])
			}
		}
	}
	index := func(list []string, s string) int {
		for i, v := range list {
			if v == s {
				return i
			}
		}
		return -1
	}
	for _, pair := range [][2]string{{"1", "2"}, {"2", "10"}, {"a1", "a2"}, {"a01", "a2"}, {"a2", "a10"}, {"a10", "a10.png"}, {"a99999999999999999999999", "a100000000000000000000000"}, {"10", "a"}, {"a", "a0"}} {
		if index(got, pair[0]) > index(got, pair[1]) {
			t.Errorf("%q is sorted after %q in %v", pair[0], pair[1], got)
		}
	}
}

func TestOpen(t *testing.T) {
	dir := t.TempDir()
	write := func(name string, data []byte) string {
		p := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(p), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(p, data, 0o644); err != nil {
			t.Fatal(err)
		}
		return p
	}
	var binary, csv bytes.Buffer
	s := scenes.New("three", 2, 2, 3, 1)
	if err := table.WriteBinary(context.Background(), &binary, s, 16, table.DriveOf(trial.Lit())); err != nil {
		t.Fatal(err)
	}
	if err := table.WriteCSV(context.Background(), &csv, s); err != nil {
		t.Fatal(err)
	}
	gifData := newGIF(1, 1, blackWhite).frame(0, 0, 1, 1, 1).frame(0, 0, 1, 1, 0).end()
	for path, frames := range map[string]int{
		write("wrong-ending.png", gifData):                               2, // content counts, not the name
		write("a.gif", gifData):                                          2,
		write("b.png", encodedPNG(t, 2, 2, color.White)):                 1,
		write("c.jpg", encodedJPEG(t, 8, 8, 9)):                          1,
		write("d.CSV", csv.Bytes()):                                      3,
		write("e", binary.Bytes()):                                       3,
		filepath.Dir(write("f/1.png", encodedPNG(t, 1, 1, color.White))): 1,
	} {
		got, _, err := Open(context.Background(), path, 2, 2, DefaultOptions())
		if err != nil {
			t.Error(err)
		} else if len(got.Frames) != frames || got.Name != path {
			t.Errorf("%s: scene %q of %d frames, want %d", path, got.Name, len(got.Frames), frames)
		}
	}
	for path, want := range map[string]string{
		write("g.txt", []byte("hello")):          "not a scene: want a GIF",
		write("h.csv", nil):                      "the file is empty",
		write("i.csv", []byte("1,2,3\n")):        "i.csv:1:5: 3 fields: want 5",
		write("j.gif", gifData[:len(gifData)-5]): "cut off",
		filepath.Join(dir, "missing"):            "no such file",
	} {
		if _, _, err := Open(context.Background(), path, 2, 2, DefaultOptions()); err == nil || !strings.Contains(err.Error(), want) || !strings.Contains(err.Error(), path) {
			t.Errorf("%s: error %v, want it to say %q", path, err, want)
		}
	}
	if _, _, err := Open(context.Background(), filepath.Join(dir, "e"), 3, 2, DefaultOptions()); err == nil || !strings.Contains(err.Error(), "for 2 rows × 2 columns, the grid has 3 × 2") {
		t.Errorf("table for another grid: error %v", err)
	}
}

func TestOptions(t *testing.T) {
	if err := DefaultOptions().Validate(); err != nil {
		t.Error(err)
	}
	for want, change := range map[string]func(o *Options){
		"frame time: duration 0 s":         func(o *Options) { o.FrameTime = 0 },
		"zero delay: duration NaN s":       func(o *Options) { o.ZeroDelay = math.NaN() },
		`fit "": want "stretch"`:           func(o *Options) { o.Fit = "" },
		"background luminance 2: want 0…1": func(o *Options) { o.Background = 2 },
		"mapping level 0":                  func(o *Options) { o.Mapping.Level = 0 },
	} {
		o := DefaultOptions()
		change(&o)
		if _, _, err := Open(context.Background(), ".", 1, 1, o); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("error %v, want it to say %q", err, want)
		}
	}
}

func FuzzPicture(f *testing.F) {
	f.Add(encodedPNG(f, 5, 3, color.NRGBA{200, 100, 50, 128}))
	f.Add(encodedJPEG(f, 9, 9, 77))
	scans := encodedJPEG(f, 9, 9, 77)
	progressive := bytes.Clone(scans)
	progressive[frameHeader(scans)+1] = 0xC2
	f.Add(progressive)
	f.Add(append(scans, scans[bytes.Index(scans, []byte{0xFF, 0xDA}):]...))
	f.Add(newPNG(200, 200, 16, pngTrueAlpha, 1).pixels(9, func(w io.Writer) { _, _ = w.Write(make([]byte, 999)) }).end())
	for _, name := range []string{"small.png", "deep.png", "alpha.png"} {
		data, err := os.ReadFile(filepath.Join(samples, name))
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		s, err := Picture(context.Background(), bytes.NewReader(data), "fuzz", 4, 5, fuzzOptions())
		if err != nil {
			return
		}
		if err := s.Validate(); err != nil {
			t.Errorf("accepted an invalid scene: %v", err)
		}
	})
}

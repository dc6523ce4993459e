package read

import (
	"context"
	"encoding/hex"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/image/draw"
)

// TestResampleAgainstImageMagick compares area averages of linear light with
// ImageMagick's box filter, on ratios of whole numbers and, by repeating pixels
// first, on others. It computes in 16-bit steps and with weights of six digits
// (0.212656, 0.715158, 0.072186), so it differs by up to 6e-5 + a few 1/65535.
func TestResampleAgainstImageMagick(t *testing.T) {
	const tolerance = 1e-4
	files, err := filepath.Glob(filepath.Join(samples, "*.png.txt"))
	if err != nil {
		t.Fatal(err)
	}
	if len(files) < 7 {
		t.Fatalf("%d reference pictures, want at least 7", len(files))
	}
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		lines := strings.Split(strings.TrimSpace(string(text)), "\n")
		var fit Fit
		var rows, cols int
		if _, err := fmt.Sscanf(lines[1]+" "+lines[2], "fit %s grid %d %d", &fit, &rows, &cols); err != nil {
			t.Fatalf("%s: %v", file, err)
		}
		ref, err := hex.DecodeString(strings.Join(lines[3:], ""))
		if err != nil || len(ref) != 2*rows*cols {
			t.Fatalf("%s: %d bytes of values, %v", file, len(ref), err)
		}
		f, err := os.Open(strings.TrimSuffix(file, ".txt"))
		if err != nil {
			t.Fatal(err)
		}
		o := DefaultOptions()
		o.Fit = fit
		s, err := Picture(context.Background(), f, file, rows, cols, o)
		if err := f.Close(); err != nil {
			t.Error(err)
		}
		if err != nil {
			t.Fatal(err)
		}
		worst := 0.0
		for p, v := range s.Frames[0].Levels {
			want := float64(int(ref[2*p])<<8|int(ref[2*p+1])) / 65535
			worst = math.Max(worst, math.Abs(v-want))
		}
		t.Logf("%s: greatest difference %.1e", filepath.Base(file), worst)
		if worst > tolerance {
			t.Errorf("%s: differs by %g, want at most %g", file, worst, tolerance)
		}
	}
}

// TestSRGBDecoding checks the transfer function at its published corner values:
// IEC 61966-2-1 gives 0.04045/12.92 = 0.0031308 at the join; 0.5 decodes to
// 0.2140 (worked from the formula by hand).
func TestSRGBDecoding(t *testing.T) {
	for c, want := range map[float64]float64{0: 0, 1: 1, 0.04045: 0.0031308, 0.5: 0.2140411} {
		if got := decodeSRGB(c); math.Abs(got-want) > 5e-8 {
			t.Errorf("decodeSRGB(%g) = %g, want %g", c, got, want)
		}
	}
	if a, b := decodeSRGB(0.04045), decodeSRGB(0.0404500001); b < a || b-a > 1e-7 {
		t.Errorf("the two branches join at %g and %g", a, b)
	}
	if sum := weightR + weightG + weightB; math.Abs(sum-1) > 1e-15 {
		t.Errorf("the weights add up to %.17g", sum)
	}
}

// TestResampleKeepsMean: stretched over a grid, the mean of the cells is the mean
// of the picture's linear light, whatever the ratio.
func TestResampleKeepsMean(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 200 {
		w, h, rows, cols := 1+rng.IntN(40), 1+rng.IntN(40), 1+rng.IntN(20), 1+rng.IntN(20)
		img := image.NewNRGBA(image.Rect(3, -2, 3+w, -2+h))
		var want float64
		for p := 0; p < len(img.Pix); p += 4 {
			img.Pix[p], img.Pix[p+1], img.Pix[p+2], img.Pix[p+3] = byte(rng.Uint32()), byte(rng.Uint32()), byte(rng.Uint32()), 255
			want += srgbLuminance(img.Pix[p], img.Pix[p+1], img.Pix[p+2]) / float64(w*h)
		}
		dst := make([]float64, rows*cols)
		if err := Resample(context.Background(), dst, img, rows, cols, Stretch, 0); err != nil {
			t.Fatal(err)
		}
		var got float64
		for _, v := range dst {
			got += v / float64(len(dst))
		}
		if math.Abs(got-want) > 1e-12 {
			t.Errorf("%d × %d on %d × %d: mean %g, want %g", w, h, rows, cols, got, want)
		}
	}
}

// TestResampleIsAreaIntegral compares one uneven ratio with the integral computed
// by brute force over a fine lattice of points.
func TestResampleIsAreaIntegral(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	const w, h, rows, cols, fine = 7, 5, 3, 4, 420 // fine is a multiple of all of them
	img := image.NewGray(image.Rect(0, 0, w, h))
	for p := range img.Pix {
		img.Pix[p] = byte(rng.Uint32())
	}
	got := make([]float64, rows*cols)
	if err := Resample(context.Background(), got, img, rows, cols, Stretch, 0); err != nil {
		t.Fatal(err)
	}
	want := make([]float64, rows*cols)
	for i := range fine {
		for j := range fine {
			g := img.GrayAt(j*w/fine, i*h/fine).Y
			want[i*rows/fine*cols+j*cols/fine] += srgbLuminance(g, g, g) * rows * cols / (fine * fine)
		}
	}
	for p := range got {
		if math.Abs(got[p]-want[p]) > 1e-12 {
			t.Errorf("cell %d: %g, want %g", p, got[p], want[p])
		}
	}
}

// TestPictureKinds reads the same opaque picture as every in-memory kind.
func TestPictureKinds(t *testing.T) {
	bounds := image.Rect(-3, 2, 6, 9)
	kinds := map[string]draw.Image{
		"gray": image.NewGray(bounds), "gray16": image.NewGray16(bounds),
		"rgba": image.NewRGBA(bounds), "nrgba": image.NewNRGBA(bounds),
		"rgba64": image.NewRGBA64(bounds), "nrgba64": image.NewNRGBA64(bounds), "cmyk": image.NewCMYK(bounds),
	}
	palette := color.Palette{}
	for v := range 256 {
		palette = append(palette, color.Gray{uint8(v)})
	}
	kinds["paletted"] = image.NewPaletted(bounds, palette)
	want := make([]float64, 6)
	for name, img := range kinds {
		for y := bounds.Min.Y; y < bounds.Max.Y; y++ {
			for x := bounds.Min.X; x < bounds.Max.X; x++ {
				img.Set(x, y, color.Gray{uint8(17*x*x + 31*y)})
			}
		}
		if name == "gray" {
			continue
		}
		if err := Resample(context.Background(), want, kinds["gray"], 2, 3, Stretch, 0); err != nil {
			t.Fatal(err)
		}
	}
	sub := func(m draw.Image) image.Image {
		return m.(interface {
			SubImage(image.Rectangle) image.Image
		}).SubImage(bounds)
	}
	if err := Resample(context.Background(), want, kinds["gray"], 2, 3, Stretch, 0); err != nil {
		t.Fatal(err)
	}
	for name, img := range kinds {
		got := make([]float64, 6)
		if err := Resample(context.Background(), got, sub(img), 2, 3, Stretch, 0); err != nil {
			t.Fatal(err)
		}
		for p := range got {
			if math.Abs(got[p]-want[p]) > 1e-9 {
				t.Errorf("%s: %v, want %v", name, got, want)
				break
			}
		}
	}
}

func TestFitPlacement(t *testing.T) {
	tests := []struct {
		fit                       Fit
		width, height, rows, cols int
		want                      placement
	}{
		{Stretch, 40, 20, 10, 16, placement{x1: 40, y1: 20, rows: 10, cols: 16}},
		{Letterbox, 64, 32, 10, 16, placement{x1: 64, y1: 32, row0: 1, rows: 8, cols: 16}},
		{Letterbox, 10, 100, 10, 16, placement{x1: 10, y1: 100, col0: 7, rows: 10, cols: 1}},
		{Letterbox, 1000, 1, 10, 16, placement{x1: 1000, y1: 1, row0: 4, rows: 1, cols: 16}},
		{Crop, 50, 30, 10, 16, placement{x0: 1, x1: 49, y1: 30, rows: 10, cols: 16}},
		{Crop, 16, 20, 10, 16, placement{x1: 16, y0: 5, y1: 15, rows: 10, cols: 16}},
	}
	for _, test := range tests {
		got := test.fit.place(test.width, test.height, test.rows, test.cols)
		if math.Abs(got.x0-test.want.x0)+math.Abs(got.x1-test.want.x1)+math.Abs(got.y0-test.want.y0)+math.Abs(got.y1-test.want.y1) > 1e-12 {
			t.Errorf("%s %d × %d: cut %+v, want %+v", test.fit, test.width, test.height, got, test.want)
		}
		got.x0, got.x1, got.y0, got.y1 = test.want.x0, test.want.x1, test.want.y0, test.want.y1
		if got != test.want {
			t.Errorf("%s %d × %d: placed %+v, want %+v", test.fit, test.width, test.height, got, test.want)
		}
	}
}

func TestResampleRefuses(t *testing.T) {
	img := image.NewGray(image.Rect(0, 0, 2, 2))
	if err := Resample(context.Background(), make([]float64, 5), img, 2, 3, Stretch, 0); err == nil {
		t.Error("a target of the wrong length was accepted")
	}
	if err := Resample(context.Background(), make([]float64, 6), img, 2, 3, "fill", 0); err == nil || !strings.Contains(err.Error(), `"stretch", "letterbox" or "crop"`) {
		t.Errorf("unknown fit: error %v", err)
	}
	if err := Resample(context.Background(), make([]float64, 6), image.NewGray(image.Rectangle{}), 2, 3, Stretch, 0); err == nil {
		t.Error("a picture without pixels was accepted")
	}
}

func TestAverageDoesNotAllocate(t *testing.T) {
	img := image.NewNRGBA(image.Rect(0, 0, 40, 30))
	a := newAverager(40, 30, 10, 16, Crop, 0)
	rows, dst := rowsOf(img, 0), make([]float64, 160)
	if n := testing.AllocsPerRun(10, func() { a.average(context.Background(), dst, rows, image.Rect(0, 0, 40, 30)) }); n != 0 {
		t.Errorf("%g allocations per frame", n)
	}
}

// BenchmarkResample measures against the general scaler of golang.org/x/image
// with a box kernel, which averages code values, not light.
func BenchmarkResample(b *testing.B) {
	f, err := os.Open(filepath.Join(samples, "exact.png"))
	if err != nil {
		b.Fatal(err)
	}
	small, err := png.Decode(f)
	if err != nil {
		b.Fatal(err)
	}
	if err := f.Close(); err != nil {
		b.Fatal(err)
	}
	img := image.NewNRGBA(image.Rect(0, 0, 960, 600))
	draw.NearestNeighbor.Scale(img, img.Bounds(), small, small.Bounds(), draw.Src, nil)
	b.Run("area average", func(b *testing.B) {
		dst := make([]float64, 160)
		a, rows := newAverager(960, 600, 10, 16, Stretch, 0), rowsOf(img, 0)
		for b.Loop() {
			a.average(context.Background(), dst, rows, img.Bounds())
		}
	})
	b.Run("x-image box", func(b *testing.B) {
		box := &draw.Kernel{Support: 0.5, At: func(float64) float64 { return 1 }}
		dst := image.NewNRGBA(image.Rect(0, 0, 16, 10))
		s := box.NewScaler(16, 10, 960, 600)
		for b.Loop() {
			s.Scale(dst, dst.Bounds(), img, img.Bounds(), draw.Src, nil)
		}
	})
}

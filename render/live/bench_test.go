package live

import (
	"context"
	"image"
	"image/color"
	"slices"
	"testing"
	"time"

	"github.com/hajimehoshi/ebiten/v2"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
	"lodegrid/render/live/scope"
	"lodegrid/scenes"
	"lodegrid/scenes/generate"
)

// leastDrawn is how many frames are drawn at least.
const leastDrawn = 10

// The rate of the whole window at 1280 × 800, 32 × 20 pixels with fluid and heat on, its
// simulation and verdict beside the drawing as when it is used, against a plain window of that
// size that only uploads and draws one picture over all of it. Both draw to an image of the
// same kind and wait until it is drawn; one op is a frame of each at the screen's 60 a second,
// in turn, so that both meet the same machine. The metrics are medians: ms per frame of each
// that drew something, their ratio, and the window's rate over the plain one's where no
// frame takes less than a sixtieth of a second.
func BenchmarkWindow(b *testing.B) {
	needScreen(b)
	d, err := trial.Lit().With(design.Change{Key: "grid.cols", Value: "32"}, design.Change{Key: "grid.rows", Value: "20"})
	if err != nil {
		b.Fatal(err)
	}
	tide, err := generate.Defaults("tide", 20, 32)
	if err != nil {
		b.Fatal(err)
	}
	tide.FrameTime = 3.0 / scope.TicksPerSecond
	s, err := generate.Scene(context.Background(), "tide", tide)
	if err != nil {
		b.Fatal(err)
	}
	m := scenes.DefaultMapping()
	m.Kind = scenes.Threshold
	if s, err = m.Scene(context.Background(), s); err != nil {
		b.Fatal(err)
	}
	w, err := newWindow(b.Context(), Options{Design: d, Scene: scope.Pictures{Scene: s}})
	if err != nil {
		b.Fatal(err)
	}
	w.pointer.pixel = -1
	w.pointer.lastInput = -calmTicks - 1
	w.stage.Play()
	ours, plain := ebiten.NewImage(1280, 800), ebiten.NewImage(1280, 800)
	var one canvas
	one.size(1280, 800)
	pixel := make([]byte, 4)
	wait := func(img *ebiten.Image) {
		img.SubImage(image.Rect(0, 0, 1, 1)).(*ebiten.Image).ReadPixels(pixel)
	}
	frame := func() bool {
		before := w.frames
		w.ticks++
		w.stage.Pulse()
		w.Draw(ours)
		wait(ours)
		return w.frames > before
	}
	reference := func() {
		plain.Fill(color.Black)
		one.show(plain, image.Rect(0, 0, 1280, 800))
		wait(plain)
	}
	for range 30 {
		frame()
		reference()
	}
	const screen = 1e3 / scope.TicksPerSecond // ms
	var a, r []float64
	var all, plainly float64 // ms, none less than the screen's
	// However few ops are asked for, some are to have drawn.
	for more, n := b.Loop(), 0; more || len(a) < leastDrawn && n < 100*leastDrawn; more, n = more && b.Loop(), n+1 {
		t0 := time.Now()
		drew := frame()
		t1 := time.Now()
		reference()
		t2 := time.Now()
		mine, its := t1.Sub(t0).Seconds()*1e3, t2.Sub(t1).Seconds()*1e3
		if drew {
			a = append(a, mine)
		}
		r = append(r, its)
		all, plainly = all+max(mine, screen), plainly+max(its, screen)
		time.Sleep(time.Duration((2*screen - mine - its) * float64(time.Millisecond)))
	}
	if len(a) == 0 {
		b.Fatal("the window drew nothing")
	}
	slices.Sort(a)
	slices.Sort(r)
	b.ReportMetric(a[len(a)/2], "window-ms")
	b.ReportMetric(a[len(a)*99/100], "window-p99-ms")
	b.ReportMetric(r[len(r)/2], "plain-ms")
	b.ReportMetric(a[len(a)/2]/r[len(r)/2], "×plain")
	b.ReportMetric(100*plainly/all, "%-of-plain-rate")
}

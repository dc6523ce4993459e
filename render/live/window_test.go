package live

import (
	"context"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/ebitenui/ebitenui/widget"
	"github.com/hajimehoshi/ebiten/v2"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
	"lodegrid/render/live/scope"
	"lodegrid/scenes/compose"
	"lodegrid/scenes/generate"
	"lodegrid/scenes/read"
)

// usual makes the scene that a design names.
func usual(ctx context.Context, d design.Design) (scope.Pictures, error) {
	s, err := generate.Of(ctx, d.Scene.Kind, d.Scene, d.Grid.Rows, d.Grid.Cols, read.OptionsOf(d.Scene).Mapping)
	return scope.Pictures{Scene: s}, err
}

// demo is a sign with the scene it names. It gets too hot, which is soon judged; what would show
// its scene, which takes long, is not asked.
func demo(tb testing.TB) Options {
	tb.Helper()
	o := Options{Design: trial.Sign(tb, "limits.shown=0 %", "limits.stray=100 %"), SceneFor: usual}
	var err error
	if o.Scene, err = usual(tb.Context(), o.Design); err != nil {
		tb.Fatal(err)
	}
	return o
}

// play makes a window and lets it play for a number of ticks. What it begins ends with the test.
func play(tb testing.TB, o Options, ticks int) *window {
	tb.Helper()
	w, err := newWindow(tb.Context(), o)
	if err != nil {
		tb.Fatal(err)
	}
	w.pointer.pixel = -1
	advance(tb, w, ticks)
	return w
}

func advance(tb testing.TB, w *window, ticks int) {
	tb.Helper()
	for range ticks {
		w.ticks++
		w.stage.Pulse()
		if why := w.view.Failure(); why != "" {
			tb.Fatal(why)
		}
		w.look()
	}
}

// shoot draws a window of a size and returns the picture.
func shoot(tb testing.TB, w *window, width, height int, name string) *image.RGBA {
	tb.Helper()
	screen := ebiten.NewImage(width, height)
	defer screen.Deallocate()
	w.drawn.valid = false
	w.Draw(screen)
	w.Draw(screen) // once more: the first lays out
	img := image.NewRGBA(image.Rect(0, 0, width, height))
	screen.ReadPixels(img.Pix)
	if *shots != "" {
		f, err := os.Create(filepath.Join(*shots, name+".png"))
		if err != nil {
			tb.Fatal(err)
		}
		defer f.Close()
		if err := png.Encode(f, img); err != nil {
			tb.Fatal(err)
		}
	}
	return img
}

// Every overlay in both themes and sizes: the tank shows the picture that the scope
// draws, every part of the plan that holds text has ink on it, and nothing is drawn
// on the paper between the parts.
func TestWindow(t *testing.T) {
	needScreen(t)
	for _, size := range []struct {
		name          string
		width, height int
		device        float64
	}{{"wide", 1280, 800, 1}, {"small", 700, 500, 1}, {"fine", 2048, 1280, 2}} {
		w := play(t, demo(t), 90)
		w.device = size.device
		for _, dark := range []bool{false, true} {
			for _, o := range scope.Overlays() {
				name := fmt.Sprintf("%s-%s-%s", size.name, map[bool]string{false: "light", true: "dark"}[dark], o)
				w.dark = dark
				w.view.SetOverlay(o)
				img := shoot(t, w, size.width, size.height, name)
				t.Run(name, func(t *testing.T) { checkWindow(t, w, img) })
				if c := w.plan.Caption; size.name == "small" && o == scope.Hold && inked(img, c.Sub(image.Pt(0, w.px(15))).Intersect(image.Rect(0, 0, c.Max.X, c.Min.Y)), w.theme.Paper) < 40 {
					t.Errorf("%s: a caption longer than a line is cut, with room for one more", name)
				}
			}
		}
	}
}

func checkWindow(t *testing.T, w *window, img *image.RGBA) {
	t.Helper()
	p := w.plan
	// Near the upper left corner of every pixel, where no number stands.
	mean, n := 0.0, 0.0
	tank := w.picture.Image
	stretch := float64(p.Tank.Dx()) / float64(tank.Rect.Dx())
	for i := range w.view.Design().Pixels() {
		x, y, side := w.picture.Cell(i)
		x, y = x+0.2*side, y+0.2*side
		got := img.RGBAAt(p.Tank.Min.X+int(x*stretch), p.Tank.Min.Y+int(y*stretch))
		want := tank.RGBAAt(int(x), int(y))
		mean += math.Abs(float64(got.R)-float64(want.R)) + math.Abs(float64(got.G)-float64(want.G)) + math.Abs(float64(got.B)-float64(want.B))
		n += 3
	}
	if mean /= n; mean > 4 { // a large picture is stretched, which blurs edges
		t.Errorf("the tank on the screen differs from the computed picture by %.1f of 255 on average", mean)
	}
	for _, c := range []struct {
		name string
		at   image.Rectangle
	}{
		{"title", p.Title}, {"meters", p.Meters}, {"overlay buttons", p.Overlays}, {"tools", p.Tools},
		{"buttons", p.Buttons}, {"time line", p.Timeline}, {"time", p.Time}, {"reading", p.Reading}, {"caption", p.Caption},
		{"pages", p.Pages}, {"power chart", p.Power}, {"heat chart", p.Heat}, {"first slider", firstOf(p.Sliders)}, {"last slider", lastOf(p.Sliders)},
	} {
		if c.at.Empty() {
			continue // no room for it
		}
		if ink := inked(img, c.at, w.theme.Paper); ink < 40 {
			t.Errorf("%s: %d of %d picture elements are not paper", c.name, ink, c.at.Dx()*c.at.Dy())
		}
	}
	// Pads stay free.
	for _, r := range []image.Rectangle{
		image.Rect(p.Panel.Min.X, 0, p.Panel.Min.X+w.px(8), p.Panel.Max.Y),
		image.Rect(p.Panel.Max.X-w.px(8), 0, p.Panel.Max.X, p.Panel.Max.Y),
		image.Rect(0, 0, p.Window.Dx(), w.px(4)),
	} {
		if ink := inked(img, r, w.theme.Paper); ink > 0 {
			t.Errorf("%d picture elements are drawn in %v, which is to be free", ink, r)
		}
	}
}

func firstOf(list []image.Rectangle) (r image.Rectangle) {
	if len(list) > 0 {
		r = list[0]
	}
	return r
}

func lastOf(list []image.Rectangle) (r image.Rectangle) {
	if len(list) > 0 {
		r = list[len(list)-1]
	}
	return r
}

// awaitVerdict lets a window go on until what was asked is computed and judged.
func awaitVerdict(t *testing.T, w *window) {
	t.Helper()
	for w.view.Stale() || w.view.Judging() != "" {
		advance(t, w, 1)
		time.Sleep(time.Millisecond)
	}
}

// Every page at every size holds words within the page and buttons that do not lie on
// each other.
func TestPages(t *testing.T) {
	needScreen(t)
	w := play(t, demo(t), 150)
	for _, p := range []int{27, 40, 144} {
		w.probe(p)
	}
	awaitVerdict(t, w)
	if list, _ := w.view.Problems(); len(list) == 0 {
		w.do(func(c *scope.Scope) { _ = c.Set(design.Change{Key: "supply.power", Value: "5 W"}) })
		awaitVerdict(t, w)
	}
	for _, size := range []image.Point{{390, 760}, {700, 500}, {1000, 700}, {1400, 900}, {1920, 1080}} {
		for _, dark := range []bool{false, true} {
			if dark && size.X != 1000 {
				continue // the other theme has the same places and letters; TestWindow has it at every size
			}
			w.dark = dark
			for p := range pages {
				w.turn(p)
				if p == designPage {
					w.chosen = "grid.cols"
					w.top = slices.IndexFunc(keysOf(w.view.Design()), func(e design.Entry) bool { return e.Key == w.chosen }) - 12
				}
				name := fmt.Sprintf("page-%d-%d-%v", p, size.X, dark)
				img := shoot(t, w, size.X, size.Y, name)
				if n := inked(img, w.plan.Page, w.theme.Paper); n < 1500 {
					t.Errorf("%s: %d picture elements of ink", name, n)
				}
				var at []image.Rectangle
				for x, r := range w.parts.places {
					if b, ok := x.(*widget.Button); ok {
						label := b.Text().Label
						if strings.HasPrefix(label, "Problems ") {
							label = "Problems 12" // a bad day's
						}
						if wide := w.letters.width(label, small); wide > float64(r.Dx()-2*w.px(2)) {
							t.Errorf("%s: %q takes %.1f of the button's %d picture elements", name, label, wide, r.Dx())
						}
					}
					for _, o := range at {
						if r.Overlaps(o) {
							t.Errorf("%s: %v lies on %v", name, r, o)
						}
					}
					if at = append(at, r); !r.In(w.plan.Window) || r.Min.Y >= w.plan.Page.Min.Y && r.Min.X >= w.plan.Page.Min.X && !r.In(w.plan.Page) {
						t.Errorf("%s: %v sticks out of %v", name, r, w.plan.Page)
					}
				}
				for _, line := range w.parts.text {
					if y := line.at.Y + w.px(line.s.size/2); y > w.plan.Page.Max.Y || line.at.X+int(w.letters.width(line.words, line.s)) > w.plan.Page.Max.X+1 {
						t.Errorf("%s: %q sticks out at %v", name, line.words, line.at)
					}
					for _, o := range at {
						if r := image.Rect(line.at.X, line.at.Y-w.px(line.s.size/2), line.at.X+10, line.at.Y+w.px(line.s.size/2)); r.Overlaps(o) {
							t.Errorf("%s: %q lies on a button at %v", name, line.words, o)
						}
					}
				}
			}
		}
	}
}

// A value that is typed changes the design, one that cannot be is refused in words, and
// advice that is taken changes the key that it names.
func TestTypedValue(t *testing.T) {
	needScreen(t)
	w := play(t, demo(t), 5)
	w.turn(designPage)
	w.chosen = "supply.voltage"
	w.top = slices.IndexFunc(keysOf(w.view.Design()), func(e design.Entry) bool { return e.Key == w.chosen }) - 2
	shoot(t, w, 1280, 800, "typed")
	for _, c := range []struct {
		typed string
		volts float64
	}{{"11 V", 11}, {"11 apples", 11}, {"10.5 V", 10.5}} {
		shoot(t, w, 1280, 800, "typed-again")
		w.parts.edit.SetText(c.typed)
		w.parts.edit.Submit()
		w.ui.Update()
		for w.view.Stale() {
			advance(t, w, 1)
		}
		if got := w.view.Design().Supply.Voltage; got != c.volts {
			t.Errorf("%q makes %g V, want %g; told: %s", c.typed, got, c.volts, w.words)
		}
		if c.typed == "11 apples" && (!w.wrong || !strings.Contains(w.words, "supply.voltage")) {
			t.Errorf("%q is told as %q", c.typed, w.words)
		}
	}
}

// inked counts picture elements that are not paper.
func inked(img *image.RGBA, r image.Rectangle, paper color.RGBA) int {
	n := 0
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			if img.RGBAAt(x, y) != paper {
				n++
			}
		}
	}
	return n
}

func TestHelpSheet(t *testing.T) {
	needScreen(t)
	for _, size := range []image.Point{{1280, 800}, {700, 500}, {390, 760}} {
		w := play(t, demo(t), 30)
		before := shoot(t, w, size.X, size.Y, fmt.Sprintf("help-before-%d", size.X))
		w.help = true
		with := shoot(t, w, size.X, size.Y, fmt.Sprintf("help-%d", size.X))
		if with.RGBAAt(2, 2) == before.RGBAAt(2, 2) {
			t.Error("the sheet does not dim the window")
		}
		w.help = false
		after := shoot(t, w, size.X, size.Y, fmt.Sprintf("help-after-%d", size.X))
		for k := range after.Pix {
			if after.Pix[k] != before.Pix[k] {
				t.Fatalf("something of the sheet stays at (%d, %d)", k/4%size.X, k/4/size.X)
			}
		}
	}
}

// A window that plays nothing and is not touched draws nothing.
func TestIdle(t *testing.T) {
	needScreen(t)
	w := play(t, demo(t), 10)
	w.do((*scope.Scope).Toggle)
	awaitVerdict(t, w) // which is drawn
	screen := ebiten.NewImage(1280, 800)
	for range 5 {
		advance(t, w, calmTicks)
		w.Draw(screen)
	}
	before := w.frames
	for range 100 {
		advance(t, w, 1)
		w.Draw(screen)
	}
	if n := w.frames - before; n != 0 {
		t.Errorf("a window at rest drew %d of 100 frames", n)
	}
	w.do((*scope.Scope).Toggle)
	advance(t, w, 1)
	w.Draw(screen)
	if w.frames != before+1 {
		t.Error("a playing window drew nothing")
	}
}

// What is wrong is said in words in the window.
func TestProblemIsTold(t *testing.T) {
	needScreen(t)
	w := play(t, demo(t), 10)
	for i, c := range w.view.Controls() {
		if c.Key == "grid.pitch" {
			w.do(func(c *scope.Scope) { c.SetControl(i, 0) }) // half the pitch: the coils would overlap
		}
	}
	for w.view.Stale() {
		advance(t, w, 1)
	}
	if w.view.Problem() == "" {
		t.Fatal("coils larger than the pitch are no problem")
	}
	img := shoot(t, w, 1280, 800, "problem")
	if n := inked(img, w.plan.Status, w.theme.Paper); n < 500 {
		t.Errorf("the status line holds %d picture elements of ink for %q", n, w.view.Problem())
	}
}

// What happened is told although a limit is broken and the pointer lies on a button: for a while,
// and as long as something is being made.
func TestNewsIsTold(t *testing.T) {
	w := play(t, demo(t), 10)
	for _, _, known := w.view.Verdict(); !known; _, _, known = w.view.Verdict() {
		advance(t, w, 1)
		time.Sleep(time.Millisecond)
	}
	broken, _ := w.status()
	w.hint = "a button"
	w.tell("saved", false)
	if words, _ := w.status(); words != "saved" {
		t.Errorf("told at once is %q", words)
	}
	w.ticks += newsTicks
	if words, _ := w.status(); words != "a button" {
		t.Errorf("told later is %q", words)
	}
	w.making = func() {}
	if words, _ := w.status(); words != "saved" {
		t.Errorf("told while something is made is %q", words)
	}
	w.making, w.hint = nil, ""
	if words, _ := w.status(); words == "saved" || !strings.HasPrefix(broken, "Problem") {
		t.Errorf("told later is %q, before %q", words, broken)
	}
}

// Buttons do what they say and show the scope's state.
func TestButtons(t *testing.T) {
	needScreen(t)
	w := play(t, demo(t), 10)
	screen := ebiten.NewImage(1280, 800)
	w.Draw(screen)
	if got := w.parts.play.Text().Label; got != "Pause" {
		t.Errorf("while playing the button says %q", got)
	}
	w.parts.play.Click()
	w.ui.Update()
	if w.view.Playing() {
		t.Error("Pause does not pause")
	}
	w.Draw(screen)
	if got := w.parts.play.Text().Label; got != "Play" {
		t.Errorf("while pausing the button says %q", got)
	}
	w.parts.overlays[scope.Temperature].Click()
	w.ui.Update()
	if w.view.Overlay() != scope.Temperature {
		t.Errorf("the button for heat shows %v", w.view.Overlay())
	}
	s := w.parts.sliders[0]
	before := w.view.Controls()[0].Value
	s.Current = sliderSteps / 2
	w.drawn.valid = false
	w.slide(0, s.Current)
	w.Draw(screen)
	if c := w.view.Controls()[0]; c.Value == before || math.Abs(c.Share()-0.5) > 0.01 {
		t.Errorf("the slider in its middle means %s", c.Text())
	}
}

// A tap that is over within a tick paints its pixel, and a second button struck while the
// first is held paints what it stands for.
func TestStrokes(t *testing.T) {
	w, err := newWindowWithoutLetters(t.Context(), demo(t))
	if err != nil {
		t.Fatal(err)
	}
	w.do((*scope.Scope).Toggle)
	w.plan = scope.NewPlan(1280, 800, 1, w.view.Ratio(), 7, true)
	cols := w.view.Design().Grid.Cols
	over := func(row, col int) image.Point {
		for y := w.plan.Tank.Min.Y; y < w.plan.Tank.Max.Y; y += 3 {
			for x := w.plan.Tank.Min.X; x < w.plan.Tank.Max.X; x += 3 {
				u, v := (float64(x-w.plan.Tank.Min.X)+0.5)/float64(w.plan.Tank.Dx()), (float64(y-w.plan.Tank.Min.Y)+0.5)/float64(w.plan.Tank.Dy())
				if w.view.Pixel(u, v) == row*cols+col {
					return image.Pt(x, y)
				}
			}
		}
		t.Fatalf("pixel %d, %d is nowhere", row, col)
		return image.Point{}
	}
	levels := func() []float64 { return w.view.Picture(1).Frames[0].Levels }
	none, left, right, both := [2]bool{}, [2]bool{true, false}, [2]bool{false, true}, [2]bool{true, true}

	// Down and up again within a tick, as Ebitengine tells it; then again at once.
	w.point(hand{at: over(0, 0), down: left, struck: left})
	w.point(hand{at: over(0, 2), down: left, struck: left})
	w.point(hand{at: over(0, 2), down: none, struck: none})
	if l := levels(); l[0] != 1 || l[1] == 1 || l[2] != 1 {
		t.Errorf("two taps a tick apart paint %v", l[:3])
	}
	// Left, then right beside it, then left alone again, the pointer going on.
	w.point(hand{at: over(1, 0), down: left, struck: left})
	w.point(hand{at: over(1, 1), down: left, struck: none})
	w.point(hand{at: over(1, 2), down: both, struck: right})
	w.point(hand{at: over(1, 3), down: both, struck: none})
	w.point(hand{at: over(1, 4), down: left, struck: none})
	w.point(hand{at: over(1, 5), down: left, struck: none})
	w.point(hand{at: over(1, 5), down: none, struck: none})
	for col, want := range []float64{1, 1, -1, -1, 1, 1} {
		if got := levels()[cols+col]; got != want {
			t.Errorf("two buttons in turn paint %g at column %d, want %g", got, col, want)
		}
	}
	// Begun beside the grid, one paints from where it comes in; one that stays there is none.
	beside := w.plan.Tank.Min.Add(image.Pt(2, 2))
	w.point(hand{at: beside, down: left, struck: left})
	w.point(hand{at: over(4, 0), down: left})
	w.point(hand{at: over(4, 2), down: left})
	w.point(hand{at: over(4, 2)})
	for col := range 3 {
		if got := levels()[4*cols+col]; got != 1 {
			t.Errorf("a stroke begun beside the grid paints %g at column %d", got, col)
		}
	}
	w.point(hand{at: beside, down: left, struck: left})
	w.point(hand{at: beside})
	// Each was a stroke of its own.
	for range 6 {
		w.do(undo)
	}
	if n := w.view.Painted(); n != 0 {
		t.Errorf("six strokes taken back leave %d pixels painted", n)
	}

	// Two fingers enlarge about what is between them and carry it along; they paint nothing,
	// nor does the one that is lifted last.
	f := [2]image.Point{over(3, 5), over(3, 9)}
	w.point(hand{at: f[0], down: left, struck: left})
	w.point(hand{at: f[0], down: left, struck: none, two: true, fingers: f})
	under := func(at image.Point) (x, y float64) {
		return w.zoom.share(float64(at.X-w.plan.Tank.Min.X)/float64(w.plan.Tank.Dx()), float64(at.Y-w.plan.Tank.Min.Y)/float64(w.plan.Tank.Dy()))
	}
	middle := f[0].Add(f[1]).Div(2)
	x, y := under(middle)
	apart, by := f[1].Sub(f[0]), image.Pt(20, 12)
	f = [2]image.Point{middle.Sub(apart).Add(by), middle.Add(apart).Add(by)}
	w.point(hand{at: f[0], down: left, two: true, fingers: f})
	if u, v := under(middle.Add(by)); math.Abs(w.zoom.factor-2) > 1e-2 || math.Abs(u-x) > 1e-2 || math.Abs(v-y) > 1e-2 {
		t.Errorf("fingers twice as far apart enlarge %g times; what was at (%.3f, %.3f) is at (%.3f, %.3f)", w.zoom.factor, x, y, u, v)
	}
	w.point(hand{at: f[1], down: left})
	w.point(hand{at: over(5, 5), down: left})
	w.point(hand{at: over(5, 5)})
	if n := w.view.Painted(); n != 0 {
		t.Errorf("two fingers paint %d pixels", n)
	}
	w.point(hand{at: over(5, 5), down: left, struck: left})
	w.point(hand{at: over(5, 5)})
	if n := w.view.Painted(); n != 1 {
		t.Errorf("a tap after them paints %d pixels", n)
	}

	// Beside the probes a tap probes, two fingers do not.
	w.page = probesPage
	tap := hand{at: over(3, 5), down: left, struck: left}
	w.point(tap)
	w.point(hand{at: f[0], down: left, two: true, fingers: f})
	w.point(hand{at: f[1]})
	w.point(hand{})
	if n := len(w.view.Probes()); n != 0 {
		t.Errorf("two fingers probe %d pixels", n)
	}
	w.point(tap)
	w.point(hand{})
	if p := w.view.Probes(); len(p) != 1 {
		t.Errorf("a tap probes %v", p)
	}
}

// Every key of the help sheet that stands alone does something, and no key twice.
func TestKeysAreDistinct(t *testing.T) {
	type stroke struct {
		key  ebiten.Key
		ctrl bool
	}
	seen := map[stroke]bool{}
	for _, a := range keyActions {
		k := stroke{a.key, a.ctrl}
		if seen[k] {
			t.Errorf("key %v (Ctrl %v) does two things", a.key, a.ctrl)
		}
		seen[k] = true
		if a.key >= ebiten.KeyDigit1 && a.key <= ebiten.KeyDigit9 {
			t.Errorf("key %v is taken by the overlays", a.key)
		}
	}
}

func TestDroppedFiles(t *testing.T) {
	o := demo(t)
	w, err := newWindowWithoutLetters(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	rows, cols := o.Design.Grid.Rows, o.Design.Grid.Cols
	var csv []byte
	csv = append(csv, "0.5"...)
	for i := range rows * cols {
		csv = fmt.Appendf(csv, ",%d", i%2)
	}
	files := fstest.MapFS{
		"picture.csv": {Data: csv},
		"small.toml":  {Data: []byte("[grid]\ncols = 3\nrows = 2\n[scene]\nkind = \"all-on\"\n")},
		"wrong.toml":  {Data: []byte("[grid]\ncols = 3\npich = \"3 mm\"\n")},
		"words.txt":   {Data: []byte("words")},
	}
	d, s, err := w.loader(files, "picture.csv", false)()
	if err != nil || d != nil || len(s.Frames) != 1 || s.Frames[0].Levels[1] != 1 {
		t.Errorf("a table gives design %v, %d frames, error %v", d, len(s.Frames), err)
	}
	d, s, err = w.loader(files, "small.toml", false)()
	if err != nil || d == nil || d.Grid.Cols != 3 || s.Cols != 3 || s.Rows != 2 {
		t.Errorf("a design gives %v, scene of %d × %d, error %v", d, s.Cols, s.Rows, err)
	}
	var wrong design.Errors
	if _, _, err = w.loader(files, "wrong.toml", false)(); !errors.As(err, &wrong) || wrong[0].Line != 3 {
		t.Errorf("a design with a mistake in line 3 gives %v", err)
	}
	if _, _, err = w.loader(files, "words.txt", false)(); err == nil {
		t.Error("a file of words is taken for a scene")
	}
}

// What a window waits for stands still until it is there and is played then, unless it cannot be;
// nothing is judged before.
func TestLater(t *testing.T) {
	o := demo(t)
	for _, fails := range []bool{false, true} {
		there := make(chan bool)
		o.Later = func() (*design.Design, scope.Pictures, error) {
			<-there
			if fails {
				return nil, scope.Pictures{}, errors.New("no way")
			}
			d, err := o.Design.With(design.Change{Key: "grid.cols", Value: "5"})
			s, _ := usual(t.Context(), d)
			return &d, s, err
		}
		w := play(t, o, 20)
		told, _, judged := w.view.Verdict()
		if list, _ := w.view.Problems(); !judged || len(list) > 0 || told[0] != "No verdict: the moves are not planned" || w.view.Playing() || w.view.Clock() > 0 || !w.awaits {
			t.Errorf("before: judged %v, playing %v at %g s, waiting %v", judged, w.view.Playing(), w.view.Clock(), w.awaits)
		}
		close(there)
		for w.awaits {
			advance(t, w, 1)
			time.Sleep(time.Millisecond)
		}
		advance(t, w, 20)
		if cols := w.view.Design().Grid.Cols; w.view.Playing() == fails || (cols == 5) == fails || (w.view.Problem() == "no way") != fails {
			t.Errorf("failing %v: playing %v, %d columns, problem %q", fails, w.view.Playing(), cols, w.view.Problem())
		}
		if w.left() {
			t.Error("there is a way back from what the window began with")
		}
		d, s := o.Design, o.Scene
		for _, open := range []func(){func() {
			w.do(func(c *scope.Scope) {
				c.Open(func() (*design.Design, scope.Pictures, error) { return &d, s, nil })
			})
		}, w.back} {
			for open(); w.view.Stale(); time.Sleep(time.Millisecond) {
				advance(t, w, 1)
			}
			advance(t, w, 1)
		}
		if cols := w.view.Design().Grid.Cols; (cols == 5) == fails || !fails && w.left() {
			t.Errorf("failing %v: back at %d columns", fails, cols)
		}
	}
}

// A picture waits for the verdict, without what mends it, so long and no longer.
func TestShotWaitsForTheVerdict(t *testing.T) {
	for _, stopped := range []bool{false, true} {
		o, taken := demo(t), 0
		o.Shot = func(image.Image) error { taken++; return nil }
		w := play(t, o, 0)
		w.drawn.valid = true
		if w.shoot(nil); taken > 0 {
			t.Error("taken before the verdict")
		}
		if stopped { // no tick takes the verdict over
			w.ticks = shotTicks - 1
			if w.shoot(nil); taken > 0 {
				t.Error("taken too early")
			}
			w.ticks++
		}
		for _, _, known := w.view.Verdict(); !known && !stopped; _, _, known = w.view.Verdict() {
			w.ticks = 0
			advance(t, w, 1)
			time.Sleep(time.Millisecond)
		}
		w.drawn.valid = false
		if w.shoot(nil); taken > 0 {
			t.Error("taken before it is drawn whole")
		}
		w.drawn.valid = true
		w.shoot(nil)
		list, cure := w.view.Problems()
		if _, _, known := w.view.Verdict(); taken != 1 || known == stopped || (len(list) > 0) == stopped || len(cure.Set) > 0 {
			t.Errorf("%d pictures, verdict %v, %d problems, cured by %v", taken, known, len(list), cure.Set)
		}
		for _, p := range list {
			for _, a := range p.Advice {
				if len(a.Set) > 0 {
					t.Errorf("%s: %v was looked for", p.Key, a.Set)
				}
			}
		}
	}
}

// newWindowWithoutLetters is a window that is never drawn.
func newWindowWithoutLetters(ctx context.Context, o Options) (*window, error) {
	c, err := scope.New(ctx, o.Design, o.Scene, scope.Fitting)
	if err != nil {
		return nil, err
	}
	w := &window{ctx: ctx, options: o, zoom: zoom{factor: 1}, stage: scope.NewStage(c)}
	w.look()
	return w, nil
}

func TestSavedPictureReadsBack(t *testing.T) {
	o := demo(t)
	o.Folder = t.TempDir()
	w, err := newWindowWithoutLetters(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	w.do(func(c *scope.Scope) {
		c.BeginStroke()
		c.Paint(0, 5, -0.25)
		c.EndStroke()
	})
	w.savePicture()
	w.savePicture()
	for _, name := range []string{"picture.csv", "picture-2.csv"} {
		path := filepath.Join(o.Folder, name)
		s, err := compose.Open(context.Background(), path, o.Design.Grid.Rows, o.Design.Grid.Cols, read.DefaultOptions())
		if err != nil {
			t.Fatal(err)
		}
		want := w.view.Picture(1)
		if len(s.Frames) != 1 || s.Frames[0].Levels[3] != -0.25 {
			t.Errorf("%s holds %d frames, level 3 is %g", name, len(s.Frames), s.Frames[0].Levels[3])
		}
		for i, v := range want.Frames[0].Levels {
			if s.Frames[0].Levels[i] != v {
				t.Errorf("%s: level %d is %g, was %g", name, i, s.Frames[0].Levels[i], v)
			}
		}
	}
	w.saveDesign()
	d, err := design.ReadFile(filepath.Join(o.Folder, "design.toml"))
	if err != nil {
		t.Fatal(err)
	}
	if d.Grid != o.Design.Grid || d.Supply != o.Design.Supply {
		t.Error("the saved design is another one")
	}
	left, err := filepath.Glob(filepath.Join(o.Folder, ".lodegrid-*"))
	if err != nil || len(left) > 0 {
		t.Errorf("saving leaves %v, %v", left, err)
	}
}

func TestRunRefuses(t *testing.T) {
	o := demo(t)
	o.Overlay = "colours"
	if err := Run(context.Background(), o); err == nil {
		t.Error("an unknown overlay is accepted")
	}
	o = demo(t)
	o.Width, o.Height = 5, 5
	if err := Run(context.Background(), o); err == nil {
		t.Error("a window of 5 × 5 is accepted")
	}
	o = demo(t)
	o.Scene.Cols++
	if err := Run(context.Background(), o); err == nil {
		t.Error("a scene that does not fit is accepted")
	}
}

func TestNoDisplay(t *testing.T) {
	if running || screen() {
		t.Skip("there is a display")
	}
	if err := Run(context.Background(), demo(t)); !errors.Is(err, ErrNoDisplay) {
		t.Errorf("without a display Run gives %v", err)
	}
}

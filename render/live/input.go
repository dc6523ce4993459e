package live

import (
	"fmt"
	"image"
	"io"
	"math"
	"strconv"

	"github.com/hajimehoshi/ebiten/v2"
	"github.com/hajimehoshi/ebiten/v2/inpututil"

	"lodegrid/render/live/scope"
	"lodegrid/scenes/table"
)

// pointer is what the mouse or a finger does.
type pointer struct {
	at        image.Point
	down      [2]bool // left and right button
	lastInput int     // tick
	pixel     int     // under it, −1 for none
	x, y      float64
	inside    bool // over the tank, at (x, y) in shares of its size
	painting  bool
	button    int     // that paints
	level     float64 // being painted
	from      int     // pixel of the tick before, or struck
	tapping   bool    // a pixel to be probed when the button is up
	scrubbing bool
	finger    ebiten.TouchID // that touches, while touched
	touched   bool
	pinching  bool           // two fingers have touched and not all are lifted yet
	fingers   [2]image.Point // where they were
	keys      []ebiten.Key   // scratch
	touches   []ebiten.TouchID
}

// hand is what a pointing device does in one tick. A button struck within it is down,
// though it may be up again by now.
type hand struct {
	at     image.Point
	down   [2]bool // left and right button
	struck [2]bool // went down within this tick, if only after it went up

	two     bool // fingers touch
	fingers [2]image.Point
}

// sense asks the pointing devices; a finger is a left button.
func (w *window) sense() (h hand) {
	p := &w.pointer
	h.at.X, h.at.Y = ebiten.CursorPosition()
	for i, b := range [2]ebiten.MouseButton{ebiten.MouseButtonLeft, ebiten.MouseButtonRight} {
		h.down[i], h.struck[i] = ebiten.IsMouseButtonPressed(b), inpututil.IsMouseButtonJustPressed(b)
	}
	p.touches = ebiten.AppendTouchIDs(p.touches[:0])
	if len(p.touches) > 0 {
		h.at.X, h.at.Y = ebiten.TouchPosition(p.touches[0])
		h.down[0], h.struck[0] = true, !p.touched || p.touches[0] != p.finger
		p.finger = p.touches[0]
	}
	p.touched = len(p.touches) > 0
	if h.two = len(p.touches) > 1; h.two {
		for i := range h.fingers {
			h.fingers[i].X, h.fingers[i].Y = ebiten.TouchPosition(p.touches[i])
		}
	}
	return h
}

// point follows the pointer: over the tank it paints, over the time line it scrubs. The
// button struck last is the one that paints.
func (w *window) point(h hand) {
	p := &w.pointer
	p.keys = inpututil.AppendPressedKeys(p.keys[:0])
	wx, wy := ebiten.Wheel()
	any := h.down[0] || h.down[1]
	if h.at != p.at || any || p.down != h.down || len(p.keys) > 0 || wx != 0 || wy != 0 {
		p.lastInput = w.ticks
	}
	p.at, p.down = h.at, h.down
	if w.plan.Window.Empty() {
		p.pixel = -1
		return
	}
	t := w.plan.Tank
	p.x, p.y = w.zoom.share((float64(h.at.X-t.Min.X)+0.5)/float64(t.Dx()), (float64(h.at.Y-t.Min.Y)+0.5)/float64(t.Dy()))
	p.inside = h.at.In(t) && !w.help && w.options.Shot == nil // a picture does not depend on where the pointer happens to be
	p.pixel = -1
	if p.inside {
		p.pixel = w.view.Pixel(p.x, p.y)
	}
	struck := h.struck[0] || h.struck[1]
	if w.pinch(h) {
		return
	}
	if w.help {
		if struck {
			w.help, w.drawn.valid = false, false
		}
		return
	}
	for b, now := range h.struck {
		switch {
		case !now || !p.inside || p.scrubbing:
		case w.page == probesPage:
			p.tapping, p.from = true, p.pixel // two fingers may follow
		default:
			w.stroke(b)
		}
	}
	switch {
	case p.tapping && !any:
		p.tapping = false
		w.probe(p.from)
	case p.painting && !h.down[p.button] && h.down[1-p.button] && p.pixel >= 0:
		w.stroke(1 - p.button) // the other button is still held
	case p.painting && !h.down[p.button]:
		w.do((*scope.Scope).EndStroke)
		p.painting = false
	case p.painting && p.pixel >= 0 && p.pixel != p.from:
		w.paint()
	case struck && h.at.In(w.plan.Timeline):
		p.scrubbing = true
		w.scrub(h.at.X)
	case p.scrubbing && any:
		w.scrub(h.at.X)
	}
	p.scrubbing = p.scrubbing && any
}

// stroke begins what a button paints, and ends what the other did.
func (w *window) stroke(button int) {
	p := &w.pointer
	w.do((*scope.Scope).EndStroke)
	p.painting, p.button, p.from = true, button, p.pixel
	p.level = w.brush(button == 1)
	w.do((*scope.Scope).BeginStroke)
	w.paint()
}

// probe puts a probe on a pixel, or takes it away.
func (w *window) probe(pixel int) {
	if pixel >= 0 {
		w.do(func(c *scope.Scope) { c.Probe(pixel) })
	}
}

// brushLevels are the levels that Q and E step through.
var brushLevels = []float64{0.1, 0.25, 0.5, 0.75, 1}

// brush is the level a button paints: left lights, right reverses where the driver
// can, Shift switches off, Alt gives back to the scene.
func (w *window) brush(right bool) float64 {
	switch {
	case ebiten.IsKeyPressed(ebiten.KeyAlt):
		return math.NaN()
	case ebiten.IsKeyPressed(ebiten.KeyShift):
		return 0
	case right && !w.view.Bipolar():
		w.tell("the driver of this design cannot reverse the current (drive.bridge is low-side)", true)
		return 0
	case right:
		return -w.level()
	}
	return w.level()
}

func (w *window) level() float64 { return brushLevels[len(brushLevels)-1-w.weaker] }

func (w *window) paint() {
	p := &w.pointer
	if p.pixel < 0 { // begun beside the grid
		return
	}
	from, to, level := p.from, p.pixel, p.level
	if from < 0 {
		from = to
	}
	w.do(func(c *scope.Scope) { c.Paint(from, to, level) })
	p.from = p.pixel
}

// scrub puts the clock to where the pointer is on the time line.
func (w *window) scrub(x int) {
	t := w.plan.Timeline
	w.seek(float64(x-t.Min.X) / float64(t.Dx()) * w.view.Length())
}

// keyAction is what a key does.
type keyAction struct {
	key    ebiten.Key
	ctrl   bool
	repeat bool // while it is held
	do     func(w *window)
}

var keyActions = []keyAction{
	{key: ebiten.KeySpace, do: act((*scope.Scope).Toggle)},
	{key: ebiten.KeyPeriod, repeat: true, do: act((*scope.Scope).StepFrame)},
	{key: ebiten.KeyComma, repeat: true, do: act((*scope.Scope).BackFrame)},
	{key: ebiten.KeyArrowRight, repeat: true, do: func(w *window) { w.arrow(1) }},
	{key: ebiten.KeyArrowLeft, repeat: true, do: func(w *window) { w.arrow(-1) }},
	{key: ebiten.KeyHome, do: func(w *window) { w.seek(0) }},
	{key: ebiten.KeyEnd, do: func(w *window) { w.seek(w.view.Length()) }},
	{key: ebiten.KeyL, do: act(repeat)},
	{key: ebiten.KeyMinus, do: act(slower)},
	{key: ebiten.KeyNumpadSubtract, do: act(slower)},
	{key: ebiten.KeyEqual, do: act(faster)},
	{key: ebiten.KeyNumpadAdd, do: act(faster)},
	{key: ebiten.KeyBackspace, do: act((*scope.Scope).Unpaint)},
	{key: ebiten.KeyZ, ctrl: true, repeat: true, do: func(w *window) {
		if ebiten.IsKeyPressed(ebiten.KeyShift) {
			w.do(redo)
		} else {
			w.do(undo)
		}
	}},
	{key: ebiten.KeyY, ctrl: true, repeat: true, do: act(redo)},
	{key: ebiten.KeyS, ctrl: true, do: func(w *window) {
		if ebiten.IsKeyPressed(ebiten.KeyShift) {
			w.saveDesign()
		} else {
			w.savePicture()
		}
	}},
	{key: ebiten.KeyQ, do: func(w *window) { w.strength(1) }},
	{key: ebiten.KeyE, do: func(w *window) { w.strength(-1) }},
	{key: ebiten.KeyC, do: func(w *window) { w.cold() }},
	{key: ebiten.KeyW, do: func(w *window) { w.warm() }},
	{key: ebiten.KeyF, do: func(w *window) { w.refill() }},
	{key: ebiten.KeyZ, do: func(w *window) { w.zoom = zoom{factor: 1} }},
	{key: ebiten.KeyO, do: outline},
	{key: ebiten.KeyP, do: func(w *window) { w.probe(w.pointer.pixel) }},
	{key: ebiten.KeyR, do: act((*scope.Scope).Untune)},
	{key: ebiten.KeyD, do: func(w *window) { w.dark = !w.dark }},
	{key: ebiten.KeyF11, do: func(*window) { ebiten.SetFullscreen(!ebiten.IsFullscreen()) }},
	{key: ebiten.KeyH, do: func(w *window) { w.help = !w.help }},
	{key: ebiten.KeyF1, do: func(w *window) { w.help = !w.help }},
	{key: ebiten.KeyEscape, do: func(w *window) {
		w.help = false
		w.do((*scope.Scope).Halt)
		if w.making != nil {
			w.making()
		}
		w.ui.ClearFocus()
		w.tell("", false)
	}},
}

// do lets the simulation do something.
func (w *window) do(what func(*scope.Scope)) {
	w.stage.Do(what)
	w.look()
}

func (w *window) seek(t float64) { w.do(func(c *scope.Scope) { c.Seek(t) }) }

// act is what a key or a button has the simulation do.
func act(what func(*scope.Scope)) func(*window) { return func(w *window) { w.do(what) } }

func slower(c *scope.Scope) { c.Faster(-1) }
func faster(c *scope.Scope) { c.Faster(1) }
func repeat(c *scope.Scope) { c.SetLoop(!c.Loop()) }
func undo(c *scope.Scope)   { c.Undo() }
func redo(c *scope.Scope)   { c.Redo() }

// keys does what the keyboard asks for.
func (w *window) keys() {
	if w.ui == nil || w.parts.edit != nil && w.parts.edit.IsFocused() && !struck(ebiten.KeyEscape, false) {
		return
	}
	ctrl := ebiten.IsKeyPressed(ebiten.KeyControl) || ebiten.IsKeyPressed(ebiten.KeyMeta)
	for i := range keyActions {
		a := &keyActions[i]
		if a.ctrl == ctrl && struck(a.key, a.repeat) {
			a.do(w)
			w.drawn.valid = false
		}
	}
	for i, o := range scope.Overlays() {
		if !ctrl && (struck(ebiten.KeyDigit1+ebiten.Key(i), false) || struck(ebiten.KeyNumpad1+ebiten.Key(i), false)) {
			w.view.SetOverlay(o)
			w.drawn.valid = false
		}
	}
}

// struck reports whether a key was struck in this tick, if only to be up again by now, or is held
// and repeats.
func struck(k ebiten.Key, repeat bool) bool {
	d := inpututil.KeyPressDuration(k)
	return inpututil.IsKeyJustPressed(k) || repeat && d > 24 && d%4 == 0
}

// arrow moves the slider that has the keyboard, or the clock by a frame's length but
// at least by a hundredth of the scene.
func (w *window) arrow(by int) {
	if i := w.focused(); i >= 0 {
		s := w.parts.sliders[i]
		s.Current = min(max(s.Current+by*sliderSteps/100, 0), sliderSteps)
		w.slide(i, s.Current)
		return
	}
	step := max(w.view.Length()/100, 1.0/scope.TicksPerSecond)
	w.seek(w.view.Clock() + float64(by)*step)
}

func outline(w *window) { w.view.SetOutline(!w.view.Outline()) }

func (w *window) strength(by int) {
	w.weaker = min(max(w.weaker+by, 0), len(brushLevels)-1)
	w.tell(fmt.Sprintf("painting level %.0f %%", 100*w.level()), false)
}

func (w *window) realTime() {
	w.do(func(c *scope.Scope) { c.SetSpeed(1) })
}

func speedText(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) + "×" }

func (w *window) cold() {
	w.try("cold coils, a freshly filled tank, meters at zero", (*scope.Scope).Rest)
}

func (w *window) warm() {
	w.tell("working out how warm hours of this scene make the display", false)
	w.try("as warm as hours of this scene make the display", func(c *scope.Scope) error { return c.Warm(w.ctx) })
}

func (w *window) refill() { w.try("tank filled anew", (*scope.Scope).Refill) }

// try lets the simulation do something and tells that it was done, or why not.
func (w *window) try(done string, what func(*scope.Scope) error) {
	w.do(func(c *scope.Scope) {
		if err := what(c); err != nil {
			c.Tell(err.Error(), true)
			return
		}
		c.Tell(done, false)
	})
}

// told tells what became of something that was written.
func (w *window) told(done string, err error) {
	if err != nil {
		w.tell(err.Error(), true)
		return
	}
	w.tell(done, false)
}

// savePicture saves what is shown as a scene.
func (w *window) savePicture() {
	s := w.view.Picture(1)
	path, err := saveNew(w.options.Folder, "picture", ".csv", func(f io.Writer) error { return table.WriteCSV(w.ctx, f, s) })
	w.told("saved the picture as "+path+"; play it with --scene "+path, err)
}

// saveDesign saves the design with the sliders' changes.
func (w *window) saveDesign() {
	if w.view.Stale() || w.view.Problem() != "" {
		w.tell("the design is saved once what the sliders ask for is computed", true)
		return
	}
	d := w.view.Design()
	path, err := saveNew(w.options.Folder, "design", ".toml", d.WriteTOML)
	w.told("saved the design as "+path, err)
}

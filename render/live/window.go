package live

import (
	"context"
	"encoding/json"
	"image"
	"math"

	"github.com/ebitenui/ebitenui"
	"github.com/hajimehoshi/ebiten/v2"

	"lodegrid/render/live/scope"
)

// window is the game that Ebitengine runs: it passes input to the scope and shows
// what the scope computes.
type window struct {
	ctx     context.Context // done once Run returns; files being read stop then
	options Options
	stage   *scope.Stage
	view    *scope.View // what is shown, of the stage
	noted   int         // View.Note told last
	theme   scope.Theme
	dark    bool

	letters *letters
	device  float64 // device pixels per device-independent one, of the monitor
	plan    scope.Plan
	ui      *ebitenui.UI
	parts   widgets
	laid    bool // the widgets were drawn once, which lays them out: their words show the next time

	picture      *scope.Picture
	pictureWidth int // it was asked for
	zoom         zoom
	tank         canvas
	bar          canvas
	timeline     canvas
	strips       [2]canvas
	curves       [len(probeCharts)]canvas
	values       []float64 // of the overlay, per pixel
	numbers      []string  // the same as text

	help   bool
	page   page
	top    int    // of the page's list, the first that is shown
	chosen string // key being edited, "" for none
	built  asked  // what the widgets were built for
	weaker int    // steps that the brush is below full level
	hint   string // about the widget under the pointer
	words  string // what happened last, to be told in the status line
	toldAt int    // tick when it was
	wrong  bool   // words are about something that failed

	pointer pointer
	drawn   drawn
	frames  int // drawn in all
	ticks   int
	opened  int                // files, as of the last that is kept
	file    *file              // that is kept, nil for none
	keptAs  []byte             // given to Options.Keep last
	backTo  int                // of View.Opened: what the window began with
	mirrorT int                // tick of the last mirror
	making  context.CancelFunc // of a file being made, nil without one
	made    chan made
	saving  bool // the window is to be saved once drawn
	awaits  bool // Options.Later is not there yet
	err     error
	done    bool
}

// drawn is what the screen shows now.
type drawn struct {
	valid   bool
	version int // of the scope
	slow    int // tick of the last drawing of the panel
	marked  int
	judged  bool // the verdict was known
}

// canvas is an image in memory and its copy on the graphics card.
type canvas struct {
	memory *image.RGBA
	card   *ebiten.Image
}

// size makes the canvas w × h.
func (c *canvas) size(w, h int) {
	w, h = max(w, 1), max(h, 1)
	if c.memory == nil || c.memory.Rect.Dx() != w || c.memory.Rect.Dy() != h {
		c.memory = image.NewRGBA(image.Rect(0, 0, w, h))
		if c.card != nil {
			c.card.Deallocate()
		}
		c.card = ebiten.NewImage(w, h)
	}
}

// show copies the memory to the card and draws it into a rectangle.
func (c *canvas) show(dst *ebiten.Image, at image.Rectangle) { c.showPart(dst, at, zoom{factor: 1}) }

// showPart is show of a part.
func (c *canvas) showPart(dst *ebiten.Image, at image.Rectangle, z zoom) {
	c.card.WritePixels(c.memory.Pix)
	o := &ebiten.DrawImageOptions{}
	if b := c.memory.Rect; z.factor != 1 || b.Size() != at.Size() {
		o.GeoM.Scale(z.factor*float64(at.Dx())/float64(b.Dx()), z.factor*float64(at.Dy())/float64(b.Dy()))
		o.GeoM.Translate(-z.x*z.factor*float64(at.Dx()), -z.y*z.factor*float64(at.Dy()))
		o.Filter = ebiten.FilterLinear
		dst = dst.SubImage(at).(*ebiten.Image)
	}
	o.GeoM.Translate(float64(at.Min.X), float64(at.Min.Y))
	dst.DrawImage(c.card, o)
}

// calmTicks is how long after the last input the widgets are still drawn, so that
// they come to rest.
const calmTicks = 6

// newsTicks is how long what happened is told before anything else.
const newsTicks = 6 * scope.TicksPerSecond

// slowTicks is how many ticks numbers stand, so that they can be read.
const slowTicks = 10

func newWindow(ctx context.Context, o Options) (*window, error) {
	overlay, err := scope.ParseOverlay(o.Overlay)
	if err != nil {
		return nil, err
	}
	var k kept
	if len(o.Kept[Done]) > 0 && json.Unmarshal(o.Kept[Done], &k) != nil {
		k, o.Kept = kept{}, nil
	}
	w := &window{ctx: ctx, options: o, device: 1, zoom: zoom{factor: 1}, made: make(chan made, 1), dark: o.Dark, mirrorT: -scope.TicksPerSecond}
	c, err := w.begin(k)
	if err != nil {
		return nil, err
	}
	c.SetOverlay(overlay)
	if o.Shot != nil {
		c.JudgeBare() // what mends it is on no picture
	}
	if o.Paused && o.Shot == nil {
		c.Toggle()
	}
	if o.Warm {
		if err := c.Warm(ctx); err != nil {
			w.tell(err.Error(), true)
		}
	}
	if o.Later != nil {
		c.Await(o.Later)
		w.awaits, w.backTo = true, 1
	}
	if w.letters, err = newLetters(); err != nil {
		return nil, err
	}
	c.SetScenes(o.SceneFor)
	w.restore(c, k)
	w.stage = scope.NewStage(c)
	w.look()
	return w, nil
}

// LayoutF implements ebiten.LayoutFer: one screen pixel per device pixel.
func (w *window) LayoutF(width, height float64) (float64, float64) {
	if m := ebiten.Monitor(); m != nil {
		w.device = m.DeviceScaleFactor()
	}
	return math.Ceil(width * w.device), math.Ceil(height * w.device)
}

// Layout implements ebiten.Game; Ebitengine calls LayoutF in its place.
func (w *window) Layout(width, height int) (int, int) {
	a, b := w.LayoutF(float64(width), float64(height))
	return int(a), int(b)
}

// Update implements ebiten.Game.
func (w *window) Update() error {
	if w.done || w.ctx.Err() != nil {
		return ebiten.Termination
	}
	w.ticks++
	w.look()
	w.open()
	w.keys()
	if w.ui != nil {
		w.ui.Update()
	}
	w.point(w.sense())
	w.roll()
	if w.options.Shot != nil && w.view.Playing() {
		w.do((*scope.Scope).Toggle) // the picture is of this time, however long the verdict takes
	}
	w.stage.Pulse()
	w.look()
	w.takeMade()
	if w.ticks-w.mirrorT >= scope.TicksPerSecond {
		w.mirrorT = w.ticks
		w.mirror()
		w.keep()
	}
	return nil
}

// look takes the newest view and tells what there is to tell about it.
func (w *window) look() {
	w.view = w.stage.Look()
	if words, wrong, n := w.view.Note(); n != w.noted {
		w.noted = n
		w.tell(words, wrong)
	}
	if w.awaits && !w.view.Stale() {
		w.awaits = false
		switch {
		case w.view.Problem() != "":
			w.backTo = 0
		case !w.options.Paused && !w.view.Playing():
			w.do((*scope.Scope).Toggle)
		}
	}
}

// tell puts words into the status line.
func (w *window) tell(words string, wrong bool) {
	w.words, w.wrong, w.toldAt = words, wrong, w.ticks
	w.drawn.valid = false
}

// Draw implements ebiten.Game. It draws what changed and leaves the rest.
func (w *window) Draw(screen *ebiten.Image) {
	w.look()
	w.arrange(screen.Bounds().Size())
	d := &w.drawn
	moved := d.version != w.view.Version()
	marked := w.pointer.pixel
	calm := w.ticks-w.pointer.lastInput > calmTicks
	_, _, judged := w.view.Verdict()
	slow := !d.valid || !calm || judged != d.judged || moved && w.ticks-d.slow >= slowTicks
	if d.valid && !moved && calm && marked == d.marked {
		w.shoot(screen)
		return
	}
	if !d.valid || w.help {
		screen.Fill(w.theme.Paper)
		slow = true
	}
	if slow {
		d.slow = w.ticks
		w.drawPanel(screen)
		w.drawStrips(screen)
		w.drawReading(screen)
		w.drawStatus(screen)
		w.syncWidgets()
		w.ui.Draw(screen)
		if w.page == metersPage {
			w.drawSliderText(screen)
		}
	}
	w.drawTank(screen, slow)
	w.drawTimeline(screen)
	if w.help {
		w.drawHelp(screen)
	}
	d.judged = judged
	d.valid, d.version, d.marked = w.laid, w.view.Version(), marked
	w.laid = true
	w.frames++
	w.saveWindow(screen)
	w.shoot(screen)
}

// arrange lays the window out anew when its size, scale, theme or display changed.
func (w *window) arrange(size image.Point) {
	theme := scope.Light
	if w.dark {
		theme = scope.Dark
	}
	_, bar := w.view.Legend()
	p := scope.NewPlan(size.X, size.Y, w.device, w.view.Ratio(), len(w.view.Controls()), bar)
	if w.ui == nil || p.Window != w.plan.Window || p.Scale != w.plan.Scale || p.Tank != w.plan.Tank || theme != w.theme || w.asked() != w.built {
		w.plan, w.theme = p, theme
		w.letters.setScale(p.Scale)
		w.buildWidgets()
		w.laid = false
		w.drawn.valid = false
	}
	width := int(float64(p.Tank.Dx()) * min(w.zoom.factor, 2)) // beyond that it is stretched
	if w.picture == nil || !w.picture.Fits(w.view) || w.tank.memory != w.picture.Image || w.pictureWidth != width {
		w.picture = scope.NewPicture(w.view, width)
		w.pictureWidth = width
		w.tank.size(w.picture.Image.Rect.Dx(), w.picture.Image.Rect.Dy())
		w.tank.memory = w.picture.Image
		w.drawn.valid = false
	}
	w.bar.size(p.Bar.Dx(), p.Bar.Dy())
	w.timeline.size(p.Timeline.Dx(), p.Timeline.Dy())
	w.strips[scope.PowerStrip].size(p.Power.Dx(), p.Power.Dy())
	w.strips[scope.HeatStrip].size(p.Heat.Dx(), p.Heat.Dy())
}

// px is a length in device-independent pixels as device pixels.
func (w *window) px(v float64) int { return int(math.Round(v * w.plan.Scale)) }

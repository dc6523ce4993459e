package live

import (
	"bytes"
	"fmt"
	"image/color"
	"math"

	"github.com/hajimehoshi/ebiten/v2"
	"github.com/hajimehoshi/ebiten/v2/inpututil"
	"github.com/hajimehoshi/ebiten/v2/text/v2"
	"golang.org/x/image/font/gofont/goregular"

	"lodegrid/render/live/scope"
)

// window is the game that Ebitengine runs.
type window struct {
	options Options
	scope   *scope.Scope
	picture *scope.Picture
	tank    *ebiten.Image
	face    *text.GoTextFace
	scale   float64 // device pixels per device-independent one
	x, y    int     // the picture's upper left corner on the screen
	dirty   bool
	ticks   int
	words   string // an error to show
	err     error
	done    bool
}

func newWindow(o Options, c *scope.Scope) (*window, error) {
	source, err := text.NewGoTextFaceSource(bytes.NewReader(goregular.TTF))
	if err != nil {
		return nil, fmt.Errorf("reading the built-in font: %w", err)
	}
	return &window{options: o, scope: c, face: &text.GoTextFace{Source: source, Size: 15}, scale: 1, dirty: true}, nil
}

// LayoutF implements ebiten.LayoutFer: one screen pixel per device pixel.
func (w *window) LayoutF(width, height float64) (float64, float64) {
	w.scale = ebiten.Monitor().DeviceScaleFactor()
	return math.Ceil(width * w.scale), math.Ceil(height * w.scale)
}

// Layout implements ebiten.Game.
func (w *window) Layout(width, height int) (int, int) {
	a, b := w.LayoutF(float64(width), float64(height))
	return int(a), int(b)
}

// Update implements ebiten.Game.
func (w *window) Update() error {
	if w.done {
		return ebiten.Termination
	}
	switch {
	case inpututil.IsKeyJustPressed(ebiten.KeySpace):
		w.scope.Toggle()
		w.dirty = true
	case inpututil.IsKeyJustPressed(ebiten.KeyPeriod):
		w.scope.StepFrame()
	case inpututil.IsKeyJustPressed(ebiten.KeyBackspace):
		w.scope.Unpaint()
	}
	if w.picture != nil {
		x, y := ebiten.CursorPosition()
		if pixel := w.picture.Pixel(w.scope, x-w.x, y-w.y); pixel >= 0 {
			switch {
			case ebiten.IsMouseButtonPressed(ebiten.MouseButtonLeft):
				w.scope.Paint(pixel, 1)
			case ebiten.IsMouseButtonPressed(ebiten.MouseButtonRight):
				w.scope.Paint(pixel, -1)
			}
		}
	}
	changed, err := w.scope.Tick()
	if err != nil {
		w.words = err.Error()
	}
	w.dirty = w.dirty || changed
	w.ticks++
	return nil
}

// Draw implements ebiten.Game.
func (w *window) Draw(screen *ebiten.Image) {
	size := screen.Bounds().Size()
	line := int(24 * w.scale)
	room := 8 * line
	r := w.scope.Ratio()
	width := min(size.X-2*line, int(float64(size.Y-room-2*line)*r))
	if w.picture == nil || w.picture.Image.Rect.Dx() != max(width, 64) {
		w.picture = scope.NewPicture(w.scope, width)
		b := w.picture.Image.Rect
		w.tank = ebiten.NewImage(b.Dx(), b.Dy())
		w.dirty = true
	}
	if w.dirty {
		w.picture.Draw(w.scope)
		w.tank.WritePixels(w.picture.Image.Pix)
		w.dirty = false
	}
	paper, ink := color.RGBA{250, 249, 246, 255}, color.RGBA{28, 32, 38, 255}
	if w.options.Dark {
		paper, ink = ink, paper
	}
	screen.Fill(paper)
	w.x, w.y = (size.X-w.picture.Image.Rect.Dx())/2, line
	op := &ebiten.DrawImageOptions{}
	op.GeoM.Translate(float64(w.x), float64(w.y))
	screen.DrawImage(w.tank, op)

	w.face.Size = 15 * w.scale
	lines := append(w.scope.Meters().Lines(), "Space plays or pauses, full stop steps a frame, left button lights a pixel, right button reverses it, Backspace clears")
	if w.words != "" {
		lines[len(lines)-1] = w.words
	}
	for i, s := range lines {
		t := &text.DrawOptions{}
		t.GeoM.Translate(float64(line), float64(w.y+w.picture.Image.Rect.Dy()+line/2+i*line))
		t.ColorScale.ScaleWithColor(ink)
		text.Draw(screen, s, w.face, t)
	}
	if w.options.Shot != "" && !w.done && float64(w.ticks) >= w.options.ShotAt.Seconds()*scope.TicksPerSecond {
		w.err = writeShot(w.options.Shot, screen)
		w.done = true
	}
}

package live

import (
	"image"
	"image/color"

	"github.com/hajimehoshi/ebiten/v2"
	"github.com/hajimehoshi/ebiten/v2/vector"
)

// helpLine is one key and what it does; a line without a key is a heading.
type helpLine struct{ key, does string }

var helpColumns = [2][]helpLine{
	{
		{"", "Time"},
		{"Space", "play or pause"},
		{".", "play to the end of the frame"},
		{",", "back to the start of a frame"},
		{"← →", "move along the scene, fluid and heat too"},
		{"Home  End", "start, end of the scene"},
		{"+  −", "faster, slower"},
		{"L", "repeat the scene or not"},
		{"C", "start over with cold coils and a filled tank"},
		{"W", "as warm as hours of this scene"},
		{"F", "fill the tank anew"},
		{"", "Shown over the tank"},
		{"1 … 7", "tank, field, arrows, hold, heat, current, crosstalk"},
		{"O", "rings where the picture wants fluid"},
		{"P", "follow the pixel under the pointer over time"},
		{"wheel  Z", "enlarge the tank, as two fingers do; all of it"},
		{"D", "dark or light"},
		{"F11", "whole screen"},
	},
	{
		{"", "Painting pixels by hand"},
		{"left button", "on; drag for more"},
		{"right button", "current reversed, with an H-bridge"},
		{"Shift + button", "off"},
		{"Alt + button", "back to the scene"},
		{"E  Q", "stronger, weaker brush"},
		{"Ctrl+Z  Ctrl+Y", "undo, redo"},
		{"Backspace", "all pixels back to the scene"},
		{"Ctrl+S", "save the picture as a scene (CSV)"},
		{"", "The design"},
		{"Tab, ← →", "choose a slider, move it"},
		{"R", "sliders back to the design's values"},
		{"Ctrl+Shift+S", "save the design with the sliders' values"},
		{"drop a file", "open a design, GIF, picture, CSV or sound"},
		{"H  Esc", "this sheet; Esc also ends a computation"},
	},
}

// drawHelp draws the sheet of keys over everything.
func (w *window) drawHelp(screen *ebiten.Image) {
	box(screen, w.plan.Window, color.RGBA{0, 0, 0, 140})
	// Where two columns have no room, the second stands below the first.
	columns, lines := 2, 22
	width, step := min(w.px(880), w.plan.Window.Dx()-w.px(16)), w.px(20)
	if width < w.px(560) {
		columns, lines = 1, 40
		step = min(step, (w.plan.Window.Dy()-w.px(80))/(lines+3))
	}
	height := w.px(60) + (lines+2)*step
	corner := image.Pt((w.plan.Window.Dx()-width)/2, max((w.plan.Window.Dy()-height)/2, 0))
	r := image.Rectangle{Min: corner, Max: corner.Add(image.Pt(width, height))}
	box(screen, r, w.theme.Paper)
	vector.StrokeRect(screen, float32(r.Min.X), float32(r.Min.Y), float32(r.Dx()), float32(r.Dy()), float32(w.px(1)), w.theme.Faint, false)
	w.letters.draw(screen, "Keys and marks", large, r.Min.X+w.px(24), r.Min.Y+w.px(26), leftAt, w.theme.Ink)
	column := (width - w.px(24)) / columns
	y := r.Min.Y + w.px(46)
	for c, lines := range helpColumns {
		x := r.Min.X + w.px(24) + c%columns*column
		if columns > 1 {
			y = r.Min.Y + w.px(46)
		}
		for _, l := range lines {
			if l.key == "" {
				w.letters.draw(screen, l.does, bold, x, y, leftAt, w.theme.Accent)
			} else {
				w.letters.draw(screen, l.key, small, x, y, leftAt, w.theme.Ink)
				w.letters.draw(screen, w.letters.cut(l.does, small, column-w.px(116)), small, x+w.px(104), y, leftAt, w.theme.Ink)
			}
			y += step
		}
	}
	y = r.Max.Y - 2*step - w.px(4)
	for _, s := range []string{
		"Bars: filled to the present value; black mark: average and peak; red mark: limit.  Tank: red cross: a lit pixel loses its drop;",
		"red ring: a dark pixel keeps one; white and black line: the fluid's edge; small dot: pixel set by hand.",
	} {
		w.letters.draw(screen, w.letters.cut(s, small, width-w.px(40)), small, r.Min.X+w.px(24), y, leftAt, w.theme.Faint)
		y += step
	}
}

package live

import (
	"image"
	"image/color"

	"github.com/ebitenui/ebitenui"
	nine "github.com/ebitenui/ebitenui/image"
	"github.com/ebitenui/ebitenui/widget"
	"github.com/hajimehoshi/ebiten/v2/text/v2"

	"lodegrid/render/live/scope"
)

// widgets are the window's buttons and sliders.
type widgets struct {
	root              *widget.Container
	look              looks
	text              []written       // on the page
	legend            image.Rectangle // of the probes
	charts            [len(probeCharts)]image.Rectangle
	edit              *widget.TextInput // nil for none
	play, loop, speed *widget.Button
	outline           *widget.Button // on the first page alone
	overlays          []*widget.Button
	sliders           []*widget.Slider
	places            map[widget.PreferredSizeLocateableWidget]image.Rectangle
}

// sliderSteps is the number of steps of a slider's way.
const sliderSteps = 1000

// Layout puts every widget at its place; it implements widget.Layouter.
func (p *widgets) Layout(list []widget.PreferredSizeLocateableWidget, _ image.Rectangle) {
	for _, x := range list {
		x.SetLocation(p.places[x])
	}
}

// PreferredSize implements widget.Layouter.
func (p *widgets) PreferredSize([]widget.PreferredSizeLocateableWidget) (int, int) { return 1, 1 }

// looks are the widgets' pictures in the present theme.
type looks struct {
	button *widget.ButtonImage
	text   *widget.ButtonTextColor
	face   *text.Face
	track  *widget.SliderTrackImage
	handle *widget.ButtonImage
}

func (w *window) looks() looks {
	t := w.theme
	line := max(w.px(1), 1)
	box := func(body, rim color.Color) *nine.NineSlice {
		return nine.NewBorderedNineSliceColor(body, rim, line)
	}
	soft, hover, on := t.Button()
	face := text.Face(w.letters.face(small))
	return looks{
		button: &widget.ButtonImage{
			Idle: box(soft, t.Rim), Hover: box(hover, t.Faint), Pressed: box(on, t.Accent),
			PressedHover: box(on, t.Ink), Disabled: box(t.Paper, t.Grid),
		},
		text: &widget.ButtonTextColor{Idle: t.Ink, Disabled: t.Faint, Hover: t.Ink, Pressed: t.Ink},
		face: &face,
		track: &widget.SliderTrackImage{
			Idle: box(t.Grid, t.Rim), Hover: box(t.Grid, t.Faint), Disabled: nine.NewNineSliceColor(soft),
		},
		handle: &widget.ButtonImage{
			Idle: box(t.Accent, t.Paper), Hover: box(t.Ink, t.Paper), Pressed: box(t.Ink, t.Paper), Disabled: box(t.Grid, t.Paper),
		},
	}
}

// button makes a button.
func (w *window) button(label, hint string, at image.Rectangle, toggle bool, do func(), more ...widget.ButtonOpt) *widget.Button {
	look, p := w.parts.look, &w.parts
	options := []widget.ButtonOpt{
		widget.ButtonOpts.Image(look.button),
		widget.ButtonOpts.Text(label, look.face, look.text),
		widget.ButtonOpts.DisableDefaultKeys(), // every button has a key of its own
		widget.ButtonOpts.TabOrder(-1),
		widget.ButtonOpts.ClickedHandler(func(*widget.ButtonClickedEventArgs) {
			do()
			w.drawn.valid = false
		}),
		widget.ButtonOpts.CursorEnteredHandler(func(*widget.ButtonHoverEventArgs) { w.setHint(hint) }),
		widget.ButtonOpts.CursorExitedHandler(func(*widget.ButtonHoverEventArgs) { w.setHint("") }),
	}
	if toggle {
		options = append(options, widget.ButtonOpts.ToggleMode())
	}
	b := widget.NewButton(append(options, more...)...)
	p.places[b] = at
	p.root.AddChild(b)
	return b
}

// buildWidgets makes all buttons and sliders at the places of the plan.
func (w *window) buildWidgets() {
	w.hint = ""
	look := w.looks()
	p := &w.parts
	*p = widgets{look: look, places: map[widget.PreferredSizeLocateableWidget]image.Rectangle{}}
	w.built = w.asked()
	p.root = widget.NewContainer(widget.ContainerOpts.Layout(p))
	button := w.button
	then := func(what func(*scope.Scope)) func() { return func() { w.do(what) } }
	row := func(area image.Rectangle, widths ...float64) []image.Rectangle {
		var list []image.Rectangle
		x := area.Min.X
		for _, width := range widths {
			list = append(list, image.Rect(x, area.Min.Y, x+w.px(width), area.Max.Y))
			x += w.px(width) + w.px(4)
		}
		return list
	}

	at := row(w.plan.Buttons, 60, 46, 46, 52, 28, 44, 28, 24)
	p.play = button("Pause", "Play or pause (Space)", at[0], false, then((*scope.Scope).Toggle))
	button("Back", "Pause at the start of the frame, or of the one before (comma)", at[1], false, then((*scope.Scope).BackFrame))
	button("Step", "Play to the end of the frame and pause (full stop)", at[2], false, then((*scope.Scope).StepFrame))
	p.loop = button("Repeat", "Play the scene again when it ends (L)", at[3], true, then(repeat))
	button("−", "Slower (minus)", at[4], false, then(slower))
	p.speed = button("1×", "Seconds of the scene per second; click for real time", at[5], false, w.realTime)
	button("+", "Faster (plus)", at[6], false, then(faster))
	button("?", "All keys and what the marks mean (H)", at[7], false, func() { w.help = !w.help })

	grid := func(area image.Rectangle, columns, rows int) []image.Rectangle {
		var list []image.Rectangle
		gap := w.px(4)
		width := (area.Dx() - gap*(columns-1)) / columns
		height := (area.Dy() - gap*(rows-1)) / rows
		for i := range columns * rows {
			x, y := area.Min.X+i%columns*(width+gap), area.Min.Y+i/columns*(height+gap)
			list = append(list, image.Rect(x, y, x+width, y+height))
		}
		return list
	}
	w.buildPages(row(w.plan.Pages, 42, 72, 42, 43, 31))
	w.ui = &ebitenui.UI{Container: p.root}
	if w.page != metersPage {
		return
	}
	cells := grid(w.plan.Overlays, 4, 2)
	for i, o := range scope.Overlays() {
		b := button(o.Label(), o.About()+" ("+string(rune('1'+i))+")", cells[i], true, func() { w.view.SetOverlay(o) })
		p.overlays = append(p.overlays, b)
	}
	theme := "Dark"
	if w.dark {
		theme = "Light"
	}
	button(theme, "Dark or light window (D)", cells[7], false, func() { w.dark = !w.dark })

	cells = grid(w.plan.Tools, 4, 2)
	button("Undo", "Take back the last stroke painted (Ctrl+Z)", cells[0], false, then(undo))
	button("Redo", "Paint it again (Ctrl+Y)", cells[1], false, then(redo))
	button("Unpaint", "Give all painted pixels back to the scene (Backspace)", cells[2], false, then((*scope.Scope).Unpaint))
	p.outline = button("Outline", "Rings where the picture wants fluid (O)", cells[3], true, func() { outline(w) })
	button("Cold", "Start over: cold coils, a freshly filled tank, meters at zero (C)", cells[4], false, w.cold)
	button("Warm", "As warm as hours of this scene make the display (W)", cells[5], false, w.warm)
	button("Refill", "Empty the tank and fill it anew (F)", cells[6], false, w.refill)
	button("Reset", "All sliders back to the design's own values (R)", cells[7], false, then((*scope.Scope).Untune))

	for i, c := range w.view.Controls() {
		if i >= len(w.plan.Sliders) {
			break
		}
		hint := c.Help + " Key " + c.Key + " of the design file."
		if c.Off != "" {
			hint = c.Label + ": " + c.Off + "."
		}
		s := widget.NewSlider(
			widget.SliderOpts.MinMax(0, sliderSteps),
			widget.SliderOpts.InitialCurrent(int(c.Share()*sliderSteps+0.5)),
			widget.SliderOpts.Images(look.track, look.handle),
			widget.SliderOpts.FixedHandleSize(w.px(10)),
			widget.SliderOpts.DisableDefaultKeys(true), // see sliderKeys, which repeats
			widget.SliderOpts.PageSizeFunc(func() int { return sliderSteps / 50 }),
			widget.SliderOpts.TabOrder(i),
			widget.SliderOpts.ChangedHandler(func(a *widget.SliderChangedEventArgs) { w.slide(i, a.Current) }),
			widget.SliderOpts.WidgetOpts(
				widget.WidgetOpts.CursorEnterHandler(func(*widget.WidgetCursorEnterEventArgs) { w.setHint(hint) }),
				widget.WidgetOpts.CursorExitHandler(func(*widget.WidgetCursorExitEventArgs) { w.setHint("") }),
			),
		)
		s.GetWidget().Disabled = c.Off != ""
		p.places[s] = w.sliderTrack(i)
		p.root.AddChild(s)
		p.sliders = append(p.sliders, s)
	}
}

// sliderTrack is where a slider's track lies within its row: label to the left,
// value to the right.
func (w *window) sliderTrack(i int) image.Rectangle {
	r := w.plan.Sliders[i]
	height := w.px(14)
	y := r.Min.Y + (r.Dy()-height)/2
	return image.Rect(r.Min.X+w.px(94), y, r.Max.X-w.px(62), y+height)
}

// slide takes a slider's new place; the display's own value is not rounded to the
// slider's steps before somebody moves it.
func (w *window) slide(i, step int) {
	if step != int(w.view.Controls()[i].Share()*sliderSteps+0.5) {
		w.do(func(c *scope.Scope) { c.SetControl(i, float64(step)/sliderSteps) })
	}
}

// syncWidgets lets buttons and sliders show the scope's state, which keys change too.
func (w *window) syncWidgets() {
	p := &w.parts
	label := "Play"
	if w.view.Playing() {
		label = "Pause"
	}
	setLabel(p.play, label)
	setLabel(p.speed, speedText(w.view.Speed()))
	check(p.loop, w.view.Loop())
	if p.outline != nil {
		check(p.outline, w.view.Outline())
	}
	for i, b := range p.overlays {
		check(b, scope.Overlay(i) == w.view.Overlay())
	}
	for i, s := range p.sliders {
		c := w.view.Controls()[i]
		if w.focused() != i || w.pointer.down == [2]bool{} {
			s.Current = int(c.Share()*sliderSteps + 0.5)
		}
	}
}

func setLabel(b *widget.Button, label string) {
	if t := b.Text(); t != nil && t.Label != label {
		b.SetText(label)
	}
}

func check(b *widget.Button, on bool) {
	state := widget.WidgetUnchecked
	if on {
		state = widget.WidgetChecked
	}
	if b.State() != state {
		b.SetState(state)
	}
}

// focused is the slider that has the keyboard, −1 for none.
func (w *window) focused() int {
	f := w.ui.GetFocusedWidget()
	for i, s := range w.parts.sliders {
		if f == widget.Focuser(s) {
			return i
		}
	}
	return -1
}

func (w *window) setHint(s string) {
	if s != w.hint {
		w.hint = s
		w.drawn.valid = false
	}
}

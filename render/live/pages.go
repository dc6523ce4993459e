package live

import (
	"context"
	"fmt"
	"image"
	"image/color"
	"io"
	"slices"
	"strings"

	"github.com/ebitenui/ebitenui/widget"
	"github.com/hajimehoshi/ebiten/v2"

	"lodegrid/array/design"
	"lodegrid/render"
	"lodegrid/render/live/scope"
)

// page is one of the things that the right column shows.
type page int

// The pages.
const (
	metersPage page = iota
	problemsPage
	designPage
	probesPage
	savePage
	pages
)

// written is a line of text on a page.
type written struct {
	words string
	s     style
	at    image.Point
	ink   ink
}

// ink is a colour of the theme.
type ink int

// The inks.
const (
	inkText ink = iota
	inkFaint
	inkWarning
)

// asked is what the widgets stand for: another one asks for other widgets.
type asked struct {
	page        page
	count, top  int // problems, and the first of the list
	words       string
	known, busy bool
}

// noWidgets is what no page asks for.
var noWidgets = asked{page: pages}

func (w *window) asked() asked {
	list, _ := w.view.Problems()
	a := asked{page: w.page, count: len(list), top: w.top}
	switch w.page {
	case problemsPage:
		words, _, known := w.view.Verdict()
		a.words, a.known, a.busy = strings.Join(words, " "), known, w.view.Judging() != ""
	case designPage:
		if e := w.parts.edit; e != nil && e.IsFocused() {
			return w.built // what is being typed is not taken away
		}
		value, _ := w.view.Design().Says(w.chosen)
		a.words, a.busy = w.chosen+" "+value, w.view.Stale()
	case savePage:
		a.known = w.left()
	}
	return a
}

// turn shows another page.
func (w *window) turn(p page) {
	w.page, w.top, w.chosen, w.built = p, 0, "", noWidgets
	w.drawn.valid = false
}

// buildPages makes the buttons that turn the pages and what stands on the present one.
func (w *window) buildPages(at []image.Rectangle) {
	problems := "Problems"
	if list, _ := w.view.Problems(); len(list) > 0 {
		problems = fmt.Sprintf("Problems %d", len(list))
	}
	for i, b := range [pages]struct{ label, hint string }{
		{"Meters", "What the display draws, how warm it gets, what holds"},
		{problems, "Which limits the scene breaks in a loop, and what mends that"},
		{"Design", "Every key of the design file"},
		{"Probes", "Field, heat and fluid of single pixels over time"},
		{"Files", "Picture, film, report and design as files"},
	} {
		check(w.button(b.label, b.hint, at[i], true, func() { w.turn(page(i)) }), page(i) == w.page)
	}
	switch w.page {
	case problemsPage:
		w.buildProblems()
	case designPage:
		w.buildDesign()
	case probesPage:
		w.buildProbes()
	case savePage:
		w.buildSave()
	}
}

// sheet writes a page from the top.
type sheet struct {
	w     *window
	y, to int
}

func (w *window) sheet() *sheet { return &sheet{w, w.plan.Page.Min.Y, w.plan.Page.Max.Y} }

// text writes words broken into lines, as many as fit.
func (s *sheet) text(words string, st style, c ink, lines int) {
	w := s.w
	step := w.px(st.size * 1.3)
	for _, line := range w.letters.wrap(words, st, w.plan.Page.Dx(), min(lines, (s.to-s.y)/step)) {
		w.parts.text = append(w.parts.text, written{line, st, image.Pt(w.plan.Page.Min.X, s.y+step/2), c})
		s.y += step
	}
}

// row is a rectangle of a height over the page's width, from a share to another.
func (s *sheet) row(height, from, to float64) image.Rectangle {
	r := s.w.plan.Page
	x := func(share float64) int { return r.Min.X + int(share*float64(r.Dx())) }
	return image.Rect(x(from), s.y, x(to), s.y+s.w.px(height))
}

func (s *sheet) skip(v float64) { s.y += s.w.px(v) }

// fits tells whether there is room for a height.
func (s *sheet) fits(v float64) bool { return s.y+s.w.px(v) <= s.to }

// turns are buttons at the page's foot that go on in a list of n, of which those before
// end are shown.
func (s *sheet) turns(end, n, by int) {
	w := s.w
	if w.top == 0 && end >= n {
		return
	}
	s.y = w.plan.Page.Max.Y - w.px(24)
	if w.top > 0 {
		w.button("Back", "What stands before", s.row(24, 0, 0.3), false, func() { w.top = max(w.top-by, 0) })
	}
	if end < n {
		w.button("More", "What follows", s.row(24, 0.7, 1), false, func() { w.top = end })
	}
}

// buildProblems lists what is wrong with what mends it.
func (w *window) buildProblems() {
	s := w.sheet()
	list, cure := w.view.Problems()
	words, wrong, known := w.view.Verdict()
	switch {
	case !known:
		s.text("The scene in a loop is being judged; what is shown goes on meanwhile.", plain, inkText, 3)
		s.skip(30) // how far it is stands here
		w.button("Stop", "End the judgement", s.row(24, 0, 0.4), false, func() { w.do((*scope.Scope).StopJudging) })
		return
	case len(list) == 0:
		c := inkText
		if wrong {
			c = inkWarning
		}
		s.text(strings.Join(words, " "), plain, c, 8)
		s.skip(8)
		w.button("Judge again", "Begin the verdict anew", s.row(24, 0, 0.5), false, func() { w.do((*scope.Scope).Judge) })
		return
	}
	if len(cure.Set) > 0 && w.top == 0 {
		s.text(cure.Text, small, inkText, 12)
		w.apply(s, cure)
		s.skip(6)
	}
	s.to -= w.px(28)
	i := min(w.top, len(list)-1)
	for ; i < len(list) && s.fits(70); i++ {
		s.text(fmt.Sprintf("%d of %d, %s", i+1, len(list), list[i].Key), bold, inkWarning, 1)
		s.text(list[i].What, small, inkText, 5)
		for _, a := range list[i].Advice {
			if !s.fits(60) {
				break
			}
			if len(a.Set) > 0 {
				s.to -= w.px(28) // its button's
			}
			s.text(a.Text, small, inkFaint, 10)
			if len(a.Set) > 0 {
				s.to += w.px(28)
			}
			w.apply(s, a)
		}
		s.skip(6)
	}
	s.turns(i, len(list), 2)
}

// apply is a button that takes advice.
func (w *window) apply(s *sheet, a scope.Advice) {
	if len(a.Set) == 0 || !s.fits(26) {
		return
	}
	what := said(a.Set)
	label := "Apply " + what
	if w.letters.width(label, small) > float64(w.plan.Page.Dx()-w.px(12)) { // the advice tells them
		label = fmt.Sprintf("Apply these %d", len(a.Set))
	}
	w.button(label, "Set "+what+" and judge anew; Reset takes it back", s.row(24, 0, 1), false, func() { w.set(a.Set...) })
	s.skip(28)
}

// said is a number of changes in words.
func said(set []design.Change) string {
	var list []string
	for _, c := range set {
		list = append(list, c.String())
	}
	return strings.Join(list, ", ")
}

// set changes the design, and tells what stood before.
func (w *window) set(set ...design.Change) {
	before, _ := w.view.Problems()
	w.do(func(c *scope.Scope) {
		if err := c.Set(set...); err != nil {
			c.Tell(err.Error(), true)
			return
		}
		c.Tell(fmt.Sprintf("set %s; before, problems: %d", said(set), len(before)), false)
	})
}

// keysOf are the keys of a design that can be set.
func keysOf(d design.Design) []design.Entry {
	return slices.DeleteFunc(design.Explain(), func(e design.Entry) bool {
		_, ok := d.Says(e.Key)
		return !ok
	})
}

// buildDesign lists all keys with their values; one is chosen to be edited.
func (w *window) buildDesign() {
	s := w.sheet()
	d := w.view.Design()
	keys := keysOf(d)
	s.to -= w.px(28)
	left := widget.ButtonOpts.TextPosition(widget.TextPositionStart, widget.TextPositionCenter)
	inset := widget.ButtonOpts.TextPadding(widget.NewInsetsSimple(w.px(4)))
	const open = 120 // height of the key that is edited
	if k := slices.IndexFunc(keys, func(e design.Entry) bool { return e.Key == w.chosen }); k > w.top && !s.fits(float64(24*(k-w.top)+open)) {
		w.top = k
	}
	i := min(w.top, len(keys)-1)
	for ; i < len(keys); i++ {
		e := keys[i]
		room := 24.0
		if e.Key == w.chosen {
			room = open
		}
		if !s.fits(room) {
			break
		}
		value, _ := d.Says(e.Key)
		label := w.letters.cut(e.Key+"  "+render.SixDigits(value), small, w.plan.Page.Dx()-w.px(12))
		b := w.button(label, e.Sentence, s.row(22, 0, 1), true, func() {
			w.chosen, w.built = e.Key, noWidgets
			w.drawn.valid = false
		}, left, inset)
		check(b, e.Key == w.chosen)
		s.skip(24)
		if e.Key == w.chosen {
			s.text(e.Sentence+" Accepted: "+e.Accepts, small, inkFaint, 4)
			w.buildEdit(s, e.Key, value)
		}
	}
	s.turns(i, len(keys), max(i-w.top, 1))
}

// buildEdit is a field for a key's value.
func (w *window) buildEdit(s *sheet, key, value string) {
	look := w.parts.look
	take := func(a *widget.TextInputChangedEventArgs) {
		w.ui.ClearFocus()
		w.set(design.Change{Key: key, Value: strings.Trim(strings.TrimSpace(a.InputText), `"`)})
	}
	e := widget.NewTextInput(
		widget.TextInputOpts.Image(&widget.TextInputImage{Idle: look.button.Idle, Disabled: look.button.Disabled}),
		widget.TextInputOpts.Face(look.face),
		widget.TextInputOpts.Color(&widget.TextInputColor{Idle: w.theme.Ink, Disabled: w.theme.Faint, Caret: w.theme.Accent, DisabledCaret: w.theme.Faint}),
		widget.TextInputOpts.Padding(widget.NewInsetsSimple(w.px(4))),
		widget.TextInputOpts.CaretWidth(max(w.px(1), 1)),
		widget.TextInputOpts.SubmitHandler(take),
		widget.TextInputOpts.TabOrder(len(w.parts.sliders)),
	)
	e.SetText(value)
	w.parts.edit = e
	w.parts.places[e] = s.row(24, 0, 0.74)
	w.parts.root.AddChild(e)
	w.button("Set", "Take the value (Enter)", s.row(24, 0.76, 1), false, e.Submit)
	s.skip(30)
}

// buildSave is what can be saved.
func (w *window) buildSave() {
	s := w.sheet()
	for _, b := range []struct {
		label, hint string
		do          func()
	}{
		{"Picture shown, as a scene (CSV)", "The levels shown, what was painted included, as a scene of one frame (Ctrl+S)", w.savePicture},
		{"Window, as an image (PNG)", "What the window shows", func() { w.saving, w.drawn.valid = true, false }},
		{"Design (TOML)", "The design with all changes (Ctrl+Shift+S)", w.saveDesign},
		{"Film of the scene (GIF)", "The scene from its start, as lodegrid film makes it; takes a while", func() { w.saveMade("film", ".gif", w.options.Film) }},
		{"Report (HTML)", "The report on design and scene; takes a while", func() { w.saveMade("report", ".html", w.options.Report) }},
	} {
		w.button(b.label, b.hint, s.row(26, 0, 1), false, b.do)
		s.skip(32)
	}
	if w.left() {
		w.button("Open what the window began with", "Leave the file that was opened, and go back", s.row(26, 0, 1), false, w.back)
		s.skip(32)
	}
	s.text("Files are written to the folder that lodegrid was started in; a browser keeps them with its downloads. No file is replaced.", small, inkFaint, 4)
}

// maker makes a file of a design with its scene.
type maker = func(ctx context.Context, d design.Design, s scope.Pictures, to io.Writer) error

// saveMade has a file made beside the window; Esc ends that.
func (w *window) saveMade(name, ext string, how maker) {
	switch {
	case how == nil:
		w.tell("this cannot be saved here", true)
		return
	case w.making != nil:
		w.tell("one after another: something is being made still (Esc ends it)", true)
		return
	}
	ctx, cancel := context.WithCancel(w.ctx)
	w.making = cancel
	d, s := w.view.Design(), w.view.Scene()
	w.tell("making the "+name+", which may take minutes (Esc ends it)", false)
	go func() {
		var path string
		err := safely(func() (err error) {
			path, err = saveNew(w.options.Folder, name, ext, func(to io.Writer) error { return how(scope.Breathe(ctx), d, s, to) })
			return err
		})
		w.made <- made{path, err}
	}()
}

// safely turns a panic into an error.
func safely(do func() error) (err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("it failed: %v", r)
		}
	}()
	return do()
}

// made is what became of a file.
type made struct {
	path string
	err  error
}

// takeMade tells of a file that is made.
func (w *window) takeMade() {
	select {
	case m := <-w.made:
		w.making()
		w.making = nil
		w.told("saved "+m.path, m.err)
	default:
	}
}

// inkOf is the colour of an ink.
func (w *window) inkOf(i ink) color.Color {
	return [...]color.RGBA{w.theme.Ink, w.theme.Faint, w.theme.Warning}[i]
}

// drawPage writes the page's text.
func (w *window) drawPage(screen *ebiten.Image) {
	for _, t := range w.parts.text {
		w.letters.draw(screen, t.words, t.s, t.at.X, t.at.Y, leftAt, w.inkOf(t.ink))
	}
	if w.page == probesPage {
		w.drawProbes(screen)
	}
	if j := w.view.Judging(); j != "" && w.page == problemsPage {
		r := w.plan.Page
		w.letters.draw(screen, j, bold, r.Min.X, r.Min.Y+w.px(56), leftAt, w.theme.Ink)
	}
}

package live

import (
	"fmt"
	"image"
	"image/color"

	"github.com/hajimehoshi/ebiten/v2"
	"github.com/hajimehoshi/ebiten/v2/vector"

	"lodegrid/render/live/scope"
)

// box fills a rectangle.
func box(dst *ebiten.Image, r image.Rectangle, c color.Color) {
	vector.FillRect(dst, float32(r.Min.X), float32(r.Min.Y), float32(r.Dx()), float32(r.Dy()), c, false)
}

// drawTank draws the tank, and when numbers may change those too.
func (w *window) drawTank(screen *ebiten.Image, slow bool) {
	w.picture.Marked = w.pointer.pixel
	w.picture.Draw(w.view)
	w.tank.showPart(screen, w.plan.Tank, w.zoom)
	w.drawNumbers(screen, slow)
	w.drawMarks(screen)
	w.drawBadge(screen)
	if slow {
		w.drawBar(screen)
		w.drawCaption(screen)
	}
}

// leastCell is the side of a pixel, in device-independent pixels, from which on
// there is room for a number in it.
const leastCell = 30

// drawNumbers writes each pixel's value into it where there is room.
func (w *window) drawNumbers(screen *ebiten.Image, slow bool) {
	legend, ok := w.view.Legend()
	if !ok || !w.view.Overlay().PerPixel() {
		return
	}
	b := w.picture.Image.Rect
	stretch := w.zoom.factor * float64(w.plan.Tank.Dx()) / float64(b.Dx())
	_, _, side := w.picture.Cell(0)
	if side*stretch < leastCell*w.plan.Scale {
		return
	}
	if slow || len(w.numbers) == 0 {
		w.values = w.view.Values(w.values)
		w.numbers = w.numbers[:0]
		for _, v := range w.values {
			w.numbers = append(w.numbers, cellText(v, legend.High-max(legend.Low, 0)))
		}
	}
	for i, s := range w.numbers {
		if i >= len(w.values) {
			break
		}
		x, y, side := w.picture.Cell(i)
		c := legend.Colors.At((w.values[i] - legend.Low) / (legend.High - legend.Low))
		u, v := w.zoom.part((x+side/2)/float64(b.Dx()), (y+side*0.6)/float64(b.Dy()))
		at := w.plan.Tank.Min.Add(image.Pt(int(u*float64(w.plan.Tank.Dx())), int(v*float64(w.plan.Tank.Dy()))))
		if !at.In(w.plan.Tank.Inset(w.px(10))) {
			continue
		}
		w.letters.draw(screen, s, small, at.X, at.Y, middleAt, scope.Readable(c))
	}
}

// cellText writes a value short enough for a pixel, to a hundredth of the range.
func cellText(v, span float64) string {
	digits := 0
	switch {
	case span < 2:
		digits = 2
	case span < 20:
		digits = 1
	}
	s := fmt.Sprintf("%.*f", digits, v)
	if s == "-0" || s == "-0.0" || s == "-0.00" {
		s = s[1:]
	}
	return s
}

// drawBadge says over the tank that it is not what was asked for yet.
func (w *window) drawBadge(screen *ebiten.Image) {
	var words string
	c := w.theme.Accent
	switch {
	case w.view.Seeking():
		words = w.view.Progress() + " (Esc stops)"
	case w.awaits:
		words = "planning the moves of the drops …"
	case w.view.Stale():
		words = "computing the change …"
	case w.view.Problem() != "":
		words, c = "not shown: see below", w.theme.Warning
	default:
		return
	}
	width := int(w.letters.width(words, bold)) + w.px(20)
	r := image.Rect(0, 0, width, w.px(26)).Add(w.plan.Tank.Min).Add(image.Pt(w.px(8), w.px(8)))
	box(screen, r, w.theme.Paper)
	vector.StrokeRect(screen, float32(r.Min.X), float32(r.Min.Y), float32(r.Dx()), float32(r.Dy()), float32(w.px(2)), c, false)
	w.letters.draw(screen, words, bold, r.Min.X+w.px(10), (r.Min.Y+r.Max.Y)/2, leftAt, w.theme.Ink)
}

// drawBar draws the colour bar with its numbers and limits.
func (w *window) drawBar(screen *ebiten.Image) {
	l, ok := w.view.Legend()
	if !ok || w.plan.Bar.Empty() {
		return
	}
	area := w.plan.BarLabels
	area.Max.Y += w.px(8)
	box(screen, area, w.theme.Paper)
	l.DrawBar(w.bar.memory)
	w.bar.show(screen, w.plan.Bar)
	x := w.plan.BarLabels.Min.X
	w.letters.draw(screen, w.letters.cut(l.Title, small, w.plan.BarLabels.Dx()), small, x, w.plan.BarLabels.Min.Y+w.px(8), leftAt, w.theme.Ink)
	unit := "in " + l.Unit
	if l.Unit == "" {
		unit = "ratio"
	}
	w.letters.draw(screen, unit, small, x, w.plan.BarLabels.Min.Y+w.px(22), leftAt, w.theme.Faint)
	b := w.plan.Bar
	place := func(v float64) int {
		return b.Max.Y - 1 - int((v-l.Low)/(l.High-l.Low)*float64(b.Dy()-1)+0.5)
	}
	for _, t := range l.Ticks() {
		y := place(t.Value)
		box(screen, image.Rect(b.Max.X, y, b.Max.X+w.px(4), y+max(w.px(1), 1)), w.theme.Ink)
		w.letters.draw(screen, t.Label, small, b.Max.X+w.px(7), y, leftAt, w.theme.Ink)
	}
	for _, t := range l.Marks {
		if t.Value < l.Low || t.Value > l.High {
			continue
		}
		y := place(t.Value)
		box(screen, image.Rect(b.Min.X-w.px(4), y-w.px(2), b.Max.X+w.px(2), y+w.px(3)), color.White)
		box(screen, image.Rect(b.Min.X-w.px(4), y-w.px(1), b.Max.X+w.px(2), y+w.px(2)), w.theme.Warning)
	}
}

// drawCaption says below the tank what it shows.
func (w *window) drawCaption(screen *ebiten.Image) {
	r := w.plan.Caption
	box(screen, r, w.theme.Paper)
	words := w.view.Overlay().About()
	if follows := w.view.Follows(); follows != "" {
		words = follows + " " + words
	}
	if l, ok := w.view.Legend(); ok {
		words += " Line: the fluid's edge."
		for i, m := range l.Marks {
			if i == 0 {
				words += " Red on the bar: "
			} else {
				words += ", "
			}
			words += fmt.Sprintf("%s %g%s", m.Label, m.Value, unitAfter(l.Unit))
			if i == len(l.Marks)-1 {
				words += "."
			}
		}
	}
	if w.zoom.factor > 1 {
		words = fmt.Sprintf("Enlarged %.1f times (Z: all of it). ", w.zoom.factor) + words
	}
	if n := w.view.Painted(); n > 0 {
		words += fmt.Sprintf(" Dots: %d set by hand.", n)
	}
	y := (r.Min.Y + r.Max.Y) / 2
	if rate := w.view.Rate(); rate < 0.95*w.view.Speed() { // not while it is NaN
		slow := fmt.Sprintf("%.2g× real time", rate)
		w.letters.draw(screen, slow, style{small.size, true}, r.Max.X-w.px(8), y, rightAt, w.theme.Ink)
		r.Max.X -= int(w.letters.width(slow, small)) + w.px(20)
	}
	line, lines := w.px(15), 1
	for ; lines < 3 && max(w.plan.Tank.Max.Y, w.plan.BarLabels.Max.Y) <= r.Min.Y-lines*line; lines++ { // room for one more
		box(screen, image.Rect(r.Min.X, r.Min.Y-lines*line, w.plan.Caption.Max.X, r.Min.Y), w.theme.Paper)
	}
	list := w.letters.wrap(words, small, r.Dx(), lines)
	for i, words := range list {
		w.letters.draw(screen, words, small, r.Min.X, y-line*(len(list)-1-i), leftAt, w.theme.Faint)
	}
}

func unitAfter(u string) string {
	if u == "" {
		return ""
	}
	return " " + u
}

// drawTimeline draws the time line and the time beside it.
func (w *window) drawTimeline(screen *ebiten.Image) {
	w.view.DrawTimeline(w.timeline.memory, w.theme, w.plan.Scale)
	w.timeline.show(screen, w.plan.Timeline)
	r := w.plan.Time
	box(screen, r, w.theme.Paper)
	words := fmt.Sprintf("%.1f of %.1f s", w.view.Clock(), w.view.Length())
	w.letters.draw(screen, words, plain, r.Max.X, (r.Min.Y+r.Max.Y)/2, rightAt, w.theme.Ink)
}

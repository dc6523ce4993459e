package live

import (
	"fmt"
	"image"
	"image/color"
	"strings"

	"github.com/hajimehoshi/ebiten/v2"

	"lodegrid/field"
	"lodegrid/field/quantity"
	"lodegrid/render/live/scope"
)

// drawPanel draws the title and the meters.
func (w *window) drawPanel(screen *ebiten.Image) {
	box(screen, w.plan.Panel, w.theme.Paper)
	t := w.plan.Title
	d := w.view.Design()
	w.letters.draw(screen, w.letters.cut(d.Name, large, t.Dx()), large, t.Min.X, t.Min.Y+w.px(9), leftAt, w.theme.Ink)
	about := fmt.Sprintf("%d × %d pixels, scene: %s", d.Grid.Cols, d.Grid.Rows, w.view.Scene().Name)
	w.letters.draw(screen, w.letters.cut(about, small, t.Dx()), small, t.Min.X, t.Min.Y+w.px(28), leftAt, w.theme.Faint)

	if w.page != metersPage {
		w.drawPage(screen)
		return
	}
	m := w.view.Meters()
	y := w.plan.Meters.Min.Y
	sub := fmt.Sprintf("average %s · peak %s", scope.Watts(m.AveragePower), scope.Watts(m.PeakPower))
	if m.PowerLimit > 0 {
		sub += " · limit " + scope.Watts(m.PowerLimit)
	}
	w.gauge(screen, &y, gauge{
		name: "Supply power", value: scope.Watts(m.Power), sub: sub,
		now: m.Power, mean: m.AveragePower, peak: m.PeakPower, limit: m.PowerLimit,
	})
	w.fact(screen, &y, "Supply current", fmt.Sprintf("%s, peak %s", scope.Amps(m.Current), scope.Amps(m.PeakCurrent)), w.theme.Ink)
	w.gauge(screen, &y, gauge{
		name: "Hottest coil", value: scope.Celsius(m.Hottest),
		sub: fmt.Sprintf("%s · peak %s · limit %.0f °C", m.HotPlace, scope.Celsius(m.HottestEver), m.BoardLimit-field.ZeroCelsius),
		now: m.Hottest - m.Ambient, peak: m.HottestEver - m.Ambient, limit: m.BoardLimit - m.Ambient,
	})
	w.gauge(screen, &y, gauge{
		name: "Hottest surface to touch", value: scope.Celsius(m.Touch),
		sub: fmt.Sprintf("peak %s · limit %.0f °C · air %s", scope.Celsius(m.TouchEver), m.TouchLimit-field.ZeroCelsius, scope.Celsius(m.Ambient)),
		now: m.Touch - m.Ambient, peak: m.TouchEver - m.Ambient, limit: m.TouchLimit - m.Ambient,
	})
	w.fact(screen, &y, "Lit pixels losing their drop", fmt.Sprintf("%d of %d", m.Failing, m.Lit), w.alarm(m.Failing > 0))
	w.fact(screen, &y, "Dark pixels keeping a drop", fmt.Sprint(m.FalseOn), w.alarm(m.FalseOn > 0))
	w.fact(screen, &y, "Wanted pixels the fluid is on", fmt.Sprintf("%d of %d", m.Shown, m.Wanted), w.alarm(m.Bare()))
	words, wrong, known := w.view.Verdict()
	problems, _ := w.view.Problems()
	verdict := w.view.Judging()
	verdict = strings.TrimPrefix(verdict, "being ")
	switch {
	case known && !wrong:
		verdict = "no limit is broken"
	case known && len(problems) == 0:
		verdict = "not judged"
	case known && len(words) == 1:
		verdict = "a limit is broken"
	case known:
		verdict = fmt.Sprintf("%d limits are broken", len(words))
	}
	w.fact(screen, &y, "Scene in a loop", verdict, w.alarm(wrong))
}

// alarm is the colour of a number that is fine or not.
func (w *window) alarm(on bool) color.Color {
	if on {
		return w.theme.Warning
	}
	return w.theme.Ink
}

// gauge is a value with a bar from zero to beyond its limit.
type gauge struct {
	name, value, sub       string
	now, mean, peak, limit float64 // limit 0 for none
}

func (w *window) gauge(screen *ebiten.Image, y *int, g gauge) {
	r := w.plan.Meters
	over := g.limit > 0 && g.now > g.limit
	line := *y + w.px(8)
	w.letters.draw(screen, g.name, plain, r.Min.X, line, leftAt, w.theme.Ink)
	value := g.value
	if over {
		value = "over limit: " + value
	}
	w.letters.draw(screen, value, bold, r.Max.X, line, rightAt, w.alarm(over))

	top := max(g.peak*1.05, g.limit*1.15, 1e-9)
	bar := image.Rect(r.Min.X, *y+w.px(18), r.Max.X, *y+w.px(24))
	place := func(v float64) int { return bar.Min.X + int(min(max(v/top, 0), 1)*float64(bar.Dx())+0.5) }
	box(screen, bar, w.theme.Grid)
	c := w.theme.Accent
	if over {
		c = w.theme.Warning
	}
	box(screen, image.Rect(bar.Min.X, bar.Min.Y, place(g.now), bar.Max.Y), c)
	tick := func(v float64, up, down int, c color.Color) {
		x := place(v)
		box(screen, image.Rect(x-w.px(1), bar.Min.Y-up, x+w.px(1), bar.Max.Y+down), c)
	}
	if g.mean > 0 {
		tick(g.mean, 0, w.px(2), w.theme.Ink)
	}
	tick(g.peak, 0, 0, w.theme.Ink)
	if g.limit > 0 {
		tick(g.limit, w.px(3), w.px(2), w.theme.Warning)
	}
	w.letters.draw(screen, w.letters.cut(g.sub, small, r.Dx()), small, r.Min.X, *y+w.px(33), leftAt, w.theme.Faint)
	*y += w.px(scope.GaugeHeight)
}

// fact is a line with a name and a value.
func (w *window) fact(screen *ebiten.Image, y *int, name, value string, c color.Color) {
	r := w.plan.Meters
	line := *y + w.px(scope.CountHeight)/2
	w.letters.draw(screen, name, plain, r.Min.X, line, leftAt, w.theme.Ink)
	w.letters.draw(screen, value, bold, r.Max.X, line, rightAt, c)
	*y += w.px(scope.CountHeight)
}

// drawSliderText writes the sliders' names and values beside them.
func (w *window) drawSliderText(screen *ebiten.Image) {
	focused := w.focused()
	for i, c := range w.view.Controls() {
		if i >= len(w.plan.Sliders) {
			return
		}
		r := w.plan.Sliders[i]
		y := (r.Min.Y + r.Max.Y) / 2
		ink := w.theme.Ink
		value := c.Text()
		if c.Off != "" {
			ink, value = w.theme.Faint, "none"
		}
		s := small
		if i == focused {
			s = style{small.size, true}
		}
		w.letters.draw(screen, c.Label, s, r.Min.X, y, leftAt, ink)
		w.letters.draw(screen, value, s, r.Max.X, y, rightAt, ink)
	}
}

// drawStrips draws the charts of the last minute with their axes.
func (w *window) drawStrips(screen *ebiten.Image) {
	if w.plan.Power.Empty() {
		return
	}
	names := [2]string{"Supply power, W, last minute", "Hottest coil, °C, last minute"}
	for i := range w.strips {
		s := scope.Strip(i)
		at := [2]image.Rectangle{w.plan.Power, w.plan.Heat}[i]
		whole := image.Rect(at.Min.X-w.px(44), at.Min.Y-w.px(24), at.Max.X+w.px(4), at.Max.Y+w.px(8))
		box(screen, whole, w.theme.Paper)
		w.view.DrawStrip(w.strips[i].memory, s, w.theme, w.plan.Scale)
		w.strips[i].show(screen, at)
		low, high, _ := w.view.Span(s)
		w.letters.draw(screen, w.letters.cut(names[i], small, whole.Dx()), small, whole.Min.X, whole.Min.Y+w.px(8), leftAt, w.theme.Faint)
		for k := range 3 {
			v := low + (high-low)*float64(k)/2
			y := at.Max.Y - int(float64(at.Dy())*float64(k)/2)
			w.letters.draw(screen, quantity.Figure(v, 3), small, at.Min.X-w.px(5), y, rightAt, w.theme.Faint)
		}
	}
}

// drawReading writes what stands under the pointer.
func (w *window) drawReading(screen *ebiten.Image) {
	r := w.plan.Reading
	if r.Empty() {
		return
	}
	box(screen, r, w.theme.Paper)
	line := w.px(15)
	y := r.Min.Y + w.px(8)
	reading, ok := w.view.Read(w.pointer.x, w.pointer.y)
	if !ok || !w.pointer.inside {
		for _, s := range w.letters.wrap(w.usage(), small, r.Dx(), r.Dy()/line) {
			w.letters.draw(screen, s, small, r.Min.X, y, leftAt, w.theme.Faint)
			y += line
		}
		return
	}
	lines := reading.Lines()
	const columns = 2
	rows := (len(lines) + columns - 1) / columns
	line = min(line, r.Dy()/rows)
	width := r.Dx() / columns
	for i, l := range lines {
		x := r.Min.X + i/rows*width
		at := y + i%rows*line
		w.letters.draw(screen, l.Label, small, x, at, leftAt, w.theme.Faint)
		label := w.px(70)
		w.letters.draw(screen, w.letters.cut(l.Value, small, width-label-w.px(4)), small, x+label, at, leftAt, w.theme.Ink)
	}
}

// usage says what the pointer does.
func (w *window) usage() string {
	s := "Point at the tank to read its numbers. Left button: "
	switch {
	case w.page == probesPage:
		s += "follow the pixel, or let it go."
	case w.view.Bipolar():
		s += "pixel on. Right button: current reversed. With Shift: off. With Alt: back to the scene."
	default:
		s += "pixel on. With Shift: off. With Alt: back to the scene."
	}
	return s + " Drop a design or a scene on the window to open it. H: all keys."
}

// turnTicks is how many ticks a broken limit stands in the status line before the next.
const turnTicks = 5 * scope.TicksPerSecond

// drawStatus writes the status line.
func (w *window) drawStatus(screen *ebiten.Image) {
	r := w.plan.Status
	box(screen, r, w.theme.Paper)
	words, c := w.status()
	y := r.Min.Y + w.px(9)
	for _, s := range w.letters.wrap(words, plain, r.Dx(), 2) {
		w.letters.draw(screen, s, plain, r.Min.X, y, leftAt, c)
		y += w.px(17)
	}
}

// status is what is wrong, or about the widget under the pointer, or what happened last, which
// comes first while it is news or being made.
func (w *window) status() (string, color.Color) {
	news := w.words != "" && (w.making != nil || w.ticks-w.toldAt < newsTicks)
	switch {
	case w.view.Failure() != "":
		return w.view.Failure() + "; C starts over with cold coils", w.theme.Warning
	case w.view.Problem() != "":
		return "Not shown: " + w.view.Problem(), w.theme.Warning
	case w.hint != "" && !news:
		return w.hint, w.theme.Faint
	case w.wrong:
		return w.words, w.theme.Warning
	case !news:
		// Each broken limit in turn.
		if list, wrong, _ := w.view.Verdict(); wrong {
			return list[w.ticks/turnTicks%len(list)], w.theme.Warning
		}
	}
	return w.words, w.theme.Faint
}

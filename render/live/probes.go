package live

import (
	"fmt"
	"image"
	"strconv"
	"strings"

	"github.com/hajimehoshi/ebiten/v2"

	"lodegrid/array/extent"
	"lodegrid/field/quantity"
	"lodegrid/render/live/scope"
)

// probeCharts are the charts of the probes' page.
var probeCharts = [...]struct {
	of         scope.Probed
	name, unit string
}{
	{scope.ProbedField, "Field", "mT"},
	{scope.ProbedCoil, "Coil", "°C"},
	{scope.ProbedFluid, "Fluid on it", "%"},
}

// buildProbes makes room for what drawProbes draws.
func (w *window) buildProbes() {
	s := w.sheet()
	s.text("Click a pixel in the tank to follow it, again to let it go (P on other pages). The last minute played; field: over the pixel's middle, the largest of each quarter second.", small, inkFaint, 5)
	w.button("Clear", "Take all probes away", s.row(22, 0.7, 1), false, func() { w.do((*scope.Scope).Unprobe) })
	w.parts.legend = s.row(float64(16*scope.MostProbes), 0, 0.68)
	s.skip(16*scope.MostProbes + 4)
	height := (s.to - s.y) / len(probeCharts)
	for k := range probeCharts {
		top := s.y + k*height
		w.parts.charts[k] = image.Rect(w.plan.Page.Min.X+w.px(34), top+w.px(20), w.plan.Page.Max.X, top+height-w.px(10))
	}
}

// drawProbes draws the charts, and above them what each probe shows now.
func (w *window) drawProbes(screen *ebiten.Image) {
	for k, p := range w.view.Probes() {
		at := w.parts.legend
		words := fmt.Sprintf("%d  %s", k+1, extent.PlaceOf(p.Pixel, w.view.Design().Grid.Cols))
		w.letters.draw(screen, w.letters.cut(words, small, at.Dx()), small, at.Min.X, at.Min.Y+w.px(8+16*float64(k)), leftAt, w.theme.Probe(k))
	}
	for k, c := range probeCharts {
		at := w.parts.charts[k]
		if at.Dy() < w.px(16) {
			continue
		}
		left, top := w.plan.Page.Min.X, at.Min.Y-w.px(11)
		w.letters.draw(screen, c.name+", "+c.unit, small, left, top, leftAt, w.theme.Faint)
		x := at.Max.X
		for i := len(w.view.Probes()) - 1; i >= 0; i-- {
			if now := w.view.Probes()[i].Now(c.of); now == now {
				words := quantity.Figure(now, 3)
				w.letters.draw(screen, words, small, x, top, rightAt, w.theme.Probe(i))
				x -= int(w.letters.width(words, small)) + w.px(8)
			}
		}
		w.curves[k].size(at.Dx(), at.Dy())
		w.view.DrawProbes(w.curves[k].memory, c.of, w.theme, w.plan.Scale)
		w.curves[k].show(screen, at)
		low, high, _ := w.view.ProbeSpan(c.of)
		for _, v := range [2]float64{low, high} {
			y := max(at.Max.Y-int((v-low)/(high-low)*float64(at.Dy())), at.Min.Y+w.px(5))
			w.letters.draw(screen, quantity.Figure(v, 3), small, at.Min.X-w.px(4), y, rightAt, w.theme.Faint)
		}
	}
}

// drawMarks writes the probes' numbers into their pixels.
func (w *window) drawMarks(screen *ebiten.Image) {
	b := w.picture.Image.Rect
	for k, p := range w.view.Probes() {
		x, y, side := w.picture.Cell(p.Pixel)
		u, v := w.zoom.part((x+side*0.2)/float64(b.Dx()), (y+side*0.2)/float64(b.Dy()))
		at := w.plan.Tank.Min.Add(image.Pt(int(u*float64(w.plan.Tank.Dx())), int(v*float64(w.plan.Tank.Dy()))))
		half := w.px(8)
		if r := image.Rect(at.X-half, at.Y-half, at.X+half, at.Y+half); r.In(w.plan.Tank) {
			box(screen, r, w.theme.Probe(k))
			box(screen, r.Inset(max(w.px(1), 1)), w.theme.Paper)
			w.letters.draw(screen, strconv.Itoa(k+1), small, at.X, at.Y, middleAt, w.theme.Probe(k))
		}
	}
}

// probeLines are the probes in words.
func (w *window) probeLines() (lines []string) {
	for k, p := range w.view.Probes() {
		line := fmt.Sprintf("Probe %d, %s", k+1, extent.PlaceOf(p.Pixel, w.view.Design().Grid.Cols))
		for _, c := range probeCharts {
			if now := p.Now(c.of); now == now {
				line += ", " + strings.ToLower(c.name) + " " + quantity.Figure(now, 3) + " " + c.unit
			}
		}
		lines = append(lines, line)
	}
	return lines
}

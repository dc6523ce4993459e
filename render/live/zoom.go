package live

import (
	"image"
	"math"

	"github.com/hajimehoshi/ebiten/v2"

	"lodegrid/render/live/scope"
)

// zoom is the part of the tank that is shown, in shares of its width and height: a square
// of the side 1/factor from (x, y).
type zoom struct{ factor, x, y float64 }

// mostZoom is the largest factor.
const mostZoom = 16

// share is the place of the whole tank at a share of the part that is shown.
func (z zoom) share(u, v float64) (x, y float64) { return z.x + u/z.factor, z.y + v/z.factor }

// part is the inverse of share.
func (z zoom) part(x, y float64) (u, v float64) { return (x - z.x) * z.factor, (y - z.y) * z.factor }

// by enlarges by a factor about a share of the part that is shown, which stays in place.
func (z zoom) by(factor, u, v float64) zoom {
	x, y := z.share(u, v)
	n := zoom{factor: min(max(z.factor*factor, 1), mostZoom)}
	n.x, n.y = x-u/n.factor, y-v/n.factor
	return n.moved(0, 0)
}

// moved moves what is shown by shares of the part that is shown, no further than the tank
// goes.
func (z zoom) moved(u, v float64) zoom {
	most := 1 - 1/z.factor
	z.x, z.y = min(max(z.x-u/z.factor, 0), most), min(max(z.y-v/z.factor, 0), most)
	return z
}

// roll zooms with the wheel over the tank.
func (w *window) roll() {
	_, by := ebiten.Wheel()
	if by == 0 || !w.pointer.inside {
		return
	}
	factor := 1.25
	if by < 0 {
		factor = 1 / factor
	}
	u, v := w.zoom.part(w.pointer.x, w.pointer.y)
	w.zoom, w.drawn.valid = w.zoom.by(factor, u, v), false
}

// pinch enlarges the tank as two fingers on it are spread, and moves what is shown along with
// them. It reports whether fingers are at it: what the first one painted before the second
// came is taken back, it probes nothing, and the one lifted last paints nothing.
func (w *window) pinch(h hand) bool {
	p, t := &w.pointer, w.plan.Tank
	middle := func(f [2]image.Point) image.Point { return f[0].Add(f[1]).Div(2) }
	share := func(at image.Point) (u, v float64) {
		return float64(at.X-t.Min.X) / float64(t.Dx()), float64(at.Y-t.Min.Y) / float64(t.Dy())
	}
	apart := func(f [2]image.Point) float64 {
		d := f[0].Sub(f[1])
		return max(math.Hypot(float64(d.X), float64(d.Y)), 1)
	}
	switch {
	case !h.two:
		p.pinching = p.pinching && h.down[0]
		return p.pinching
	case !p.pinching && (p.scrubbing || !middle(h.fingers).In(t)):
		return false
	case !p.pinching:
		p.pinching, p.painting, p.tapping = true, false, false
		w.do((*scope.Scope).DropStroke)
	default:
		u, v := share(middle(p.fingers))
		x, y := share(middle(h.fingers))
		w.zoom = w.zoom.by(apart(h.fingers)/apart(p.fingers), u, v).moved(x-u, y-v)
		w.drawn.valid = false
	}
	p.fingers = h.fingers
	return true
}

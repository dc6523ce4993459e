package live

import "github.com/hajimehoshi/ebiten/v2"

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
	side := 1 / n.factor
	n.x, n.y = min(max(x-u*side, 0), 1-side), min(max(y-v*side, 0), 1-side)
	return n
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

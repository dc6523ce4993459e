package live

import (
	"image/png"
	"io"

	"github.com/hajimehoshi/ebiten/v2"

	"lodegrid/render/live/scope"
)

// shoot writes the picture that was asked for once its time has come, and ends the
// window.
func (w *window) shoot(screen *ebiten.Image) {
	if w.options.Shot == "" || w.done || w.scope.Stale() || float64(w.ticks) < w.options.ShotAt.Seconds()*scope.TicksPerSecond {
		return
	}
	w.err = saveWhole(w.options.Shot, func(f io.Writer) error { return png.Encode(f, screen) })
	w.done = true
}

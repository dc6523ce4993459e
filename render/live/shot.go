package live

import (
	"image/png"
	"io"

	"github.com/hajimehoshi/ebiten/v2"

	"lodegrid/render/live/scope"
)

// saveWindow saves what the window shows, when that was asked for.
func (w *window) saveWindow(screen *ebiten.Image) {
	if !w.saving {
		return
	}
	w.saving = false
	path, err := saveNew(w.options.Folder, "window", ".png", func(to io.Writer) error { return png.Encode(to, screen) })
	w.told("saved the window as "+path, err)
}

// shotTicks is how long a picture waits for the verdict in it: one of thousands of pixels takes minutes.
const shotTicks = 20 * scope.TicksPerSecond

// shoot takes the picture that was asked for once the verdict in it is known, or with how far it has
// come after shotTicks, and ends the window.
func (w *window) shoot(screen *ebiten.Image) {
	if _, _, known := w.view.Verdict(); w.options.Shot == nil || w.done || w.view.Stale() || !w.drawn.valid || !known && w.ticks < shotTicks {
		return
	}
	w.err = w.options.Shot(screen)
	w.done = true
}

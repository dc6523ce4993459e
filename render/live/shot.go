package live

import (
	"image/png"
	"io"

	"github.com/hajimehoshi/ebiten/v2"
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

// shoot takes the picture that was asked for once the verdict in it is known, and ends the
// window.
func (w *window) shoot(screen *ebiten.Image) {
	if _, _, known := w.view.Verdict(); w.options.Shot == nil || w.done || w.view.Stale() || !known {
		return
	}
	w.err = w.options.Shot(screen)
	w.done = true
}

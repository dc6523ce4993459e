package live

import (
	"image/png"
	"io"

	"github.com/hajimehoshi/ebiten/v2"

	"lodegrid/render/live/scope"
)

// shotDue tells whether the time of the picture that was asked for has come.
func (w *window) shotDue() bool {
	return w.options.Shot != nil && float64(w.ticks) >= w.options.ShotAt.Seconds()*scope.TicksPerSecond
}

// saveWindow saves what the window shows, when that was asked for.
func (w *window) saveWindow(screen *ebiten.Image) {
	if !w.saving {
		return
	}
	w.saving = false
	path, err := saveNew(w.options.Folder, "window", ".png", func(to io.Writer) error { return png.Encode(to, screen) })
	w.told("saved the window as "+path, err)
}

// shoot takes the picture that was asked for once its time has come, and ends the
// window.
func (w *window) shoot(screen *ebiten.Image) {
	if _, _, known := w.view.Verdict(); !w.shotDue() || w.done || w.view.Stale() || !known {
		return
	}
	w.err = w.options.Shot(screen)
	w.done = true
}

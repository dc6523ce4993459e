package live

import (
	"errors"
	"fmt"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/hajimehoshi/ebiten/v2"

	"lodegrid/array/design"
	"lodegrid/render/live/scope"
	"lodegrid/scenes"
)

// ErrNoDisplay is returned by Run when no window can be opened.
var ErrNoDisplay = errors.New("there is no display to open a window on; `lodegrid film` makes a film without a screen")

// Options say what the window shows.
type Options struct {
	Design design.Design
	Scene  scenes.Scene

	Shot   string        // PNG file for a picture of the window, after which Run returns; "" for none
	ShotAt time.Duration // time played before that picture

	Dark          bool
	Width, Height int // of the window in device-independent pixels; 0 takes 1280 × 800
}

// Run opens the window and returns when it is closed, or with Shot once the
// picture is written. Without a display the error wraps ErrNoDisplay.
func Run(o Options) error {
	if o.Width == 0 || o.Height == 0 {
		o.Width, o.Height = 1280, 800
	}
	c, err := scope.New(o.Design, o.Scene)
	if err != nil {
		return err
	}
	w, err := newWindow(o, c)
	if err != nil {
		return err
	}
	ebiten.SetWindowTitle(o.Design.Name + " – lodegrid")
	ebiten.SetWindowSize(o.Width, o.Height)
	ebiten.SetWindowResizingMode(ebiten.WindowResizingModeEnabled)
	ebiten.SetTPS(scope.TicksPerSecond)
	if err := ebiten.RunGame(w); err != nil {
		if noDisplay(err) {
			return fmt.Errorf("%w (%v)", ErrNoDisplay, err)
		}
		return fmt.Errorf("running the window: %w", err)
	}
	return w.err
}

// noDisplay tells whether a window could not be opened for want of a display.
func noDisplay(err error) bool {
	text := err.Error()
	return strings.Contains(text, "no window system") || strings.Contains(text, "DISPLAY")
}

// writeShot writes a picture of the window whole or not at all.
func writeShot(path string, img *ebiten.Image) (err error) {
	tmp, err := os.CreateTemp(filepath.Dir(path), ".lodegrid-*")
	if err != nil {
		return fmt.Errorf("writing %s: %w", path, err)
	}
	defer func() {
		if err != nil {
			tmp.Close()
			os.Remove(tmp.Name())
		}
	}()
	if err := png.Encode(tmp, img); err != nil {
		return fmt.Errorf("writing %s: %w", path, err)
	}
	if err := tmp.Close(); err != nil {
		return fmt.Errorf("writing %s: %w", path, err)
	}
	if err := os.Rename(tmp.Name(), path); err != nil {
		return fmt.Errorf("writing %s: %w", path, err)
	}
	return nil
}

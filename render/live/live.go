package live

import (
	"context"
	"errors"
	"fmt"
	"image"
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
	Scene  scope.Pictures
	Later  scope.Loader // what is shown in their place once it is there, such as planned moves, and when it is called again; nil for none

	Shot   func(image.Image) error // takes a picture of the window, after which Run returns; nil for none
	ShotAt time.Duration           // time of the scene that the picture is of, at most its length
	Step   func()                  // called for each tick played until then

	Overlay string // one of OverlayNames; "" for the tank alone
	Fluid   scope.Model
	Dark    bool
	Paused  bool // do not play at first
	Warm    bool // start as warm as hours of the scene make the display

	// Width and Height of the window in device-independent pixels; 0 takes 1280 × 800.
	Width, Height int

	// Folder is where pictures and designs are saved; "" for the working directory.
	Folder string

	// SceneFor opens the scene that goes with a design, and Carry plans the moves of pictures
	// where the design has its drops carried; nil carries nothing. They are called on another
	// goroutine.
	SceneFor scope.Scenes
	Carry    func(ctx context.Context, d design.Design, s scenes.Scene) (scope.Pictures, error)

	// Film and Report make what their names say of a design with its scene, beside the
	// window; nil where there is none.
	Film, Report maker

	// Keep, when set, is given a part of the window's state when it changes, once a second at
	// most, and tells whether it is kept; a window with such parts in Kept begins with them.
	Keep func(part Part, data []byte) bool
	Kept map[Part][]byte

	// Mirror, when set, is given the meters in words about once a second.
	Mirror func(lines []string)
}

// Part is a part of a window's state.
type Part string

// The parts: what was done, and what was opened, which is large.
const (
	Done   Part = "done"
	Opened Part = "opened"
)

// Parts lists them.
func Parts() []Part { return []Part{Done, Opened} }

// OverlayNames lists what Options.Overlay accepts.
func OverlayNames() []string {
	var names []string
	for _, o := range scope.Overlays() {
		names = append(names, o.String())
	}
	return names
}

// Run opens the window and returns when it is closed or ctx ends, whose error it then
// gives, or with Shot once the picture is taken. Without a display the error wraps ErrNoDisplay. It must be
// called from the main goroutine and once in a process.
func Run(ctx context.Context, o Options) error {
	if o.Width == 0 || o.Height == 0 {
		o.Width, o.Height = 1280, 800
	}
	if o.Width < 320 || o.Height < 200 || o.Width > 16384 || o.Height > 16384 {
		return fmt.Errorf("opening a window of %d × %d: 320 × 200 to 16384 × 16384 are possible", o.Width, o.Height)
	}
	inner, cancel := context.WithCancel(ctx)
	defer cancel()
	w, err := newWindow(inner, o)
	if err != nil {
		return err
	}
	if o.Shot == nil {
		w.stage.Play()
	} else if err := w.stage.Reach(inner, o.ShotAt.Seconds(), o.Step); err != nil { // the same moment each time, however fast the machine
		return err
	}
	ebiten.SetWindowTitle(o.Design.Name + " – lodegrid")
	ebiten.SetWindowSize(o.Width, o.Height)
	ebiten.SetWindowResizingMode(ebiten.WindowResizingModeEnabled)
	ebiten.SetWindowSizeLimits(scope.UprightWidth, scope.LeastHeight, -1, -1)
	ebiten.SetTPS(scope.TicksPerSecond)
	// What is not drawn anew stays: an idle window draws nothing.
	ebiten.SetScreenClearedEveryFrame(false)
	if err := ebiten.RunGame(w); err != nil {
		if noDisplay(err) {
			return fmt.Errorf("%w (%v)", ErrNoDisplay, err)
		}
		return fmt.Errorf("running the window: %w", err)
	}
	return errors.Join(w.err, ctx.Err())
}

// noDisplay tells whether a window could not be opened for want of a display.
// Ebitengine has no error value for it; these are the words of its X11 and frame
// buffer parts.
func noDisplay(err error) bool {
	text := err.Error()
	for _, mark := range []string{"no window system", "DISPLAY", "display is missing", "failed to open display", "X11"} {
		if strings.Contains(text, mark) {
			return true
		}
	}
	return false
}

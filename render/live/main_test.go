package live

import (
	"flag"
	"os"
	"testing"

	"github.com/hajimehoshi/ebiten/v2"
)

var shots = flag.String("shots", "", "folder for the pictures that the window tests look at")

// running is true when the tests run inside Ebitengine's loop, with a graphics card
// or its imitation at hand.
var running bool

// loop is a game whose first update runs all tests: pictures can only be read inside
// the run loop.
type loop struct {
	m    *testing.M
	code int
}

func (l *loop) Update() error {
	running = true
	l.code = l.m.Run()
	return ebiten.Termination
}

func (l *loop) Draw(*ebiten.Image) {}

func (l *loop) Layout(int, int) (int, int) { return 320, 200 }

func TestMain(m *testing.M) {
	flag.Parse()
	if !screen() {
		os.Exit(m.Run())
	}
	l := &loop{m: m, code: 1}
	if err := ebiten.RunGame(l); err != nil && !running {
		// The display that was promised is not there.
		os.Exit(m.Run())
	}
	os.Exit(l.code)
}

// screen tells whether a display may be there.
func screen() bool { return os.Getenv("DISPLAY") != "" }

// needScreen skips a test that draws when there is nothing to draw on.
func needScreen(tb testing.TB) {
	tb.Helper()
	if !running {
		tb.Skip("no display; xvfb-run -a -s '-screen 0 1280x800x24' go test ./render/live/ gives one")
	}
}

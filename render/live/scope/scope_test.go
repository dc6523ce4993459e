package scope

import (
	"bytes"
	"context"
	"errors"
	"math"
	"strconv"
	"strings"
	"testing"
	"time"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
	"lodegrid/array/grid"
	"lodegrid/scenes"
	"lodegrid/scenes/generate"
	"lodegrid/scenes/player"
	"lodegrid/scenes/verdict"
)

// newScope plays the tide in a grid of the demo's coils of another size, without the
// steel, whose field takes half a second to compute.
func newScope(tb testing.TB, cols, rows int, changes ...design.Change) *Scope {
	tb.Helper()
	d, err := trial.Lit().With(append([]design.Change{
		{Key: "grid.cols", Value: strconv.Itoa(cols)}, {Key: "grid.rows", Value: strconv.Itoa(rows)}, {Key: "iron.model", Value: "none"},
	}, changes...)...)
	if err != nil {
		tb.Fatal(err)
	}
	p, err := generate.Defaults("tide", rows, cols)
	if err != nil {
		tb.Fatal(err)
	}
	p.Duration, p.Period, p.FrameTime = 2, 2, 0.05
	return withScene(tb, d, p)
}

func withScene(tb testing.TB, d design.Design, p generate.Params) *Scope {
	tb.Helper()
	s, err := generate.Scene(context.Background(), "tide", p)
	if err != nil {
		tb.Fatal(err)
	}
	m := scenes.DefaultMapping()
	m.Kind = scenes.Threshold
	if s, err = m.Scene(context.Background(), s); err != nil {
		tb.Fatal(err)
	}
	c, err := New(tb.Context(), d, Pictures{Scene: s}, Fitting)
	if err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(c.end)
	return c
}

// verdictOf waits for the verdict.
func verdictOf(tb testing.TB, c *Scope) (words []string, wrong bool) {
	tb.Helper()
	for {
		c.pollVerdict()
		if words, wrong, known := c.Verdict(); known {
			return words, wrong
		}
		time.Sleep(time.Millisecond)
	}
}

// The window's verdict is the report's, on the whole scene; a slider or another scene has
// it judged anew.
func TestVerdictIsTheReports(t *testing.T) {
	hot := newScope(t, 4, 3, design.Change{Key: "supply.voltage", Value: "40 V"}, design.Change{Key: "drive.max_duty", Value: "50 %"}, design.Change{Key: "drive.place", Value: "any"})
	words, wrong := verdictOf(t, hot)
	p, err := player.New(hot.grid)
	if err != nil {
		t.Fatal(err)
	}
	v, err := verdict.Judge(t.Context(), p, hot.scene.Scene, verdict.Watch{})
	if err != nil {
		t.Fatal(err)
	}
	if !wrong || len(v.Problems) == 0 || len(words) != len(v.Problems) || !strings.Contains(words[0], string(v.Problems[0].Limit)) {
		t.Errorf("the window says %q, the verdict is %+v", words, v.Problems)
	}
	dark := hot.scene
	dark.Frames = []scenes.Frame{{Levels: make([]float64, 12), Duration: 1}}
	hot.play(dark)
	if _, _, known := hot.Verdict(); known {
		t.Error("the old scene's verdict stands for the new one")
	}
	if words, wrong = verdictOf(t, hot); wrong {
		t.Errorf("a dark scene: %q", words)
	}
}

func tick(tb testing.TB, c *Scope) {
	tb.Helper()
	if _, err := c.Tick(); err != nil {
		tb.Fatal(err)
	}
}

func ticks(tb testing.TB, c *Scope, n int) {
	tb.Helper()
	for range n {
		tick(tb, c)
	}
}

// arrive ticks until the clock stands at what was sought.
func arrive(tb testing.TB, c *Scope) {
	tb.Helper()
	for c.Seeking() {
		tick(tb, c)
	}
}

// settle ticks until nothing is being computed in the background.
func settle(tb testing.TB, c *Scope) {
	tb.Helper()
	for c.Stale() {
		tick(tb, c)
		time.Sleep(time.Millisecond)
	}
}

// The same ticks give the same numbers and the same picture.
func TestTicksReproduce(t *testing.T) {
	var pictures [2][]byte
	var meters [2]Meters
	for i := range pictures {
		c := newScope(t, 8, 6)
		c.SetOverlay(Strength)
		p := NewPicture(&c.View, 200)
		for n := range 75 {
			if n == 40 {
				c.Paint(3, 30, 1)
			}
			tick(t, c)
		}
		p.Draw(&c.View)
		pictures[i], meters[i] = p.Image.Pix, c.Meters()
	}
	if !bytes.Equal(pictures[0], pictures[1]) {
		t.Error("two runs of the same ticks give different pictures")
	}
	if meters[0] != meters[1] {
		t.Errorf("two runs of the same ticks give different meters:\n%+v\n%+v", meters[0], meters[1])
	}
}

// Over one round of the scene the meters agree with the ledger that the reports are
// made from.
func TestMetersAgreeWithLedger(t *testing.T) {
	c := newScope(t, 8, 6)
	p, err := player.New(c.grid)
	if err != nil {
		t.Fatal(err)
	}
	ledger, err := p.Play(t.Context(), c.scene.Scene, nil)
	if err != nil {
		t.Fatal(err)
	}
	want := ledger.Summary()
	c.SetLoop(false)
	worst := 0
	for c.Playing() {
		tick(t, c)
		worst = max(worst, c.Meters().Failing)
	}
	got := c.Meters()
	for _, v := range []struct {
		name            string
		got, want, band float64
	}{
		{"average power", got.AveragePower, want.AveragePower, 2e-3},
		{"average current", got.AverageCurrent, want.AverageCurrent, 2e-3},
		{"peak power", got.PeakPower, want.PeakPower, 1e-2},
		{"hottest coil over ambient", got.HottestEver - got.Ambient, want.Hottest - got.Ambient, 2e-2},
	} {
		if math.Abs(v.got-v.want) > v.band*v.want {
			t.Errorf("%s: meters say %g, the ledger %g", v.name, v.got, v.want)
		}
	}
	most := 0
	for _, e := range ledger.Entries {
		most = max(most, len(e.Failing))
	}
	if worst != most {
		t.Errorf("at most %d lit pixels fail at once, by the ledger %d", worst, most)
	}
	if math.Abs(c.totals.time-c.Length()) > 1e-3 {
		t.Errorf("one round took %g s, the scene lasts %g s", c.totals.time, c.Length())
	}
}

func TestTransport(t *testing.T) {
	c := newScope(t, 4, 3)
	frame := c.scene.Frames[0].Duration
	ticks(t, c, 60)
	if math.Abs(c.Clock()-1) > 2*shortest {
		t.Errorf("after 60 ticks the clock stands at %g s, want 1", c.Clock())
	}
	c.Faster(1)
	if c.Speed() != 2 {
		t.Fatalf("one step faster than 1 is %g", c.Speed())
	}
	ticks(t, c, 45) // 1.5 s more, past the end of 2 s
	if math.Abs(c.Clock()-0.5) > 2*shortest {
		t.Errorf("round the loop the clock stands at %g s, want 0.5", c.Clock())
	}
	c.Toggle()
	before := c.Clock()
	ticks(t, c, 10)
	if c.Playing() || c.Clock() != before {
		t.Error("a paused scene goes on")
	}
	c.Faster(-1)
	c.Seek(3*frame + 0.01)
	arrive(t, c)
	c.StepFrame()
	n := 0
	for c.Playing() {
		tick(t, c)
		n++
	}
	if c.frame != 4 || math.Abs(c.Clock()-4*frame) > shortest || n < 2 || n > 3 {
		t.Errorf("a step from within frame 3 ends in frame %d at %g s after %d ticks", c.frame, c.Clock(), n)
	}
	c.BackFrame()
	arrive(t, c)
	if c.frame != 3 || c.Clock() != c.starts[3] {
		t.Errorf("back from the start of frame 4 leads to frame %d at %g s", c.frame, c.Clock())
	}
	c.SetLoop(false)
	c.Toggle()
	ticks(t, c, 200)
	if c.Playing() || c.Clock() != c.Length() {
		t.Errorf("without repetition it plays on: at %g of %g s", c.Clock(), c.Length())
	}
	c.Toggle()
	arrive(t, c)
	tick(t, c)
	if !c.Playing() || c.Clock() > 0.1 {
		t.Errorf("playing again after the end starts at %g s", c.Clock())
	}
	for range 20 {
		c.Faster(1)
	}
	c.SetLoop(true)
	ticks(t, c, 20) // frames shorter than a tick
	if c.totals.time < 20*8/TicksPerSecond {
		t.Errorf("at the highest speed 20 ticks take %g s", c.totals.time)
	}
	for _, at := range []float64{-1, 0, 0.7, 1e9} {
		c.Seek(at)
		arrive(t, c)
		if want := min(max(at, 0), c.Length()); math.Abs(c.Clock()-want) > shortest || c.starts[c.frame] > c.Clock() {
			t.Errorf("seeking %g s leads to frame %d at %g s", at, c.frame, c.Clock())
		}
	}
}

func TestPaint(t *testing.T) {
	c := newScope(t, 6, 4)
	c.Toggle()
	c.BeginStroke()
	c.Paint(0, 21, 1) // from row 0, column 0 to row 3, column 3
	c.EndStroke()
	tick(t, c)
	for _, i := range []int{0, 7, 14, 21} {
		if c.levels[i] != 1 {
			t.Errorf("a stroke over the diagonal misses pixel %d", i)
		}
	}
	if c.Painted() != 4 {
		t.Errorf("%d pixels are painted, want 4", c.Painted())
	}
	// Field and hold follow though time stands still.
	before := c.Meters()
	if c.player.Pixels()[14].Average <= 0 || before.Lit < 4 {
		t.Errorf("a pixel painted while paused carries %g A, %d are lit", c.player.Pixels()[14].Average, before.Lit)
	}
	c.BeginStroke()
	c.Paint(5, 5, -1)
	c.EndStroke()
	c.BeginStroke()
	c.EndStroke() // nothing changed: nothing to undo
	tick(t, c)
	if got := c.player.Pixels()[5].Average; got >= 0 {
		t.Errorf("a reversed pixel carries %g A", got)
	}
	if !c.Undo() || c.Painted() != 4 || !c.Undo() || c.Painted() != 0 || c.Undo() {
		t.Errorf("after undoing everything %d pixels are painted", c.Painted())
	}
	if first, second, third := c.Redo(), c.Redo(), c.Redo(); !first || !second || third || c.Painted() != 5 || c.levels[5] != -1 {
		t.Errorf("after doing it again %d pixels are painted", c.Painted())
	}
	c.Unpaint()
	if c.Painted() != 0 || !c.Undo() || c.Painted() != 5 {
		t.Error("giving all pixels back cannot be undone")
	}
	c.BeginStroke()
	c.Paint(5, 5, math.NaN())
	c.EndStroke()
	if c.Painted() != 4 || c.levels[5] != c.scene.Frames[c.frame].Levels[5] {
		t.Error("a pixel given back to the scene does not follow it")
	}
	s := c.Picture(2)
	if err := s.Validate(); err != nil || s.Frames[0].Levels[21] != 1 || s.Frames[0].Duration != 2 {
		t.Errorf("the painted picture is %v, %v", s.Frames[0], err)
	}

	low := newScope(t, 6, 4, design.Change{Key: "drive.bridge", Value: "low-side"})
	low.Paint(0, 0, -1)
	if low.levels[0] != 0 || low.Bipolar() {
		t.Errorf("a driver that cannot reverse gets level %g", low.levels[0])
	}
}

func TestUndoIsBounded(t *testing.T) {
	c := newScope(t, 2, 2)
	for n := range 2 * maxUndo {
		c.BeginStroke()
		c.Paint(0, 0, float64(n%2))
		c.EndStroke()
	}
	if n := len(c.canvas.undo); n != maxUndo {
		t.Errorf("%d strokes are kept, want %d", n, maxUndo)
	}
}

// Sliders change the design behind the window's back; the display goes on meanwhile
// and keeps heat and fluid.
func TestTuning(t *testing.T) {
	c := newScope(t, 6, 4)
	ticks(t, c, 60)
	slider := func(key string) int {
		for i, k := range c.Controls() {
			if k.Key == key {
				return i
			}
		}
		t.Fatalf("no slider for %s", key)
		return 0
	}
	volts := c.Design().Supply.Voltage
	warm := c.Meters().Hottest
	c.SetControl(slider("supply.voltage"), 0.9)
	if !c.Stale() || !c.Tuned() || c.Design().Supply.Voltage != volts {
		t.Error("a moved slider changes the display at once, or is not noted")
	}
	var before float64
	for c.Stale() {
		before = c.Clock()
		tick(t, c)
		time.Sleep(time.Millisecond)
	}
	// The scene may have begun anew while the other display was made.
	if on := math.Mod(c.Clock()-before+c.Length(), c.Length()); on > 0.1 {
		t.Errorf("changing the voltage put the clock from %g to %g s", before, c.Clock())
	}
	control := c.Controls()[slider("supply.voltage")]
	if got := c.Design().Supply.Voltage; got != control.Value || got == volts {
		t.Errorf("the supply gives %g V, the slider says %s", got, control.Text())
	}
	if got := c.Meters().Hottest; got < warm-1e-9 {
		t.Errorf("changing the voltage cooled the hottest coil from %g to %g K", warm, got)
	}
	// What cannot be is said in words and changes nothing.
	c.SetControl(slider("grid.pitch"), 0)
	settle(t, c)
	if p := c.Problem(); !strings.Contains(p, "pitch") || !strings.Contains(p, "mm") {
		t.Errorf("coils larger than the pitch give the problem %q", p)
	}
	if c.Design().Grid.Pitch != trial.Lit().Grid.Pitch {
		t.Error("the impossible pitch is shown")
	}
	// Many moves end in the last one.
	for k := range 50 {
		c.SetControl(slider("grid.pitch"), 0.4+0.01*float64(k))
		tick(t, c)
	}
	settle(t, c)
	if got, want := c.Design().Grid.Pitch, c.Controls()[slider("grid.pitch")].Value/1e3; math.Abs(got-want) > 1e-9 || c.Problem() != "" {
		t.Errorf("the pitch is %g m, the slider says %g m; problem %q", got, want, c.Problem())
	}
	c.Untune()
	settle(t, c)
	if d := c.Design(); d.Grid.Pitch != trial.Lit().Grid.Pitch || d.Supply.Voltage != volts || c.Tuned() {
		t.Error("sliders put back do not give the design back")
	}
}

// Every slider at its ends and in between gives a design or a reason in words.
func TestControlsMakeDesigns(t *testing.T) {
	for _, changes := range [][]design.Change{
		nil,
		{{Key: "magnet.kind", Value: "pixel"}, {Key: "iron.model", Value: "none"}},
		{{Key: "iron.model", Value: "image"}},
		{{Key: "iron.model", Value: "none"}},
	} {
		d, err := trial.Lit().With(changes...)
		if err != nil {
			t.Fatal(err)
		}
		for i := range controls(d) {
			for _, share := range []float64{0, 0.001, 0.3, 0.5, 0.77, 1} {
				c := controls(d)[i]
				if c.Off != "" {
					continue
				}
				c.at(share)
				if c.Value < c.Low-1e-9 || c.Value > c.High+1e-9 {
					t.Errorf("%s at %g is %s, beyond %g to %g", c.Key, share, c.Text(), c.Low, c.High)
				}
				var list design.Errors
				if _, err := d.With(c.change()); err != nil && (!errors.As(err, &list) || strings.Contains(err.Error(), "unit")) {
					t.Errorf("%s = %s: %v", c.Key, c.change().Value, err)
				}
			}
		}
	}
	biased, err := trial.Lit().With(design.Change{Key: "magnet.kind", Value: "pixel"}, design.Change{Key: "iron.model", Value: "none"})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range controls(biased) {
		if c.Off != "" && c.Key == "magnet.remanence" {
			t.Error("a design with magnets has no slider for them")
		}
	}
}

func TestNumber(t *testing.T) {
	for v, want := range map[float64]string{0: "0", 1: "1", 12.345: "12.3", -0.04567: "-0.0457", 1234: "1234", 0.5: "0.5", 99.96: "100"} {
		if got := number(v); got != want {
			t.Errorf("number(%g) = %q, want %q", v, got, want)
		}
	}
}

func TestOpen(t *testing.T) {
	c := newScope(t, 6, 4)
	ticks(t, c, 30)
	// A scene keeps design and heat.
	hot := c.Meters().Hottest
	still := c.Picture(1)
	still.Name = "still"
	c.Open(func() (*design.Design, Pictures, error) { return nil, Pictures{Scene: still}, nil })
	if !c.Stale() {
		t.Error("nothing is being opened")
	}
	settle(t, c)
	if c.Scene().Name != "still" || c.Length() != 1 || math.Abs(c.Meters().Hottest-hot) > 1 {
		t.Errorf("the scene is %q of %g s, the hottest coil went from %g to %g K", c.Scene().Name, c.Length(), hot, c.Meters().Hottest)
	}
	// A design of another size takes its own scene.
	small, err := trial.Lit().With(design.Change{Key: "grid.cols", Value: "3"}, design.Change{Key: "grid.rows", Value: "2"}, design.Change{Key: "iron.model", Value: "none"})
	if err != nil {
		t.Fatal(err)
	}
	scene := scenes.Scene{Name: "six", Rows: 2, Cols: 3, Frames: []scenes.Frame{{Levels: make([]float64, 6), Duration: 1}}}
	c.Open(func() (*design.Design, Pictures, error) { return &small, Pictures{Scene: scene}, nil })
	settle(t, c)
	tick(t, c)
	if c.Design().Grid.Cols != 3 || len(c.levels) != 6 || c.Problem() != "" {
		t.Errorf("the opened design has %d columns; problem %q", c.Design().Grid.Cols, c.Problem())
	}
	// What cannot be opened is said and changes nothing.
	for name, load := range map[string]Loader{
		"error": func() (*design.Design, Pictures, error) { return nil, Pictures{}, errors.New("no such thing") },
		"panic": func() (*design.Design, Pictures, error) { panic("broken reader") },
		"no frames": func() (*design.Design, Pictures, error) {
			return nil, Pictures{Scene: scenes.Scene{Rows: 2, Cols: 3}}, nil
		},
		"wrong size": func() (*design.Design, Pictures, error) {
			return nil, Pictures{Scene: scenes.Scene{Rows: 1, Cols: 1, Frames: []scenes.Frame{{Levels: []float64{0}, Duration: 1}}}}, nil
		},
	} {
		c.Open(load)
		settle(t, c)
		if c.Problem() == "" || c.Scene().Name != "six" {
			t.Errorf("%s: problem %q, scene %q", name, c.Problem(), c.Scene().Name)
		}
	}
}

func TestRestAndWarm(t *testing.T) {
	c := newScope(t, 6, 4)
	ticks(t, c, 90)
	if err := c.Warm(t.Context()); err != nil {
		t.Fatal(err)
	}
	ticks(t, c, 1)
	warm := c.Meters().Hottest
	if warm < c.Meters().Ambient+1 {
		t.Errorf("after hours the hottest coil has %g K", warm)
	}
	if err := c.Rest(); err != nil {
		t.Fatal(err)
	}
	m := c.Meters()
	if m.AveragePower != 0 || c.History().Len() != 0 || c.Clock() != 0 {
		t.Errorf("at rest the meters say %+v", m)
	}
	ticks(t, c, 1)
	if got := c.Meters().Hottest; got > m.Ambient+1 {
		t.Errorf("a tick after rest the hottest coil has %g K, ambient is %g K", got, m.Ambient)
	}
}

// A display that cannot settle says so instead of playing nonsense.
func TestRunawayIsTold(t *testing.T) {
	c := newScope(t, 4, 3, design.Change{Key: "supply.voltage", Value: "400 V"}, design.Change{Key: "drive.max_duty", Value: "100 %"})
	if err := c.Warm(t.Context()); err == nil {
		t.Error("400 V on a 12 V coil settles")
	}
	c.Paint(0, 11, 1)
	var err error
	for n := 0; err == nil && n < 60*60; n++ {
		_, err = c.Tick()
	}
	if err == nil || c.Playing() {
		t.Errorf("400 V on a 12 V coil plays on: %v", err)
	}
}

func TestHistory(t *testing.T) {
	var h History
	// 70 s of frames of 1/60 s, power 60·n W in second n.
	for k := range 70 * TicksPerSecond {
		h.add(player.Entry{SupplyPower: float64(k / TicksPerSecond), Hottest: 300 + float64(k)}, 1.0/TicksPerSecond)
	}
	if h.Len() != historyLen {
		t.Fatalf("%d points are kept, want %d", h.Len(), historyLen)
	}
	for i := range h.Len() {
		p, k := h.At(i)
		second := 10 + i/4
		if math.Abs(p-float64(second)) > 1e-9 || math.Abs(k-(300+float64(second*TicksPerSecond+(i%4+1)*15-1))) > 1e-9 {
			t.Fatalf("point %d is %g W, %g K", i, p, k)
		}
	}
}

func TestReading(t *testing.T) {
	c := newScope(t, 6, 4)
	c.Toggle()
	for i := range c.levels {
		c.Paint(i, i, 0)
	}
	c.Paint(8, 8, 1) // row 2, column 3
	tick(t, c)
	r := c.grid.Raster
	at := c.grid.Center(1, 2)
	x := 0.5 + at.X/(float64(r.Cols)*r.Spacing)
	y := 0.5 - at.Y/(float64(r.Rows)*r.Spacing)
	got, ok := c.Read(x, y)
	if !ok || got.Pixel != 8 || got.Place != "row 2, column 3" {
		t.Fatalf("over row 2, column 3 the reading is %+v", got)
	}
	sample := r.Point(int(y*float64(r.Rows)), int(x*float64(r.Cols)))
	want := c.grid.Kernel.At(sample.X-at.X, sample.Y-at.Y)
	for _, v := range [][2]float64{{got.Bx, want.X}, {got.By, want.Y}, {got.Bz, want.Z}} {
		if math.Abs(v[0]-got.Current*v[1]) > 1e-9 {
			t.Errorf("a component is %g T, the coil's own is %g T", v[0], got.Current*v[1])
		}
	}
	if !got.Painted || got.Level != 1 || got.State != grid.Lit {
		t.Errorf("the lit pixel reads %+v", got)
	}
	if math.Abs(got.X-at.X) > 1e-9 || math.Abs(got.Y-at.Y) > 1e-9 {
		t.Errorf("the place is (%g, %g) m, want (%g, %g)", got.X, got.Y, at.X, at.Y)
	}
	if _, ok := c.Read(1, 0.5); ok {
		t.Error("beside the tank there is a reading")
	}
	if edge, ok := c.Read(0.001, 0.001); !ok || edge.Pixel != -1 || len(edge.Lines()) >= len(got.Lines()) {
		t.Errorf("in the margin the reading is %+v", edge)
	}
	for _, l := range got.Lines() {
		if l.Label == "" || l.Value == "" {
			t.Errorf("an empty line in %v", got.Lines())
		}
	}
}

// The field from the others against the sum of their kernels.
func TestForeignField(t *testing.T) {
	c := newScope(t, 6, 4, design.Change{Key: "magnet.kind", Value: "pixel"})
	c.Toggle()
	lit := []int{0, 3, 8, 9, 15, 22}
	for i := range c.levels {
		c.Paint(i, i, 0)
	}
	for k, i := range lit {
		c.Paint(i, i, 1-0.3*float64(k%4)) // one of them reversed or weak
	}
	tick(t, c)
	d := c.grid.Design.Grid
	half := c.grid.Raster.Spacing / 2
	mean := func(dx, dy float64) float64 {
		sum := 0.0
		for _, a := range [2]float64{-half, half} {
			for _, b := range [2]float64{-half, half} {
				sum += c.grid.Kernel.At(dx+a, dy+b).Z / 4
			}
		}
		return sum
	}
	for i := range c.levels {
		want := 0.0
		for _, j := range lit {
			if j != i {
				want += c.player.Pixels()[j].Average * mean(float64(i%d.Cols-j%d.Cols)*d.Pitch, float64(j/d.Cols-i/d.Cols)*d.Pitch)
			}
		}
		want /= mean(0, 0) * c.grid.Pixel.FullCurrent
		if got := c.foreign(i); math.Abs(got-want) > 1e-6 {
			t.Errorf("pixel %d gets %.8f of its own field from the others, want %.8f", i, got, want)
		}
	}
}

func TestMirrorLines(t *testing.T) {
	c := newScope(t, 6, 4, design.Change{Key: "supply.power", Value: "1 W"})
	ticks(t, c, 30)
	m := c.Meters()
	text := strings.Join(m.Lines(), "\n")
	for _, want := range []string{"Supply power", "W now", "too little", "Hottest coil", "°C at row", "limit", "Lit pixels that lose their drop", "Dark pixels"} {
		if !strings.Contains(text, want) {
			t.Errorf("the meters in words lack %q:\n%s", want, text)
		}
	}
	if strings.Contains(text, "NaN") || strings.Contains(text, "Inf") {
		t.Errorf("the meters in words say\n%s", text)
	}
}

func TestNewRefuses(t *testing.T) {
	d := trial.Lit()
	if _, err := New(t.Context(), d, Pictures{Scene: scenes.Scene{Rows: 1, Cols: 1, Frames: []scenes.Frame{{Levels: []float64{0}, Duration: 1}}}}, Fitting); err == nil {
		t.Error("a scene of one pixel is accepted")
	}
	if _, err := New(t.Context(), d, Pictures{Scene: scenes.Scene{Rows: d.Grid.Rows, Cols: d.Grid.Cols}}, Fitting); err == nil {
		t.Error("a scene without frames is accepted")
	}
}

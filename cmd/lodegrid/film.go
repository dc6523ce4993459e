package main

import (
	"cmp"
	"context"
	"fmt"
	"image"
	"image/png"
	"io"
	"math"
	"path/filepath"
	"regexp"
	"slices"
	"time"

	"lodegrid/array/design"
	"lodegrid/array/tank"
	"lodegrid/field/quantity"
	"lodegrid/render"
	"lodegrid/render/output"
	"lodegrid/scenes/player"
	"lodegrid/scenes/shown"
	"lodegrid/scenes/verdict"
)

// How a film is shot where nothing else is said.
const (
	filmOverlay = "fluid"
	filmWidth   = 640 // pixels
	filmFPS     = 12
)

var filmCommand = command{
	name: "film", reads: designAndScene, short: "the animation as a film: the fluid as the computed pull moves it",
	long: `Plays the scene and writes what a person in front of the tank would see: fluid
moved by the computed pull, with the frame's power and temperature below, and how
many lit pixels the fluid is on. An animated GIF, an animated PNG when --out ends
in .png or .apng, or numbered PNG pictures in a folder when it names one. --contact
writes a contact sheet of the scene's key moments, and no film unless --out asks for
one. At the end it tells how many of the lit pixels the fluid reached; --check moves
the fluid again with cells half as large, with time steps half as long and between
panes that hold it as firmly as fluid.contact_line allows, and tells what each
changes. The finer cells take about eight times as long. The coils are cold when the
film begins; report --fluid judges them as warm as hours of the scene make them.`,
	setup: func(f *flagSet) body {
		out := f.file("out", "o", "film.gif", "GIF file, animated PNG file in all colours (.png, .apng), or a folder for numbered PNG pictures", output.Kind{Endings: []string{".gif", ".png", ".apng"}, Files: filmPictures})
		contact := f.picture("contact", "a contact sheet: pictures spread over the scene, and the one that draws most, the hottest and the one with the fluid farthest behind")
		var overlay string
		f.choice(&overlay, "overlay", filmOverlay, "what to show", render.Overlays())
		speed := number(f, new(float64), "speed", 1, 0.01, 1000, "time lapse: seconds of the scene per second of film")
		width := number(f, new(int), "width", filmWidth, 200, 4000, "width in pixels")
		fps := number(f, new(int), "fps", filmFPS, 1, 50, "pictures per second")
		length := number(f, new(time.Duration), "length", 0, 0, -1, fmt.Sprintf("stop after this time, e.g. 10s (default: the scene once; longer: so often, up to %d times)", mostLoops))
		cells := f.cells(new(int), "")
		check := f.Bool("check", false, "compute the fluid with cells half as large, and with steps half as long, too, and tell the difference")
		carry := f.Bool("carry", false, "plan the moves that carry the drops, as lodegrid carry does, and film the planned scene")
		f.check(func() error {
			if contact.Asked() && !f.Changed(out.Flag) {
				out.Path = "" // a sheet and no film
			}
			return nil
		})
		return func(ctx context.Context, j *job) error {
			if err := j.carry(ctx, *carry); err != nil {
				return err
			}
			looped, err := j.looped(length.Seconds())
			if err != nil {
				return err
			}
			film, err := newFilm(ctx, looped, overlay, *width, *fps, *cells)
			if err != nil {
				return err
			}
			if *length > 0 {
				film.length = length.Seconds()
			}
			film.speed = *speed
			if err := film.make(ctx, j, out, contact); err != nil {
				return err
			}
			if *check {
				if err := film.check(ctx, j.streams); err != nil {
					return err
				}
			}
			return film.verdict(ctx, j)
		}
	},
}

// mostLoops is how often a film may play its scene.
const mostLoops = 100

// looped is a job whose scene is played so often that it lasts a time, s, or longer, after what
// brings its drops out of the pool where they begin there.
func (j *job) looped(seconds float64) (*job, error) {
	if j.start != nil {
		seconds -= j.start.Scene.Duration()
	}
	times := int(math.Ceil(seconds/j.scene.Duration() - 1e-9))
	if times > mostLoops {
		return nil, usageError{fmt.Sprintf("--length %v: the scene lasts %s, and is filmed %d times at most", time.Duration(seconds*float64(time.Second)), quantity.Format(j.scene.Duration(), quantity.Time), mostLoops)}
	}
	long := *j
	if times > 1 {
		long.scene.Frames = slices.Repeat(j.scene.Frames, times)
		if j.wanted != nil {
			wanted := *j.wanted
			wanted.Frames = slices.Repeat(wanted.Frames, times)
			long.wanted = &wanted
		}
	}
	if j.start != nil {
		played, wanted := j.start.Whole(long.scene, *long.wanted)
		long.scene, long.wanted, long.design.Fluid.Start = played, &wanted, design.StartPool
	}
	return &long, nil
}

// filmPictures are the names of a film's pictures in a folder.
var filmPictures = regexp.MustCompile(`^frame-[0-9]{5,}\.png$`)

// film shoots a scene picture by picture.
type film struct {
	*job
	player *player.Player
	tank   *player.Tank
	view   *render.View
	fps    int
	cells  int     // per pitch, of the fluid
	length float64 // s of the scene
	speed  float64 // s of the scene per second of film
	// contact collects the contact sheet, nil without one.
	contact *render.Contact
	// What is seen of the scene in the tank and, but for a check, in the drop model beside it.
	fluids []*shown.Recorder
}

func newFilm(ctx context.Context, j *job, overlay string, width, fps, cells int) (*film, error) {
	g, p, err := j.prepare(ctx)
	if err != nil {
		return nil, err
	}
	cells = cmp.Or(cells, player.CellsFor(g.Design))
	f := &film{job: j, player: p, fps: fps, cells: cells, length: j.scene.Duration(), speed: 1}
	if f.tank, err = player.NewTank(g, cells, 0); err != nil {
		return nil, inputError{err}
	}
	if err = f.watch(shown.Tank, f.tank); err != nil {
		return nil, err
	}
	droplets, err := player.NewDroplets(g, 0)
	if err != nil {
		return nil, err
	}
	if err = f.watch(shown.Drops, droplets); err != nil {
		return nil, err
	}
	if f.view, err = render.NewView(g, overlay, width); err != nil {
		return nil, usageError{err.Error()}
	}
	return f, nil
}

// fit plays what will be filmed, without the fluid, so that the colours of a map span what comes.
func (f *film) fit(ctx context.Context) error {
	if !f.view.Fits() {
		return nil
	}
	p, err := player.New(f.player.Grid())
	if err != nil {
		return err
	}
	at := 0.0
	for _, frame := range f.scene.Frames {
		if at >= f.length {
			break
		}
		if _, err := p.Show(ctx, frame); err != nil {
			return err
		}
		f.view.Fit(p)
		at += frame.Duration
	}
	return nil
}

// watch begins the record of a fluid.
func (f *film) watch(m shown.Model, fluid shown.Fluid) error {
	g := f.player.Grid()
	r, err := shown.Begin(m, fluid, g, f.scene, f.asked(), g.Design.Limits.Shown)
	f.fluids = append(f.fluids, r)
	return err
}

// shoot calls show for each picture, which is valid until the next. Between two
// pictures each of the scene's frames acts on the fluid for as long as it stands, and none beyond the
// scene's end, from which a loop goes on.
// Without a view nothing is drawn and show is not called.
func (f *film) shoot(ctx context.Context, s streams, show func(i int, img *image.RGBA) error) error {
	dt := f.speed / float64(f.fps)
	total := f.pictures()
	step := s.progress("filming", total)
	defer s.bar.whole()
	run := shown.NewRun(f.player, f.scene, f.fluids...)
	for i := range total {
		at := min(float64(i+1)*dt, f.scene.Duration())
		if err := run.To(ctx, at); err != nil {
			return err
		}
		if f.view != nil {
			img := f.view.Draw(f.player, f.tank, run.Entry, at)
			f.follow(img, run.Entry, at)
			if err := ctx.Err(); err != nil {
				return err
			}
			if err := show(i, img); err != nil {
				return err
			}
		}
		step()
	}
	return nil
}

// follow shows a picture to the contact sheet.
func (f *film) follow(img *image.RGBA, e player.Entry, at float64) {
	if f.contact != nil {
		mean, reached, lit := f.tank.Following(f.player.States())
		m := render.Moment{At: at, Power: e.SupplyPower, Hottest: e.Hottest, Lit: lit, Reached: reached, Full: mean}
		f.contact.Add(img, m)
	}
}

// tell says what was seen.
func (f *film) tell(w io.Writer) {
	fmt.Fprintln(w, render.Broken(render.Resolved(f.player.Grid().Design, f.cells, false), f.errColumns))
	for _, line := range render.Seen(f.fluids[0].Record(), f.fluids[1].Record()) {
		fmt.Fprintln(w, render.Broken(line, f.errColumns))
	}
}

// minCells and maxCells bound the fluid's cells per pitch: fewer do not show a drop.
const minCells, maxCells = 6, 48

// cellsSaid is what the flag of the cells says.
var cellsSaid = fmt.Sprintf("cells per pitch that the fluid is computed with, %d…%d; 0 for as many as take speeds and times of the design's drops to %g %%, up to 24", minCells, maxCells, 100*player.CellBound)

// cells declares the flag that takes them.
func (f *flagSet) cells(value *int, when string) *int {
	f.IntVar(value, "cells", 0, when+cellsSaid)
	f.check(func() error {
		if *value != 0 && (*value < minCells || *value > maxCells) {
			return usageError{fmt.Sprintf("--cells %d: %d…%d is possible, or 0 for as many as the design asks for", *value, minCells, maxCells)}
		}
		return nil
	})
	return value
}

// check moves the fluid again with finer cells, with shorter steps and between panes that hold
// as firmly as they may, and tells by how much the film's figures change: what they owe to each.
func (f *film) check(ctx context.Context, s streams) error {
	fluid := f.player.Grid().Design.Fluid
	for _, c := range []struct {
		what    string
		cells   int
		substep float64 // s
		grip    float64 // N/m
	}{
		{"with cells half as large", 2 * f.cells, 0, fluid.ContactLine},
		{"with steps half as long", f.cells, tank.DefaultMaxStep / 2, fluid.ContactLine},
		{"where the panes hold with " + quantity.Format(fluid.ContactLineMost, quantity.LineTension), f.cells, 0, fluid.ContactLineMost},
	} {
		if c.grip == fluid.ContactLine && c.cells == f.cells && c.substep == 0 {
			continue // one figure was given, and it was filmed
		}
		again := &film{job: f.job, fps: f.fps, cells: c.cells, length: f.length, speed: f.speed}
		var err error
		if again.player, err = f.player.With(func(d *design.Design) { d.Fluid.ContactLine = c.grip }); err != nil {
			return err
		}
		if again.tank, err = player.NewTank(again.player.Grid(), c.cells, c.substep); err != nil {
			return err
		}
		if err = again.watch(shown.Tank, again.tank); err != nil {
			return err
		}
		if err := again.shoot(ctx, s, nil); err != nil {
			return err
		}
		was, _ := f.fluids[0].Record().Share()
		is, _ := again.fluids[0].Record().Share()
		fmt.Fprintf(s.err, "%s: on %.1f %% of them (%+.1f)\n", c.what, 100*is, 100*(is-was))
	}
	return nil
}

// verdict judges the whole scene in a loop, whatever part of it was filmed, and tells
// the limits that it breaks. What shows is judged by the tank where the whole of it was filmed
// and its drops do not begin in the pool, and where what was filmed shows too little.
func (f *film) verdict(ctx context.Context, j *job) (err error) {
	p, seen := f.player, f.fluids[0].Record()
	whole := j.start == nil && len(seen.Sights) == len(f.asked().Frames)
	switch {
	case whole && j.wanted == nil:
		j.tank, err = f.fluids[0].Looped(ctx, p, f.scene)
	case whole || !seen.Keeps(j.design.Limits.Shown, 1): // of stray fluid a part may have more
		j.tank = seen
	}
	if err == nil && j.start != nil { // which loops from where the start ends
		_, p, err = j.prepare(ctx)
	}
	if err != nil {
		return err
	}
	v, err := j.judge(ctx, p, nil)
	if err != nil {
		return err
	}
	doc := j.document()
	doc.Width = j.errColumns
	j.tell(&doc, v)
	for i := range doc.Problems {
		if q := &doc.Problems[i]; !whole && j.tank != nil && (q.Key == string(verdict.Shown) || q.Key == string(verdict.Stray)) {
			q.What += fmt.Sprintf(" That is of what was filmed, %s of %s.", quantity.Format(f.length, quantity.Time), quantity.Format(f.scene.Duration(), quantity.Time))
		}
	}
	return judged(doc, doc.WriteText(j.err, false))
}

// make shoots the film, and the contact sheet if that is asked for, and tells what was seen.
func (f *film) make(ctx context.Context, j *job, out, contact *output.Target) error {
	if err := f.fit(ctx); err != nil {
		return err
	}
	if contact.Asked() {
		f.contact = render.NewContact(f.view.Tank(), f.length)
		f.contact.Bars(j.design, f.view.Legend)
	}
	if err := f.write(ctx, j.streams, out); err != nil {
		return err
	}
	f.tell(j.err)
	return contact.Write(func(w io.Writer) error {
		return png.Encode(w, f.contact.Sheet(fmt.Sprintf("%s – scene %q", j.design.Name, j.scene.Name)))
	})
}

// write shoots the film for a GIF file or a folder; without either, for the contact sheet.
func (f *film) write(ctx context.Context, s streams, out *output.Target) error {
	switch {
	case !out.Asked():
		return f.shoot(ctx, s, func(int, *image.RGBA) error { return nil })
	case !out.Folder():
		return out.Write(func(w io.Writer) error { return f.roll(ctx, s, w, out.Ending()) })
	}
	err := f.shoot(ctx, s, func(i int, img *image.RGBA) error {
		return out.WriteFile(fmt.Sprintf("frame-%05d.png", i+1), func(w io.Writer) error { return png.Encode(w, img) })
	})
	if err == nil {
		fmt.Fprintf(s.err, "to join them: ffmpeg -framerate %d -i %s -pix_fmt yuv420p film.mp4\n", f.fps, filepath.Join(out.Path, "frame-%05d.png"))
	}
	return err
}

// roll shoots the film into one file of a format by its ending.
func (f *film) roll(ctx context.Context, s streams, w io.Writer, ending string) error {
	reel, err := f.reel(w, ending)
	if err != nil {
		return err
	}
	delay := time.Second / time.Duration(f.fps)
	if err := f.shoot(ctx, s, func(_ int, img *image.RGBA) error { return reel.Add(img, delay) }); err != nil {
		return err
	}
	return reel.Close()
}

// reel is a file that a film is written to, picture by picture.
type reel interface {
	Add(img *image.RGBA, shown time.Duration) error
	Close() error
}

func (f *film) reel(w io.Writer, ending string) (reel, error) {
	if ending == ".gif" {
		return render.NewGIF(w, f.view.Palette())
	}
	return render.NewAPNG(w, f.pictures())
}

// pictures is how many the film has.
func (f *film) pictures() int { return max(int(f.length/f.speed*float64(f.fps)+0.5), 1) }

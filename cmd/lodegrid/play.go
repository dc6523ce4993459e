package main

import (
	"context"
	"fmt"
	"image"
	"image/png"
	"io"
	"slices"
	"time"

	"lodegrid/array/design"
	"lodegrid/field/quantity"
	"lodegrid/render/live"
	"lodegrid/render/live/scope"
	"lodegrid/scenes"
)

var playCommand = command{
	name: "play", reads: designAndPictures, short: "a window that plays the scene, with live meters and pixels under the pointer",
	long: `Opens a window that plays the scene with live meters; the pointer switches pixels
on. --shot plays to the time --at without showing it, takes a picture of the window once
the scene is judged, or 20 s later with how far that has come, and exits. Without a
display, use lodegrid film.`,
	setup: func(f *flagSet) body {
		f.silent = true
		o := live.Options{}
		shot := f.picture("shot", "a picture of the window, then exit")
		f.DurationVar(&o.ShotAt, "at", 2*time.Second, "scene time of that picture, at most the scene's length")
		f.choice(&o.Overlay, "overlay", "", "what lies over the tank at the start", live.OverlayNames())
		fluid := ""
		f.choice(&fluid, "fluid", scope.Models()[scope.Fitting], "what moves the fluid: the tank's cells, the quick drop model, or what fits the display's size", scope.Models())
		f.BoolVar(&o.Dark, "dark", false, "dark colours")
		f.BoolVar(&o.Paused, "paused", false, "start paused")
		f.BoolVar(&o.Warm, "warm", false, "start as hot as the looping scene gets")
		f.IntVar(&o.Width, "width", 0, "width of the window in pixels (default 1280)")
		f.IntVar(&o.Height, "height", 0, "height of the window in pixels (default 800)")
		f.check(func() error {
			if f.Changed("at") && !shot.Asked() {
				return usageError{"--at goes with --shot"}
			}
			return nil
		})
		return func(ctx context.Context, j *job) error {
			switch {
			case j.design.Scene.Carry && !shot.Asked() && !o.Warm: // the window comes first
				o.Later = func() (*design.Design, scope.Pictures, error) {
					err := j.carry(ctx, true)
					return &j.design, j.pictures(), err
				}
			case j.design.Scene.Carry:
				if err := j.carry(ctx, true); err != nil {
					return err
				}
			}
			if o.ShotAt < 0 || o.ShotAt.Seconds() > j.scene.Duration() {
				if f.Changed("at") {
					return usageError{fmt.Sprintf("--at %v: 0 s to the scene's end at %s is possible", o.ShotAt, quantity.Format(j.scene.Duration(), quantity.Time))}
				}
				o.ShotAt = seconds(j.scene.Duration())
			}
			o.Design, o.Scene, o.Fluid = j.design, j.pictures(), scope.Model(slices.Index(scope.Models(), fluid))
			o.SceneFor, o.Carry = f.scene.open, carry // a dropped design is played as the flags say
			o.Film, o.Report = filmTo, reportTo
			if shot.Asked() {
				b := newBar(j.streams, "playing", int(o.ShotAt.Seconds()*scope.TicksPerSecond))
				defer b.done()
				o.Step = b.step
				o.Shot = func(img image.Image) error {
					return shot.Write(func(w io.Writer) error { return png.Encode(w, img) })
				}
			}
			return live.Run(ctx, o)
		}
	},
}

// jobOf is a job without a word on what a window plays.
func jobOf(d design.Design, s scope.Pictures) *job {
	return &job{streams: streams{out: io.Discard, err: io.Discard}, kind: "report", design: d, scene: s.Scene, wanted: s.Wanted, plan: s.Plan, start: s.Start}
}

// pictures are a job's scene as a window plays it.
func (j *job) pictures() scope.Pictures {
	return scope.Pictures{Scene: j.scene, Wanted: j.wanted, Plan: j.plan, Start: j.start}
}

// carry plans the moves of a scene for a design that asks for them.
func carry(ctx context.Context, d design.Design, s scenes.Scene) (scope.Pictures, error) {
	j := jobOf(d, scope.Pictures{Scene: s.Faster(d.Scene.Speed)})
	err := j.carry(ctx, d.Scene.Carry)
	return j.pictures(), err
}

// filmTo films a scene on a design as lodegrid film does.
func filmTo(ctx context.Context, d design.Design, s scope.Pictures, to io.Writer) error {
	j := jobOf(d, s)
	f, err := newFilm(ctx, j, filmOverlay, filmWidth, filmFPS, 0)
	if err != nil {
		return err
	}
	return f.roll(ctx, j.streams, to, ".gif")
}

// reportTo writes the report on a design with its scene as lodegrid report does.
func reportTo(ctx context.Context, d design.Design, s scope.Pictures, to io.Writer) error {
	doc, err := (&reporter{figures: true}).report(ctx, jobOf(d, s))
	if err != nil {
		return err
	}
	doc.Source = string(d.Marshal())
	return doc.WriteHTML(to)
}

package main

import (
	"context"
	"fmt"
	"image"
	"image/png"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"lodegrid/array/design"
	"lodegrid/render"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
)

func filmCommand() command {
	return command{
		name: "film", args: "[DESIGN]", short: "the animation as a film: the fluid as the computed pull moves it",
		long: `Plays the scene and writes what a person in front of the tank would see: fluid
moved by the computed pull, with the frame's power and temperature below. An
animated GIF, or numbered PNG pictures in a folder when --out names one.`,
		setup: func(flags *pflag.FlagSet) action {
			var scene sceneFlags
			var changes changeFlags
			var out, overlay string
			var width, fps int
			var length time.Duration
			flags.StringVarP(&out, "out", "o", "film.gif", "GIF file, or a folder for numbered PNG pictures")
			flags.StringVar(&overlay, "overlay", "fluid", "what to show: fluid, field or temperature")
			flags.IntVar(&width, "width", 640, "width in pixels, 200…4000")
			flags.IntVar(&fps, "fps", 12, "pictures per second, 1…50")
			flags.DurationVar(&length, "length", 0, "stop after this time of the scene, e.g. 10s (default: all of it)")
			scene.declare(flags)
			changes.declare(flags)
			return func(ctx context.Context, s streams, args []string) error {
				switch {
				case width < 200 || width > 4000:
					return usageError{fmt.Sprintf("--width %d: 200…4000 is possible", width)}
				case fps < 1 || fps > 50:
					return usageError{fmt.Sprintf("--fps %d: 1…50 is possible", fps)}
				case !isFolder(out) && out != "-" && !strings.EqualFold(filepath.Ext(out), ".gif"):
					return usageError{fmt.Sprintf("--out %s: a film is a .gif file, or pictures in a folder, whose name has no ending", out)}
				case length < 0:
					return usageError{fmt.Sprintf("--length %v: must not be negative", length)}
				}
				d, sc, err := openBoth(args, &changes, &scene)
				if err != nil {
					return err
				}
				film, err := newFilm(d, sc, overlay, width, fps)
				if err != nil {
					return err
				}
				if length > 0 {
					film.length = min(film.length, length.Seconds())
				}
				if isFolder(out) {
					return film.pictures(ctx, s, out)
				}
				return writeWhole(out, s.out, func(w io.Writer) error { return film.gif(ctx, s, w) })
			}
		},
	}
}

// isFolder tells whether a film's name stands for a folder of pictures.
func isFolder(out string) bool {
	if out == "-" {
		return false
	}
	info, err := os.Stat(out)
	return err == nil && info.IsDir() || err != nil && (filepath.Ext(out) == "" || os.IsPathSeparator(out[len(out)-1]))
}

// film shoots a scene picture by picture.
type film struct {
	scene  scenes.Scene
	player *player.Player
	basin  *player.Basin
	view   *render.View
	fps    int
	length float64 // s
}

func newFilm(d design.Design, s scenes.Scene, overlay string, width, fps int) (*film, error) {
	g, err := build(d)
	if err != nil {
		return nil, err
	}
	f := &film{scene: s, fps: fps, length: s.Duration()}
	if f.player, err = player.New(g); err != nil {
		return nil, err
	}
	if f.basin, err = player.NewBasin(g); err != nil {
		return nil, err
	}
	if _, err := f.basin.FillFor(s); err != nil {
		return nil, err
	}
	if f.view, err = render.NewView(g, overlay, width); err != nil {
		return nil, usageError{err.Error()}
	}
	return f, nil
}

// shoot calls show for each picture, which is valid until the next.
func (f *film) shoot(ctx context.Context, s streams, show func(i int, img *image.RGBA) error) error {
	total := int(f.length*float64(f.fps) + 0.5)
	total = max(total, 1)
	b := newBar(s, "filming", total)
	defer b.done()
	dt := 1 / float64(f.fps)
	shown, at := -1, 0.0
	var entry player.Entry
	ends := 0.0
	for i := range total {
		if err := ctx.Err(); err != nil {
			return err
		}
		// The scene's frames that have begun by now, each played whole once.
		for shown+1 < len(f.scene.Frames) && (shown < 0 || ends <= at+dt/2) {
			shown++
			var err error
			if entry, err = f.player.Show(f.scene.Frames[shown]); err != nil {
				return fmt.Errorf("frame %d: %w", shown+1, err)
			}
			ends += f.scene.Frames[shown].Duration
		}
		if err := f.basin.Step(dt, f.player.Plane()); err != nil {
			return err
		}
		at += dt
		img, err := f.view.Draw(f.player, f.basin.Fraction(), entry, at)
		if err != nil {
			return err
		}
		if err := show(i, img); err != nil {
			return err
		}
		b.step()
	}
	return nil
}

func (f *film) gif(ctx context.Context, s streams, w io.Writer) error {
	g, err := render.NewGIF(w, f.view.Palette())
	if err != nil {
		return err
	}
	delay := time.Second / time.Duration(f.fps)
	if err := f.shoot(ctx, s, func(_ int, img *image.RGBA) error { return g.Add(img, delay) }); err != nil {
		return err
	}
	return g.Close()
}

// pictures writes numbered PNG files into a folder and tells how to join them.
func (f *film) pictures(ctx context.Context, s streams, folder string) error {
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return fmt.Errorf("making the film's folder: %w", err)
	}
	err := f.shoot(ctx, s, func(i int, img *image.RGBA) error {
		return writeWhole(filepath.Join(folder, fmt.Sprintf("frame-%05d.png", i+1)), s.out, func(w io.Writer) error { return png.Encode(w, img) })
	})
	if err != nil {
		return err
	}
	fmt.Fprintf(s.err, "to join them: ffmpeg -framerate %d -i %s -pix_fmt yuv420p film.mp4\n", f.fps, filepath.Join(folder, "frame-%05d.png"))
	return nil
}

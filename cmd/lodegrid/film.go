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
moved by the computed pull, with the frame's power and temperature below, and how
many lit pixels the fluid is on. An animated GIF, or numbered PNG pictures in a
folder when --out names one. --contact writes a contact sheet of the scene's key
moments, and no film unless --out asks for one. At the end it tells how many of the
lit pixels the fluid reached.`,
		setup: func(flags *pflag.FlagSet) action {
			var scene sceneFlags
			var changes changeFlags
			var out, overlay, contact string
			var width, fps int
			var speed float64
			var length time.Duration
			flags.StringVarP(&out, "out", "o", "film.gif", "GIF file, or a folder for numbered PNG pictures")
			flags.StringVar(&overlay, "overlay", "fluid", "what to show: "+strings.Join(render.Overlays(), ", "))
			flags.StringVar(&contact, "contact", "", "PNG file for a contact sheet: pictures spread over the scene, and the one that draws most, the hottest and the one with the fluid farthest behind")
			flags.Float64Var(&speed, "speed", 1, "time lapse: seconds of the scene per second of film, 0.01…1000")
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
				case !(speed >= 0.01 && speed <= 1000):
					return usageError{fmt.Sprintf("--speed %g: 0.01…1000 is possible", speed)}
				case contact == "-" && out == "-":
					return usageError{"the film and the contact sheet cannot both go to the standard output"}
				case contact != "" && contact != "-" && !strings.EqualFold(filepath.Ext(contact), ".png"):
					return usageError{fmt.Sprintf("--contact %s: the name must end in .png", contact)}
				case length < 0:
					return usageError{fmt.Sprintf("--length %v: must not be negative", length)}
				}
				d, sc, err := openBoth(ctx, args, &changes, &scene)
				if err != nil {
					return err
				}
				film, err := newFilm(ctx, d, sc, overlay, width, fps)
				if err != nil {
					return err
				}
				if length > 0 {
					film.length = min(film.length, length.Seconds())
				}
				film.speed = speed
				if contact != "" {
					film.contact = render.NewContact(film.view.Tank(), film.length)
				}
				switch {
				case contact != "" && !flags.Changed("out"):
					err = film.shoot(ctx, s, func(int, *image.RGBA) error { return nil })
				case isFolder(out):
					err = film.pictures(ctx, s, out)
				default:
					err = writeWhole(out, s.out, func(w io.Writer) error { return film.gif(ctx, s, w) })
				}
				if err != nil {
					return err
				}
				if contact != "" {
					if err := writeWhole(contact, s.out, func(w io.Writer) error {
						return png.Encode(w, film.contact.Sheet(fmt.Sprintf("%s – scene %q", d.Name, sc.Name)))
					}); err != nil {
						return err
					}
				}
				film.tell(s.err)
				return film.verdict(ctx, s)
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
	length float64 // s of the scene
	speed  float64 // s of the scene per second of film
	// contact collects the contact sheet, nil without one.
	contact *render.Contact
	// The lit pixels of all pictures, those the fluid was on, and how full they were.
	lit, reached int
	full         float64
}

func newFilm(ctx context.Context, d design.Design, s scenes.Scene, overlay string, width, fps int) (*film, error) {
	g, err := build(ctx, d)
	if err != nil {
		return nil, err
	}
	f := &film{scene: s, fps: fps, length: s.Duration(), speed: 1}
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

// shoot calls show for each picture, which is valid until the next. Between two
// pictures each of the scene's frames acts on the fluid for as long as it stands.
// Without a view nothing is drawn and show is not called.
func (f *film) shoot(ctx context.Context, s streams, show func(i int, img *image.RGBA) error) error {
	dt := f.speed / float64(f.fps)
	total := max(int(f.length/dt+0.5), 1)
	b := newBar(s, "filming", total)
	defer b.done()
	var entry player.Entry
	shown, at, ends := -1, 0.0, 0.0
	for i := range total {
		for until := float64(i+1) * dt; until-at > instant; {
			if err := ctx.Err(); err != nil {
				return err
			}
			if shown < 0 || ends-at <= instant && shown+1 < len(f.scene.Frames) {
				shown++
				var err error
				if entry, err = f.player.Show(ctx, f.scene.Frames[shown]); err != nil {
					return fmt.Errorf("frame %d: %w", shown+1, err)
				}
				ends += f.scene.Frames[shown].Duration
			}
			next := until // the last frame stands beyond its end
			if shown+1 < len(f.scene.Frames) {
				next = min(until, ends)
			}
			if err := f.basin.Step(next-at, f.player.Plane()); err != nil {
				return err
			}
			at = next
		}
		if f.view == nil {
			f.follow(nil, entry, at)
			b.step()
			continue
		}
		img, err := f.view.Draw(f.player, f.basin, entry, at)
		if err != nil {
			return err
		}
		f.follow(img, entry, at)
		if err := show(i, img); err != nil {
			return err
		}
		b.step()
	}
	return nil
}

// instant is the time in seconds under which two instants are one.
const instant = 1e-9

// follow accounts a picture.
func (f *film) follow(img *image.RGBA, e player.Entry, at float64) {
	mean, reached, lit := f.basin.Following(f.player.States())
	f.lit += lit
	f.reached += reached
	f.full += mean * float64(lit)
	if f.contact != nil {
		m := render.Moment{At: at, Power: e.SupplyPower, Hottest: e.Hottest, Lit: lit, Reached: reached, Full: mean}
		f.contact.Add(img, m)
	}
}

// tell says how well the fluid followed.
func (f *film) tell(w io.Writer) {
	if f.lit == 0 {
		fmt.Fprintln(w, "no pixel was lit")
		return
	}
	fmt.Fprintf(w, "the fluid was on %.1f %% of the lit pixels, on average over the pictures; their places were %.1f %% full\n",
		100*float64(f.reached)/float64(f.lit), 100*f.full/float64(f.lit))
}

// verdict judges the whole scene in a loop, whatever part of it was filmed, and tells
// the limits that it breaks.
func (f *film) verdict(ctx context.Context, s streams) error {
	d := f.player.Grid().Design
	v, err := judge(ctx, s, f.player, f.scene, nil)
	if err != nil {
		return err
	}
	doc := render.Document{Kind: "film", Design: d.Name}
	doc.Judge(d, v)
	if err := doc.WriteText(s.err, false); err != nil {
		return err
	}
	if len(doc.Problems) > 0 {
		return errLimit
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

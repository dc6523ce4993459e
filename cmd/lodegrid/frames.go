package main

import (
	"bytes"
	"cmp"
	"context"
	"fmt"
	"slices"
	"time"

	"github.com/spf13/pflag"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/field/quantity"
	"lodegrid/render"
	"lodegrid/render/output"
	"lodegrid/scenes"
	"lodegrid/scenes/faults"
	"lodegrid/scenes/optimise"
	"lodegrid/scenes/player"
	"lodegrid/scenes/shown"
	"lodegrid/scenes/table"
)

var framesCommand = command{
	name: "frames", reads: designAndScene, short: "the scene as a frame table for the firmware, on request changed so that it draws less",
	long: `Writes the drive levels of every frame: as CSV, one line a frame with its duration
in seconds and the levels −1…1 row by row, or as a compact binary table with 8 or
16 bits per level and checksums, for the firmware. Both tell what the firmware must
guarantee (see lodegrid faults), the binary table also how it is driven: mode, PWM,
kick and scan. The form follows the ending of --out (.csv, or .lvt for the binary
table) unless --format says otherwise. --reader writes the C header that plays it.

--optimise first changes the scene so that it shows the same with less power: each
pixel that has its drop is dimmed to what holds it, pixels that come on together may
wait for each other, and a pixel that comes on keeps its level until the fluid is
there. With --cap only as much is changed as keeps every frame under that power, the
hottest pixels first. No pixel falls below limits.hold that was above it before, and
no dark one rises over limits.false_on: the new scene is played as a whole to make
sure, and what it saved is printed. Whether the fluid, once it moves, still gets
everywhere is another question, which --fluid answers by letting it move in both
scenes.`,
	setup: func(f *flagSet) body {
		o := framesOptions{optimise: optimise.Defaults()}
		o.declare(f, 8)
		o.reader = f.yours("reader", "", "file for a C99 header that reads the binary table in firmware")
		o.reader.Kind.Endings = []string{".h"}
		f.BoolVar(&o.change, "optimise", false, "change the scene so that it draws less")
		f.quantity(&o.optimise.Cap, "cap", quantity.Power, 1e6, "with --optimise: `power` that no frame should exceed (0 W: as little as can be)")
		delay := f.Duration("delay", seconds(o.optimise.Delay), "with --optimise: how much later a pixel may come on")
		kick := f.Duration("kick", seconds(o.optimise.Kick), "with --optimise: how long a pixel that comes on keeps its level")
		f.Float64Var(&o.optimise.KickLevel, "kick-level", 0, "with --optimise: level 0…1 that such a pixel has at least (default: the scene's own)")
		f.Float64Var(&o.optimise.Margin, "margin", o.optimise.Margin, "with --optimise: pull of a dimmed pixel, as a multiple of limits.hold")
		f.BoolVar(&o.fluid, "fluid", false, "with --optimise: also let the fluid move in both scenes and compare how it follows (slow)")
		f.check(func() error {
			o.optimise.Delay, o.optimise.Kick = delay.Seconds(), kick.Seconds()
			return o.checkChange(f.FlagSet)
		})
		return func(ctx context.Context, j *job) error {
			if o.change && j.wanted != nil {
				return usageError{"--optimise spreads the power of pixels that are just switched; this scene's drops are carried (scene.carry), its kicks planned within the supply's power"}
			}
			return writeFrames(ctx, j, o)
		}
	},
}

func seconds(v float64) time.Duration { return time.Duration(v * float64(time.Second)) }

// tableOptions say what table is written, and how what is in it is told.
type tableOptions struct {
	out       *output.Target
	format    string
	bits      int
	json, why bool
}

// framesOptions say, too, whether the scene is changed before.
type framesOptions struct {
	tableOptions
	reader        *output.Target
	change, fluid bool
	optimise      optimise.Options
}

// declare declares the flags of a table, of so many bits unless asked otherwise.
func (o *tableOptions) declare(f *flagSet, bits int) {
	o.out = f.file("out", "o", "-", "file to write the table to, whole or not at all; - is the standard output", anyFile)
	f.choice(&o.format, "format", "", "form of the table (default: by the ending of --out; csv on the standard output)", []string{"csv", "table"})
	f.IntVar(&o.bits, "bits", bits, "bits per level of the binary table, 8 or 16")
	f.BoolVar(&o.json, "json", false, "print what was written as one JSON document: "+render.SchemaNote)
	f.BoolVar(&o.why, "why", false, "show the formula behind each figure")
	f.check(func() error {
		switch path := o.out.Path; {
		case o.format != "":
		case path == "-" || o.out.Ending() == ".csv":
			o.format = "csv"
		case o.out.Ending() == ".lvt":
			o.format = "table"
		default:
			return usageError{fmt.Sprintf("--out %s: the ending must be .csv, or .lvt for the binary table; or name the form with --format", path)}
		}
		if o.bits != 8 && o.bits != 16 {
			return usageError{fmt.Sprintf("--bits %d: 8 or 16 is possible", o.bits)}
		}
		if o.format == "csv" && f.Changed("bits") {
			return usageError{"--bits goes with the binary table; a CSV table keeps every digit"}
		}
		return nil
	})
}

// checkChange refuses what does not go together.
func (o *framesOptions) checkChange(flags *pflag.FlagSet) error {
	if !o.change {
		for _, name := range []string{"cap", "delay", "kick", "kick-level", "margin", "fluid"} {
			if flags.Changed(name) {
				return usageError{fmt.Sprintf("--%s goes with --optimise", name)}
			}
		}
		return nil
	}
	if o.format == "table" {
		o.optimise.Step = 1 / float64(int(1)<<(o.bits-1)-1)
	}
	if err := o.optimise.Validate(); err != nil {
		return usageError{err.Error()}
	}
	return nil
}

// writeFrames writes the table and tells what is in it: on the standard output, or
// where the table goes there, on the error output.
func writeFrames(ctx context.Context, j *job, o framesOptions) error {
	s, d, sc := j.streams, j.design, j.scene
	if g := d.Grid; sc.Rows != g.Rows || sc.Cols != g.Cols {
		return usageError{fmt.Sprintf("scene %q is for %d × %d pixels, the design has %d × %d", sc.Name, sc.Cols, sc.Rows, g.Cols, g.Rows)}
	}
	doc := j.document()
	var unchanged string
	_, p, err := prepare(ctx, d)
	if err != nil {
		return err
	}
	if o.change {
		switch section, problems, changed, err := optimiseScene(ctx, s, p, sc, o); {
		case player.Restless(err): // nothing to start from; the verdict says what is broken
			unchanged = "The scene was left as it is: with it the coils find no steady temperature to save from."
		case err != nil:
			return err
		default:
			doc.Sections, doc.Problems, sc = append(doc.Sections, section), problems, changed
		}
	}
	written := *j
	written.scene = sc
	v, err := written.judge(ctx, p, nil)
	if err != nil {
		return err
	}
	j.tell(&doc, v)
	faulty, err := faultsOf(ctx, p, sc, v)
	if err != nil {
		return err
	}
	if err := o.reader.WriteBytes(table.Reader); err != nil {
		return err
	}
	return o.finish(ctx, s, d, doc, sc, faulty, unchanged)
}

// encode is a scene as the table that is asked for, with what the firmware must keep and remarks.
func (o tableOptions) encode(ctx context.Context, d design.Design, sc scenes.Scene, faulty *faults.Study, remarks ...string) ([]byte, error) {
	var data bytes.Buffer
	if o.format != "csv" {
		err := table.WriteBinary(ctx, &data, sc, o.bits, faulty.Bound(table.DriveOf(d)))
		return data.Bytes(), err
	}
	if faulty != nil {
		remarks = append(remarks, "the firmware must guarantee: "+faulty.Guarantee.String())
	}
	if n := d.Coils(); n > 1 {
		remarks = append(remarks, fmt.Sprintf("%d coils in series on an output: so many neighbours of a row have one level", n))
	}
	err := table.WriteCSV(ctx, &data, sc, remarks...)
	return data.Bytes(), err
}

// finish writes the table, headed by what the firmware must guarantee where the faults
// are known, and the document with what was written, notes included.
func (o tableOptions) finish(ctx context.Context, s streams, d design.Design, doc render.Document, sc scenes.Scene, faulty *faults.Study, note string) error {
	data, err := o.encode(ctx, d, sc, faulty)
	if err != nil {
		return err
	}
	written := tableSection(sc, o, len(data))
	if faulty != nil {
		written.Facts = append(written.Facts, render.GuaranteeFact(faulty))
	}
	if note != "" {
		written.Notes = append(written.Notes, note)
	}
	doc.Sections = append(doc.Sections, written)
	if err := o.out.WriteBytes(data); err != nil {
		return err
	}
	talk := s.out
	doc.Width = s.columns
	if o.out.Path == "-" {
		talk, doc.Width = s.err, s.errColumns
	}
	if o.json {
		return judged(doc, doc.WriteJSON(talk))
	}
	return judged(doc, doc.WriteText(talk, o.why))
}

// tableSection is what a written table holds.
func tableSection(s scenes.Scene, o tableOptions, size int) render.Section {
	form := "CSV, one line a frame"
	if o.format == "table" {
		form = fmt.Sprintf("binary, %d bits per level", o.bits)
	}
	where := o.out.Path
	if where == "-" {
		where = "standard output"
	}
	shortest := slices.MinFunc(s.Frames, func(a, b scenes.Frame) int { return cmp.Compare(a.Duration, b.Duration) })
	return render.Section{Key: "table", Title: "Frame table", Facts: []render.Fact{
		render.Words("file", "written to", where),
		render.Words("form", "form", form),
		{Key: "bytes", Label: "size", Value: size, Text: fmt.Sprintf("%d bytes", size)},
		{Key: "frames", Label: "frames", Value: len(s.Frames), Text: fmt.Sprintf("%d of %d × %d levels", len(s.Frames), s.Cols, s.Rows)},
		render.Number("duration_s", "duration", s.Duration(), quantity.Time),
		render.Number("shortest_frame_s", "shortest frame", shortest.Duration, quantity.Time),
	}}
}

// optimiseScene changes a scene and tells what that did.
func optimiseScene(ctx context.Context, s streams, p *player.Player, sc scenes.Scene, o framesOptions) (render.Section, []render.Problem, scenes.Scene, error) {
	d := p.Grid().Design
	s.doing("optimising")
	r, err := optimise.Scene(ctx, p, sc, o.optimise)
	if err != nil {
		return render.Section{}, nil, sc, err
	}
	section := render.OptimiseSection(d, r)
	problems := []render.Problem{}
	if o.fluid {
		before, err := followed(ctx, s, p.Grid(), sc, sc)
		if err != nil {
			return section, nil, sc, err
		}
		after, err := followed(ctx, s, p.Grid(), r.Scene, sc)
		if err != nil {
			return section, nil, sc, err
		}
		section.Facts = append(section.Facts, render.Fact{
			Key: "fluid_reached_after", Label: "wanted pixels that the fluid is on", Value: after,
			Text: fmt.Sprintf("%.1f %%", after*100),
		}, render.Fact{Key: "fluid_reached_before", Label: "before it was changed", Value: before, Text: fmt.Sprintf("%.1f %%", before*100)})
		if after < before-fluidTolerance {
			problems = append(problems, render.Problem{
				Key:    "fluid",
				What:   fmt.Sprintf("The fluid is on %.1f %% of the wanted pixels at the frames' ends, %.1f %% before: dimmed pixels hold their drops, but the moving fluid does not get to them as it did.", after*100, before*100),
				Advice: []string{"A greater --margin, a longer --kick, or --cap for as little change as the supply asks for."},
			})
		}
	}
	if r.Over > 0 {
		problems = append(problems, render.Problem{
			Key:    "cap",
			What:   fmt.Sprintf("%s over the cap of %s; the most that one draws is %s.", quantity.Count(r.Over, "frame"), quantity.Format(o.optimise.Cap, quantity.Power), quantity.Format(r.After.PeakFramePower, quantity.Power)),
			Advice: []string{fmt.Sprintf("A cap of %s, a longer --delay, or a scene that lights less at once.", quantity.Format(r.After.PeakFramePower, quantity.Power))},
		})
	}
	return section, problems, r.Scene, nil
}

// fluidTolerance is the share of the lit pixels by which the fluid may follow worse
// before it is told: a drop more or less in a hundred is chance.
const fluidTolerance = 0.01

// followed is the share of the wanted scene's pixels that the tank's fluid is on at its
// frames' ends when a scene is played for it.
func followed(ctx context.Context, io streams, g *grid.Grid, s, wanted scenes.Scene) (float64, error) {
	p, err := player.New(g)
	if err != nil {
		return 0, err
	}
	tank, err := player.NewTank(g, 0, 0)
	if err != nil {
		return 0, err
	}
	r, err := shown.Follow(ctx, p, s, wanted, shown.Tank, tank, io.progress("moving the fluid", len(s.Frames)))
	if err != nil {
		return 0, err
	}
	share, _ := r.Share()
	return share, nil
}

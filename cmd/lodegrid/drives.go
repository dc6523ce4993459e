package main

import (
	"context"
	"fmt"
	"time"

	"lodegrid/array/design"
	"lodegrid/field/quantity/spelling"
	"lodegrid/render"
	"lodegrid/scenes/choose"
)

func drivesCommand() command {
	return command{
		name: "drives", reads: designAndPictures, short: "which volts, frequency, duty and mode to drive the coils with, ranked at equal pull",
		long: `Brings every way to drive the coils by the supplies on offer (direct, stagger, scan, kick
and hold; full bridge or low side; usual frequencies) to the same hold of a lone lit pixel
and the same time of a drop to its neighbour, and ranks them by heat, parts or price. Each
drive told was worked out in full and played with the scene; where none does, it tells which
voltage would. -o writes the design file of the first. Exit code 4: none does, or the first
breaks a limit with the scene.`,
		setup: func(f *flagSet) body {
			chosen := f.file("out", "o", "", "file to write the first drive's design to, whole or not at all", anyFile)
			chosen.Kind.Yours = true
			path := f.offerPath()
			var aim choose.Aim
			var move time.Duration
			var by string
			f.Float64Var(&aim.Hold, "hold", 0, "hold ratio that is wanted of a lone lit pixel (0: the design's own)")
			f.DurationVar(&move, "move", 0, "longest time of a drop to its neighbour (0: what an --offer file wants, else that of the planned moves of the design as it is, else the shortest frame of the scene)")
			f.IntVar(&aim.Most, "exact", 0, "most drives to work out in full (0: 7, or 2 where moves have to be planned for each)")
			f.choice(&by, "by", string(choose.Heat), "what they are ranked by", spelling.Texts(choose.Ranks))
			out := f.print(nil)
			f.check(func() error {
				switch {
				case !(aim.Hold >= 0 && aim.Hold < 1e6):
					return usageError{fmt.Sprintf("--hold %g: want 0 to 1e6", aim.Hold)}
				case move < 0:
					return usageError{fmt.Sprintf("--move %v: want 0 or more", move)}
				case aim.Most < 0:
					return usageError{fmt.Sprintf("--exact %d: want 0 or more", aim.Most)}
				}
				return nil
			})
			return func(ctx context.Context, j *job) error {
				o, err := path()
				if err != nil {
					return err
				}
				aim.Move, aim.By = move.Seconds(), choose.Goal(by)
				b := newBar(j.streams, "trying drives", -1)
				defer b.done()
				a, err := choose.FindDrives(ctx, j.design, j.scene, o, aim, b.step)
				if err != nil {
					return inputError{err}
				}
				var first *choose.Choice
				if len(a.Drives) > 0 {
					first = a.Drives[0].Choice
				}
				return j.chosen(out, chosen, "drives", first, func(d design.Design) ([]render.Section, []render.Problem) { return render.DrivesSections(d, a, aim.By) })
			}
		},
	}
}

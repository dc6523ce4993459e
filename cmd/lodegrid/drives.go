package main

import (
	"context"
	"time"

	"lodegrid/array/design"
	"lodegrid/field/quantity/spelling"
	"lodegrid/render"
	"lodegrid/scenes/choose"
)

var drivesCommand = command{
	name: "drives", reads: designAndPictures, short: "which volts, frequency, duty and mode to drive the coils with, ranked at equal pull",
	long: `Brings every way to drive the coils by the supplies on offer (direct, stagger, scan, kick
and hold; full bridge or low side; usual frequencies) to the same hold of a lone lit pixel
and the same time of a drop to its neighbour, and ranks them by heat, parts or price. Each
drive told was worked out in full and played with the scene; where none does, it tells which
voltage would. -o writes the design file of the first. Exit code 4: none does, or the first
breaks a limit with the scene.`,
	setup: func(f *flagSet) body {
		chosen := f.yours("out", "o", "file to write the first drive's design to, whole or not at all")
		offer := f.offerPath()
		var aim choose.Aim
		var by string
		number(f, &aim.Hold, "hold", 0, 0, 1e6, "hold ratio that is wanted of a lone lit pixel (0: the design's own)")
		move := number(f, new(time.Duration), "move", 0, 0, -1, "longest time of a drop to its neighbour (0: what an --offer file wants, else that of the planned moves of the design as it is, else the shortest frame of the scene)")
		number(f, &aim.Most, "exact", 0, 0, -1, "most drives to work out in full (0: 7, or 2 where moves have to be planned for each)")
		f.choice(&by, "by", string(choose.Heat), "what they are ranked by", spelling.Texts(choose.Ranks))
		out := f.print(nil)
		return func(ctx context.Context, j *job) error {
			o, err := offer()
			if err != nil {
				return err
			}
			aim.Move, aim.By = move.Seconds(), choose.Goal(by)
			j.doing("trying drives")
			a, err := choose.FindDrives(ctx, j.design, j.scene, o, aim)
			if err != nil {
				return inputError{err}
			}
			return j.chosen(out, chosen, a.First(), func(d design.Design) ([]render.Section, []render.Problem) { return render.DrivesSections(d, a, aim.By) })
		}
	},
}

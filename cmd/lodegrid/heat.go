package main

import (
	"context"

	"github.com/spf13/pflag"

	"lodegrid/array"
	"lodegrid/render"
	"lodegrid/scenes/player"
)

func heatCommand() command {
	return command{
		name: "heat", args: "[DESIGN]", short: "how hot the display gets: one pixel, all on, and the scene in a loop",
		long: `Finds the steady state with one pixel on and with all on, plays the scene in its
looped state, and solves for the largest duty that keeps every limit. --map
writes the coils' temperatures at the scene's hottest as PNG.`,
		setup: func(flags *pflag.FlagSet) action {
			var out outputFlags
			var scene sceneFlags
			var changes changeFlags
			var picture string
			out.declare(flags)
			scene.declare(flags)
			changes.declare(flags)
			flags.StringVar(&picture, "map", "", "PNG file for the highest temperature of each coil")
			return func(ctx context.Context, s streams, args []string) error {
				if err := out.check(); err != nil {
					return err
				}
				d, sc, err := openBoth(args, &changes, &scene)
				if err != nil {
					return err
				}
				g, err := array.Build(d, 0)
				if err != nil {
					return err
				}
				p, err := player.New(g)
				if err != nil {
					return err
				}
				steady, err := render.HeatSection(d, p)
				if err != nil {
					return err
				}
				b := newBar(s, "playing", len(sc.Frames))
				ledger, z, budget, runaway, err := loop(ctx, p, sc, b.step)
				b.done()
				if err != nil {
					return err
				}
				doc := render.Document{Kind: "heat", Design: d.Name, Problems: []render.Problem{}, Sections: []render.Section{steady}}
				if runaway != nil {
					doc.Problems = append(doc.Problems, runawayProblem(runaway, budget))
					return out.write(s, doc)
				}
				doc.Sections = append(doc.Sections, render.ThermalBudgetSection(d, sc, ledger, budget))
				for _, b := range render.Problems(d, z, budget, 0) {
					if render.IsThermal(b) {
						doc.Problems = append(doc.Problems, b)
					}
				}
				doc.Cautions = render.Cautions(g, z)[:1]
				if picture != "" {
					if err := writeMap(picture, s, render.TemperatureMap(d, ledger.PixelPeak)); err != nil {
						return err
					}
				}
				return out.write(s, doc)
			}
		},
	}
}

package main

import (
	"context"
	"fmt"

	"github.com/spf13/pflag"

	"lodegrid/render"
	"lodegrid/scenes/studies"
)

func heatCommand() command {
	return command{
		name: "heat", args: "[DESIGN]", short: "how hot the display gets: one pixel, all on, and the scene in a loop",
		long: `Finds the steady state with one pixel on and with all on, how long pulses at several
voltages may last and how often they may repeat, plays the scene in its looped state,
and solves for the largest duty and the largest voltage that keep every limit.
--safe-area draws the longest on-time against voltage, --chart the temperatures over
the scene, --map the coils' temperatures at their hottest.`,
		setup: func(flags *pflag.FlagSet) action {
			var out outputFlags
			var scene sceneFlags
			var changes changeFlags
			var pulses pulseFlags
			var picture, safe, chart string
			out.declare(flags)
			scene.declare(flags)
			changes.declare(flags)
			pulses.declare(flags)
			flags.StringVar(&safe, "safe-area", "", "file for a chart of voltage against the longest on-time, .svg or .png")
			flags.StringVar(&chart, "chart", "", "file for a chart of temperatures over the scene, .svg or .png")
			flags.StringVar(&picture, "map", "", "PNG file for the highest temperature of each coil")
			return func(ctx context.Context, s streams, args []string) error {
				if err := out.check(picture, safe, chart); err != nil {
					return err
				}
				d, sc, err := openBoth(ctx, args, &changes, &scene)
				if err != nil {
					return err
				}
				_, p, err := prepare(ctx, d)
				if err != nil {
					return err
				}
				steady, err := render.HeatSection(ctx, d, p)
				if err != nil {
					return err
				}
				pulse, err := pulses.section(ctx, s, d, p, safe, out.html != "")
				if err != nil {
					return err
				}
				v, err := judge(ctx, s, p, sc, nil)
				if err != nil {
					return err
				}
				doc := render.Document{Kind: "heat", Design: d.Name, Sections: []render.Section{steady, pulse}}
				doc.Judge(d, v)
				if v.Unrest != nil {
					if picture != "" {
						fmt.Fprintf(s.err, "no map is written to %s: the scene has no steady state to draw\n", picture)
					}
					if chart != "" {
						fmt.Fprintf(s.err, "no chart is written to %s: the scene has no steady state to draw\n", chart)
					}
					return out.write(s, doc)
				}
				volts, err := studies.LargestVoltage(ctx, p, sc)
				if err != nil {
					return err
				}
				doc.Sections = append(doc.Sections, render.ThermalBudgetSection(d, sc, v, &volts))
				if chart != "" {
					if err := writeChart(chart, s, render.HeatChart(d, v.Ledger)); err != nil {
						return err
					}
				}
				if out.html != "" {
					doc.Sections[len(doc.Sections)-1].Figures = heatFigures(d, v.Ledger)
					if doc.Source, err = spelledOut(d); err != nil {
						return err
					}
				}
				if picture != "" {
					if err := writeMap(picture, s, render.TemperatureMap(d, v.Ledger.PixelPeak)); err != nil {
						return err
					}
				}
				return out.write(s, doc)
			}
		},
	}
}

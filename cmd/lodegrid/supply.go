package main

import (
	"context"

	"github.com/spf13/pflag"

	"lodegrid/render"
)

func supplyCommand() command {
	return command{
		name: "supply", args: "[DESIGN]", short: "which supply, capacitors, wires and fuse the scene needs, and why",
		long: `Plays the scene and proposes a supply for the frame that draws most, coils cold:
rating, bulk capacitance, feeder wires and fuse, each with its reason. Compares the
drive modes, tells what spreading the PWM periods gains, what the drivers carry and what
the copper on the board drops, and how far a smaller supply dims the picture.
--waveform draws the supply's current.`,
		setup: func(flags *pflag.FlagSet) action {
			out := outputFlags{why: true}
			var scene sceneFlags
			var changes changeFlags
			var waveform string
			out.declare(flags)
			scene.declare(flags)
			changes.declare(flags)
			flags.StringVar(&waveform, "waveform", "", "file for a chart of the supply's current in the frame that draws most, .svg or .png")
			return func(ctx context.Context, s streams, args []string) error {
				if err := out.check(waveform); err != nil {
					return err
				}
				d, sc, err := openBoth(ctx, args, &changes, &scene)
				if err != nil {
					return err
				}
				g, p, err := prepare(ctx, d)
				if err != nil {
					return err
				}
				v, err := judge(ctx, s, p, sc, nil)
				if err != nil {
					return err
				}
				doc := render.Document{Kind: "supply", Design: d.Name}
				doc.Judge(d, v)
				if v.Unrest != nil {
					return out.write(s, doc)
				}
				doc.Sections = append(doc.Sections, render.SupplySection(v.Supply))
				wave, err := supplyDetails(ctx, &doc, g, sc, v)
				if err != nil {
					return err
				}
				if waveform != "" {
					if err := writeChart(waveform, s, wave); err != nil {
						return err
					}
				}
				if out.html != "" {
					doc.Sections[0].Figures = append(powerFigure(d, v.Ledger), render.Figure{Caption: wave.Title, Chart: &wave})
					if doc.Source, err = spelledOut(d); err != nil {
						return err
					}
				}
				return out.write(s, doc)
			}
		},
	}
}

package main

import (
	"context"

	"github.com/spf13/pflag"

	"lodegrid/render"
)

func supplyCommand() command {
	return command{
		name: "supply", args: "[DESIGN]", short: "which supply, capacitors, wires and fuse the scene needs, and why",
		long: `Plays the scene and proposes a supply for its hungriest frame with cold coils:
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
			flags.StringVar(&waveform, "waveform", "", "file for a chart of the supply's current in the hungriest frame, .svg or .png")
			return func(ctx context.Context, s streams, args []string) error {
				if err := out.check(waveform); err != nil {
					return err
				}
				d, sc, err := openBoth(ctx, args, &changes, &scene)
				if err != nil {
					return err
				}
				_, p, err := prepare(d)
				if err != nil {
					return err
				}
				ledger, z, budget, runaway, err := loop(ctx, s, p, sc, nil)
				if err != nil {
					return err
				}
				doc := render.Document{Kind: "supply", Design: d.Name, Problems: []render.Problem{}}
				if runaway != nil {
					doc.Problems = append(doc.Problems, render.RunawayProblem(d, runaway, budget))
					return out.write(s, doc)
				}
				proposal, err := p.Sizing(sc, ledger)
				if err != nil {
					return err
				}
				doc.Sections = append(doc.Sections, render.SupplySection(proposal))
				wave, err := supplyDetails(&doc, p, sc, ledger, proposal, budget)
				if err != nil {
					return err
				}
				if waveform != "" {
					if err := writeChart(waveform, s, wave); err != nil {
						return err
					}
				}
				if out.html != "" {
					doc.Sections[0].Figures = append(powerFigure(d, ledger), render.Figure{Caption: wave.Title, Chart: &wave})
					if doc.Source, err = spelledOut(d); err != nil {
						return err
					}
				}
				for _, b := range render.Problems(d, z, budget, proposal) {
					if b.Key == "supply.power" || b.Key == "drive.most_lit" {
						doc.Problems = append(doc.Problems, b)
					}
				}
				doc.Cautions = proposal.Cautions
				return out.write(s, doc)
			}
		},
	}
}

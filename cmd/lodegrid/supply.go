package main

import (
	"context"

	"lodegrid/render"
)

func supplyCommand() command {
	return command{
		name: "supply", reads: designAndScene, short: "which supply, capacitors, wires and fuse the scene needs, and why",
		long: `Plays the scene and proposes a supply for the frame that draws most, coils cold:
rating, bulk capacitance, feeder wires and fuse, each with its reason. Compares the
drive modes, tells what spreading the PWM periods gains, what the drivers carry and what
the copper on the board drops, and how far a smaller supply dims the picture.
--waveform draws the supply's current.`,
		setup: func(f *flagSet) body {
			out := f.document(true)
			waveform := f.chart("waveform", "the supply's current in the frame that draws most")
			return func(ctx context.Context, j *job) error {
				d := j.design
				g, p, err := prepare(ctx, d)
				if err != nil {
					return err
				}
				v, err := j.judge(ctx, p, nil)
				if err != nil {
					return err
				}
				doc := render.Document{Kind: "supply", Design: d.Name}
				doc.Judge(d, v)
				if v.Unrest != nil {
					return out.write(d, doc)
				}
				doc.Sections = append(doc.Sections, render.SupplySection(v.Supply))
				wave, err := supplyDetails(ctx, &doc, g, j.scene, v)
				if err != nil {
					return err
				}
				if err := addFaults(ctx, &doc, p, j.scene, v); err != nil {
					return err
				}
				if err := writeChart(waveform, wave); err != nil {
					return err
				}
				doc.Sections[0].Figures = append(powerFigure(d, v.Ledger), render.Figure{Caption: wave.Title, Chart: &wave})
				return out.write(d, doc)
			}
		},
	}
}

package main

import (
	"context"

	"lodegrid/render"
)

var supplyCommand = command{
	name: "supply", reads: designAndScene, short: "which supply, capacitors, wires and fuse the scene needs, and why",
	long: `Plays the scene and proposes a supply for the frame that draws most, coils cold:
rating, bulk capacitance, feeder wires and fuse, each with its reason. Compares the
drive modes, tells what spreading the PWM periods gains, what the drivers carry and what
the copper on the board drops, and how far a smaller supply dims the picture.
--waveform draws the supply's current.`,
	setup: func(f *flagSet) body {
		out := f.document(true)
		waveform := f.chart("waveform", "the supply's current in the frame that draws most")
		out.doubted()
		return out.body(func(ctx context.Context, j *job, figures bool) (render.Document, error) {
			g, p, v, doc, err := j.begin(ctx, figures)
			if err != nil || v.Unrest != nil {
				return doc, err
			}
			doc.Sections = append(doc.Sections, render.SupplySection(v.Supply))
			chart, err := supplyDetails(ctx, &doc, g, j.scene, v)
			if err == nil {
				err = addFaults(ctx, &doc, p, j.scene, v)
			}
			if err != nil {
				return doc, err
			}
			doc.Sections[0].Figures = append(powerFigure(j.design, v.Ledger), render.Figure{Caption: chart.Title, Chart: &chart})
			if j.nominal == nil {
				err = writeChart(waveform, chart)
			}
			return doc, err
		})
	},
}

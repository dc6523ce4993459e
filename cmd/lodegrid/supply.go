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
			doubt := f.doubt()
			return func(ctx context.Context, j *job) error {
				doc, wave, err := supplyDocument(ctx, j, out.figures())
				if err != nil {
					return err
				}
				if *doubt {
					if err := j.doubt(ctx, &doc, func(ctx context.Context, j *job) (render.Document, error) {
						doc, _, err := supplyDocument(ctx, j, false)
						return doc, err
					}); err != nil {
						return err
					}
				}
				if wave != nil {
					if err := writeChart(waveform, *wave); err != nil {
						return err
					}
				}
				return out.write(j.design, doc)
			}
		},
	}
}

// supplyDocument is what the scene needs of a supply, and the supply's current over time; nil
// where the scene settles in no state.
func supplyDocument(ctx context.Context, j *job, figures bool) (doc render.Document, wave *render.Chart, err error) {
	d := j.design
	doc = render.Document{Kind: "supply", Design: d.Name}
	g, p, err := j.prepare(ctx)
	if err != nil {
		return doc, nil, err
	}
	most := keep(figures)
	v, err := j.judge(ctx, p, most)
	if err != nil {
		return doc, nil, err
	}
	doc.Judge(d, v)
	most.show(&doc)
	if v.Unrest != nil {
		return doc, nil, nil
	}
	doc.Sections = append(doc.Sections, render.SupplySection(v.Supply))
	chart, err := supplyDetails(ctx, &doc, g, j.scene, v)
	if err != nil {
		return doc, nil, err
	}
	if err := addFaults(ctx, &doc, p, j.scene, v); err != nil {
		return doc, nil, err
	}
	doc.Sections[0].Figures = append(powerFigure(d, v.Ledger), render.Figure{Caption: chart.Title, Chart: &chart})
	return doc, &chart, nil
}

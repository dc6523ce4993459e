package main

import (
	"context"
	"errors"
	"fmt"

	"lodegrid/render"
	"lodegrid/render/output"
	"lodegrid/scenes/studies"
)

var heatCommand = command{
	name: "heat", reads: designAndScene, short: "how hot the display gets: one pixel, all on, and the scene in a loop",
	long: `Finds the steady state with one pixel on and with all on, how long pulses at several
voltages may last and how often they may repeat, plays the scene in its looped state,
and solves for the largest duty and the largest voltage that keep every limit.
--safe-area draws the longest on-time against voltage, --chart the temperatures over
the scene, --map the coils' temperatures at their hottest.`,
	setup: func(f *flagSet) body {
		out := f.document(false)
		var pulses pulseFlags
		pulses.declare(f)
		chart := f.chart("chart", "temperatures over the scene")
		picture := f.picture("map", "the highest temperature of each coil")
		out.doubted()
		return out.body(func(ctx context.Context, j *job, figures bool) (render.Document, error) {
			doc, err := heatDocument(ctx, j, &pulses, figures)
			if err != nil || j.nominal != nil {
				return doc, err
			}
			if v := j.judged; v.Unrest == nil {
				return doc, errors.Join(writeChart(chart, render.HeatChart(j.design, v.Ledger)), writeMap(picture, render.TemperatureMap(j.design, v.Ledger.PixelPeak)))
			}
			for _, t := range []*output.Target{picture, chart} {
				if t.Asked() {
					fmt.Fprintf(j.err, "--%s: %s is not written: the scene has no steady state to draw\n", t.Flag, t.Path)
				}
			}
			return doc, nil
		})
	},
}

// heatDocument is how hot a display gets.
func heatDocument(ctx context.Context, j *job, pulses *pulseFlags, figures bool) (render.Document, error) {
	d := j.design
	doc := j.document()
	_, p, err := j.prepare(ctx)
	if err != nil {
		return doc, err
	}
	steady, err := render.HeatSection(ctx, d, p)
	if err != nil {
		return doc, err
	}
	pulse, err := pulses.section(ctx, j, p, figures)
	if err != nil {
		return doc, err
	}
	most := keep(figures)
	v, err := j.judge(ctx, p, most)
	if err != nil {
		return doc, err
	}
	mounting, err := render.MountingSection(ctx, p, j.scene, v.Summary, false)
	if err != nil {
		return doc, err
	}
	doc.Sections = []render.Section{steady, pulse, mounting}
	j.tell(&doc, v)
	most.show(&doc)
	if v.Unrest != nil {
		return doc, nil
	}
	if err := v.Duties(ctx); err != nil {
		return doc, err
	}
	var volts *studies.VoltageLimit
	if !v.Carried { // its kicks would be too long at another voltage
		largest, err := studies.LargestVoltage(ctx, p, j.scene)
		if err != nil {
			return doc, err
		}
		volts = &largest
	}
	budget := render.ThermalBudgetSection(d, j.scene, v, volts)
	budget.Figures = heatFigures(d, v.Ledger)
	doc.Sections = append(doc.Sections, budget)
	return doc, addFaults(ctx, &doc, p, j.scene, v)
}

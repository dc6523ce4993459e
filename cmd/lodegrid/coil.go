package main

import (
	"context"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/render"
	"lodegrid/scenes/player"
)

var coilCommand = command{
	name: "coil", reads: oneDesign, short: "one pixel: geometry, resistance, inductance, field and pull with and without steel and magnet",
	long: `Computes the coil of one pixel: geometry, resistance cold and at the temperature
it settles at alone, inductance in air and with its steel, field on the fluid
plane and against height, pull on the reference drop, the raised meniscus and
peaks, the steel's saturation, and how good the figures are.

--chart writes the field against height as SVG or PNG, by the file's ending.
--iron-models adds the field with every model of the steel side by side.
--wound adds a wound electromagnet bought instead, its iron by finite elements;
the --wound-… flags give its dimensions.`,
	setup: func(f *flagSet) body {
		out := f.document(false)
		chart := f.chart("chart", "field against height")
		models := f.Bool("iron-models", false, "compare the models of the steel")
		var wound woundFlags
		wound.declare(f)
		return out.body(func(ctx context.Context, j *job, _ bool) (doc render.Document, err error) {
			d := j.design
			if *models && d.Iron.Model == design.IronNone {
				return doc, usageError{`--iron-models: the design has no steel (iron.model is "none"); set iron.model to auto`}
			}
			sections, g, err := coilSections(ctx, d)
			if err != nil {
				return doc, err
			}
			if *models {
				section, err := render.IronModelsSection(ctx, d, g.Pixel)
				if err != nil {
					return doc, err
				}
				sections = append(sections, section)
			}
			if wound.asked(f) {
				w, err := wound.work(ctx)
				if err != nil {
					return doc, err
				}
				sections = append(sections, render.WoundSection(g, w))
			}
			return j.document(sections...), writeChart(chart, render.HeightChart(g))
		})
	},
}

// coilSections are the parts that every run of the command prints.
func coilSections(ctx context.Context, d design.Design) ([]render.Section, *grid.Grid, error) {
	g, err := build(ctx, d)
	if err != nil {
		return nil, nil, err
	}
	p, err := player.New(g)
	if err != nil {
		return nil, nil, err
	}
	inductance, err := render.InductanceSection(ctx, d, g.Pixel)
	if err != nil {
		return nil, nil, err
	}
	alone, err := render.AloneSection(ctx, p)
	if err != nil {
		return nil, nil, err
	}
	steel, err := render.SteelSection(g)
	if err != nil {
		return nil, nil, err
	}
	return []render.Section{
		render.CoilSection(d, g.Pixel), inductance, render.FieldSection(g), steel,
		render.FluidSection(g), alone, render.HeightSection(g), render.AccuracySection(g),
	}, g, nil
}

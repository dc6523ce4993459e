package main

import (
	"context"
	"io"
	"path/filepath"
	"strings"

	"github.com/spf13/pflag"

	"lodegrid/array"
	"lodegrid/array/design"
	"lodegrid/render"
	"lodegrid/scenes/player"
)

func coilCommand() command {
	return command{
		name: "coil", args: "[DESIGN]", short: "one pixel: geometry, resistance, inductance, field and pull with and without steel and magnet",
		long: `Computes the coil of one pixel: geometry, resistance cold and at the temperature
it settles at alone, inductance in air and with its steel, field on the fluid
plane and against height, pull on the reference drop, the raised meniscus and
peaks, the steel's saturation, and how good the figures are.

--chart writes the field against height as SVG or PNG, by the file's ending.
--iron-models adds the field with every model of the steel side by side.
--wound adds a wound electromagnet bought instead, its iron by finite elements;
the --wound-… flags give its dimensions.`,
		setup: func(flags *pflag.FlagSet) action {
			var out outputFlags
			var changes changeFlags
			var chart string
			var models bool
			var wound woundFlags
			out.declare(flags)
			changes.declare(flags)
			flags.StringVar(&chart, "chart", "", "file for a chart of field against height, .svg or .png")
			flags.BoolVar(&models, "iron-models", false, "compare the models of the steel")
			wound.declare(flags)
			return func(ctx context.Context, s streams, args []string) error {
				if err := out.check(chart); err != nil {
					return err
				}
				d, err := openDesign(args)
				if err != nil {
					return err
				}
				if d, err = changes.apply(d); err != nil {
					return err
				}
				if models && d.Iron.Model == design.IronNone {
					return usageError{`--iron-models: the design has no steel (iron.model is "none"); set iron.model to auto`}
				}
				sections, g, err := coilSections(ctx, d)
				if err != nil {
					return err
				}
				if models {
					section, err := render.IronModelsSection(ctx, d, g.Pixel)
					if err != nil {
						return err
					}
					sections = append(sections, section)
				}
				if wound.asked(flags) {
					w, err := wound.work(ctx)
					if err != nil {
						return err
					}
					sections = append(sections, render.WoundSection(g, w))
				}
				if chart != "" {
					if err := writeChart(chart, s, render.HeightChart(g)); err != nil {
						return err
					}
				}
				doc := render.Document{Kind: "coil", Design: d.Name, Sections: sections}
				if out.html != "" {
					for i := range sections {
						if sections[i].Key == "height" {
							sections[i].Figures = heightFigure(g)
						}
					}
					if doc.Source, err = spelledOut(d); err != nil {
						return err
					}
				}
				return out.write(s, doc)
			}
		},
	}
}

// coilSections are the parts that every run of the command prints.
func coilSections(ctx context.Context, d design.Design) ([]render.Section, *array.Grid, error) {
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

// writeChart writes a chart in the format its name ends with.
func writeChart(path string, s streams, c render.Chart) error {
	format := strings.TrimPrefix(strings.ToLower(filepath.Ext(path)), ".")
	if format != "svg" && format != "png" {
		return usageError{"--chart " + path + ": the name must end in .svg or .png"}
	}
	return writeWhole(path, s.out, func(w io.Writer) error { return c.Write(w, format, 520, 340) })
}

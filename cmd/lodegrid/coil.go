package main

import (
	"context"
	"io"
	"path/filepath"
	"strings"

	"github.com/spf13/pflag"

	"lodegrid/render"
)

func coilCommand() command {
	return command{
		name: "coil", args: "[DESIGN]", short: "one pixel: geometry, resistance, inductance, field with and without steel and magnet",
		long: `Computes the coil of one pixel and its field on the fluid plane, and its field
against height. --chart writes the field against height as SVG or PNG, by the
file's ending.`,
		setup: func(flags *pflag.FlagSet) action {
			var out outputFlags
			var changes changeFlags
			var chart string
			out.declare(flags)
			changes.declare(flags)
			flags.StringVar(&chart, "chart", "", "file for a chart of field against height, .svg or .png")
			return func(_ context.Context, s streams, args []string) error {
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
				g, err := build(d)
				if err != nil {
					return err
				}
				doc := render.Document{Kind: "coil", Design: d.Name, Sections: []render.Section{
					render.CoilSection(d, g.Pixel), render.FieldSection(g), render.HeightSection(g),
				}}
				if out.html != "" {
					doc.Sections[1].Figures = heightFigure(g)
					if doc.Source, err = spelledOut(d); err != nil {
						return err
					}
				}
				if chart != "" {
					if err := writeChart(chart, s, render.HeightChart(g)); err != nil {
						return err
					}
				}
				return out.write(s, doc)
			}
		},
	}
}

// writeChart writes a chart in the format its name ends with.
func writeChart(path string, s streams, c render.Chart) error {
	format := strings.TrimPrefix(strings.ToLower(filepath.Ext(path)), ".")
	if format != "svg" && format != "png" {
		return usageError{"--chart " + path + ": the name must end in .svg or .png"}
	}
	return writeWhole(path, s.out, func(w io.Writer) error { return c.Write(w, format, 520, 340) })
}

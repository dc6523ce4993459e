package main

import (
	"context"
	"fmt"
	"io"

	"github.com/spf13/pflag"

	"lodegrid/array"
	"lodegrid/array/design"
	"lodegrid/render"
)

func designCommand() command {
	return command{
		name: "design", args: "[DESIGN]", short: "check a design file, write one to start from, or explain every key",
		long: `Without flags, checks the design file: reads it, builds its coil and prints what
was found. --new writes the demo's commented file to start from. --explain lists
every key with its unit, default and meaning.`,
		setup: func(flags *pflag.FlagSet) action {
			var explain, fresh, full, asJSON bool
			var out string
			var changes changeFlags
			flags.BoolVar(&explain, "explain", false, "list every key with its unit, its default and its meaning")
			flags.BoolVar(&fresh, "new", false, "write the demo's design file")
			flags.BoolVar(&full, "full", false, "write the design with every key spelled out, defaults included")
			flags.BoolVar(&asJSON, "json", false, "print what was found as one JSON document: "+render.SchemaNote)
			flags.StringVarP(&out, "out", "o", "-", "file to write, whole or not at all; - is the standard output")
			changes.declare(flags)
			return func(ctx context.Context, s streams, args []string) error {
				switch {
				case explain:
					return writeWhole(out, s.out, writeExplanation)
				case fresh:
					return writeWhole(out, s.out, func(w io.Writer) error {
						_, err := w.Write(design.DemoTOML())
						return err
					})
				}
				d, err := openDesign(args)
				if err != nil {
					return err
				}
				if d, err = changes.apply(d); err != nil {
					return err
				}
				if full {
					return writeWhole(out, s.out, d.WriteTOML)
				}
				p, err := array.NewPixel(ctx, d, d.Fluid.Height)
				if err != nil {
					return inputError{err}
				}
				return writeWhole(out, s.out, func(w io.Writer) error {
					doc := render.Document{Kind: "design", Design: d.Name, Sections: []render.Section{render.CoilSection(d, p)}}
					if asJSON {
						return doc.WriteJSON(w)
					}
					if err := doc.WriteText(w, false); err != nil {
						return err
					}
					_, err := fmt.Fprintf(w, "\nThe design is valid: %d × %d pixels at %.4g mm.\n", d.Grid.Cols, d.Grid.Rows, d.Grid.Pitch*1e3)
					return err
				})
			}
		},
	}
}

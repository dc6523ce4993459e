package main

import (
	"context"
	"fmt"
	"io"

	"lodegrid/array/design"
	"lodegrid/array/pixel"
	"lodegrid/field/quantity"
	"lodegrid/render"
	"lodegrid/render/output"
)

func designCommand() command {
	return command{
		name: "design", reads: oneDesign, short: "check a design file, write one to start from, or explain every key",
		long: `Without flags, checks the design file: reads it, builds its coil and prints what
was found. --new writes the demo's commented file to start from. --explain lists
every key with its unit, default and meaning.`,
		setup: func(f *flagSet) body {
			explain := f.Bool("explain", false, "list every key with its unit, its default and its meaning")
			fresh := f.Bool("new", false, "write the demo's design file")
			full := f.Bool("full", false, "write the design with every key spelled out, defaults included")
			asJSON := f.Bool("json", false, "print what was found as one JSON document: "+render.SchemaNote)
			out := f.file("out", "o", "-", "file to write, whole or not at all; - is the standard output", anyFile)
			f.check(func() error {
				if *explain || *fresh {
					f.reads = nothing
				}
				switch out.Kind.Yours = *fresh || *full; {
				case out.Kind.Yours, *asJSON:
				default:
					out.Form = output.Text
				}
				return nil
			})
			return func(ctx context.Context, j *job) error {
				d := j.design
				switch {
				case *explain:
					return out.Write(writeExplanation)
				case *fresh:
					return out.WriteBytes(design.DemoTOML())
				case *full:
					return out.Write(d.WriteTOML)
				}
				p, err := pixel.New(ctx, d, d.Fluid.Height)
				if err != nil {
					return inputError{err}
				}
				coil, err := render.CoilSection(d, p)
				if err != nil {
					return inputError{err}
				}
				doc := render.Document{Kind: "design", Design: d.Name, Sections: []render.Section{coil}}
				doc.Sections[0].Notes = append(doc.Sections[0].Notes, fmt.Sprintf("The design is valid: %d × %d pixels at %s mm.", d.Grid.Cols, d.Grid.Rows, quantity.Figure(d.Grid.Pitch*1e3, 4)))
				return out.Write(func(w io.Writer) error {
					if *asJSON {
						return doc.WriteJSON(w)
					}
					return doc.WriteText(w, false)
				})
			}
		},
	}
}

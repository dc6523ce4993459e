package main

import (
	"context"
	"fmt"

	"lodegrid/array/design"
	"lodegrid/array/pixel"
	"lodegrid/field/quantity"
	"lodegrid/render"
	"lodegrid/render/output"
)

var designCommand = command{
	name: "design", reads: oneDesign, short: "check a design file, write one to start from, or explain every key",
	long: `Without flags, checks the design file: reads it, builds its coil and prints what
was found. --new writes the demo's commented file to start from. --explain lists
every key with its unit, default and meaning.`,
	setup: func(f *flagSet) body {
		explain := f.Bool("explain", false, "list every key with its unit, its default and its meaning")
		fresh := f.Bool("new", false, "write the demo's design file")
		full := f.Bool("full", false, "write the design with every key spelled out, defaults included")
		out := f.document(false)
		f.check(func() error {
			if *explain || *fresh {
				f.reads = nothing
			}
			if out.out.Kind.Yours = *fresh || *full; out.out.Kind.Yours {
				out.out.Form = output.Bare
			}
			switch {
			case *explain:
				return f.alone("explain", "new", "full")
			case *fresh:
				return f.alone("new", "full")
			case *full:
				return f.alone("full")
			}
			return nil
		})
		return func(ctx context.Context, j *job) error {
			d := j.design
			switch {
			case *explain:
				return out.out.Write(writeExplanation)
			case *fresh:
				return out.out.WriteBytes(design.DemoTOML())
			case *full:
				return out.out.Write(d.WriteTOML)
			}
			p, err := pixel.New(ctx, d, d.Fluid.Height)
			if err != nil {
				return inputError{err}
			}
			section := render.CoilSection(d, p)
			section.Notes = append(section.Notes, fmt.Sprintf("The design is valid: %d × %d pixels at %s mm.", d.Grid.Cols, d.Grid.Rows, quantity.Figure(d.Grid.Pitch*1e3, 4)))
			return out.write(d, j.document(section))
		}
	},
}

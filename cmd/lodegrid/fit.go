package main

import (
	"context"
	"errors"
	"path/filepath"

	"lodegrid/array/fit"
	"lodegrid/render"
	"lodegrid/render/output"
)

var fitCommand = command{
	name: "fit", reads: designAndReadings, short: "what a board really is like, from a few readings on the bench",
	long: `Reads a CSV table of readings (ohms, inductance, field at heights, temperatures after
a time at a voltage, volts at which a drop starts, tilts at which it slides) and finds the
values of the design that explain them, together with the tolerances known before:
copper and track width as made, steel gap, probe depth, cooling, liquid, grip of the panes.
Tells each value's error, which cannot be told apart, and which readings are doubted.
-o writes a design file that goes by the one read, with the fitted values and what is left
of their doubt, which every other command takes. --new writes an empty table. --free names the
only keys to fit.`,
	setup: func(f *flagSet) body {
		fitted := f.yours("out", "o", "file for the fitted design, whole or not at all")
		fresh := f.fresh("write an empty table of readings, and fit nothing", fitted)
		free := f.StringSlice("free", nil, "keys to fit, the others are as the design says (default: all in doubt that count in the readings)")
		chart := f.chart("chart", "what the fit leaves of each reading, in its errors")
		out := f.print(nil)
		return func(ctx context.Context, j *job) error {
			if *fresh {
				return fitted.Write(fit.WriteHead)
			}
			base, err := f.beside(fitted)
			if err != nil {
				return err
			}
			readings, err := fit.ReadFile(f.bench)
			if err != nil {
				return benchError(err)
			}
			j.doing("fitting")
			a, err := fit.Find(ctx, j.design, readings, *free)
			if err != nil {
				return benchError(err)
			}
			section := render.FitSection(a)
			if err := writeChart(chart, *section.Figures[0].Chart); err != nil {
				return err
			}
			if err := fitted.WriteBytes(a.Fitted(base)); err != nil {
				return err
			}
			return out.write(j.design, j.document(section))
		}
	},
}

// benchError is the error of readings that cannot be used.
func benchError(err error) error {
	if errors.Is(err, context.Canceled) {
		return err
	}
	return inputError{err}
}

// beside is the path of the design read as it stands in a file that is to be written, if it is.
func (f *flagSet) beside(file *output.Target) (string, error) {
	switch {
	case !file.Asked():
		return "", nil
	case len(f.Args()) < 2:
		return "", usageError{"--out: the fitted file goes by the design file, and none is named; lodegrid design --new -o FILE writes the demo's"}
	case len(f.changes) > 0:
		return "", usageError{"--out: the fitted file goes by the design file, which --set does not change; write the changes into a file first: lodegrid design … --full -o FILE"}
	}
	base := f.Args()[0]
	if filepath.IsAbs(base) || file.Path == "-" {
		return base, nil
	}
	if rel, err := filepath.Rel(filepath.Dir(file.Path), base); err == nil {
		return filepath.ToSlash(rel), nil
	}
	return filepath.Abs(base)
}

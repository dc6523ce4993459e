package main

import (
	"context"
	"fmt"
	"image/png"
	"io"
	"strings"

	"lodegrid/array/design"
	"lodegrid/render"
	"lodegrid/render/output"
)

// documentFlags choose the form and the place of a document.
type documentFlags struct {
	json, csv, why bool
	out, page      *output.Target
	columns        int // letters in a line of text, 0 for the terminal's
	doubt          bool
	flags          *flagSet
	make           made
}

// made computes a document, on request with the figures of its HTML form. It is made again for
// every doubt of the design, with job.nominal set, and then writes no files.
type made func(ctx context.Context, j *job, figures bool) (render.Document, error)

// body computes the document, with its doubts where these are asked for, and writes it.
func (f *documentFlags) body(make made) body {
	f.make = make
	return func(ctx context.Context, j *job) error {
		doc, err := make(ctx, j, f.page.Asked())
		if err == nil && f.doubt {
			err = j.doubt(ctx, &doc, make)
		}
		if err != nil {
			return err
		}
		doc.Sections = append(doc.Sections, j.last...)
		return f.write(j.design, doc)
	}
}

// anyFile is a file whose content the flags tell, not its name.
var anyFile = output.Kind{}

// document declares the flags of a subcommand whose result is a document, with formulas
// shown unasked or not.
func (f *flagSet) document(why bool) *documentFlags {
	d := f.print(f.file("out", "o", "-", "file to write, whole or not at all; - is the standard output", anyFile))
	f.BoolVar(&d.why, "why", why, "show the formula behind each figure")
	return d
}

// print declares the flags of one whose document goes to a target, nil for the standard
// output.
func (f *flagSet) print(out *output.Target) *documentFlags {
	if out == nil {
		out = f.plan.Target("", anyFile)
		out.Path = "-"
	}
	d := &documentFlags{out: out, flags: f}
	f.printed = d
	f.BoolVar(&d.json, "json", false, "print one JSON document: "+render.SchemaNote)
	f.BoolVar(&d.csv, "csv", false, "print the tables as CSV, keys and values as in JSON")
	f.IntVar(&d.columns, "columns", 0, fmt.Sprintf("letters in a line of text, %d or more: tables are folded, too (default: the terminal's; elsewhere tables are as wide as they are)", leastColumns))
	d.page = f.file("html", "", "", "also write one HTML file with charts and maps, for a browser or a printer; it needs nothing else",
		output.Kind{Endings: []string{".html", ".htm"}})
	f.check(func() error {
		switch {
		case d.columns != 0 && d.columns < leastColumns:
			return usageError{fmt.Sprintf("--columns %d: %d or more is possible", d.columns, leastColumns)}
		case d.json && d.csv:
			return usageError{"--json and --csv exclude each other"}
		case d.csv:
			d.out.Form = output.CSV
		case !d.json:
			d.out.Form = output.Text
		}
		return nil
	})
	return d
}

// write writes a document as asked, then reports broken limits by errLimit.
func (f *documentFlags) write(d design.Design, doc render.Document) error {
	doc.Source = string(d.Marshal())
	if doc.Width = f.columns; doc.Width == 0 && f.out.Path == "-" {
		doc.Width = f.flags.columns
	}
	if err := f.page.Write(doc.WriteHTML); err != nil {
		return err
	}
	err := f.out.Write(func(w io.Writer) error {
		switch {
		case f.json:
			return doc.WriteJSON(w)
		case f.csv:
			return doc.WriteCSV(w)
		}
		return doc.WriteText(w, f.why)
	})
	return judged(doc, err)
}

// fresh declares the flag that asks for a file to start from in the place of a result: nothing
// is read then, and the file goes to the standard output where none is named.
func (f *flagSet) fresh(usage string, file *output.Target) *bool {
	fresh := f.Bool("new", false, usage)
	f.check(func() error {
		if !*fresh {
			return nil
		}
		f.reads, f.printed.out.Path = nothing, ""
		if !file.Asked() {
			file.Path = "-"
		}
		return f.alone("new")
	})
	return fresh
}

// alone refuses what a flag that has another text written in the place of the document does not
// go with.
func (f *flagSet) alone(flag string, others ...string) error {
	for _, other := range append(others, "json", "csv", "why", "columns", "html") {
		if f.Changed(other) {
			return usageError{fmt.Sprintf("--%s writes a text of its own, which --%s does not change", flag, other)}
		}
	}
	return nil
}

// judged reports the broken limits of a document that was written.
func judged(doc render.Document, err error) error {
	if err == nil && len(doc.Problems) > 0 {
		return errLimit
	}
	return err
}

// writeChart writes a chart in the format its name ends with.
func writeChart(t *output.Target, c render.Chart) error {
	return t.Write(func(w io.Writer) error { return c.Write(w, strings.TrimPrefix(t.Ending(), "."), 520, 340) })
}

// mapWidth is the width of a map picture in pixels.
const mapWidth = 960

// writeMap writes a map as PNG.
func writeMap(t *output.Target, m render.Map) error {
	return t.Write(func(w io.Writer) error {
		img, err := m.Draw(mapWidth)
		if err != nil {
			return err
		}
		return png.Encode(w, img)
	})
}

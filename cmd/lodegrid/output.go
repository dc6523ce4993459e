package main

import (
	"io"

	"github.com/spf13/pflag"

	"lodegrid/render"
)

// outputFlags choose the form and the place of a result.
type outputFlags struct {
	json, csv, why bool
	out, html      string
}

func (f *outputFlags) declare(flags *pflag.FlagSet) {
	flags.BoolVar(&f.json, "json", false, "print one JSON document: "+render.SchemaNote)
	flags.BoolVar(&f.csv, "csv", false, "print the tables as CSV, keys and values as in JSON")
	flags.BoolVar(&f.why, "why", f.why, "show the formula behind each figure")
	flags.StringVarP(&f.out, "out", "o", "-", "file to write, whole or not at all; - is the standard output")
	flags.StringVar(&f.html, "html", "", "also write one HTML file with charts and maps, for a browser or a printer; it needs nothing else")
}

// check refuses contradicting forms, and more than one file on the standard output.
// pictures are the further files that a subcommand writes; "" is none.
func (f *outputFlags) check(pictures ...string) error {
	if f.json && f.csv {
		return usageError{"--json and --csv exclude each other"}
	}
	taken := 0
	for _, path := range append(pictures, f.html, f.out) {
		if path == "-" {
			taken++
		}
	}
	if taken > 1 {
		return usageError{"only one file can go to the standard output (-), and the result does unless --out names a file for it"}
	}
	return nil
}

// write prints a document as asked, then reports broken limits by errLimit.
func (f *outputFlags) write(s streams, d render.Document) error {
	if f.html != "" {
		if err := writeWhole(f.html, s.out, d.WriteHTML); err != nil {
			return err
		}
	}
	err := writeWhole(f.out, s.out, func(w io.Writer) error {
		switch {
		case f.json:
			return d.WriteJSON(w)
		case f.csv:
			return d.WriteCSV(w)
		}
		return d.WriteText(w, f.why)
	})
	if err != nil {
		return err
	}
	if len(d.Problems) > 0 {
		return errLimit
	}
	return nil
}

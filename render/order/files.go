package order

import (
	"encoding/csv"
	"fmt"
	"io"
	"regexp"
	"strconv"

	"lodegrid/array/artwork"
	"lodegrid/array/design"
	"lodegrid/render"
	"lodegrid/render/gerber"
)

// File is one file of the folder.
type File struct {
	Name, About string
	Write       func(io.Writer) error
}

// README is the file whose mark speaks for all: the others are read by machines.
const README = "README.txt"

// ReadMe is a document as that file, as wide as a page.
func ReadMe(doc *render.Document) File {
	page := *doc
	page.Width = 96
	return File{Name: README, Write: func(w io.Writer) error { return page.WriteText(w, false) }}
}

// Names are what the folder's files are called.
var Names = regexp.MustCompile(`^(README\.txt|copper-[0-9]+\.gbr|mask-(front|back)\.gbr|legend-back\.gbr|outline\.gbr|(plated|bare)\.drl|(stackup|pixel|coil-[0-9]+)\.svg|connections\.csv)$`)

// Files are the board's files beside the README.
func Files(d design.Design, b *artwork.Board) []File {
	var list []File
	for i := range b.Layers {
		about := "copper, inner layer"
		switch i {
		case 0:
			about = "copper, front"
		case len(b.Layers) - 1:
			about = "copper, back"
		}
		list = append(list, File{fmt.Sprintf("copper-%d.gbr", i+1), about, func(w io.Writer) error { return gerber.Copper(w, b, i) }})
	}
	if len(b.Ways) > 0 {
		list = append(list, File{"connections.csv", "which hole at the edge belongs to which pixel's wire, or to which row or column of a scan", func(w io.Writer) error { return connections(w, b) }})
	}
	list = append(list,
		File{"mask-front.gbr", "openings of the solder mask, front", func(w io.Writer) error { return gerber.Mask(w, b, true) }},
		File{"mask-back.gbr", "openings of the solder mask, back", func(w io.Writer) error { return gerber.Mask(w, b, false) }},
		File{"legend-back.gbr", "legend, back: rows and columns, a scan's lines or the coils' numbers, first wires", func(w io.Writer) error { return gerber.Legend(w, b) }},
		File{"outline.gbr", "the board's edge", func(w io.Writer) error { return gerber.Profile(w, b) }},
		File{"plated.drl", "plated holes", func(w io.Writer) error { return gerber.Drill(w, b, true) }},
		File{"bare.drl", "bare holes", func(w io.Writer) error { return gerber.Drill(w, b, false) }},
		File{"stackup.svg", "drawing of the layers through the board", func(w io.Writer) error { return stackup(w, d, b) }},
	)
	for i, v := range b.Variants {
		list = append(list, File{fmt.Sprintf("coil-%d.svg", i+1), fmt.Sprintf("drawing of coil %d, layer by layer, to look at", i+1), func(w io.Writer) error { return pixel(w, v) }})
	}
	if b.Variants == nil {
		list = append(list, File{"pixel.svg", "drawing of one pixel, layer by layer, to look at", func(w io.Writer) error { return pixel(w, b) }})
	}
	return list
}

// connections lists the ways to the edge: pixels as everywhere from 0, the hole's place from
// the board's middle.
func connections(w io.Writer, b *artwork.Board) error {
	out := csv.NewWriter(w)
	rows := [][]string{{"pixel", "net", "pin", "copper", "hole_x_m", "hole_y_m", "length_m", "resistance_ohm"}}
	for _, way := range b.Ways {
		if !way.End.Plated() { // a pixel's part of a scan's line
			continue
		}
		number := func(v float64) string { return strconv.FormatFloat(v, 'g', 6, 64) }
		pin := 1
		if way.From == artwork.WireOut {
			pin = 2
		}
		if way.From == artwork.WireRow {
			pin = 3
		}
		rows = append(rows, []string{strconv.Itoa(way.Row*b.Cols + way.Col), gerber.WayNet(b, way), strconv.Itoa(pin), strconv.Itoa(way.Track.Layer + 1),
			number(way.End.At.X), number(way.End.At.Y), number(way.Track.Length()), number(b.Resistance(way))})
	}
	if err := out.WriteAll(rows); err != nil {
		return fmt.Errorf("writing the connections: %w", err)
	}
	return nil
}

// FilesSection lists the folder.
func FilesSection(folder string, b *artwork.Board, files []File) render.Section {
	s := render.Section{Key: "files", Title: "Files", Facts: []render.Fact{render.Words("folder", "written to", folder)}}
	t := render.Table{Key: "list", Columns: []render.Column{{Key: "file", Head: "file"}, {Key: "about", Head: "what it is"}}}
	for _, f := range files {
		t.Rows = append(t.Rows, []render.Cell{render.Say(f.Name), render.Say(f.About)})
	}
	s.Tables = []render.Table{t}
	s.Notes = append(s.Notes, "Images: Gerber layer format (RS-274X) with attributes, millimetres, all layers as seen from the front. Holes: XNC, metric with decimal points. Origin: the grid's middle.")
	switch {
	case b.Variants != nil:
		s.Notes = append(s.Notes, "Each coil's copper carries its net, coil1-2 for the second copy of coil 1; its two wires' pads are pins 1 and 2, those for a voltmeter pins 3 and 4.")
	case b.Scanned():
		s.Notes = append(s.Notes, "The coils' copper carries the net of their column's line, column1.1 for the first piece from above of column 1; the diodes' holes, pin 3 of each pixel, carry their row's, row1. connections.csv lists each line with its farthest pixel.")
	case gerber.Named(b):
		s.Notes = append(s.Notes, "Each pixel's copper carries its net, r1c1 for row 1 and column 1, and its two pads are pins 1 and 2.")
	default:
		s.Notes = append(s.Notes, "The coils are one pixel with step and repeat, whose copies the format gives no nets of their own; each pixel's two pads carry its net, r1c1 for row 1 and column 1, as pins 1 and 2.")
	}
	return s
}

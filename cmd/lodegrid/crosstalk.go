package main

import (
	"context"
	"errors"
	"io"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/array/handover"
	"lodegrid/array/hold"
	"lodegrid/render"
	"lodegrid/render/output"
	"lodegrid/scenes/choreograph"
	"lodegrid/scenes/studies"
)

var crosstalkCommand = command{
	name: "crosstalk", reads: designAndPictures, short: "what pixels do to their neighbours, the worst patterns, and whether drops are handed over",
	long: `Lists the field that one pixel at full level puts onto its neighbours' axes, the
pattern of all others that disturbs a pixel most, the margins against drops lost and
drops kept by mistake, and whether a drop can be handed from each pixel to the next.
--equalise solves for levels that take the crosstalk out of the scene's first frame.
Pictures and the field itself go to files of their own.`,
	setup: func(f *flagSet) body {
		out := f.document(false)
		reach := number(f, new(int), "reach", 3, 1, 64, "list neighbours up to this many pitches away")
		equalise := f.Bool("equalise", false, "solve for levels that meet the scene's first frame, crosstalk taken out")
		picture := f.picture("map", "|B| in the worst pattern")
		passed := f.picture("handover-map", "the hand-over between neighbours")
		vti := f.file("field-vti", "", "", "VTK ImageData file for the field in the worst pattern", output.Kind{Endings: []string{".vti"}})
		slice := f.file("field-csv", "", "", "CSV file for the field in the worst pattern along the disturbed pixel's row", output.Kind{Endings: []string{".csv"}})
		return out.body(func(ctx context.Context, j *job, _ bool) (doc render.Document, err error) {
			g, err := build(ctx, j.design)
			if err != nil {
				return doc, err
			}
			sections, passing, err := marginSections(ctx, g)
			if err != nil {
				return doc, err
			}
			if doc = j.document(append([]render.Section{render.CrosstalkSection(g, *reach)}, sections...)...); *equalise {
				first := j.scene
				first.Frames = first.Frames[:1]
				equalised, err := studies.Equalise(ctx, g, first)
				if err != nil {
					return doc, err
				}
				doc.Sections = append(doc.Sections, render.EqualiseSection(first, equalised))
			}
			return doc, errors.Join(writeMap(picture, render.WorstPatternMap(g)), writeMap(passed, render.HandoverMap(j.design, passing)), writeField(g, vti, slice))
		})
	},
}

// marginSections are how far pixels stay from doing the opposite of what they are told, and whether
// drops are handed over, with the table of that.
func marginSections(ctx context.Context, g *grid.Grid) ([]render.Section, *handover.Table, error) {
	standing := g.With(choreograph.Standing(g.Design))
	margins, err := studies.SearchMargins(ctx, standing, hold.Search{})
	if err != nil {
		return nil, nil, err
	}
	section := render.MarginSection(standing.Design, margins)
	section.Notes = append(render.StandingNote(g.Design, standing.Design), section.Notes...)
	handed, passing, err := handoverSection(ctx, g)
	if err != nil {
		return nil, nil, err
	}
	list, err := appendBias(ctx, []render.Section{section, handed}, g)
	return list, passing, err
}

// writeField writes the field of the worst pattern for other tools to look at.
func writeField(g *grid.Grid, vti, slice *output.Target) error {
	if !vti.Asked() && !slice.Asked() {
		return nil
	}
	w, plane := g.WorstField()
	if err := vti.Write(func(out io.Writer) error { return render.WriteVTI(out, plane) }); err != nil {
		return err
	}
	row, _ := g.Raster.Cell(w.Row, w.Col)
	row += g.Raster.Samples / 2 // the pixel's middle
	return slice.Write(func(out io.Writer) error { return render.WritePlaneCSV(out, plane, row, row+1) })
}

// handoverSection tells whether drops are handed over, with the table of it.
func handoverSection(ctx context.Context, g *grid.Grid) (render.Section, *handover.Table, error) {
	passing, err := handover.All(ctx, g)
	if err != nil {
		return render.Section{}, nil, err
	}
	gripped, err := handover.Gripped(ctx, g)
	if err != nil {
		return render.Section{}, nil, err
	}
	return render.HandoverSection(g, passing, gripped), passing, nil
}

// appendBias adds how evenly the bias magnets serve the pixels, where there are any.
func appendBias(ctx context.Context, sections []render.Section, g *grid.Grid) ([]render.Section, error) {
	if g.Design.Magnet.Kind == design.MagnetNone {
		return sections, nil
	}
	bias, err := g.BiasSpread(ctx)
	if err != nil {
		return nil, err
	}
	return append(sections, render.BiasSection(g.Design, bias)), nil
}

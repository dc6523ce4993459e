package main

import (
	"context"
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"github.com/spf13/pflag"

	"lodegrid/array"
	"lodegrid/array/design"
	"lodegrid/render"
	"lodegrid/scenes/studies"
)

func crosstalkCommand() command {
	return command{
		name: "crosstalk", args: "[DESIGN]", short: "what pixels do to their neighbours, the worst patterns, and whether drops are handed over",
		long: `Lists the field that one pixel at full level puts onto its neighbours' axes, the
pattern of all others that disturbs a pixel most, the margins against drops lost and
drops kept by mistake, and whether a drop can be handed from each pixel to the next.
--equalise solves for levels that take the crosstalk out of the scene's first frame.
Pictures and the field itself go to files of their own.`,
		setup: func(flags *pflag.FlagSet) action {
			var out outputFlags
			var changes changeFlags
			var scene sceneFlags
			var reach int
			var equalise bool
			var picture, handover, vti, slice string
			out.declare(flags)
			changes.declare(flags)
			scene.declare(flags)
			flags.IntVar(&reach, "reach", 3, "list neighbours up to this many pitches away, 1…64")
			flags.BoolVar(&equalise, "equalise", false, "solve for levels that meet the scene's first frame, crosstalk taken out")
			flags.StringVar(&picture, "map", "", "PNG file for |B| in the worst pattern")
			flags.StringVar(&handover, "handover-map", "", "PNG file for the hand-over between neighbours")
			flags.StringVar(&vti, "field-vti", "", "VTK ImageData file for the field in the worst pattern")
			flags.StringVar(&slice, "field-csv", "", "CSV file for the field in the worst pattern along the disturbed pixel's row")
			return func(ctx context.Context, s streams, args []string) error {
				if err := out.check(picture, handover, vti, slice); err != nil {
					return err
				}
				if reach < 1 || reach > 64 {
					return usageError{fmt.Sprintf("--reach %d: 1…64 is possible", reach)}
				}
				d, sc, err := openBoth(ctx, args, &changes, &scene)
				if err != nil {
					return err
				}
				g, err := build(ctx, d)
				if err != nil {
					return err
				}
				doc := render.Document{Kind: "crosstalk", Design: d.Name, Sections: []render.Section{render.CrosstalkSection(g, reach)}}
				margins, err := studies.SearchMargins(ctx, g, array.Search{})
				if err != nil {
					return err
				}
				passing, err := g.Handovers(ctx)
				if err != nil {
					return err
				}
				doc.Sections = append(doc.Sections, render.MarginSection(d, margins), render.HandoverSection(g, passing))
				if d.Magnet.Kind != design.MagnetNone {
					bias, err := g.BiasSpread(ctx)
					if err != nil {
						return err
					}
					doc.Sections = append(doc.Sections, render.BiasSection(d, bias))
				}
				if equalise {
					first := sc
					first.Frames = sc.Frames[:1]
					equalised, err := studies.Equalise(ctx, g, first, 0)
					if err != nil {
						return err
					}
					doc.Sections = append(doc.Sections, render.EqualiseSection(first, equalised))
				}
				if picture != "" {
					m, err := render.WorstPatternMap(g)
					if err != nil {
						return err
					}
					if err := writeMap(picture, s, m); err != nil {
						return err
					}
				}
				if handover != "" {
					if err := writeMap(handover, s, render.HandoverMap(d, passing)); err != nil {
						return err
					}
				}
				if err := writeField(g, s, vti, slice); err != nil {
					return err
				}
				return out.write(s, doc)
			}
		},
	}
}

// writeField writes the field of the worst pattern for other tools to look at.
func writeField(g *array.Grid, s streams, vti, slice string) error {
	if vti == "" && slice == "" {
		return nil
	}
	if vti != "" && strings.ToLower(filepath.Ext(vti)) != ".vti" {
		return usageError{"--field-vti " + vti + ": the name must end in .vti"}
	}
	w, plane, err := g.WorstField()
	if err != nil {
		return err
	}
	if vti != "" {
		if err := writeWhole(vti, s.out, plane.WriteVTI); err != nil {
			return err
		}
	}
	if slice == "" {
		return nil
	}
	cut := array.Cut{Along: array.AlongX, At: g.Center(w.Row, w.Col).Y}
	return writeWhole(slice, s.out, func(out io.Writer) error { return plane.WriteCSV(out, cut) })
}

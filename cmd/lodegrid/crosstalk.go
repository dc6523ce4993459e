package main

import (
	"context"
	"fmt"

	"github.com/spf13/pflag"

	"lodegrid/render"
)

func crosstalkCommand() command {
	return command{
		name: "crosstalk", args: "[DESIGN]", short: "what pixels do to their neighbours, and the worst pattern",
		long: `Lists the field that one pixel at full level puts onto its neighbours' axes, and
the pattern of all others that disturbs a pixel most. --map writes a picture of
|B| on the fluid plane in that pattern with the disturbed pixel off.`,
		setup: func(flags *pflag.FlagSet) action {
			var out outputFlags
			var changes changeFlags
			var reach int
			var picture string
			out.declare(flags)
			changes.declare(flags)
			flags.IntVar(&reach, "reach", 5, "list neighbours up to this many pitches away")
			flags.StringVar(&picture, "map", "", "PNG file for |B| in the worst pattern")
			return func(_ context.Context, s streams, args []string) error {
				if err := out.check(picture); err != nil {
					return err
				}
				if reach < 1 || reach > 64 {
					return usageError{fmt.Sprintf("--reach %d: 1…64 is possible", reach)}
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
				doc := render.Document{Kind: "crosstalk", Design: d.Name, Sections: []render.Section{render.CrosstalkSection(g, reach)}}
				if out.html != "" {
					if doc.Source, err = spelledOut(d); err != nil {
						return err
					}
					if doc.Sections[0].Figures, err = worstFigure(g); err != nil {
						return err
					}
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
				return out.write(s, doc)
			}
		},
	}
}

package main

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"

	"lodegrid/array/design"
	"lodegrid/field/quantity/spelling"
	"lodegrid/render"
	"lodegrid/scenes"
	"lodegrid/scenes/choose"
)

var compareCommand = command{
	name: "compare", reads: manyDesigns, short: "designs side by side: figures, where they differ, and which is best",
	long: `Works out two designs or more in full, each with its scene, and ranks them: those that
break no limit first, then by the goal. --vary adds the first design with changes, so that
variants need no files of their own:
lodegrid compare --vary "drive.max_duty=10 %" --vary "drive.max_duty=10 %; iron.core_radius=0 mm"
Keys in which a design differs from the first are marked. Exit code 4: one or more of them
break a limit.`,
	setup: func(f *flagSet) body {
		out := f.document(false)
		chart := f.chart("chart", "the field on the axis against height, a curve per design")
		variants := f.StringArray("vary", nil, `one more design: the first with changes, "KEY=VALUE; KEY=VALUE" (may be repeated)`)
		offer := declareOffer(f)
		f.check(func() error {
			if n := max(len(f.Args()), 1) + len(*variants); n < 2 {
				return usageError{fmt.Sprintf("compare takes two designs or more, have %d: name files, or variants by --vary", n)}
			}
			return nil
		})
		return func(ctx context.Context, j *job) error {
			o, err := offer()
			if err != nil {
				return err
			}
			labels := []string{j.design.Name}
			for i, path := range f.Args() {
				labels = append(labels[:i], filepath.Base(path))
			}
			for _, v := range *variants {
				d, err := with(j.design, strings.Split(strings.TrimRight(v, "; "), ";"))
				if err != nil {
					return err
				}
				labels, j.many = append(labels, v), append(j.many, d)
			}
			played, err := f.openScenes(ctx, j.many)
			if err != nil {
				return err
			}
			list, err := choose.Compare(ctx, labels, j.many, played, o, j.progress("comparing", len(j.many)))
			if err != nil {
				return inputError{err}
			}
			section, problems := render.CompareSection(list, o.Best)
			doc := j.document(section)
			doc.Problems = problems
			if err := writeChart(chart, *section.Figures[0].Chart); err != nil {
				return err
			}
			return out.write(list[0].Design, doc)
		}
	},
}

// openScenes reads or makes the scene of each design.
func (f *flagSet) openScenes(ctx context.Context, designs []design.Design) (list []scenes.Scene, err error) {
	for _, d := range designs {
		from, err := f.scene.source(d)
		if err != nil {
			return nil, err
		}
		s, err := from.open(ctx, d)
		if err != nil {
			return nil, err
		}
		list = append(list, s)
	}
	return list, nil
}

// declareOffer declares the flags that say what is on offer and what is best.
func declareOffer(f *flagSet) func() (choose.Offer, error) {
	offer := f.offerPath()
	var best string
	f.choice(&best, "best", "", "by what the first is chosen (default: the offer's goal.best)", spelling.Texts(choose.Goals))
	return func() (choose.Offer, error) {
		o, err := offer()
		if best != "" {
			o.Best = choose.Goal(best)
		}
		return o, err
	}
}

// offerPath declares the flag that says what is on offer.
func (f *flagSet) offerPath() func() (choose.Offer, error) {
	path := f.String("offer", "", "TOML file of what is on offer, and its prices (default: the usual table, its prices invented)")
	f.check(func() error {
		if *path != "" {
			f.plan.Reads("the offer", *path)
		}
		return nil
	})
	return func() (choose.Offer, error) {
		if *path == "" {
			return choose.Usual(), nil
		}
		o, err := choose.ReadFile(*path)
		return o, unreadable(err)
	}
}

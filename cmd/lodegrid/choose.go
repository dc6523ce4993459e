package main

import (
	"context"

	"lodegrid/array/design"
	"lodegrid/field/quantity"
	"lodegrid/render"
	"lodegrid/render/output"
	"lodegrid/scenes/choose"
)

var chooseCommand = command{
	name: "choose", reads: designAndPictures, short: "the coil, steel, drive and supply to order, out of what is on offer, and why the others lose",
	long: `Searches what a board house, shops and a shelf offer for the coil that suits the
design's pitch, liquid, height, mounting, limits and scene: copper, layers, board, track,
gap, turns, steel, pin, magnet, volts, duty, each with each. Those that none beats in
force, heat, price and time to hand a drop over at once are worked out in full and played
with the scene, their tracks to the drivers counted, and the first by goal.best is chosen;
-o writes its design file with every key spelled out. --new writes the usual table of what
is on offer, to put your own prices in. Exit code 4: nothing keeps every limit, or the
chosen display breaks one with the scene. --explain answers the standing questions for the
design as it is.`,
	setup: func(f *flagSet) body {
		chosen := f.yours("out", "o", "file to write the chosen design to, whole or not at all")
		offer := declareOffer(f)
		fresh := f.fresh("write the usual table of what is on offer to start from, and choose nothing", chosen)
		explain := f.Bool("explain", false, "choose nothing, and answer the standing questions for this design: series or parallel, copper, layers, steel, a magnet, a wound electromagnet")
		var pitch float64
		f.quantity(&pitch, "pitch", quantity.Length, 0, "another `pitch` than the design's, whose coil need not fit it (0 mm: the design's)")
		exact := number(f, new(int), "exact", 0, 0, -1, "most designs to work out in full (0: 12, or 5 where drops are carried)")
		out := f.print(nil)
		f.check(func() error {
			if *explain && chosen.Asked() {
				return usageError{"--explain chooses nothing, so that --out has nothing to write"}
			}
			return nil
		})
		return func(ctx context.Context, j *job) error {
			if *fresh {
				return chosen.WriteBytes(choose.UsualTOML())
			}
			o, err := offer()
			if err != nil {
				return err
			}
			if pitch != 0 {
				if j.design, err = choose.AtPitch(j.design, pitch); err != nil {
					return inputError{err}
				}
			}
			j.doing("choosing")
			if *explain {
				answers, err := choose.Explain(ctx, j.design, o)
				if err != nil {
					return inputError{err}
				}
				return out.write(j.design, j.document(render.ExplainSections(answers)...))
			}
			r, err := choose.Search(ctx, j.design, j.scene, o, *exact)
			if err != nil {
				return inputError{err}
			}
			return j.chosen(out, chosen, r.First(), func(d design.Design) ([]render.Section, []render.Problem) { return render.ChooseSections(d, r) })
		}
	},
}

// chosen writes the design of what was chosen first, if anything was, judges it, and prints what
// sections tell of it and of the others.
func (j *job) chosen(out *documentFlags, file *output.Target, first *choose.Choice, sections func(design.Design) ([]render.Section, []render.Problem)) error {
	doc := j.document()
	if first != nil {
		j.design = first.Design
		doc.Judge(j.design, first.Verdict)
		if err := file.Write(j.design.WriteTOML); err != nil {
			return err
		}
	}
	list, problems := sections(j.design)
	doc.Sections, doc.Problems = list, append(doc.Problems, problems...)
	return out.write(j.design, doc)
}

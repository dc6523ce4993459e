package main

import (
	"context"

	"lodegrid/render"
	"lodegrid/scenes"
	"lodegrid/scenes/faults"
	"lodegrid/scenes/player"
	"lodegrid/scenes/verdict"
)

var faultsCommand = command{
	name: "faults", reads: designAndScene, short: "what one thing that goes wrong does, and which part catches it in time",
	long: `Plays the scene until its temperatures repeat and then lets one thing go wrong: a coil
shorted or open, a switch stuck on, a scan's line or diode shorted, a driver dead, the
firmware hung with everything on, a kick without end, the fan stopped, the supply
high, a feeder loose. Tells how hot it gets and how soon, which current flows, whether
the fuse opens or the supply's own limit holds it, what the picture loses, and sizes
the part that catches it in time, and the line that the firmware must guarantee.`,
	setup: func(f *flagSet) body {
		out := f.document(false)
		return out.body(func(ctx context.Context, j *job, _ bool) (render.Document, error) {
			_, p, v, doc, err := j.begin(ctx, false)
			if err != nil {
				return doc, err
			}
			x, err := faultsOf(ctx, p, j.scene, v)
			if x != nil && err == nil {
				doc.Sections = render.FaultsSections(j.design, x)
				doc.Cautions = append(doc.Cautions, render.FaultCautions(x)...)
			}
			return doc, err
		})
	},
}

// addFaults adds the section of the faults and their cautions to a judged document.
func addFaults(ctx context.Context, doc *render.Document, p *player.Player, s scenes.Scene, v *verdict.Verdict) error {
	x, err := faultsOf(ctx, p, s, v)
	if x == nil || err != nil {
		return err
	}
	doc.Sections = append(doc.Sections, render.FaultsBrief(p.Grid().Design, x))
	doc.Cautions = append(doc.Cautions, render.FaultCautions(x)...)
	return nil
}

// faultsOf finds the faults of a judged display; nil where the scene settles in no state
// from which to start.
func faultsOf(ctx context.Context, p *player.Player, s scenes.Scene, v *verdict.Verdict) (*faults.Study, error) {
	if v.Unrest != nil {
		return nil, nil
	}
	x, err := faults.Find(ctx, p, s, v.Ledger, v.Supply)
	if player.Restless(err) {
		return nil, nil
	}
	return x, err
}

package main

import (
	"context"
	"errors"
	"fmt"

	"github.com/spf13/pflag"

	"lodegrid/array"
	"lodegrid/array/design"
	"lodegrid/array/heat"
	"lodegrid/render"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
)

func reportCommand() command {
	return command{
		name: "report", args: "[DESIGN]", short: "the main job: coil, field, crosstalk, heat, supply and scene, with every problem named",
		long: `Computes the whole display: the coil, its field with steel and magnet, crosstalk,
steady heat, the scene played in a loop until its temperatures repeat, and the
supply. Names every limit the design breaks and the value that would mend it.
The exit code is 4 when a limit is broken.`,
		setup: func(flags *pflag.FlagSet) action {
			var out outputFlags
			var scene sceneFlags
			var changes changeFlags
			out.declare(flags)
			scene.declare(flags)
			changes.declare(flags)
			return func(ctx context.Context, io streams, args []string) error {
				if err := out.check(); err != nil {
					return err
				}
				d, s, err := openBoth(args, &changes, &scene)
				if err != nil {
					return err
				}
				doc, err := report(ctx, io, d, s)
				if err != nil {
					return err
				}
				return out.write(io, doc)
			}
		},
	}
}

// openBoth opens the design, changed by the flags, and its scene.
func openBoth(args []string, changes *changeFlags, scene *sceneFlags) (design.Design, scenes.Scene, error) {
	d, err := openDesign(args)
	if err != nil {
		return d, scenes.Scene{}, err
	}
	if d, err = changes.apply(d); err != nil {
		return d, scenes.Scene{}, err
	}
	s, err := scene.open(d)
	return d, s, err
}

// report computes the main job.
func report(ctx context.Context, io streams, d design.Design, s scenes.Scene) (render.Document, error) {
	doc := render.Document{Kind: "report", Design: d.Name, Problems: []render.Problem{}}
	g, err := array.Build(d, 0)
	if err != nil {
		return doc, err
	}
	p, err := player.New(g)
	if err != nil {
		return doc, err
	}
	heatSection, err := render.HeatSection(d, p)
	if err != nil {
		return doc, err
	}
	doc.Sections = append(doc.Sections, render.CoilSection(d, g.Pixel), render.FieldSection(g), render.CrosstalkSection(g, 3), heatSection)

	bar := newBar(io, "playing", len(s.Frames))
	ledger, z, budget, runaway, err := loop(ctx, p, s, bar.step)
	bar.done()
	if err != nil {
		return doc, err
	}
	if runaway != nil {
		doc.Problems = append(doc.Problems, runawayProblem(runaway, budget))
		return doc, nil
	}
	doc.Sections = append(doc.Sections, render.SceneSection(d, s, ledger))
	proposal, err := p.Sizing(s, ledger)
	if err != nil {
		return doc, err
	}
	doc.Sections = append(doc.Sections, render.SupplySection(proposal))
	doc.Problems = append(doc.Problems, render.Problems(d, z, budget, proposal.Power.Value)...)
	doc.Cautions = append(render.Cautions(g, z), proposal.Cautions...)
	return doc, nil
}

// runawayProblem is a looped scene without a steady state.
func runawayProblem(r *heat.RunawayError, b player.Budget) render.Problem {
	return render.Problem{
		Key: "limits.board", What: "The looped scene has no steady state: " + r.Error() + ".",
		Advice: fmt.Sprintf("drive.max_duty of %.3g %% or less keeps it cool", b.HeatDuty*100),
	}
}

// loop plays a scene from the warm state that it settles in, and solves for the
// duties that heat, supply and hold allow. A scene that runs away gives its error
// apart.
func loop(ctx context.Context, p *player.Player, s scenes.Scene, step func()) (*player.Ledger, player.Summary, player.Budget, *heat.RunawayError, error) {
	p.Reset()
	_, err := p.Warm(s)
	var runaway *heat.RunawayError
	if errors.As(err, &runaway) {
		b, err := p.Budget(s, &player.Ledger{})
		return nil, player.Summary{}, b, runaway, err
	}
	if err != nil {
		return nil, player.Summary{}, player.Budget{}, nil, err
	}
	ledger, err := p.Play(s, func(player.Entry) error {
		step()
		return ctx.Err()
	})
	if err != nil {
		return nil, player.Summary{}, player.Budget{}, nil, err
	}
	b, err := p.Budget(s, ledger)
	return ledger, ledger.Summary(), b, nil, err
}

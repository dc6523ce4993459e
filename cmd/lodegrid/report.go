package main

import (
	"cmp"
	"context"
	"slices"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/array/handover"
	"lodegrid/render"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
	"lodegrid/scenes/shown"
	"lodegrid/scenes/verdict"
)

var reportCommand = command{
	name: "report", reads: designAndScene, short: "the main job: coil, field, crosstalk, heat, supply and scene, with every problem named",
	long: `Computes the whole display: the coil, its field with steel and magnet, crosstalk,
steady heat, the scene played in a loop until its temperatures repeat, and the
supply. Names every limit the design breaks and the value that would mend it.
The exit code is 4 when a limit is broken. --html writes the same as one page with
charts and maps, verdict and picture first, for a browser, a phone or a printer.`,
	setup: func(f *flagSet) body {
		out := f.document(false)
		out.doubted()
		fluid := f.Bool("fluid", false, "have the tank move the fluid through the whole scene, as film does (slow), and judge what shows")
		cells := f.cells(new(int), "with --fluid: ")
		f.check(func() error {
			if *fluid && out.doubt {
				return usageError{"--fluid and --doubt exclude each other: the tank is too slow to play every doubt"}
			}
			return nil
		})
		carry := f.Bool("carry", false, "plan the moves that carry the drops, as lodegrid carry does, and judge the planned scene")
		return out.body(func(ctx context.Context, j *job, figures bool) (render.Document, error) {
			if err := j.carry(ctx, *carry); err != nil {
				return render.Document{}, err
			}
			r := &reporter{figures: figures, tank: *fluid, cells: *cells}
			doc, err := r.report(ctx, j)
			if j.last = j.moves; err == nil && !out.doubt {
				err = j.nearby(ctx, &doc, r.pixels)
			}
			return doc, err
		})
	},
}

// reporter computes the main job, on request with the figures of its HTML form, and with the
// tank's word on what shows.
type reporter struct {
	figures, tank bool
	cells         int // of the tank, per pitch

	pixels []render.Section // of the report that was made last
}

func (r *reporter) report(ctx context.Context, j *job) (render.Document, error) {
	figures := r.figures
	d, s := j.design, j.scene
	doc := j.document()
	g, p, err := j.prepare(ctx)
	if err != nil {
		return doc, err
	}
	heatSection, err := render.HeatSection(ctx, d, p)
	if err != nil {
		return doc, err
	}
	pixels, passing, err := pixelSections(ctx, g, render.FieldSection)
	if err != nil {
		return doc, err
	}
	r.pixels, doc.Sections = pixels, append(slices.Clone(pixels), heatSection)

	most := keep(figures)
	if j.tank, err = r.inTank(ctx, j, p, most); err != nil {
		return doc, err
	}
	j.twice = true
	v, err := j.judge(ctx, p, most)
	if err != nil {
		return doc, err
	}
	if figures {
		illustrate(&doc, g, passing)
	}
	j.tell(&doc, v)
	most.show(&doc)
	mounting, err := render.MountingSection(ctx, p, s, v.Summary, true)
	if err != nil {
		return doc, err
	}
	doc.Sections = append(doc.Sections, mounting)
	if v.Unrest != nil {
		return doc, nil
	}
	scene := sceneSection(g, s, v)
	if figures {
		scene.Figures = sceneFigures(g, v.Ledger, most)
	}
	what := render.ShownSection(d, v.Seen, v.Again)
	if figures {
		what.Figures = most.shownFigures(d, v.Seen)
	}
	if r.tank {
		what.Notes = append(what.Notes, render.Resolved(d, r.cells, true))
	}
	doc.Sections = append(doc.Sections, scene, what, render.LiquidsSection(d, v), render.SupplySection(v.Supply))
	return doc, addFaults(ctx, &doc, p, s, v)
}

// pixelSections are a report's on the pixels, whatever the scene, and the hand-overs that they
// tell of. The field is told by render.FieldSection or render.FieldFigures.
func pixelSections(ctx context.Context, g *grid.Grid, field func(*grid.Grid) render.Section) (list []render.Section, passing *handover.Table, err error) {
	coil := render.CoilSection(g.Design, g.Pixel)
	list = []render.Section{coil, field(g), render.TankSection(g), render.WaysSection(g)}
	if list, err = appendBias(ctx, list, g); err != nil {
		return nil, nil, err
	}
	handed, passing, err := handoverSection(ctx, g)
	return append(list, render.CrosstalkSection(g, 3), handed), passing, err
}

// sceneSection is a report's on the scene that was played.
func sceneSection(g *grid.Grid, s scenes.Scene, v *verdict.Verdict) render.Section {
	out := render.SceneSection(g.Design, s, v.Ledger)
	if z := v.Summary; z.LeastHoldPixel >= 0 {
		out.AddHoldRange(g, z.LeastHold, s.Frames[z.LeastHoldFrame].Levels)
	}
	return out
}

// inTank plays the scene once from the state that it settles in, and tells what the tank
// shows of it; nil where that is not asked for, or where it settles in none.
func (r *reporter) inTank(ctx context.Context, j *job, p *player.Player, most *pictures) (*shown.Record, error) {
	if !r.tank {
		return nil, nil
	}
	r.cells = cmp.Or(r.cells, player.CellsFor(j.design))
	wanted := j.asked()
	step := j.progress("moving the fluid", len(j.scene.Frames))
	defer j.bar.whole()
	t, err := player.NewTank(p.Grid(), r.cells, 0)
	if err != nil {
		return nil, inputError{err}
	}
	p.Reset()
	if _, err := p.Warm(ctx, j.scene); player.Restless(err) {
		return nil, nil
	} else if err != nil {
		return nil, err
	}
	seen, err := shown.Begin(shown.Tank, t, p.Grid(), j.scene, wanted, j.design.Limits.Shown)
	if err != nil {
		return nil, err
	}
	if most != nil {
		middle := wanted.At(wanted.Duration() / 2)
		seen.Closed = func(s shown.Sight, lit []int) {
			most.sight(p.Grid(), s, lit, shown.Tank, t, middle)
		}
	}
	if err = shown.NewRun(p, j.scene, seen).Each(ctx, func() bool { step(); return true }); err != nil || j.wanted != nil {
		return seen.Record(), err
	}
	return seen.Looped(ctx, p, j.scene)
}

// asked is what is to be seen.
func (j *job) asked() scenes.Scene {
	if j.wanted != nil {
		return *j.wanted
	}
	return j.scene
}

// prepare makes the job's design computable and playable.
func (j *job) prepare(ctx context.Context) (*grid.Grid, *player.Player, error) {
	if j.built == nil || j.built.Rebuilds(j.design) {
		g, p, err := prepare(ctx, j.design)
		j.built = g
		return g, p, err
	}
	g, err := j.built.Changed(ctx, j.design)
	if err != nil {
		return nil, nil, inputError{err}
	}
	p, err := player.New(g)
	return g, p, err
}

// prepare makes a design computable and playable.
func prepare(ctx context.Context, d design.Design) (*grid.Grid, *player.Player, error) {
	g, err := build(ctx, d)
	if err != nil {
		return nil, nil, err
	}
	p, err := player.New(g)
	return g, p, err
}

// begin begins a document with the verdict on the job's scene.
func (j *job) begin(ctx context.Context, figures bool) (*grid.Grid, *player.Player, *verdict.Verdict, render.Document, error) {
	doc := j.document()
	g, p, err := j.prepare(ctx)
	if err != nil {
		return nil, nil, nil, doc, err
	}
	most := keep(figures)
	v, err := j.judge(ctx, p, most)
	if err == nil {
		j.tell(&doc, v)
		most.show(&doc)
	}
	return g, p, v, doc, err
}

// tell adds a verdict on the job's scene to a document, with what is wrong with the start that
// brings its drops out of the pool.
func (j *job) tell(doc *render.Document, v *verdict.Verdict) {
	doc.Judge(j.design, v)
	if j.start != nil {
		doc.JudgeStart(j.design, *j.start)
	}
}

// judge reaches a verdict on the job's scene under a progress bar. most, if not
// nil, keeps pictures of it.
func (j *job) judge(ctx context.Context, p *player.Player, most *pictures) (v *verdict.Verdict, err error) {
	defer func() { j.judged = v }()
	step := j.progress("playing", len(j.scene.Frames))
	defer j.bar.whole()
	w := verdict.Watch{Wanted: j.wanted, Plan: j.plan, Bare: j.bare || j.nominal != nil, Judge: j.tank, Twice: j.twice}
	played := 0
	w.Entry = func(e player.Entry, plane *grid.Plane) {
		step()
		if played++; played == len(j.scene.Frames) {
			j.bar.whole() // what comes now are studies
		}
		if most != nil {
			most.see(e, plane)
		}
	}
	wanted := j.asked()
	if middle := wanted.At(wanted.Duration() / 2); most != nil && j.tank == nil {
		w.Sight = func(s shown.Sight, lit []int, fluid shown.Fluid) {
			most.sight(p.Grid(), s, lit, shown.Drops, fluid, middle)
		}
	}
	return verdict.Judge(ctx, p, j.scene, w)
}

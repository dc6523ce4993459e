package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"lodegrid/array/design"
	"lodegrid/field/quantity"
	"lodegrid/render"
	"lodegrid/render/output"
	"lodegrid/scenes"
	"lodegrid/scenes/choreograph"
	"lodegrid/scenes/player"
	"lodegrid/scenes/verdict"
)

var carryCommand = command{
	name: "carry", reads: designAndPictures, short: "the scene as moves that carry the drops from one picture to the next",
	long: `Plans how the drops get from each picture to the next: which pixel is kicked when,
which ones guard their drops beside it, for how long. Writes the planned scene as a
frame table like lodegrid frames, and tells what it shows, what it draws, and how fast
the scene may run. Level 1 of the table is the kick: the settings to play it with are
printed, and --design writes the design with them. report and film take --carry to do
the same on the way.

The kick's strength is solved for --hop, the time that the slowest move of a rigid drop
may take, unless --kick gives it; how long it lasts to each side is solved for in a small
tank, once for a design (some seconds). --tank moves the fluid in the plan's first
seconds, tells what share of the places it confirms, and plans anew, slower and with
stronger guards, for what it loses; it does the same with the scene's pixels just
switched, to compare.`,
	setup: func(f *flagSet) body {
		var o tableOptions
		o.declare(f, 16)
		planned := f.yours("design", "", "file for the design that plays the table, with every key spelled out")
		begin := f.file("start", "", "", "file for the table that brings the drops out of the pool to where the scene begins, to be played once: at the first start, after the current was off, when drops were lost; it is planned in the tank (minutes), and played there again from its beginning where all drops come, or with --tank", anyFile)
		aim := declareAim(f)
		tank := number(f, new(time.Duration), "tank", 0, 0, -1, "let the fluid move for so much of the plan, e.g. 20s (slow)")
		f.cells(&aim.Cells, "with --tank, --start: ")
		number(f, &aim.Tries, "tries", 3, 1, 0, "with --tank: plans that are made at most")
		number(f, &aim.Days.Loops, "loops", 0, 0, maxLoops, "play the scene so often by counting drops, some of which run together, and tell how long what shows lasts, and whether parting them helps (scene.gather)")
		aim.Days.Loss = 0.01
		f.quantity(&aim.Days.Loss, "loss", quantity.Ratio, 1, "with --loops: `chance` that a drop which arrives runs together with one beside it, a guess; what a film counts of its moves is a better one")
		f.check(func() error {
			aim.Proof = tank.Seconds()
			return nil
		})
		return func(ctx context.Context, j *job) error {
			return carryTable(ctx, j, aim, o, planned, begin)
		}
	},
}

// carryTable plans the moves, tells of them, and writes their table, the design that plays it, and
// what brings the drops out of the pool.
func carryTable(ctx context.Context, j *job, aim *choreograph.Aim, o tableOptions, planned, begin *output.Target) error {
	r, section, err := carried(ctx, j, aim)
	if err != nil {
		return err
	}
	carried := &job{streams: j.streams, bare: j.bare, scene: r.Plan.Scene, wanted: &r.Plan.Wanted, plan: j.again(r, *aim)}
	v, err := carried.judge(ctx, r.Player, nil)
	if err != nil {
		return err
	}
	if r.Start != nil {
		aim.Drops = r.Plan.Drops // that come out of the pool
	}
	if err := compare(ctx, j, aim, r, v.Summary, &section); err != nil {
		return err
	}
	if err := last(ctx, j, aim, r, &section); err != nil {
		return err
	}
	s, err := lifted(ctx, j, aim, r, begin.Asked(), &section)
	if err != nil {
		return err
	}
	doc := j.document(section)
	doc.Judge(r.Player.Grid().Design, v)
	if r.Start != nil {
		doc.JudgeStart(j.design, s)
	}
	if err := planned.Write(r.Player.Grid().Design.WriteTOML); err != nil {
		return err
	}
	faulty, err := faultsOf(ctx, r.Player, r.Plan.Scene, v)
	if err != nil {
		return err
	}
	if len(s.Scene.Frames) > 0 {
		data, err := o.encode(ctx, r.Player.Grid().Design, s.Scene, faulty, "to be played once: it brings the drops out of the pool to where the carried scene begins")
		if err != nil {
			return err
		}
		if err := begin.WriteBytes(data); err != nil {
			return err
		}
	}
	return o.finish(ctx, j.streams, r.Player.Grid().Design, doc, r.Plan.Scene, faulty, "")
}

// lifted tells how the drops come out of the pool, where the design starts so or it is asked for.
func lifted(ctx context.Context, j *job, a *choreograph.Aim, r choreograph.Result, asked bool, section *render.Section) (s choreograph.Start, err error) {
	if r.Start == nil && !asked {
		return s, nil
	}
	j.doing("lifting")
	if r.Start == nil {
		g := r.Player.Grid().With(j.design)
		if s, err = choreograph.Started(ctx, g, r.Player, r.Plan, a.Options, cmp.Or(a.Cells, choreograph.StartCells)); err != nil {
			return s, inputError{err}
		}
	} else {
		s = *r.Start
	}
	// A start that would pass is played again with the cells of a film, unasked.
	if a.Proof > 0 || s.Came == s.Drops {
		s.Again = cmp.Or(a.Cells, player.CellsFor(j.design))
		if s.Confirmed, err = choreograph.Confirmed(ctx, r.Player, r.Plan, s, s.Again); err != nil {
			return s, err
		}
	}
	if len(s.Scene.Frames) > 0 {
		r.Player.Reset()
		l, err := r.Player.Play(ctx, s.Scene, nil)
		if err != nil {
			return s, err
		}
		s.Once = l.Summary()
		r.Player.Reset()
	}
	render.StartCarried(section, j.design, s)
	return s, nil
}

// maxLoops bounds how often a scene is played by counting drops.
const maxLoops = 1000

// last adds what the scene shows that is looped while drops run together, as it is and with
// drops parted often enough.
func last(ctx context.Context, j *job, a *choreograph.Aim, r choreograph.Result, section *render.Section) error {
	if a.Days.Loops == 0 {
		return nil
	}
	a.Days.Seed = j.design.Scene.Seed
	enough := j.design.Limits.Shown
	g := r.Player.Grid().With(j.design)
	own, err := choreograph.Last(ctx, g, j.scene, r.Plan.Timing, a.Options, j.design.Scene.Gather, a.Days, enough)
	if err != nil {
		return err
	}
	gathered, err := choreograph.Gathered(ctx, g, j.scene, r.Plan.Timing, a.Options, a.Days, enough)
	if err != nil {
		return err
	}
	doc := render.Document{}
	if best := gathered[len(gathered)-1]; own.Kept.Mean < choreograph.Enough && best.Kept.Mean >= choreograph.Enough {
		d := r.Player.Grid().Design
		d.Scene.Gather = best.Every
		p, played, wanted, err := j.again(r, *a)(ctx, d)
		if err != nil {
			return err
		}
		v, err := verdict.Judge(ctx, p, played, verdict.Watch{Wanted: &wanted, Bare: true})
		if err != nil {
			return err
		}
		doc.Judge(p.Grid().Design, v)
	}
	render.LastingCarried(section, j.design, a.Days, append([]choreograph.Lasting{own}, gathered...), doc.Problems)
	return nil
}

// declareAim declares the flags that say how drops are carried.
func declareAim(f *flagSet) *choreograph.Aim {
	a := &choreograph.Aim{Options: choreograph.Defaults()}
	hop := f.Duration("hop", seconds(choreograph.UsualHop), "time that the slowest move of a rigid drop may take")
	f.quantity(&a.Duty, "kick", quantity.Ratio, 1, "`duty` of the kick (0 %: solved for --hop)")
	f.IntVar(&a.Drops, "drops", 0, "number of drops (default: as many as any picture lights)")
	f.IntVar(&a.Kicks, "kicks", a.Kicks, "most pixels that are kicked at once")
	f.IntSliceVar(&a.Broken, "broken", nil, "pixels that move nothing, by number, from 0, e.g. 12,13")
	f.check(func() error {
		if a.Hop = hop.Seconds(); !(a.Hop > 0) {
			return usageError{fmt.Sprintf("--hop %v: must be more than 0 s", *hop)}
		}
		return nil
	})
	return a
}

// carried plans a job's scene.
func carried(ctx context.Context, j *job, a *choreograph.Aim) (choreograph.Result, render.Section, error) {
	_, p, err := j.prepare(ctx)
	if err != nil {
		return choreograph.Result{}, render.Section{}, err
	}
	j.doing("carrying")
	r, err := choreograph.Carry(ctx, p, j.scene, *a)
	if weak := (*choreograph.NoHopError)(nil); errors.As(err, &weak) && weak.Enough > 0 {
		if weak.Judged, err = j.stronger(ctx, *a, weak.Enough); err == nil {
			err = weak
		}
	}
	if err != nil {
		return r, render.Section{}, inputError{err}
	}
	return r, render.CarrySection(j.design, r), nil
}

// stronger judges the display with a kick that moves a rigid drop, and with ones twice as strong each, until
// no limit is broken, and says which that is, or what the first breaks.
func (j *job) stronger(ctx context.Context, a choreograph.Aim, duty float64) (said string, err error) {
	j.doing("trying stronger kicks")
	a.Proof, a.Duty, a.Days = 0, 0, choreograph.Days{}
	for last := false; !last; duty *= 2 {
		last = duty >= 1
		key := fmt.Sprintf("drive.max_duty = %q", quantity.Format(min(duty, 1), quantity.Ratio))
		broken, err := j.breaks(ctx, a, min(duty, 1))
		switch {
		case err != nil:
			return "", err
		case len(broken) == 0:
			return "with " + key + " no limit is broken", nil
		case said == "":
			said = fmt.Sprintf("%s moves it, but breaks %s, and kicks twice as strong each, up to 100 %%, break a limit, too", key, strings.Join(broken, ", "))
		}
	}
	return said, nil
}

// breaks are the limits that the display breaks whose scene is carried by another kick, as weak a share of
// which holds.
func (j *job) breaks(ctx context.Context, a choreograph.Aim, duty float64) (list []string, err error) {
	d, err := j.design.With(design.Change{Key: "drive.max_duty", Value: fmt.Sprintf("%.4g %%", 100*duty)})
	if err != nil {
		return []string{"what a design file accepts"}, nil
	}
	_, p, err := prepare(ctx, d)
	if err != nil {
		return nil, err
	}
	r, err := choreograph.Carry(ctx, p, j.scene, a)
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	if err != nil {
		return []string{"the plan of the moves"}, nil
	}
	v, err := verdict.Judge(ctx, r.Player, r.Plan.Scene, verdict.Watch{Wanted: &r.Plan.Wanted, Bare: true})
	if err != nil {
		return nil, err
	}
	for _, p := range v.Problems {
		list = append(list, string(p.Limit))
	}
	return slices.Compact(list), nil
}

// carry, if asked for and not done yet, puts the planned scene and its design in the place
// of what the job read. A design that has its scene carried stays: it says how itself.
func (j *job) carry(ctx context.Context, asked bool) error {
	if !asked || j.wanted != nil {
		return nil
	}
	aim := choreograph.Aim{Options: choreograph.Defaults(), Hop: choreograph.UsualHop}
	r, section, err := carried(ctx, j, &aim)
	if err != nil {
		return err
	}
	start, err := lifted(ctx, j, &aim, r, false, &section)
	if err != nil {
		return err
	}
	j.plan = j.again(r, aim)
	if own := r.Player.Grid().Design; r.Start != nil {
		j.start, j.design.Fluid.Start, j.design.Fluid.Volume = &start, own.Fluid.Start, own.Fluid.Volume
	}
	if j.scene, j.wanted, j.moves = r.Plan.Scene, &r.Plan.Wanted, []render.Section{section}; !j.design.Scene.Carry {
		j.design = r.Player.Grid().Design
	}
	return nil
}

// again plans a job's scene for designs that differ from the one it was planned for, as r
// tells, by a few settings: with their kick and hold. Drops that came out of the pool begin where
// they did; a design out of whose pool they might not come so is refused.
func (j *job) again(r choreograph.Result, a choreograph.Aim) verdict.Plan {
	a.Proof, a.Duty, a.Days = 0, 0, choreograph.Days{}
	if r.Start != nil {
		a.Drops = r.Plan.Drops
	}
	s, was, known := j.scene, r.Player.Grid(), r.Plan.Timing
	return func(ctx context.Context, d design.Design) (p *player.Player, played, wanted scenes.Scene, err error) {
		own := was.Design
		if r.Start != nil && (was.Rebuilds(d) || d.Fluid != own.Fluid || d.Tank != own.Tank || d.Drive.MaxDuty != own.Drive.MaxDuty || d.Supply.Voltage != own.Supply.Voltage) {
			return nil, played, wanted, errors.New("drops that begin in the pool might not come out of it: lift them anew")
		}
		pictures := s.Faster(d.Scene.Speed / own.Scene.Speed)
		d.Scene.Carry = true // with its kick and hold
		g, err := was.Changed(ctx, d)
		if err != nil {
			return nil, played, wanted, err
		}
		if p, err = player.New(g); err != nil {
			return nil, played, wanted, err
		}
		a := a
		a.Known = &known
		r, err := choreograph.Carry(ctx, p, pictures, a)
		if err != nil {
			return nil, played, wanted, err
		}
		known = r.Plan.Timing
		return r.Player, r.Plan.Scene, r.Plan.Wanted, nil
	}
}

// compare adds what the scene costs and shows when its pixels are just switched, and the
// greatest speed at which it can be carried.
func compare(ctx context.Context, j *job, a *choreograph.Aim, r choreograph.Result, after player.Summary, section *render.Section) error {
	_, p, err := prepare(ctx, choreograph.Switched(j.design))
	if err != nil {
		return err
	}
	j.doing("comparing")
	c := choreograph.Comparison{After: after, Slowest: choreograph.Slowest(j.scene)}
	if c.Before, err = choreograph.Looped(ctx, p, j.scene); err != nil {
		return err
	}
	if r.Proof != nil {
		p.Reset()
		if c.Light, err = choreograph.Light(ctx, p, j.scene, a.Proof, a.Cells); err != nil {
			return err
		}
	}
	if c.Speed, c.Shown, err = choreograph.Fastest(ctx, p, j.scene, r.Plan.Timing, a.Options, choreograph.Follows); err != nil {
		return err
	}
	render.CompareCarried(section, j.design, r, c)
	return nil
}

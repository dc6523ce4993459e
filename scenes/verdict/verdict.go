package verdict

import (
	"cmp"
	"context"
	"errors"

	"lodegrid/array/artwork"
	"lodegrid/array/design"
	"lodegrid/array/drops"
	"lodegrid/array/escape"
	"lodegrid/array/grid"
	"lodegrid/array/heat"
	"lodegrid/array/supply"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
	"lodegrid/scenes/shown"
	"lodegrid/scenes/studies"
)

// Verdict is what became of a scene that loops on a display.
type Verdict struct {
	// Ledger is the scene's record from the state that it settles in, nil when it has
	// none, and Summary the same as a whole.
	Ledger  *player.Ledger
	Summary player.Summary
	// Unrest says why the scene settles in no state, nil when it does.
	Unrest error
	// HeatDuty is the largest duty at level 1 that the limits of heat allow, HoldDuty
	// the least that holds every drop of the weakest frame: +Inf when full duty is not
	// enough, 0 when no pixel is lit or the scene settles in no state. They are there where
	// a problem asks for them, and after Duties.
	HeatDuty, HoldDuty float64
	HeatWhy, HoldWhy   string // how they were found
	// Supply is the supply proposed for the scene, nil without a ledger.
	Supply *supply.Proposal
	// Seen is what a viewer sees of the scene, played once from its first picture, or once more
	// where that shows too little (shown.Recorder.Looped), by the drop model, or what judged in
	// its place; nil without a ledger.
	Seen *shown.Record
	// Again is the drop model's once more, by steps a tenth shorter, where it was asked for. The
	// steps' own error is far smaller: what differs is chance.
	Again *shown.Record
	// Carried tells that what was played are frames made to carry drops to the wanted
	// pictures.
	Carried bool
	// Crowded tells that drops crowd on one another so that it was not looked for what would
	// show the scene.
	Crowded bool
	// Looked tells that no remedies were looked for.
	Looked bool
	// Liquids are the fluid and what is round it as cold and as warm as they get; only with a
	// ledger.
	Liquids [2]Liquids
	// Fill is what the tank is filled with, Grows the share of the tank by which the liquids
	// have grown where they are warmest.
	Fill  player.Fill
	Grows float64
	// Wiring is whether the connections find a way, before any artwork.
	Wiring escape.Answer
	// Undrawn is why they cannot be drawn although by the count all come out, "" for nothing.
	Undrawn string
	// Misfit is why planes that the heat counts cannot be drawn; nil where they can, or where
	// something else of the board cannot.
	Misfit   *artwork.Misfit
	Margins  []Margin
	Problems []Problem // in the order of importance; empty when no limit is broken
	Cautions []Caution
	// Cure is settings that together leave no limit broken, played and found so; nil
	// when none were found or none are needed.
	Cure []design.Change

	own *played // what Duties plays
}

// Runaway is how the scene runs away, nil when it does not.
func (v *Verdict) Runaway() *heat.RunawayError { return runaway(v.Unrest) }

func runaway(err error) *heat.RunawayError {
	var r *heat.RunawayError
	errors.As(err, &r)
	return r
}

// Watch is told what goes on while a verdict is reached; any of its functions may be
// nil.
type Watch struct {
	// Entry is shown every frame of the scene, with the field on the fluid plane, which
	// is valid until the next.
	Entry func(player.Entry, *grid.Plane)
	// Sight is shown what of every wanted frame the drop model shows as the frame ends, the
	// pixels that it lights, and the fluid, which moves on afterwards. Entry may be called meanwhile.
	Sight func(s shown.Sight, lit []int, fluid shown.Fluid)
	// Judge, if not nil, is what was seen of the whole scene in the tank, and judges it in
	// the drop model's place. What mends it is tried with the drop model all the same.
	Judge *shown.Record
	// Trial is called before each setting that is tried.
	Trial func()
	// Wanted are the pictures that are to be seen, where what is played are other frames
	// made for them; nil for those of the scene.
	Wanted *scenes.Scene
	// Bare leaves out what mends the problems.
	Bare bool
	// Twice has the drop model follow the scene a second time, by other steps.
	Twice bool
	// Plan makes those frames for another design, with a display at rest to play them and
	// the pictures at its speed; nil where that cannot be.
	Plan Plan
}

// Plan plans a carried scene for a design.
type Plan func(ctx context.Context, d design.Design) (p *player.Player, played, wanted scenes.Scene, err error)

// Judge plays a looping scene on a display and judges it. The player is left in the
// state of the scene's end. Only the display's own work can fail: a trial of a remedy
// that fails is no remedy. The error is the context's, or says what of the scene does
// not fit the display.
func Judge(ctx context.Context, p *player.Player, s scenes.Scene, w Watch) (*Verdict, error) {
	wanted := s
	if w.Wanted != nil {
		wanted = *w.Wanted
	}
	var again *shown.Recorder
	if w.Twice {
		fluid, err := player.NewDroplets(p.Grid(), 0.9*drops.DefaultStep)
		if err != nil {
			return nil, err
		}
		if again, err = shown.Begin(shown.Drops, fluid, p.Grid(), s, wanted, p.Grid().Design.Limits.Shown); err != nil {
			return nil, err
		}
	}
	own, err := play(ctx, p, s, wanted, w.Sight, func(after func([]player.Entry) error) (*player.Ledger, error) {
		var beside *shown.Behind
		if again != nil {
			beside = again.Behind()
		}
		ledger, err := p.Play(ctx, s, func(run []player.Entry) error {
			seconds := 0.0
			for _, e := range run {
				seconds += e.Duration
				if w.Entry != nil {
					w.Entry(e, p.Plane())
				}
			}
			if beside != nil {
				if err := beside.Frame(p, seconds); err != nil {
					return err
				}
			}
			return after(run)
		})
		if beside != nil {
			err = errors.Join(err, beside.End())
		}
		return ledger, err
	})
	if err != nil {
		return nil, err
	}
	own.plan = w.Plan
	if w.Judge != nil && own.seen != nil {
		own.dropped, own.seen = own.seen, w.Judge
	}
	if err := own.draw(ctx); err != nil {
		return nil, err
	}
	v := own.verdict()
	for i := range v.Problems {
		v.Problems[i].Unseen = own.unseen(v.Problems[i])
	}
	if again != nil && own.ledger != nil {
		v.Again = again.Record()
		if n := cmp.Or(own.dropped, own.seen).Time; n > 0 { // what it is compared with is of a later time
			twin, err := p.Twin()
			if err == nil {
				v.Again, err = again.Time(ctx, twin, s, n)
			}
			if err != nil {
				return nil, err
			}
		}
	}
	v.Carried = w.Wanted != nil || p.Grid().Design.Scene.Carry
	trial := func() {
		if w.Trial != nil {
			w.Trial()
		}
	}
	v.own = own
	if v.Looked = w.Bare; !w.Bare {
		if err := v.mend(ctx, own, trial); err != nil {
			return nil, err
		}
	}
	v.Cautions = cautions(own)
	return v, nil
}

// Duties works out the duties that heat allows and that the drops need, once. Planned moves
// have none: how long a kick lasts goes with its strength.
func (v *Verdict) Duties(ctx context.Context) error {
	x := v.own
	if x == nil || v.Carried {
		return nil
	}
	v.own = nil
	heat, err := studies.HeatDuty(ctx, x.player, x.scene)
	if v.HeatDuty, v.HeatWhy = heat.Value, heat.Why; err != nil || v.Summary.LeastHoldPixel < 0 {
		return err
	}
	hold, err := studies.HoldDuty(ctx, x.player, x.scene, v.Summary.LeastHoldFrame)
	v.HoldDuty, v.HoldWhy = hold.Value, hold.Why
	return err
}

// Holds tells whether a duty is enough for every drop of the weakest frame, after Duties.
func (v *Verdict) Holds(duty float64) bool { return duty >= v.HoldDuty }

// Brightness is the largest share of every level that heat allows at the duty as it is, after
// Duties.
func (v *Verdict) Brightness(d design.Design) float64 { return min(1, v.HeatDuty/d.Drive.MaxDuty) }

// Look is Judge without remedies, cautions, the duties that would do, or what else the
// limits do not ask. wanted is as in Watch.
func Look(ctx context.Context, p *player.Player, s scenes.Scene, wanted *scenes.Scene) (*Verdict, error) {
	pictures := s
	if wanted != nil {
		pictures = *wanted
	}
	own, err := play(ctx, p, s, pictures, nil, func(after func([]player.Entry) error) (*player.Ledger, error) { return p.Try(ctx, s, after) })
	if err != nil {
		return nil, err
	}
	if err := own.draw(ctx); err != nil {
		return nil, err
	}
	v := own.verdict()
	v.Looked, v.Carried = true, wanted != nil
	return v, nil
}

// verdict is what was found, without advice.
func (x *played) verdict() *Verdict {
	v := &Verdict{Ledger: x.ledger, Summary: x.summary, Unrest: x.unrest, Supply: x.supply, Seen: x.seen, Crowded: x.effort > mostEffort, Wiring: x.wiring(), Undrawn: x.undrawn, Misfit: x.misfit, Margins: x.margins(), Problems: x.problems()}
	v.tell(x)
	return v
}

// played is a display with a scene played on it.
type played struct {
	player  *player.Player
	scene   scenes.Scene
	wanted  scenes.Scene // to be seen
	seen    *shown.Record
	effort  int  // of the drop model
	plan    Plan // of a carried scene, for another design
	ledger  *player.Ledger
	summary player.Summary
	unrest  error
	supply  *supply.Proposal
	dropped *shown.Record      // what the drop model sees where seen is another's; nil elsewhere
	misfit  *artwork.Misfit    // see draw
	unled   string             // why no figure counts what leads to the coils, "" where they do
	undrawn string             // why no ways can be drawn, "" where they can or need not
	channel float64            // A, the highest of a driver's channel at full level
	cooling *float64           // Hz, see coolingFrequency; nil until it is asked for
	follow  *[][]design.Change // see following; nil until it is asked for
}

// play plays a looping scene from the state that it settles in, by what through does, which
// calls after for the frames of every step.
func play(ctx context.Context, p *player.Player, s, wanted scenes.Scene, sight func(shown.Sight, []int, shown.Fluid), through func(after func([]player.Entry) error) (*player.Ledger, error)) (*played, error) {
	out := &played{player: p, scene: s, wanted: wanted}
	p.Reset()
	_, err := p.Warm(ctx, s)
	if err == nil {
		err = out.through(ctx, sight, through)
	}
	if player.Restless(err) {
		out.ledger, out.seen, out.unrest = nil, nil, err
		out.summary = (&player.Ledger{}).Summary()
		return out, nil
	}
	if err != nil {
		return nil, err
	}
	return out, out.size(ctx)
}

// through plays the scene once and watches the fluid, and on through the next loop where the
// first picture does not come back.
func (x *played) through(ctx context.Context, sight func(shown.Sight, []int, shown.Fluid), through func(after func([]player.Entry) error) (*player.Ledger, error)) error {
	g := x.player.Grid()
	fluid, err := player.NewDroplets(g, 0)
	if err != nil {
		return err
	}
	r, err := shown.Begin(shown.Drops, fluid, g, x.scene, x.wanted, g.Design.Limits.Shown)
	if err != nil {
		return err
	}
	if sight != nil {
		r.Closed = func(s shown.Sight, lit []int) { sight(s, lit, fluid) }
	}
	behind := r.Behind()
	x.ledger, err = through(func(run []player.Entry) error {
		seconds := 0.0
		for _, e := range run {
			seconds += e.Duration
		}
		return behind.Frame(x.player, seconds)
	})
	err = errors.Join(err, behind.End())
	x.seen, x.effort = r.Record(), fluid.Effort()
	if err != nil || !x.scene.Alike(x.wanted) || x.effort > mostEffort {
		return err // planned moves end where they began
	}
	twin, err := x.player.Twin()
	if err == nil {
		x.seen, err = r.Switched(ctx, twin, x.scene)
	}
	return err
}

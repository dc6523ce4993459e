package verdict

import (
	"context"
	"errors"

	"lodegrid/array"
	"lodegrid/array/design"
	"lodegrid/array/heat"
	"lodegrid/array/supply"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
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
	// enough, 0 when no pixel is lit or the scene settles in no state.
	HeatDuty, HoldDuty float64
	// Supply is the supply proposed for the scene, nil without a ledger.
	Supply   *supply.Proposal
	Problems []Problem // in the order of importance; empty when no limit is broken
	Cautions []Caution
	// Cure is settings that together leave no limit broken, played and found so; nil
	// when none were found or none are needed.
	Cure []design.Change
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
	Entry func(player.Entry, *array.Plane)
	// Trial is called before each setting that is tried.
	Trial func()
}

// Judge plays a looping scene on a display and judges it. The player is left in the
// state of the scene's end. Only the display's own work can fail: a trial of a remedy
// that fails is no remedy. The error is the context's, or says what of the scene does
// not fit the display.
func Judge(ctx context.Context, p *player.Player, s scenes.Scene, w Watch) (*Verdict, error) {
	own, err := play(ctx, p, s, func() (*player.Ledger, error) {
		return p.Play(ctx, s, func(e player.Entry) error {
			if w.Entry != nil {
				w.Entry(e, p.Plane())
			}
			return nil
		})
	})
	if err != nil {
		return nil, err
	}
	v := &Verdict{Ledger: own.ledger, Summary: own.summary, Unrest: own.unrest, Supply: own.supply, Problems: own.problems()}
	trial := func() {
		if w.Trial != nil {
			w.Trial()
		}
	}
	trial()
	if v.HeatDuty, err = studies.HeatDuty(ctx, p, s); err != nil {
		return nil, err
	}
	if v.Summary.LeastHoldPixel >= 0 {
		trial()
		if v.HoldDuty, err = studies.HoldDuty(ctx, p, s, v.Summary.LeastHoldFrame); err != nil {
			return nil, err
		}
	}
	if err := v.mend(ctx, own, trial); err != nil {
		return nil, err
	}
	v.Cautions = cautions(own)
	return v, nil
}

// played is a display with a scene played on it.
type played struct {
	player  *player.Player
	scene   scenes.Scene
	ledger  *player.Ledger
	summary player.Summary
	unrest  error
	supply  *supply.Proposal
	cooling *float64 // Hz, see coolingFrequency; nil until it is asked for
}

// play plays a looping scene from the state that it settles in, by what through does.
func play(ctx context.Context, p *player.Player, s scenes.Scene, through func() (*player.Ledger, error)) (*played, error) {
	out := &played{player: p, scene: s}
	p.Reset()
	_, err := p.Warm(ctx, s)
	if err == nil {
		out.ledger, err = through()
	}
	if player.Restless(err) {
		out.ledger, out.unrest = nil, err
		out.summary = (&player.Ledger{}).Summary()
		return out, nil
	}
	if err != nil {
		return nil, err
	}
	out.summary = out.ledger.Summary()
	out.supply, err = studies.Sizing(ctx, p.Grid(), s, out.ledger)
	return out, err
}

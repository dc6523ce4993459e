package optimise

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"lodegrid/field/material"
	"lodegrid/field/root"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
)

// Result is a scene that costs less, and what was changed.
type Result struct {
	Scene         scenes.Scene
	Before, After player.Summary // both looped, from the state each settles in
	Changed       bool           // false: nothing could be saved, and Scene is the one given

	Lit         int     // lit pixels, counted in every frame
	Rested      int     // of those, dimmed ones
	Waiting     int     // pixels that come on later than they did
	LongestWait float64 // s
	Kicked      int     // pixels that come on with more than their level
	Kept        int     // frames left as they were, because a drop would have been lost
	// Over counts the frames that draw more than Options.Cap on average; 0 without one.
	Over int
}

// rounds bounds how often a new scene is made again after it was found, played as a
// whole, to lose a drop.
const rounds = 4

// capReserve is kept free below the cap, so that the last digits of the coils'
// temperatures do not break it.
const capReserve = 1e-3

// squeezed is the part of its room to which the lowest cap is found: in four passes.
const squeezed = 15

// Scene makes a scene that shows the same as s with less power. The work ends early when ctx
// does. The same arguments give the same result. The player is left somewhere in between.
func Scene(ctx context.Context, p *player.Player, s scenes.Scene, o Options) (Result, error) {
	if err := o.Validate(); err != nil {
		return Result{}, fmt.Errorf("optimising scene %q: %w", s.Name, err)
	}
	r, err := work(ctx, p, s, o)
	if err != nil {
		return Result{}, fmt.Errorf("optimising scene %q: %w", s.Name, err)
	}
	return r, nil
}

func work(ctx context.Context, p *player.Player, s scenes.Scene, o Options) (Result, error) {
	if err := s.Validate(); err != nil {
		return Result{}, err
	}
	t := newTiming(p.Grid(), s, o.Delay, o.Kick)
	before, err := play(ctx, p, t.scene)
	if err != nil {
		return Result{}, err
	}
	r := Result{Scene: s, Before: before.Summary()}
	r.After = r.Before
	for _, e := range before.Entries {
		r.Lit += e.Lit
	}
	r.Over = over(o, before)
	limit, all := o.Cap, o.Cap == 0
	if all {
		limit = math.Inf(1)
	} else {
		limit *= 1 - capReserve
	}
	warm := t.scene
	pinned := make([]bool, len(t.scene.Frames))
	if all {
		// What is saved cools the coils, which then hold with less: begin as cool as that.
		out, err := once(ctx, p, t, o, before, pinned, limit, all, warm)
		if err != nil {
			return r, err
		}
		warm.Frames = out.frames
	}
	for round := range rounds {
		out, err := once(ctx, p, t, o, before, pinned, limit, all, warm)
		if err != nil {
			return r, err
		}
		if all && o.Delay > 0 {
			if out, err = squeeze(ctx, p, t, o, before, pinned, warm, out); err != nil {
				return r, err
			}
		}
		made := t.scene
		made.Frames = out.frames
		after, err := play(ctx, p, made)
		if err != nil {
			return r, err
		}
		warm = made // the next pass begins as cool as this scene leaves the coils
		if worse(before, after, pinned) {
			continue
		}
		if z := after.Summary(); better(o, r.Before, z) {
			r.Scene, r.After, r.Changed = merged(made), z, true
			r.Lit, r.Rested, r.Waiting, r.LongestWait, r.Kicked, r.Kept = out.lit, out.rested, out.waiting, out.longest, out.kicked, out.kept
			r.Over = over(o, after)
		}
		// Cooler coils draw more: over the cap where the pass, in warmer ones, was not.
		if r.Over <= out.over || round == rounds-1 {
			break
		}
	}
	return r, nil
}

// over counts the frames over the cap that was asked for.
func over(o Options, l *player.Ledger) int {
	n := 0
	for _, e := range l.Entries {
		if o.Cap > 0 && e.SupplyPower > o.Cap*(1+1e-9) {
			n++
		}
	}
	return n
}

// once makes one pass over the scene, from the state that warm settles in.
func once(ctx context.Context, p *player.Player, t *timing, o Options, before *player.Ledger, pinned []bool, limit float64, all bool, warm scenes.Scene) (outcome, error) {
	if err := settle(ctx, p, warm); err != nil {
		return outcome{}, err
	}
	return newPass(t, o, p, before.Entries, pinned, limit, all).run(ctx)
}

// squeeze looks for the smallest cap that the scene can keep by waiting, between its
// mean power and the most that a frame of it draws without.
func squeeze(ctx context.Context, p *player.Player, t *timing, o Options, before *player.Ledger, pinned []bool, warm scenes.Scene, out outcome) (outcome, error) {
	low, high := out.energy/t.scene.Duration(), out.peak
	stuck := errors.New("nothing here can wait")
	_, _, err := root.Edge(ctx, func(limit float64) (bool, error) {
		try, err := once(ctx, p, t, o, before, pinned, limit, true, warm)
		switch {
		case err != nil:
			return false, err
		case try.over == 0 && try.peak < out.peak:
			out = try
			return true, nil
		case try.waiting == 0:
			return false, stuck
		}
		return false, nil
	}, high, low, max(0.01*high, (high-low)/squeezed))
	if errors.Is(err, stuck) {
		err = nil
	}
	return out, err
}

// settle puts the player into the state that a looped scene settles in, or to rest
// when there is none.
func settle(ctx context.Context, p *player.Player, s scenes.Scene) error {
	p.Reset()
	_, err := p.Warm(ctx, s)
	if player.Restless(err) {
		p.Reset()
		return nil
	}
	return err
}

// play plays a looped scene.
func play(ctx context.Context, p *player.Player, s scenes.Scene) (*player.Ledger, error) {
	if err := settle(ctx, p, s); err != nil {
		return nil, err
	}
	return p.Play(ctx, s, nil)
}

// worse tells whether a pixel does wrong in a frame of the new scene in which it did
// not in the old one; such frames are pinned, with their neighbours in time.
func worse(before, after *player.Ledger, pinned []bool) bool {
	found := false
	for k, e := range after.Entries {
		was := before.Entries[k]
		bad := slices.ContainsFunc(e.Failing, func(i int) bool { return !slices.Contains(was.Failing, i) }) ||
			slices.ContainsFunc(e.FalseOn, func(i int) bool { return !slices.Contains(was.FalseOn, i) })
		if bad {
			found = true
			for j := max(k-1, 0); j <= min(k+1, len(pinned)-1); j++ {
				pinned[j] = true
			}
		}
	}
	return found
}

// leastSaving is the share of the average power from which a scene is worth changing
// though its peak stays.
const leastSaving = 0.03

// coolRise is by how much the frame that draws most may draw more because its coils are
// cooler, as a share: by as much as their resistance falls from the hottest coil before
// to the hottest after. A supply has to carry it with cold coils anyway, where it draws
// more than that.
func coolRise(before, after player.Summary) float64 {
	return max(0, material.CopperResistivity(before.Hottest)/material.CopperResistivity(after.Hottest)-1)
}

// better tells whether a scene is worth changing: the frame that draws most draws less, or
// it draws less on average and that frame's coils are only cooler. Where kicks
// were asked for, the average alone decides.
func better(o Options, before, after player.Summary) bool {
	less := func(a, b float64) bool { return a < b*(1-1e-6) }
	if less(after.PeakFramePower, before.PeakFramePower) {
		return true
	}
	return less(after.AveragePower, before.AveragePower*(1-leastSaving)) &&
		(o.KickLevel > 0 || after.PeakFramePower <= before.PeakFramePower*(1+coolRise(before, after)))
}

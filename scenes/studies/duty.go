package studies

import (
	"context"
	"fmt"
	"math"

	"lodegrid/array/design"
	"lodegrid/field/quantity"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
)

// dutyTolerance is the width to which duties are solved.
const dutyTolerance = 1e-4

// HeatDuty is the largest duty D at level 1, 0…1, that keeps a looping scene within the limits
// of heat (board, touchable surfaces, magnets): the root of
//
//	max over the limits of ln[(T(D) − T_air) / (T_limit − T_air)] = 0
//
// with T(D) the highest temperature of the looped state by the whole model, P = I² R(T) for
// the currents of the drive at D; to dutyTolerance. It is 1 when none breaks them, 0 when even
// standing still does. In mode kick the duty of the hold goes with that of the kick, in the
// design's proportion.
func HeatDuty(ctx context.Context, p *player.Player, s scenes.Scene) (quantity.Derived, error) {
	duty, err := largestDuty(ctx, p, 1, func(q *player.Player) (float64, error) { return overheat(ctx, q, s) })
	d := p.Grid().Design
	return quantity.Derived{Value: duty, Why: fmt.Sprintf("root of the greatest ln((T − T_air)/(limit − T_air)) of the looped scene, the limits %s of the board, with magnets theirs where it is lower, and %s of what is touched, P = I² R(T); to %g",
		quantity.Format(boardLimit(d), quantity.Temperature), quantity.Format(d.Limits.Touch, quantity.Temperature), dutyTolerance)}, err
}

// boardLimit is how warm a board may get, K, with the magnets behind it.
func boardLimit(d design.Design) float64 {
	if d.Magnet.Kind != design.MagnetNone {
		return min(d.Limits.Board, d.Magnet.MaxTemp)
	}
	return d.Limits.Board
}

// HoldDuty is the smallest duty, 0…1, at which every lit pixel of one frame of a looping scene
// holds its drop: the root of ln[h(D) / limits.hold] = 0 from above, to dutyTolerance, with h the
// least ratio of pull to need in that frame, its coils as warm as the loop makes them. The pull
// goes about as D² until the fluid saturates. +Inf when full duty is not enough. A display that
// runs away at a duty is judged there with cold coils, which hold most.
func HoldDuty(ctx context.Context, p *player.Player, s scenes.Scene, frame int) (quantity.Derived, error) {
	least := p.Grid().Design.Limits.Hold
	weak, err := largestDuty(ctx, p, 1, func(q *player.Player) (float64, error) {
		hold, err := leastHold(ctx, q, s, frame)
		return times(hold, least), err
	})
	need := quantity.Derived{Value: min(weak+dutyTolerance, 1), Why: fmt.Sprintf("root of ln(h/%g) in frame %d of the looped scene, h the least pull over what is needed, its coils as warm as there; to %g", least, frame+1, dutyTolerance)}
	if weak >= 1 {
		need.Value = math.Inf(1)
	}
	return need, err
}

// FalseDuty is the largest duty at which no dark pixel of one frame of a looping scene keeps a
// drop, looked for from the design's own duty down: the root of ln[f(D) / limits.false_on] = 0,
// to dutyTolerance, with f the greatest ratio of pull to need at a dark pixel; 0 when none does. A
// display that runs away is judged with cold coils, whose field is the greatest.
func FalseDuty(ctx context.Context, p *player.Player, s scenes.Scene, frame int) (float64, error) {
	return largestDuty(ctx, p, p.Grid().Design.Drive.MaxDuty, func(q *player.Player) (float64, error) {
		e, err := inLoop(ctx, q, s, frame)
		return times(e.GreatestFalseOn, q.Grid().Design.Limits.FalseOn), err
	})
}

// largestDuty is the largest duty up to most at which over, of the display at it, is not
// positive.
func largestDuty(ctx context.Context, p *player.Player, most float64, over func(q *player.Player) (float64, error)) (float64, error) {
	return largest(ctx, func(duty float64) (float64, error) {
		q, err := atDuty(p, duty)
		if err != nil {
			return 0, err
		}
		return over(q)
	}, p.Grid().Design.Drive.MaxDuty, most, dutyTolerance)
}

// overheat is the logarithm of how many times over its limit the rise over the ambient
// temperature is in a looping scene, of the board, of the magnets behind it or of what
// can be touched; +Inf for a scene without a looped state.
func overheat(ctx context.Context, p *player.Player, s scenes.Scene) (float64, error) {
	d := p.Grid().Design
	board, touch, err := p.LoopPeaks(ctx, s)
	if player.Restless(err) {
		return math.Inf(1), nil
	}
	if err != nil {
		return 0, err
	}
	air := d.Heat.Ambient
	return max(times(board-air, boardLimit(d)-air), times(touch-air, d.Limits.Touch-air)), nil
}

// leastHold is the least hold ratio of a frame's lit pixels in its place in a looping
// scene.
func leastHold(ctx context.Context, p *player.Player, s scenes.Scene, frame int) (float64, error) {
	e, err := inLoop(ctx, p, s, frame)
	return e.LeastHold, err
}

// inLoop shows one frame in its place in a looping scene, without time passing in it;
// with cold coils where there is no looped state. A kelvin changes the hold by half a
// per cent, so one loop settles it.
func inLoop(ctx context.Context, p *player.Player, s scenes.Scene, frame int) (player.Entry, error) {
	err := p.WarmTo(ctx, s, frame)
	if player.Restless(err) {
		p.Reset()
		err = nil
	}
	if err != nil {
		return player.Entry{}, err
	}
	return player.NewTrial(p).Show(s.Frames[frame].Levels, s.Frames[frame].Duration)
}

// atDuty is a player of the same display with another duty at level 1, at rest.
func atDuty(p *player.Player, duty float64) (*player.Player, error) {
	q, err := p.With(func(d *design.Design) {
		if d.Drive.Mode == design.DriveKick {
			d.Drive.HoldDuty = min(d.Drive.HoldDuty*duty/d.Drive.MaxDuty, 1)
		}
		d.Drive.MaxDuty = duty
	})
	if err != nil {
		return nil, fmt.Errorf("trying a duty of %.4g: %w", duty, err)
	}
	return q, nil
}

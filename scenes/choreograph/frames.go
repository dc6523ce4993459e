package choreograph

import (
	"fmt"
	"slices"

	"lodegrid/array/grid"
	"lodegrid/scenes"
	"lodegrid/scenes/carry"
	"lodegrid/scenes/player"
)

// crossed is what the guard of a pixel beside several kicked ones is multiplied by: two
// at a right angle pull √2 as hard, and a pull goes with the square of the current.
const crossed = 1.19

// rest holds every drop where it is.
func (x *stage) rest(seconds float64) {
	x.frame(x.held(), seconds)
}

// held are the levels that hold every drop.
func (x *stage) held() []float64 {
	levels := make([]float64, len(x.at))
	for v, at := range x.at {
		if at {
			levels[v] = x.timing.sign * x.timing.HoldLevel.Value
		}
	}
	return levels
}

// dance carries out a round, once its drops are where they should be: kicks that end one after the other, each side in its own
// time, with guards until the kicks beside them are over; then the settling.
func (x *stage) dance(round []carry.Move) error {
	t := x.timing
	x.rest(x.passes.wait(round, x.time))
	x.leave(round)
	x.plan.Moves += len(round)
	x.plan.Rounds++
	// A drop that moves is on no pixel until the round is over.
	moving := slices.Clone(x.at)
	for _, m := range round {
		moving[m.From] = false
	}
	x.plan.Stops = append(x.plan.Stops, Stop{Time: x.time, At: moving, Moving: true})
	before := slices.Clone(x.at)
	carry.Carry(x.at, round)
	done := 0.0
	for left := slices.Clone(round); len(left) > 0; {
		next := t.Kick[x.side(left[0])].Value
		for _, m := range left {
			next = min(next, t.Kick[x.side(m)].Value)
		}
		levels := x.held()
		for v, beside := range x.guards(left, before) {
			level := t.Guard.Value
			if beside > 1 {
				level = min(crossed*level, 1)
			}
			levels[v] = t.sign * level
		}
		for _, m := range left {
			levels[m.To] = t.sign
		}
		if err := x.secure.hold(levels, t.sign); err != nil {
			return err
		}
		x.frame(levels, next-done)
		done = next
		left = slices.DeleteFunc(left, func(m carry.Move) bool { return t.Kick[x.side(m)].Value <= done+instant })
	}
	for _, m := range round {
		x.gather.kicked[m.To], x.gather.parted[m.To] = x.time, x.gather.parted[m.From]
	}
	x.rest(t.Settle)
	x.passes.note(x, x.at, round, x.time)
	stop := Stop{Time: x.time, At: slices.Clone(x.at), Guards: x.guards(round, before)}
	for _, m := range round {
		stop.Moves = append(stop.Moves, Arrival{m.To, x.side(m)})
	}
	x.plan.Stops = append(x.plan.Stops, stop)
	return nil
}

// frame adds levels that stand for so many seconds.
func (x *stage) frame(levels []float64, seconds float64) {
	if seconds <= instant {
		return
	}
	x.time += seconds
	s := &x.plan.Scene
	if k := len(s.Frames) - 1; k >= 0 && slices.Equal(s.Frames[k].Levels, levels) {
		s.Frames[k].Duration += seconds
		return
	}
	s.Frames = append(s.Frames, scenes.Frame{Levels: levels, Duration: seconds})
}

// secure sees to it that drops that stand hold while others are kicked: kicks pull not
// only at their neighbours.
type secure struct {
	player *player.Player
	trial  *player.Trial
	asked  float64 // hold ratio
}

// Every drop that stands is given so much more hold than the design asks for, as coils
// get warm and pull less; a guard is raised by steps, so many at most.
const (
	warm   = 1.1
	raise  = 1.15
	raises = 16
)

func newSecure(g *grid.Grid) (*secure, error) {
	p, err := player.New(g)
	if err != nil {
		return nil, err
	}
	return &secure{p, player.NewTrial(p), warm * g.Design.Limits.Hold}, nil
}

// hold raises the levels of pixels whose drop does not hold beside the kicks. Where no
// level is enough the verdict on the scene tells.
func (s *secure) hold(levels []float64, sign float64) error {
	if s == nil {
		return nil
	}
	for range raises {
		if _, err := s.trial.Show(levels, 1); err != nil {
			return fmt.Errorf("asking what holds beside kicks: %w", err)
		}
		weak := false
		for v, ratio := range s.player.Holds() {
			if level := sign * levels[v]; level > 0 && level < 1 && ratio < s.asked {
				levels[v] = sign * min(raise*level, 1)
				weak = true
			}
		}
		if !weak {
			return nil
		}
	}
	return nil
}

package studies

import (
	"context"
	"math"
	"slices"

	"lodegrid/array/design"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
)

// Mounted is a looping scene with something else behind the display or other copper in its
// board. Its peaks are those of its mean heat and of how far the display's own loop swings
// beyond that, which neither changes by much.
type Mounted struct {
	Back        design.Back
	Copper      string                   // outside the coils, in words
	Share       float64                  // of the board's planes that it covers
	Pulse       float64                  // s, longest of one pixel alone on the supply's voltage, +Inf for ever; Coppers only
	Chosen      bool                     // as the design has it
	Restless    bool                     // it has no steady state; the rest is zero then
	Hottest     float64                  // K, turn
	Touch       float64                  // K, surface within reach
	behind      [2]float64               // K, hottest spots behind front and back
	over        func([2]float64) float64 // that surface with such spots
	Board, Hand bool                     // limits.board and limits.touch are kept
	Rise        float64                  // K/W, of the middle pixel's mean copper, lit alone
}

// Plume is what the air that rises along an upright display does to a looping scene. There
// is none where it lies or has no steady state.
func Plume(ctx context.Context, p *player.Player, s scenes.Scene) (player.Plume, error) {
	if p.Grid().Design.Heat.Orientation != design.Vertical {
		return player.Plume{}, nil
	}
	q, err := p.With(func(*design.Design) {})
	if err != nil {
		return player.Plume{}, err
	}
	u, err := q.Plume(ctx, s)
	if player.Restless(err) {
		return player.Plume{}, nil
	}
	return u, err
}

// Breaks tells whether a scene that keeps a limit breaks it with what a plume adds to its peaks.
func Breaks(u player.Plume, peaks player.Summary, l design.Limits) bool {
	over := func(at, limit, more float64) bool { return at > 0 && at <= limit && at+more > limit }
	return over(peaks.Hottest, l.Board, u.Hottest) || over(peaks.Touch, l.Touch, u.Touch)
}

// Differ tells whether any of a list keeps a limit that another breaks.
func Differ(list []Mounted) bool {
	return slices.ContainsFunc(list, func(m Mounted) bool { return m.Board != list[0].Board || m.Hand != list[0].Hand })
}

// Backs are a display free, as chosen and blocked; what is chosen stands once. The peaks
// are those of the scene as it was played, zero where it has no steady state.
func Backs(ctx context.Context, p *player.Player, s scenes.Scene, peaks player.Summary) ([]Mounted, error) {
	var list []Mounted
	chosen := p.Grid().Design.Heat.Back
	for _, b := range []design.Back{design.BackFree, chosen, design.BackSealed} {
		if len(list) > 0 && (b == list[0].Back || b == list[len(list)-1].Back) {
			continue
		}
		speed := 0.0
		if b == chosen {
			speed = p.Grid().Design.Heat.AirSpeed
		}
		q, err := p.Hung(b, speed)
		if err != nil {
			return nil, err
		}
		m, err := mounted(ctx, q, s)
		if err != nil {
			return nil, err
		}
		m.Chosen = b == chosen
		list = append(list, m)
	}
	return swung(list, peaks, p.Grid().Design.Limits), nil
}

// Coppers are a display with other copper outside its coils: none, as chosen, feeders on
// every layer, nine tenths of all layers poured, and that with the outer ones exposed. Where
// the design leaves its copper to a guess, the truth lies between the first and the third
// unless it is poured.
func Coppers(ctx context.Context, p *player.Player, s scenes.Scene, peaks player.Summary) ([]Mounted, error) {
	var list []Mounted
	d := p.Grid().Design
	all := func(plane, outer string) []string {
		each := slices.Repeat([]string{plane}, d.Board.Layers)
		each[0] += outer
		each[len(each)-1] += outer
		return each
	}
	const pour = "pour 90 %"
	for _, c := range []struct {
		name string
		each []string
	}{
		{"none", all("none", "")}, {"the design's", nil}, {"feeders on every layer", all("feeders", "")},
		{"90 % of all layers poured", all(pour, "")}, {"the same, the outer layers exposed", all(pour, " exposed")},
	} {
		q, err := p.With(func(d *design.Design) {
			if c.each != nil {
				*d = d.WithPlanes(c.each...)
			}
		})
		if err != nil {
			return nil, err
		}
		m, err := mounted(ctx, q, s)
		if err != nil {
			return nil, err
		}
		t := NewPulses(q)
		m.Copper, m.Share, m.Chosen, m.Pulse = c.name, q.Grid().Design.Heat.CopperFraction, c.each == nil, math.Inf(1)
		if d.Heat.Ambient < d.Limits.Board {
			pulse, err := t.longest(ctx, Alone, d.Supply.Voltage, d.Heat.Ambient)
			if err != nil {
				return nil, err
			}
			m.Pulse = pulse.Longest
		}
		list = append(list, m)
	}
	return swung(list, peaks, d.Limits), nil
}

// Guessed is what one pixel's rise (K/W) may be where nothing tells of the copper outside
// the coils: with feeders on every layer, and with none at all. Both are 0 where something does.
func Guessed(ctx context.Context, p *player.Player) (least, most float64, err error) {
	d := p.Grid().Design
	if !d.PlanesGuessed() {
		return 0, 0, nil
	}
	for plane, to := range map[string]*float64{"feeders": &least, "none": &most} {
		q, err := p.With(func(d *design.Design) { *d = d.WithPlanes(slices.Repeat([]string{plane}, d.Board.Layers)...) })
		if err != nil {
			return 0, 0, err
		}
		one, err := Settle(ctx, q, q.Single(1))
		if err != nil {
			return 0, 0, err
		}
		*to = one.Rise
	}
	return least, most, nil
}

// swung adds to the mean heat's peaks how far those of the scene that was played are above
// the chosen one's, and judges. A surface is the one over the hottest spots with their swings:
// another of the two may be the hottest there, or out of reach.
func swung(list []Mounted, peaks player.Summary, l design.Limits) []Mounted {
	hottest, behind := 0.0, [2]float64{}
	for _, m := range list {
		if m.Chosen && !m.Restless && peaks.Hottest > 0 {
			hottest = peaks.Hottest - m.Hottest
			for side, t := range m.behind {
				behind[side] = peaks.Behind[side] - t
			}
		}
	}
	for i := range list {
		if m := &list[i]; !m.Restless {
			m.Hottest += hottest
			m.Touch = m.over([2]float64{m.behind[0] + behind[0], m.behind[1] + behind[1]})
			m.Board, m.Hand = m.Hottest <= l.Board, m.Touch <= l.Touch
		}
	}
	return list
}

func mounted(ctx context.Context, q *player.Player, s scenes.Scene) (Mounted, error) {
	var m Mounted
	d := q.Grid().Design
	m.Back = d.Heat.Back
	one, err := Settle(ctx, q, q.Single(1))
	if err != nil {
		return m, err
	}
	m.Rise = one.Rise
	m.over = q.Network().Over
	m.Hottest, m.behind, err = q.MeanPeaks(ctx, s)
	if player.Restless(err) {
		m.Restless = true
		return m, nil
	}
	return m, err
}

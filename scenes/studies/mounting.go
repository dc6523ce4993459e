package studies

import (
	"context"
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
	Pour        float64 // share of the free area poured
	Chosen      bool    // as the design has it
	Restless    bool    // it has no steady state; the rest is zero then
	Hottest     float64 // K, turn
	Touch       float64 // K, surface within reach
	Board, Hand bool    // limits.board and limits.touch are kept
	Rise        float64 // K/W, of the middle pixel's mean copper, lit alone
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

// Pours are a display with nothing of the board's free area poured with copper, as it is,
// and with nine tenths of it.
func Pours(ctx context.Context, p *player.Player, s scenes.Scene, peaks player.Summary) ([]Mounted, error) {
	var list []Mounted
	own := p.Grid().Design.Heat.Pour
	for _, share := range []float64{0, own, 0.9} {
		if len(list) > 0 && share <= list[len(list)-1].Pour {
			continue
		}
		q, err := p.With(func(d *design.Design) { d.Heat.Pour = share })
		if err != nil {
			return nil, err
		}
		m, err := mounted(ctx, q, s)
		if err != nil {
			return nil, err
		}
		m.Chosen = share == own
		list = append(list, m)
	}
	return swung(list, peaks, p.Grid().Design.Limits), nil
}

// swung adds to the mean heat's peaks how far those of the scene that was played are above
// the chosen one's, and judges.
func swung(list []Mounted, peaks player.Summary, l design.Limits) []Mounted {
	hottest, touch := 0.0, 0.0
	for _, m := range list {
		if m.Chosen && !m.Restless {
			hottest, touch = peaks.Hottest-m.Hottest, peaks.Touch-m.Touch
		}
	}
	for i := range list {
		if m := &list[i]; !m.Restless {
			m.Hottest, m.Touch = m.Hottest+hottest, m.Touch+touch
			m.Board, m.Hand = m.Hottest <= l.Board, m.Touch <= l.Touch
		}
	}
	return list
}

func mounted(ctx context.Context, q *player.Player, s scenes.Scene) (Mounted, error) {
	var m Mounted
	d := q.Grid().Design
	m.Back, m.Pour = d.Heat.Back, d.Heat.Pour
	one, err := Settle(ctx, q, q.Single(1))
	if err != nil {
		return m, err
	}
	m.Rise = one.Rise
	m.Hottest, m.Touch, err = q.MeanPeaks(ctx, s)
	if player.Restless(err) {
		m.Restless = true
		return m, nil
	}
	return m, err
}

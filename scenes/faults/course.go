package faults

import (
	"context"
	"errors"
	"fmt"
	"math"

	"lodegrid/array/cooling"
	"lodegrid/array/heat"
	"lodegrid/scenes/player"
)

// Course is what becomes of the display's temperatures.
type Course struct {
	// Hottest and Touch are what the hottest turn and the hottest surface within reach end
	// at, K; +Inf where there is no steady state below what the model knows.
	Hottest, Touch float64
	// ToBoard and ToTouch are how long limits.board and limits.touch are kept from the
	// fault on, s, within timeError; +Inf for ever (or for more than a day), 0 where the
	// scene breaks it without a fault.
	ToBoard, ToTouch float64
	// ToCutOut is when a thermal cut-out at its place reaches its setting, s; +Inf never.
	ToCutOut float64
}

// The times of a course are looked at at steps that grow with the time since the fault,
// and are read between two steps from their logarithms.
const (
	firstStep = 1e-3 // s
	growth    = 1.12
	horizon   = 1e5 // s, about a day
	// timeError is the error of the times by that, as a share (measured in the tests).
	timeError = 0.01
)

// warm is a display in the state of its scene's mean heat.
type warm struct {
	player         *player.Player
	state          [][]float64 // as heat.Network.StartFrom takes it
	watts          []float64   // W, the coils' mean heat
	turns          []float64   // K, hottest turns
	board          []float64   // K, of the board's nodes
	boardLim, skin float64     // K, the limits
	setting        float64     // K, of the cut-out
}

// follow takes a course under a load, on a display that the player shows; the cut-out sits
// at a pixel.
func (w *warm) follow(ctx context.Context, p *player.Player, l heat.Load, place int) (Course, error) {
	net := p.Network()
	c := Course{Hottest: math.Inf(1), Touch: math.Inf(1), ToBoard: math.Inf(1), ToTouch: math.Inf(1), ToCutOut: math.Inf(1)}
	end, err := net.Steady(ctx, l)
	var away *heat.RunawayError
	switch {
	case err == nil:
		net.StartFrom(end.State())
		c.Hottest, c.Touch = end.Hottest, p.Touch()
	case !errors.As(err, &away):
		return c, fmt.Errorf("following a fault: %w", err)
	}
	net.StartFrom(w.state)
	cutOut := func() float64 { return net.Temperatures(cooling.BoardLayer)[place] }
	hottest := func() float64 { t, _ := net.HottestTurn(); return t }
	marks := []mark{
		{hottest, w.boardLim, c.Hottest, &c.ToBoard, 0},
		{p.Touch, w.skin, c.Touch, &c.ToTouch, 0},
		{cutOut, w.setting, math.Inf(1), &c.ToCutOut, 0},
	}
	if err == nil {
		marks[2].end = end.Layers[cooling.BoardLayer][place]
	}
	for i := range marks {
		marks[i].start()
	}
	for t, dt := 0.0, firstStep; t < horizon && waiting(marks); dt = max(firstStep, (growth-1)*t) {
		err := net.Step(ctx, dt, l)
		if err != nil && !errors.As(err, &away) {
			return c, fmt.Errorf("following a fault: %w", err)
		}
		for i := range marks {
			marks[i].step(t, t+dt)
		}
		if err != nil {
			break // past what the model knows
		}
		t += dt
	}
	return c, nil
}

// mark is a temperature that is waited for.
type mark struct {
	read   func() float64 // K
	limit  float64        // K
	end    float64        // K, that it settles at
	at     *float64       // s, +Inf until it was passed
	before float64        // K
}

func (m *mark) start() {
	if m.before = m.read(); m.before > m.limit {
		*m.at = 0
	}
}

// waits tells whether the limit was not passed and will be.
func (m *mark) waits() bool { return math.IsInf(*m.at, 1) && m.end > m.limit }

func waiting(marks []mark) bool {
	for i := range marks {
		if marks[i].waits() {
			return true
		}
	}
	return false
}

// step looks whether the limit was passed between two times.
func (m *mark) step(from, to float64) {
	now := m.read()
	if m.waits() && now > m.limit {
		share := (m.limit - m.before) / (now - m.before)
		if from > 0 {
			*m.at = from * math.Pow(to/from, share)
		} else {
			*m.at = to * share
		}
	}
	m.before = now
}

package heat

import (
	"context"
	"fmt"
	"math"
)

// MaxStep is the longest step Step accepts, in seconds (about three years).
const MaxStep = 1e8

// splits is how many steps of the splitting scheme auto takes in a row before it
// tries a scheme for long steps; fewestSplits how many it takes at least where they
// are long against the stack's fastest rate. The damping form leaves at most 0.21 of
// such a fast difference per step, so six leave less than 1e-4 of it.
const (
	splits       = 8
	moreSplits   = 32
	fewestSplits = 6
)

// splitStep returns the longest step of the splitting scheme that auto takes when a
// few of them do. The scheme's error over a run is (h·rate)²/12 of the differences
// that die away at a rate; taking the fastest rate of the network and differences of
// 10 K keeps it within the tolerance. At the usual 0.01 K that is h·rate = 0.11,
// about 40 ms for coils on an ordinary board.
func (n *Network) splitStep() float64 {
	return math.Min(math.Sqrt(1.2*n.p.Tolerance), 0.5) / n.fastest
}

// lateralStep is splitStep for steps long against the stack's rates, which are
// stepped together and so cost no splitting error: what counts is the conduction
// sideways. It is less than a third as long as the rule would have it, since stiff
// stacks cost the scheme some of its order, and no longer than longestSplit: a coil
// driven hard warms by some kelvin within it, over which its heat and its loss are no
// straight lines.
func (n *Network) lateralStep() float64 {
	return math.Min(longestSplit, math.Min(math.Sqrt(0.1*n.p.Tolerance), 0.15)/math.Max(n.lateralRate, n.slowest))
}

const longestSplit = 0.1 // s

// Step advances the temperatures by dt seconds under a load held on for that
// time.
//
// With Method auto a step that is short against the network's time constants, as a
// frame is, takes one or a few steps of the splitting scheme. A longer one is cut
// so that each part keeps the estimated error within Params.Tolerance, and done
// with the implicit scheme. A Method given by name takes exactly one step of that scheme.
//
// The error is a *param.Error for a step that does not fit, or a
// *RunawayError once a node has passed Params.Ceiling; the network then stays in
// that state. When the context is done its error is returned, and the network is
// somewhere on the way.
func (n *Network) Step(ctx context.Context, dt float64, load Load) error {
	if !(dt > 0 && dt <= MaxStep) {
		return params.Refuse("dt", dt, "", fmt.Sprintf("more than 0 up to %g s", MaxStep))
	}
	if err := ctx.Err(); err != nil {
		return fmt.Errorf("heat: a step of %g s: %w", dt, err)
	}
	switch n.p.Method {
	case Split:
		n.splitter().step(dt, load)
	case Implicit:
		if _, err := n.solver().step(ctx, dt, load); err != nil {
			return err
		}
	default:
		parts := math.Max(1, math.Ceil(dt/n.splitStep()))
		if parts > splits {
			parts = math.Max(fewestSplits, math.Ceil(dt/n.lateralStep()))
		}
		if !(parts <= moreSplits) {
			return n.long(ctx, dt, load)
		}
		for range int(parts) {
			n.splitter().step(dt/parts, load)
		}
	}
	return n.check()
}

func (n *Network) splitter() *splitStepper {
	if n.split == nil {
		n.split = newSplitStepper(n)
	}
	return n.split
}

func (n *Network) solver() *implicitStepper {
	if n.implicit == nil {
		n.implicit = newImplicitStepper(n)
	}
	return n.implicit
}

// maxHalvings bounds how often a long step is halved, maxParts into how many parts
// it may end up cut.
const (
	maxHalvings = 40
	maxParts    = 1 << 20
)

// long advances by dt in parts of dt/2^k, each within the tolerance. Where that would
// take parts as short as Step gives to the splitting scheme, it is taken for them, and
// the other is tried again now and then.
func (n *Network) long(ctx context.Context, dt float64, load Load) error {
	if n.saved == nil {
		n.saved = make([]float64, n.nodes)
	}
	// Start from parts short against the fastest time constant, as a coil that is switched
	// needs them, and let the estimate lengthen them.
	k := 0
	for dt*n.fastest*4 > float64(int64(1)<<k) && k < maxHalvings {
		k++
	}
	parts, wait, patience := 0, 0, 1 // wait: parts to split before the next try
	for at := 0.0; at < 1; {
		if parts++; parts > maxParts {
			return fmt.Errorf("heat: a step of %g s would take more than %d internal steps for a tolerance of %g K", dt, maxParts, n.p.Tolerance)
		}
		h := dt / float64(int64(1)<<k)
		copy(n.saved, n.rise)
		n.savedCoil = n.coil.save(n.savedCoil)
		ledger := n.balance
		undo := func() {
			copy(n.rise, n.saved)
			n.coil.restore(n.savedCoil)
			n.balance = ledger
		}
		short := h <= n.splitStep()
		estimate := math.Inf(1)
		if !short || wait <= 0 {
			if e, err := n.solver().step(ctx, h, load); err == nil {
				estimate = e
			}
		}
		if err := ctx.Err(); err != nil {
			undo()
			return fmt.Errorf("heat: a step of %g s: %w", dt, err)
		}
		fits := estimate <= n.p.Tolerance
		switch {
		case fits:
			patience = 1
		case short:
			if wait--; wait < 0 { // it was tried in vain
				undo()
				wait, patience = patience, min(2*patience, splits)
			}
			n.splitter().step(h, load)
		case k < maxHalvings:
			undo()
			k++
			continue
		}
		if err := n.check(); err != nil {
			return err
		}
		at += 1 / float64(int64(1)<<k)
		// Lengthen when there is room and the grid of halvings allows.
		for k > 0 && estimate < n.p.Tolerance/5 && math.Mod(at*float64(int64(1)<<(k-1)), 1) == 0 {
			k--
			estimate *= 8
		}
	}
	return nil
}

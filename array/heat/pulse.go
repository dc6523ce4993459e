package heat

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"

	"lodegrid/field/root"
)

// PulseSpec says which pulses Pulses is for.
type PulseSpec struct {
	// Load returns the load that is pulsed, its power times share (0…1), the share of the
	// time that it is on.
	Load  func(share float64) Load
	Start float64 // K, of every node before the first pulse
	Limit float64 // K, of the heated layer
	// Width is the length of the repeated pulse in seconds; 0 = half of the
	// longest single one.
	Width float64
}

// Horizon is the longest time that pulses are looked at, s: about a day.
const Horizon = 1e5

// Pulse is what a board stands of pulses.
type Pulse struct {
	Longest float64 // s, the longest single pulse: from Start to Limit; +Inf if not within Horizon
	MaxDuty float64 // greatest share of the time for pulses short against every time constant
	Width   float64 // s, of the repeated pulse
	Period  float64 // s, shortest period of pulses of that width for ever; Width if it may stay on
}

// Pulses returns how long a pulse may last from a start temperature, what duty the board
// stands without a break, and how often a pulse may repeat for ever. It steps the network
// itself; use a 1 × 1 network for every pixel pulsing together, and a load of one pixel in a
// wider one for a pixel alone. The network is left at Start.
func (n *Network) Pulses(ctx context.Context, spec PulseSpec) (out Pulse, err error) {
	switch {
	case !(spec.Start >= n.p.Ambient && spec.Start < spec.Limit):
		return out, params.Refuse("PulseSpec.Start", spec.Start, "", "Ambient or above, below Limit, in K")
	case !(spec.Limit <= n.p.Ceiling):
		return out, params.Refuse("PulseSpec.Limit", spec.Limit, "", fmt.Sprintf("up to the network's ceiling of %g K", n.p.Ceiling))
	}
	defer n.Start(spec.Start)
	n.Start(spec.Start)
	t, reached, err := n.Until(ctx, spec.Load(1), spec.Limit, Horizon)
	if err != nil {
		return out, err
	}
	if out.Longest = math.Inf(1); reached {
		out.Longest = t
	}
	high, err := n.Highest(ctx, spec.Load, 0, 1, spec.Limit, 1e-9)
	if err != nil {
		return out, err
	}
	out.MaxDuty, out.Width = high.Level, cmp.Or(spec.Width, out.Longest/2)
	switch {
	case !high.Bounded: // may stay on
		if math.IsInf(out.Width, 1) {
			out.Width = Horizon
		}
		out.Period = out.Width
	case out.Width >= out.Longest:
		out.Period = math.Inf(1)
	default:
		out.Period, err = n.repeat(ctx, &spec, out.Width, high.Level)
	}
	return out, err
}

// Until steps the network under a load until the hottest node of the heated layer
// reaches a temperature in kelvin, from below or from above, and returns the time
// in seconds. reached is false if that does not happen within horizon seconds.
// The step follows the speed of the change, so that the time is within UntilError of
// that of steps a tenth as long.
func (n *Network) Until(ctx context.Context, load Load, temperature, horizon float64) (seconds float64, reached bool, err error) {
	return n.until(ctx, load, temperature, horizon, 1)
}

// UntilError bounds the share by which Until's steps change its time.
const UntilError = 0.005

// until is Until with steps that are finer times as long.
func (n *Network) until(ctx context.Context, load Load, temperature, horizon, finer float64) (seconds float64, reached bool, err error) {
	if !(horizon > 0 && horizon <= MaxStep) {
		return 0, false, params.Refuse("horizon", horizon, "", fmt.Sprintf("more than 0 up to %g s", MaxStep))
	}
	gap := func() float64 {
		t, _ := n.HottestTurn()
		return temperature - t
	}
	g := gap()
	if g == 0 {
		return 0, true, nil
	}
	sign := math.Copysign(1, g)
	g *= sign
	whole := g
	before := make([]float64, n.nodes)
	var stages [][]float64
	speed := n.speed(load, sign)
	dt := finer * 0.005 / n.fastest
	if speed > 0 {
		dt = math.Min(dt, finer*0.04*g/speed)
	}
	for seconds < horizon {
		dt = math.Min(dt, horizon-seconds)
		copy(before, n.rise)
		stages = n.coil.save(stages)
		ledger := n.balance
		err := n.Step(ctx, dt, load)
		var passed *RunawayError
		if err != nil && !errors.As(err, &passed) {
			return seconds, false, err
		}
		next := sign * gap()
		if next > 0 {
			if err != nil {
				return seconds, false, err
			}
			seconds += dt
			// Go on by a twelfth of what is left at this speed, or 0.008 of the
			// whole way, growing by a fifth at most; where the speed dies the step
			// may grow so freely.
			want := (1 + 0.2*finer) * dt
			if g > next {
				want = math.Min(want, math.Max(finer*math.Max(0.08*next, 0.008*whole)*dt/(g-next), 0.25*dt))
			}
			dt, g = want, next
			continue
		}
		// Passed within this step: close in from the state before it.
		again := func(h float64) error {
			copy(n.rise, before)
			n.coil.restore(stages)
			n.balance = ledger
			return n.Step(ctx, h, load)
		}
		_, hi, err := root.Find(ctx, func(h float64) (float64, error) {
			switch h {
			case 0:
				return g, nil
			case dt:
				return next, nil
			}
			if err := again(h); err != nil && !errors.As(err, &passed) {
				return 0, err
			}
			return sign * gap(), nil
		}, 0, dt, 1e-7*(seconds+dt))
		if err != nil {
			return seconds, false, err
		}
		err = again(hi)
		if errors.As(err, &passed) && temperature >= n.p.Ceiling {
			err = nil // asked to go there
		}
		return seconds + hi, true, err
	}
	return horizon, false, nil
}

// speed returns how fast the coil warms that warms fastest, or with sign −1 how fast the one
// cools that cools fastest, K/s: the hottest before a pulse need not be the one that is lit.
func (n *Network) speed(load Load, sign float64) float64 {
	n.evaluate(&n.at, n.rise, load)
	f := make([]float64, n.nodes)
	n.netPower(f, &n.at, n.rise)
	most := math.Inf(-1)
	for p := range n.pixels {
		i := n.p.Heated*n.pixels + p
		speed := f[i] / n.capacity[i]
		for k, s := range n.coil.stages {
			speed += s.Hottest * (n.at.watts[p] - n.coil.state[k][p]) / s.Time
		}
		most = max(most, sign*speed)
	}
	return most
}

// repeat finds the shortest period at which pulses of a width may go on for ever.
// duty is the steady limit: the mean alone needs a period of at least width/duty.
func (n *Network) repeat(ctx context.Context, spec *PulseSpec, width, duty float64) (float64, error) {
	lo := width
	if duty > 0 {
		lo = width / duty
	}
	// over is how far the peak passes the limit, K; a cycle that runs away passes it by all.
	over := func(period float64) (float64, error) {
		peak, err := n.cyclePeak(ctx, spec, width, period)
		var r *RunawayError
		if errors.As(err, &r) {
			return math.Inf(1), nil
		}
		return peak - spec.Limit, err
	}
	above, err := over(lo)
	if err != nil || above <= 0 {
		return lo, err
	}
	hi := 2 * lo
	below, err := over(hi)
	for ; err == nil && below > 0; below, err = over(hi) {
		if lo, above, hi = hi, below, 2*hi; hi > 1e3*Horizon {
			return math.Inf(1), nil
		}
	}
	if err != nil {
		return 0, err
	}
	_, hi, err = root.Find(ctx, func(period float64) (float64, error) {
		switch period {
		case lo:
			return above, nil
		case hi:
			return below, nil
		}
		return over(period)
	}, lo, hi, 1e-4*hi)
	return hi, err
}

// cyclePeak returns the peak temperature in kelvin of pulses that have gone on for
// ever. It starts from the steady state of the mean power in the middle of a pulse, which
// is where the slow patterns of a cycle pass through their mean, and runs cycles until the
// peak stands to 3e-4 of its rise.
//
// The mean power is that of the cycles themselves: with coils warmer and colder in turn it
// is another than at their mean temperature. Patterns that live for more than a hundred
// cycles are left where it has them. Of one that lives for tens, what is left is taken out
// of the whole state at once, as Aitken's process would, when it is the only one left.
func (n *Network) cyclePeak(ctx context.Context, spec *PulseSpec, width, period float64) (float64, error) {
	share := width / period
	mean, err := n.Steady(ctx, spec.Load(share))
	if err != nil {
		return 0, err
	}
	n.StartFrom(mean.State())
	on, off := spec.Load(1), spec.Load(0)
	if err := n.run(ctx, on, width/2); err != nil {
		return 0, err
	}
	cycle := func() error {
		if err := n.run(ctx, off, period-width); err != nil {
			return err
		}
		return n.run(ctx, on, width)
	}
	rise := func() float64 {
		t, _ := n.HottestTurn()
		return t - n.p.Ambient
	}
	// add moves the state by a factor of the way between two.
	add := func(from, to [][]float64, factor float64) error {
		state := make([][]float64, n.States())
		for i := range state {
			state[i] = append([]float64(nil), n.State(i)...)
			for p := range state[i] {
				state[i][p] += factor * (to[i][p] - from[i][p])
			}
		}
		n.StartFrom(state)
		return nil
	}
	for round := 0; round < 8 && mean.Power > 0; round++ {
		if err := cycle(); err != nil {
			return 0, err
		}
		before := n.Balance().Supplied
		if err := cycle(); err != nil {
			return 0, err
		}
		share = math.Min(share*(n.Balance().Supplied-before)/period/mean.Power, 1)
		next, err := n.Steady(ctx, spec.Load(share))
		if err != nil {
			return 0, err
		}
		if err := add(mean.State(), next.State(), 1); err != nil {
			return 0, err
		}
		moved := next.Hottest - mean.Hottest
		if mean = next; math.Abs(moved) < 3e-5*rise() {
			break
		}
	}
	const lasting = 0.99 // what a cycle leaves of a pattern that lives for a hundred
	slow := math.Exp(-n.slowest * period)
	var peak, last float64 // K over the air
	var ends [3][][]float64
	for k := range ends {
		ends[k] = make([][]float64, n.States())
	}
	note := func() {
		peak = rise()
		for i := range ends[2] {
			ends[2][i] = append(ends[2][i][:0], n.State(i)...)
		}
	}
	q, since := 0.0, 0 // cycles since the state was last put there
	for range 200 {
		note()
		if since >= 2 {
			before := q
			q = n.ratio(ends)
			left := math.Min(math.Max(q, slow), lasting)
			if math.Abs(peak-last)*left < 3e-4*peak*(1-left) {
				break
			}
			// One pattern is left when the ratio stands.
			if since >= 3 && q > 0 && q < lasting && math.Abs(q-before) < 0.1*(1-q) {
				if err := add(ends[1], ends[2], q/(1-q)); err != nil {
					return 0, err
				}
				note()
				since = 0
			}
		}
		last = peak
		ends[0], ends[1], ends[2] = ends[1], ends[2], ends[0]
		if err := cycle(); err != nil {
			return 0, err
		}
		since++
	}
	return n.p.Ambient + rise(), nil
}

// ratio is by how much the heat in the board moved less from the second of three states
// to the third than from the first to the second: the share of the slowest pattern that a
// cycle leaves, once the others have died.
func (n *Network) ratio(states [3][][]float64) float64 {
	var both, first float64
	for l := range n.layers {
		for p, v := range states[1][l] {
			c := n.capacity[l*n.pixels+p]
			a, b := v-states[0][l][p], states[2][l][p]-v
			both += c * a * b
			first += c * a * a
		}
	}
	return both / first
}

// run steps for a time in parts that suit the network's tolerance.
func (n *Network) run(ctx context.Context, load Load, seconds float64) error {
	if seconds <= 0 {
		return nil
	}
	return n.Step(ctx, seconds, load)
}

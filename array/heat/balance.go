package heat

import "math"

// Balance is where the heat of a run went since Start, in joules.
type Balance struct {
	Supplied float64 // made in the coils
	Lost     float64 // given to the air and the walls
	Stored   float64 // gained by the nodes
	Residual float64 // Supplied − Lost − Stored, what the arithmetic lost
}

// Balance returns the energy balance of the run so far. Every scheme books its
// losses and supplies as it uses them, so that the residual is rounding (and,
// for the implicit scheme, the tolerance of its linear solver), not the error of
// the time steps.
func (n *Network) Balance() Balance {
	b := Balance{
		Supplied: n.balance.supplied.value(),
		Lost:     n.balance.lost.value(),
		Stored:   n.energy() - n.balance.start,
	}
	b.Residual = b.Supplied - b.Lost - b.Stored
	return b
}

// ledger books energy in joules.
type ledger struct {
	start          float64
	supplied, lost compensated
}

func (l *ledger) open(start float64) { *l = ledger{start: start} }

func (l *ledger) book(supplied, lost float64) {
	l.supplied.add(supplied)
	l.lost.add(lost)
}

// compensated is a sum that keeps its rounding error (Neumaier 1974), because a
// run adds 1e5 small bookings to a large total.
type compensated struct{ sum, carry float64 }

func (c *compensated) add(v float64) {
	t := c.sum + v
	if math.Abs(c.sum) >= math.Abs(v) {
		c.carry += (c.sum - t) + v
	} else {
		c.carry += (v - t) + c.sum
	}
	c.sum = t
}

func (c *compensated) value() float64 { return c.sum + c.carry }

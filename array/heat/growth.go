package heat

import (
	"context"
	"errors"
	"fmt"
	"math"
)

// Growth returns the rate in 1/s of the slowest-dying, or fastest-growing, pattern
// of temperature of the whole board, linearised at its present temperatures under
// a load. Negative: the board settles, with −1/Growth its longest time constant.
// Positive: it is running away, whatever the neighbours carry off.
//
// It is the greatest eigenvalue of C⁻¹ (P' − loss' − K), found by inverse
// iteration; its pattern has no change of sign, so the start cannot miss it.
func (n *Network) Growth(ctx context.Context, load Load) (float64, error) {
	if load == nil {
		return 0, &ParamError{"load", load, "a Load"}
	}
	if c, ok := load.(checkedLoad); ok {
		if err := c.check(n.pixels); err != nil {
			return 0, err
		}
	}
	at := newSample(n)
	n.evaluate(&at, n.rise, load)
	solve := newLinear(n)
	// net holds loss' − P' per node. Conduction only takes, so no pattern grows
	// faster than the worst node alone.
	net := at.slope
	for p, g := range at.gain {
		net[n.p.Heated*n.pixels+p] -= g / (1 - g*n.coil.mean)
	}
	top := math.Inf(-1)
	present := func(i int) bool { return n.absent == nil || !n.absent[i] }
	for i, v := range net {
		if present(i) {
			top = math.Max(top, -v/n.capacity[i])
		}
	}
	x, y, b := make([]float64, n.nodes), make([]float64, n.nodes), make([]float64, n.nodes)
	for i := range x {
		if present(i) {
			x[i] = 1
		}
	}
	// rayleigh returns x·(−net − K)x ÷ x·Cx and the size of what is left over.
	rayleigh := func() (rate, rest float64) {
		clear(b)
		n.addConduction(b, x)
		var top, bottom float64
		for i, v := range x {
			b[i] = -b[i] - net[i]*v
			top += v * b[i]
			bottom += n.capacity[i] * v * v
		}
		rate = top / bottom
		for i, v := range x {
			r := b[i] - rate*n.capacity[i]*v
			rest += r * r / n.capacity[i]
		}
		return rate, math.Sqrt(rest / bottom)
	}
	shift := top + 1e-3*n.fastest + 1e-12
	rate, rest := rayleigh()
	for range 500 {
		if err := ctx.Err(); err != nil {
			return rate, fmt.Errorf("heat: growth: %w", err)
		}
		if rest <= 1e-9*math.Max(math.Abs(rate), 1e-9*n.fastest) {
			return rate, nil
		}
		for i, v := range net {
			solve.diagonal[i] = v + shift*n.capacity[i]
		}
		solve.prepare()
		for i, v := range x {
			b[i] = n.capacity[i] * v
			y[i] = v / (shift - rate)
		}
		if err := solve.solve(ctx, y, b, 1e-10); err != nil {
			if errors.Is(err, errIndefinite) {
				shift += (shift - rate) + 1e-6*n.fastest // it had come too close
				continue
			}
			return rate, err
		}
		scale := 1 / norm(y)
		for i, v := range y {
			x[i] = v * scale
		}
		rate, rest = rayleigh()
		// The eigenvalue lies within rest of the rate; keep the shift above it.
		shift = math.Min(shift, rate+3*rest+1e-9*n.fastest)
	}
	return rate, errStalled
}

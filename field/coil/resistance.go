package coil

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"lodegrid/field"
	"lodegrid/field/material"
	"lodegrid/field/quantity"
)

// The resistance of a coil is its resistivity times a sum of lengths over
// cross-sections: track length over width and copper thickness for each layer,
// barrel length over the ring of plating for each via. A corner's square counts in
// full along the middle line, which makes sharp-cornered coils read up to about
// one per cent high.

// barrel is the cross-section of a via's plating, m².
func (s Spec) barrel() float64 { return math.Pi * s.ViaPlating * (s.ViaDrill - s.ViaPlating) }

// throughVia is the resistance over resistivity of a via between two layers.
func (c *Coil) throughVia(from, to int) float64 {
	return math.Abs(c.spec.Layers[from].Z-c.spec.Layers[to].Z) / c.spec.barrel()
}

// group returns the resistance over resistivity of a group's layers and joints.
func (c *Coil) group(g int) float64 {
	sum := 0.0
	for k := range c.wiring.perGroup {
		i := g*c.wiring.perGroup + k
		sum += c.lengths[i] / (c.spec.Track * c.spec.Layers[i].Copper)
		if k > 0 {
			sum += c.throughVia(i-1, i)
		}
	}
	return sum
}

// solve finds the resistance between the terminals and the layers' shares of the
// current. Parallel groups hang between two vias; the current enters the one at
// the first group and leaves the other at the last group, so that every group has
// about the same length of via in its way.
func (c *Coil) solve() {
	w := c.wiring
	groups := make([]float64, w.groups)
	for g := range groups {
		groups[g] = c.group(g)
	}
	shares := []float64{1}
	c.network = groups[0]
	if w.groups > 1 {
		// Node potentials: entry side of group g at 2g, exit side at 2g+1; the last
		// exit is ground.
		n := 2*w.groups - 1
		g := mat.NewSymDense(n, nil)
		join := func(a, b int, r float64) {
			for _, k := range []int{a, b} {
				if k < n {
					g.SetSym(k, k, g.At(k, k)+1/r)
				}
			}
			if a < n && b < n {
				g.SetSym(a, b, g.At(a, b)-1/r)
			}
		}
		for k := range w.groups {
			join(2*k, 2*k+1, groups[k])
			if k > 0 {
				join(2*(k-1), 2*k, c.throughVia((k-1)*w.perGroup, k*w.perGroup))
				join(2*k-1, 2*k+1, c.throughVia(k*w.perGroup-1, (k+1)*w.perGroup-1))
			}
		}
		var chol mat.Cholesky
		chol.Factorize(g) // a network of resistances between two ends
		entry := mat.NewVecDense(n, nil)
		entry.SetVec(0, 1)
		var v mat.VecDense
		if err := chol.SolveVecTo(&v, entry); err != nil {
			panic(fmt.Sprintf("the network of %d groups in parallel: %v", w.groups, err))
		}
		at := func(k int) float64 {
			if k == n {
				return 0
			}
			return v.AtVec(k)
		}
		c.network = at(0)
		shares = make([]float64, w.groups)
		for k := range shares {
			shares[k] = (at(2*k) - at(2*k+1)) / groups[k]
		}
	}
	c.share = make([]float64, len(c.spec.Layers))
	for i := range c.share {
		c.share[i] = shares[i/w.perGroup]
	}
}

// Resistance returns the resistance between the terminals in ohms with all copper
// at tempK kelvin: Σ ρ(T) ℓ/(w t) over the true spiral, its links and vias, parallel
// groups combined as they are wired.
func (c *Coil) Resistance(tempK float64) float64 {
	return material.CopperResistivity(tempK) * c.network
}

// Cold is the resistance at 20 °C, and Warm that at tempK kelvin, both derived.
func (c *Coil) Cold() quantity.Derived {
	rho := material.AnnealedCopper.Resistivity
	return quantity.Derived{
		Value: rho * c.network,
		Why:   fmt.Sprintf("ρ20 Σ ℓ/(w t) = %.5g Ω·m × %.5g /m; %.4g m of track, links and vias, ρ20 = 1/58 Ω·mm²/m (IEC 60028)", rho, c.network, c.Length()),
	}
}

// Warm is the resistance at tempK kelvin; see Cold.
func (c *Coil) Warm(tempK float64) quantity.Derived {
	m := material.AnnealedCopper
	return quantity.Derived{
		Value: c.Resistance(tempK),
		Why:   fmt.Sprintf("R20 (1 + α (T − 20 °C)) = %.5g Ω × (1 + %.5g /K × %.5g K); IEC 60028", m.Resistivity*c.network, m.TempCoefficient, tempK-field.RoomTemperature),
	}
}

// LayerResistance returns the resistance of layer i's track alone in ohms, at tempK
// kelvin; the heat it makes is this times the square of its current.
func (c *Coil) LayerResistance(i int, tempK float64) float64 {
	return material.CopperResistivity(tempK) * c.lengths[i] / (c.spec.Track * c.spec.Layers[i].Copper)
}

// LayerCurrents returns the current of each layer for 1 A through the terminals:
// 1 for layers in series, the share by resistance for parallel groups.
func (c *Coil) LayerCurrents() []float64 { return append([]float64(nil), c.share...) }

// CopperArea returns the area of one layer's track seen from above, m².
func (c *Coil) CopperArea() float64 {
	sum := 0.0
	for _, l := range c.lengths {
		sum += l
	}
	return sum / float64(len(c.lengths)) * c.spec.Track
}

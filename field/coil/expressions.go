package coil

import (
	"fmt"
	"math"

	"lodegrid/field"
)

// Simple expressions for the inductance of one flat spiral, good to a few per cent,
// as a check on the sums over turns: S. S. Mohan, M. del Mar Hershenson, S. P. Boyd
// and T. H. Lee, "Simple Accurate Expressions for Planar Spiral Inductances", IEEE J.
// Solid-State Circuits 34 (1999) 1419–1424. The paper was not seen. Square: all
// coefficients as a secondary source quotes them. Hexagon: K1, K2 quoted, c1, c2 from
// an excerpt, c3, c4 from memory. Octagon: K1, K2 quoted, c1–c4 from memory.
// Circle: from memory.

// Outline is the shape of a spiral the expressions have coefficients for.
type Outline string

// The outlines.
const (
	SquareOutline  Outline = "square"
	HexagonOutline Outline = "hexagon"
	OctagonOutline Outline = "octagon"
	CircleOutline  Outline = "circle"
)

// coefficients of both expressions; k1 is zero where the paper gives none.
type coefficients struct{ k1, k2, c1, c2, c3, c4 float64 }

var outlines = map[Outline]coefficients{
	SquareOutline:  {2.34, 2.75, 1.27, 2.07, 0.18, 0.13},
	HexagonOutline: {2.33, 3.82, 1.09, 2.23, 0.00, 0.17},
	OctagonOutline: {2.25, 3.55, 1.07, 2.29, 0.00, 0.19},
	CircleOutline:  {0, 0, 1.00, 2.46, 0.00, 0.20},
}

// CurrentSheet returns the inductance in henries of the same spiral by
//
//	L = (µ0 n² davg c1/2) [ln(c2/ρ) + c3 ρ + c4 ρ²]
func CurrentSheet(o Outline, n, dout, din float64) (float64, error) {
	c, ok := outlines[o]
	if !ok {
		return 0, fmt.Errorf("current-sheet expression: no coefficients for outline %q; accepted: %s, %s, %s, %s", o, SquareOutline, HexagonOutline, OctagonOutline, CircleOutline)
	}
	davg, rho, err := band(n, dout, din)
	if err != nil {
		return 0, fmt.Errorf("current-sheet expression: %w", err)
	}
	return field.Mu0 * n * n * davg * c.c1 / 2 * (math.Log(c.c2/rho) + rho*(c.c3+rho*c.c4)), nil
}

// Expression is a layer's inductance by CurrentSheet.
type Expression struct {
	Outline Outline
	Henries float64
}

// LayerCheck returns the inductance of the coil's front layer alone by the sums over
// turns, in henries, and by the expressions for its outline: a rounded square lies
// between the circle's and the square's. A coil wound to the middle has no expression.
func (c *Coil) LayerCheck() (henries float64, checks []Expression) {
	s := c.spec
	like := []Outline{CircleOutline, SquareOutline}
	switch s.Shape {
	case Round:
		like = like[:1]
	case Square:
		like = like[1:]
	case Hexagon:
		like = []Outline{HexagonOutline}
	}
	for _, o := range like {
		if l, err := CurrentSheet(o, s.Turns, s.Outer, s.Inner); err == nil {
			checks = append(checks, Expression{o, l})
		}
	}
	return c.LayerInductanceMatrix().At(0, 0), checks
}

func band(n, dout, din float64) (davg, rho float64, err error) {
	if !(n > 0 && din >= 0 && dout > din) || math.IsInf(n, 0) || math.IsInf(dout, 0) {
		return 0, 0, fmt.Errorf("%g turns between %s and %s: need turns above 0 and 0 ≤ inner < outer", n, mm(din), mm(dout))
	}
	return (dout + din) / 2, (dout - din) / (dout + din), nil
}

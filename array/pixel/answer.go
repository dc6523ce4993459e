package pixel

import (
	"context"

	"lodegrid/array/design"
	"lodegrid/field/iron"
	"lodegrid/field/memo"
)

// The answers' first setting, and the coarser one that tells their error.
const (
	answerPowers, answerNodes = 3, 5_000
	coarsePowers, coarseNodes = 2, 2_500
	// A disc is as wide as its distance: the field bends more over it, along and around.
	discPowers, coarseDiscPowers = 7, 5
	discOrders, coarseDiscOrders = 5, 4
)

// steel is all that an answer follows from.
type steel struct {
	design.Iron
	front, outer float64 // m
	bias         *iron.Solution
	coarse       bool
}

var steels = memo.New[steel, *iron.Answer](1 << 4)

// Answer is what the pixel's steel answers to stray fields, or, coarse, the same with a
// coarser mesh and fewer powers of the height and orders of the angle, which tells its
// error; nil where it is a plain sheet or not known to finite elements.
func (p Pixel) Answer(ctx context.Context, d design.Design, coarse bool) (*iron.Answer, error) {
	if p.Iron.Model != design.IronFEM || d.Iron.Radius == 0 && d.Iron.CoreRadius == 0 {
		return nil, nil
	}
	powers, nodes, orders := answerPowers, answerNodes, 0
	if coarse {
		powers, nodes = coarsePowers, coarseNodes
	}
	switch disc := d.Iron.Radius > 0; {
	case disc && coarse:
		powers, orders = coarseDiscPowers, coarseDiscOrders
	case disc:
		powers, orders = discPowers, discOrders
	}
	curve := steelCurve(d)
	regions := ironRegions(d, curve)
	a := iron.AnswerProblem{Steel: regions, Powers: powers, Nodes: nodes, Orders: orders, Bias: p.Iron.BiasSolution, Scale: d.Iron.Radius}
	if d.Iron.Radius == 0 {
		a.Sheet, a.Steel = &regions[0], regions[1:]
	}
	if d.Iron.CoreRadius > 0 {
		a.Scale = 2 * d.Iron.CoreRadius
	}
	return steels.Get(steel{d.Iron, d.IronFront(), d.Coil.Outer, a.Bias, coarse}, func() (*iron.Answer, error) { return iron.NewAnswer(ctx, a) })
}

package fit

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// guess is a set of readings that may be slips, and what the others say then.
type guess struct {
	out  []bool
	odds float64 // logarithm, up to what all have
	x    []float64
	h    mat.Cholesky // inverse of the covariance of x
}

// faint is how much less likely than the best a guess may be, as a logarithm, for those next
// to it to be weighed too.
const faint = 7.0

// counts is from which share of a variance on a guess is followed to its own answer: by so many
// chords, until its odds stay the same.
const counts, chords, same = 0.1, 4, 0.1

func byOdds(a, b *guess) int { return cmp.Compare(b.odds, a.odds) }

// guesses are sets of slips, the likeliest first. A slip tells nothing. Before any reading it is
// as likely as makes one at the bound of doubted even odds where all else is known; then a
// set's odds are the density of the readings kept, integrated over the unknowns,
//
//	exp(−min(Σ r²/2 + |x|²/2) − count·doubted²/2) / √det H,  the sum over readings kept,
//
// to first order around X: G. E. P. Box and G. C. Tiao, Biometrika 55 (1968) 119 (from memory).
// They are found from the likeliest on, by one reading more or less at a time; there is at
// least one.
func (s *Solution) guesses() (all []*guess, err error) {
	n, p := len(s.Misfit), len(s.X)
	most := max(2*n, min(5000, 500_000_000/(n*p*p+1)))
	seen := map[string]bool{}
	var open []*guess
	try := func(out []bool) {
		key := make([]byte, n)
		for i, is := range out {
			if is {
				key[i] = 1
			}
		}
		if seen[string(key)] {
			return
		}
		seen[string(key)] = true
		if g := s.guess(out); g != nil {
			all, open = append(all, g), append(open, g)
		}
	}
	try(make([]bool, n))
	try(s.Doubted)
	best := math.Inf(-1)
	for len(open) > 0 && len(seen) < most {
		slices.SortFunc(open, byOdds)
		g := open[0]
		if open, best = open[1:], max(best, g.odds); g.odds < best-faint && len(seen) > n+2 {
			break
		}
		for i := range n {
			out := slices.Clone(g.out)
			out[i] = !out[i]
			try(out)
		}
	}
	if len(all) == 0 {
		return nil, fmt.Errorf("fitting: readings of errors too unlike each other at %.3g", s.X)
	}
	slices.SortFunc(all, byOdds)
	return all, nil
}

// guess weighs a set of slips; nil where the slopes are not finite.
func (s *Solution) guess(out []bool) *guess {
	g := &guess{out: out, x: make([]float64, len(s.X))}
	h, slope := s.normal(math.Inf(1), false, out)
	var step mat.VecDense
	if !g.h.Factorize(h) || g.h.SolveVecTo(&step, slope) != nil {
		return nil
	}
	floats.SubTo(g.x, s.X, step.RawVector().Data)
	cost := floats.Dot(s.X, s.X)
	for i, r := range s.Misfit {
		if out[i] {
			r = doubted
		}
		cost += r * r
	}
	g.odds = (mat.Dot(slope, &step) - cost - g.h.LogDet()) / 2
	return g
}

// follow moves the guesses that count in what is left in doubt to their own answers, along the
// slopes at X, where their odds to first order are not true.
func (s *Solution) follow(ctx context.Context, p Problem, all []*guess) error {
	var near mat.SymDense // the best guess's covariance
	if err := all[0].h.InverseTo(&near); err != nil {
		return fmt.Errorf("fitting: %w", err)
	}
	for _, g := range all {
		if s.share(g, all[0].odds, &near) < counts {
			continue
		}
		at, to := *s, g.x
		at.Doubted = g.out
		for range chords {
			misfit, err := p.Misfit(ctx, to)
			if ctx.Err() != nil {
				return err
			}
			if err != nil || !(at.cost(to, misfit) <= at.cost(at.X, at.Misfit)) { // far off nothing may be predicted
				floats.AddTo(to, to, at.X)
				floats.Scale(0.5, to)
				continue
			}
			at.X, at.Misfit = to, misfit
			told := g.odds
			*g = *at.guess(g.out)
			to = slices.Clone(g.x)
			if math.Abs(g.odds-told) < same {
				break
			}
		}
	}
	slices.SortFunc(all, byOdds)
	return nil
}

// mixed is the covariance around X of the mixture of all guesses: what is left in doubt
// because it is not certain which readings are slips is in it.
func (s *Solution) mixed(all []*guess) (*mat.SymDense, error) {
	n := len(s.X)
	cov, sum := mat.NewSymDense(n, nil), 0.0
	var own mat.SymDense
	off := mat.NewVecDense(n, nil)
	for _, g := range all {
		w := math.Exp(g.odds - all[0].odds)
		if w < 1e-6 {
			break
		}
		if err := g.h.InverseTo(&own); err != nil {
			return nil, err
		}
		floats.SubTo(off.RawVector().Data, g.x, s.X)
		own.SymRankOne(&own, 1, off)
		own.ScaleSym(w, &own)
		cov.AddSym(cov, &own)
		sum += w
	}
	cov.ScaleSym(1/sum, cov)
	return cov, nil
}

// share is about how much of a variance of the best guess, told by its odds and covariance,
// another makes, whose x is off by more than that in the direction it matters most in.
func (s *Solution) share(g *guess, best float64, near mat.Symmetric) float64 {
	most := 0.0
	for k, x := range g.x {
		most = max(most, (x-s.X[k])*(x-s.X[k])/near.At(k, k))
	}
	return most * math.Exp(g.odds-best)
}

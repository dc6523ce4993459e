package fit

import (
	"context"
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"
)

// tolerances are the errors of the readings of bench12.
var tolerances = []float64{0.06, 0.07, 0.8, 0.8, 0.8, 0.8, 0.8, 0.1, 0.1, 0.1, 0.1, 0.1}

// bench12 is twelve readings as closed forms of five unknowns, as .ci/checks/fit_scipy.py has
// them too.
func bench12(x []float64) (list []float64) {
	copper, width, rth, heat, probe := 1+0.08*x[0], 1-0.06*x[1], 20*(1+0.2*x[2]), 1.5*(1+0.1*x[3]), 0.2*x[4]
	ohms := 11.4 / copper / width
	list = []float64{ohms, ohms * (1 + 0.00393*40)}
	for _, t := range []float64{5, 15, 40, 100, 300} {
		list = append(list, rth*25/ohms*(1-math.Exp(-t/(rth*heat))))
	}
	for _, h := range []float64{0.5, 1, 2, 3, 5} {
		list = append(list, 12/math.Pow(1+(h+probe)*(h+probe)/3.2/3.2, 1.5))
	}
	return list
}

func problem12(read []float64) Problem {
	return Problem{Unknowns: 5, Step: 1e-3, Close: 1e-7, Misfit: func(_ context.Context, x []float64) ([]float64, error) {
		got := bench12(x)
		for i := range got {
			got[i] = (got[i] - read[i]) / tolerances[i]
		}
		return got, nil
	}}
}

// answers are problems with the answers of .ci/checks/fit_scipy.py.
type answers []struct {
	Read, X, Sd []float64
	Slips       []int
	KeptX       []float64 `json:"kept_x"`
	MixedSd     []float64 `json:"mixed_sd"`
}

func stored(t *testing.T) answers {
	t.Helper()
	data, err := os.ReadFile("../../testdata/fit/robust.json")
	if err != nil {
		t.Fatal(err)
	}
	var all struct{ Problems answers }
	if err := json.Unmarshal(data, &all); err != nil {
		t.Fatal(err)
	}
	if len(all.Problems) != 6 {
		t.Fatalf("%d problems, want 6", len(all.Problems))
	}
	return all.Problems
}

// SciPy's least_squares finds the same with Huber's loss, to a millionth of a standard error,
// with readings far off and without.
func TestSolveAgreesWithSciPy(t *testing.T) {
	for i, p := range stored(t) {
		s, err := Solve(t.Context(), problem12(p.Read))
		if err != nil {
			t.Fatal(err)
		}
		for k, x := range s.X {
			sd := math.Sqrt(s.Covariance.At(k, k))
			if math.Abs(x-p.X[k]) > 1e-6*sd || math.Abs(sd/p.Sd[k]-1) > 1e-5 {
				t.Errorf("problem %d, unknown %d: %.9g ± %.9g, SciPy has %.9g ± %.9g", i, k, x, sd, p.X[k], p.Sd[k])
			}
		}
		if far := s.Doubted[3] && s.Doubted[9]; far != (i%2 == 1) {
			t.Errorf("problem %d: the two readings far off are doubted: %v", i, far)
		}
	}
}

// Which readings are slips, the answer without them and what is left in doubt are those of all
// 4096 sets, each solved by SciPy for itself; what is left in doubt, to an eighth: here a set's
// slopes are those of the best one.
func TestSlipsAgreeWithAllSets(t *testing.T) {
	for i, p := range stored(t) {
		problem := problem12(p.Read)
		problem.Slips = true
		s, err := Solve(t.Context(), problem)
		if err != nil {
			t.Fatal(err)
		}
		for k, is := range s.Doubted {
			if is != slices.Contains(p.Slips, k) {
				t.Errorf("problem %d: reading %d doubted: %v", i, k, is)
			}
		}
		for k, x := range s.X {
			sd := math.Sqrt(s.Covariance.At(k, k))
			if math.Abs(x-p.KeptX[k]) > 1e-5*sd || math.Abs(sd/p.MixedSd[k]-1) > 0.125 {
				t.Errorf("problem %d, unknown %d: %.9g ± %.9g, all sets have %.9g ± %.9g", i, k, x, sd, p.KeptX[k], p.MixedSd[k])
			}
		}
	}
}

// Intervals of 95 % hold what was drawn in 90 to 99 % of 200 seeds, for each unknown, and also
// with two readings of twelve far off.
func TestCoverage(t *testing.T) {
	const seeds = 200
	for _, far := range []bool{false, true} {
		held := make([]int, 5)
		for seed := range seeds {
			rng := rand.New(rand.NewPCG(uint64(seed), 16))
			truth := make([]float64, 5)
			for k := range truth {
				truth[k] = rng.NormFloat64()
			}
			read := bench12(truth)
			for i := range read {
				read[i] += tolerances[i] * rng.NormFloat64()
			}
			if far {
				read[rng.IntN(6)] += 8
				read[6+rng.IntN(6)] -= 5
			}
			p := problem12(read)
			p.Slips = true
			s, err := Solve(t.Context(), p)
			if err != nil {
				t.Fatalf("seed %d: %v", seed, err)
			}
			for k := range truth {
				if math.Abs(s.X[k]-truth[k]) < 1.96*math.Sqrt(s.Covariance.At(k, k)) {
					held[k]++
				}
			}
		}
		t.Logf("two far off: %v; held in %v of %d", far, held, seeds)
		for k, n := range held {
			if n < seeds*90/100 || n > seeds*99/100 {
				t.Errorf("two far off: %v; unknown %d: %d of %d intervals hold it", far, k, n, seeds)
			}
		}
	}
}

// A fit that cannot end says so.
func TestSolveGivesUp(t *testing.T) {
	_, err := Solve(t.Context(), Problem{Unknowns: 1, Step: 1e-3, Close: 1e-7, Misfit: func(context.Context, []float64) ([]float64, error) {
		return []float64{math.NaN()}, nil
	}})
	if err == nil || !strings.Contains(err.Error(), "finite") {
		t.Errorf("a prediction that is no number: %v", err)
	}
}

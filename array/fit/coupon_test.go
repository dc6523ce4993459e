package fit

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
)

// Adding the best and exchanging finds the best three of nine that trying all finds, or one
// whose determinant is within 5 % per unknown, in 40 draws.
func TestExchangeAgainstAll(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	const n, unknowns = 9, 4
	same := 0
	for range 40 {
		told := make([]*mat.SymDense, n)
		for i := range told {
			told[i] = mat.NewSymDense(unknowns, nil)
			for range 2 {
				row := mat.NewVecDense(unknowns, nil)
				for k := range unknowns {
					row.SetVec(k, 3*rng.NormFloat64())
				}
				told[i].SymRankOne(told[i], 1, row)
			}
		}
		best := math.Inf(-1)
		for a := range n {
			for b := range a {
				for c := range b {
					best = max(best, information(told, []int{a, b, c}))
				}
			}
		}
		got := information(told, exchange(told, 3))
		if got > best-1e-9 {
			same++
		}
		if got > best+1e-9 || best-got > 0.05*unknowns {
			t.Errorf("exchanging finds %.4f, trying all %.4f", got, best)
		}
	}
	if same < 34 {
		t.Errorf("only %d of 40 are the best", same)
	}
}

// The coils proposed settle more than one change at a time does, and what is predicted for them is
// what a fit finds when the readings come out like that: as small an error as was promised.
func TestProposeKeepsItsPromise(t *testing.T) {
	d := trial.Design(t)
	c, err := Propose(t.Context(), d, 40e-3, 30e-3, 4)
	if err != nil {
		t.Fatal(err)
	}
	if c.Cols != 4 || c.Rows != 3 || len(c.Sets) != 4 || c.Gain < c.PlainGain {
		t.Errorf("%d × %d, %q, gain %.3f against %.3f", c.Cols, c.Rows, c.Sets, c.Gain, c.PlainGain)
	}
	if slices.Equal(c.Sets, candidates(d)[:4]) {
		t.Error("what is chosen is one change at a time")
	}
	var table strings.Builder
	if err := c.WriteTable(&table, true); err != nil {
		t.Fatal(err)
	}
	list, err := Read("predicted.csv", strings.NewReader(table.String()))
	if err != nil {
		t.Fatal(err)
	}
	a, err := Find(t.Context(), d, list, nil)
	if err != nil {
		t.Fatal(err)
	}
	if chi := a.ChiSquare(); chi > 1e-3 {
		t.Errorf("the predicted readings are %.3g errors off", math.Sqrt(chi))
	}
	for i, o := range a.After {
		at := slices.IndexFunc(c.After, func(p design.Doubt) bool { return p.Key == o.Key })
		if at < 0 || math.Abs(o.Sd/c.After[at].Sd-1) > 0.1 {
			t.Errorf("%s: ± %.3g after the fit, promised %v", o.Key, o.Sd, c.After)
		}
		if math.Abs(a.Values[i]-d.ValueOf(o.Key)) > 0.05*o.Sd {
			t.Errorf("%s: %g fitted to its own predictions", o.Key, a.Values[i])
		}
	}
	empty := &strings.Builder{}
	if err := c.WriteTable(empty, false); err != nil {
		t.Fatal(err)
	}
	if _, err := Read("readings.csv", strings.NewReader(empty.String())); err == nil || !strings.Contains(err.Error(), "no readings") {
		t.Errorf("the table to fill in: %v", err)
	}
	if _, err := Propose(t.Context(), d, 19e-3, 10e-3, 4); err == nil || !strings.Contains(err.Error(), "room for 1 at") {
		t.Errorf("a board for one coil: %v", err)
	}
}

// A test board need not have whole strings of the display's coils in series.
func TestProposeWithCoilsInSeries(t *testing.T) {
	c, err := Propose(t.Context(), trial.Design(t, "drive.in_series=2"), 30e-3, 10e-3, 2)
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range c.Designs {
		if d.Grid.Cols != 3 || d.Drive.InSeries != 1 {
			t.Errorf("%d columns, %d in series", d.Grid.Cols, d.Drive.InSeries)
		}
	}
	if len(c.Sets) != 2 || strings.Contains(strings.Join(c.Sets, ""), "in_series") {
		t.Errorf("%q", c.Sets)
	}
}

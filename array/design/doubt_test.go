package design

import (
	"bytes"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// A board that comes out thinner still holds its copper, whatever is in doubt.
func TestThinnerBoardsHoldTheirCopper(t *testing.T) {
	for _, change := range [][]Change{
		{{"board.layers", "4"}, {"coil.layers", "4"}, {"board.thickness", "0.3 mm"}, {"board.copper_outer", "2 oz"}, {"board.copper_inner", "2 oz"}},
		{{"board.layers", "4"}, {"coil.layers", "4"}, {"board.thickness", "1.6 mm"}},
		{{"board.laminate", "aluminium"}, {"board.layers", "1"}, {"board.layers_on_offer", "[1]"}, {"coil.layers", "1"}, {"board.thickness", "0.2 mm"}},
	} {
		d, err := Demo().With(change...)
		if err != nil {
			t.Fatal(err)
		}
		for _, sd := range []float64{0.02e-3, 1e-3} {
			s := d.Shifted([]Doubt{{Key: "board.thickness", Sd: sd}}, []float64{-3})
			s.Stack()
			if front, back, metal := s.MetalCore(); metal > 0 && front <= back {
				t.Errorf("%v: a metal core from %g m to %g m", change, front, back)
			}
			if s.Board.Thickness >= d.Board.Thickness {
				t.Errorf("%v: %g m thick", change, s.Board.Thickness)
			}
		}
	}
}

// No display is made of steel less magnetic than air, nor of faces that radiate less than nothing
// or more than all.
func TestShiftedStaysPossible(t *testing.T) {
	d, err := Demo().With([]Change{{"iron.mu_r", "1.02"}, {"heat.emissivity", "0"}}...)
	if err != nil {
		t.Fatal(err)
	}
	list := []Doubt{{Key: "iron.mu_r", Sd: 0.2}, {Key: "heat.emissivity", Sd: 0.6}}
	for _, by := range []float64{-3, 3} {
		s := d.Shifted(list, []float64{by, by})
		if s.Iron.MuR != max(1, 1.02+by*0.2) || s.Iron.Factor < 0 || s.Heat.Emissivity != (3+by)/6 {
			t.Errorf("by %g: permeability %g, image %g, emissivity %g", by, s.Iron.MuR, s.Iron.Factor, s.Heat.Emissivity)
		}
	}
}

// Moves by independent standard deviations have the covariance that the doubts state, and
// Sds makes the same doubts of an identity.
func TestShiftedHasTheStatedCovariance(t *testing.T) {
	d := Demo()
	list := []Doubt{
		{Key: "coil.etch", Sd: 4e-6},
		{Key: "board.outer_made", Sd: 0.05, With: []float64{-0.6}},
		{Key: "iron.gap", Sd: 2e-5, With: []float64{0.3, 0.4}},
	}
	n := len(list)
	moves := mat.NewDense(n, n, nil)
	for k := range n {
		by := make([]float64, n)
		by[k] = 1
		s := d.Shifted(list, by)
		for i, o := range list {
			moves.Set(i, k, s.ValueOf(o.Key)-d.ValueOf(o.Key))
		}
		if moves.At(k, k) <= 0 {
			t.Errorf("%s moved by +1 goes by %g", list[k].Key, moves.At(k, k))
		}
	}
	var cov mat.Dense
	cov.Mul(moves, moves.T())
	one := mat.NewSymDense(n, nil)
	for i, o := range list {
		one.SetSym(i, i, 1)
		for k, p := range append(list[:i:i], o) {
			want := 1.0
			if k < i {
				want = o.With[k]
			}
			if got := cov.At(i, k) / o.Sd / p.Sd; math.Abs(got-want) > 1e-9 {
				t.Errorf("%s with %s: correlation %g, want %g", o.Key, p.Key, got, want)
			}
		}
	}
	for i, o := range Sds(list, one) {
		if math.Abs(o.Sd/list[i].Sd-1) > 1e-12 || len(o.With) != i || i == 2 && math.Abs(o.With[1]-0.4) > 1e-12 {
			t.Errorf("%v, want %v", o, list[i])
		}
	}
}

// A display that nothing is stated of has a doubt for what counts in it, and no other.
func TestUsualDoubts(t *testing.T) {
	has := func(d Design, key string) bool {
		for _, o := range d.Doubts() {
			if o.Key == key {
				return o.Sd > 0
			}
		}
		return false
	}
	d := Demo()
	bare, err := d.With(Change{"iron.model", "none"})
	if err != nil {
		t.Fatal(err)
	}
	slab, err := d.With(Change{"iron.model", "slab"}, Change{"iron.core_radius", "0 mm"})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		d    Design
		key  string
		want bool
	}{{d, "iron.gap", true}, {d, "iron.mu_r", false}, {slab, "iron.mu_r", true}, {bare, "iron.gap", false}, {d, "magnet.remanence", false}, {d, "coil.etch", true}} {
		if has(c.d, c.key) != c.want {
			t.Errorf("%s in doubt: %v", c.key, !c.want)
		}
	}
	bare.Stated = []Doubt{{Key: "coil.etch"}}
	if has(bare, "coil.etch") {
		t.Error("a doubt stated as 0 counts")
	}
}

// What a fit makes of readings that leave keys all but tied to each other is a file that can
// be read again, whatever rounding does to its correlations.
func TestTiedDoubtsAreReadable(t *testing.T) {
	keys := []string{"coil.etch", "board.outer_made", "board.inner_made", "heat.convection", "heat.storage"}
	rng := rand.New(rand.NewPCG(4, 7))
	for round := range 100 {
		var list []Doubt
		for i, key := range keys {
			list = append(list, Doubt{Key: key, Sd: 1e-3, With: make([]float64, i)})
		}
		// Two directions of five are left open, the others are settled to a part in a million or more.
		n := len(keys)
		cov := mat.NewSymDense(n, nil)
		for range 2 {
			v := mat.NewVecDense(n, nil)
			for i := range n {
				v.SetVec(i, rng.NormFloat64())
			}
			cov.SymRankOne(cov, 1, v)
		}
		for i := range n {
			cov.SetSym(i, i, cov.At(i, i)+math.Pow(10, -8-4*rng.Float64()))
		}
		d := Demo()
		d.Stated = Sds(list, cov)
		back, err := Read("fitted.toml", bytes.NewReader(d.Marshal()))
		if err != nil {
			t.Fatalf("round %d: %v\n%s", round, err, d.DoubtText())
		}
		for i, o := range back.Stated {
			for k, c := range o.With {
				if math.Abs(c-d.Stated[i].With[k]) > 1e-7 {
					t.Errorf("round %d: %s with %s is %.10f in the file, %.10f fitted", round, o.Key, keys[k], c, d.Stated[i].With[k])
				}
			}
		}
		// Any of them alone are used, too.
		back.Shifted(Picked(back.Stated, func(o Doubt) bool { return o.Key != keys[round%n] }), make([]float64, n-1))
	}
	free := []Doubt{{Key: keys[0], Sd: 1}, {Key: keys[1], Sd: 1, With: []float64{0.123456789}}}
	if got := rounded(free)[1].With[0]; got != 0.123456789 {
		t.Errorf("a correlation of 0.123456789 is written %.12g", got)
	}
}

// How unlike the pixels of one board are is stated with a doubt, and read back as written.
func TestSpreadOfADoubt(t *testing.T) {
	text := string(Demo().Marshal())
	d, err := Read("spread.toml", strings.NewReader(text+"\n[[doubt]]\nkey = \"coil.etch\"\nsd = \"9 um\"\nspread = \"75 %\"\n[[doubt]]\nkey = \"fluid.height\"\nsd = \"0.1 mm\"\n"))
	if err != nil {
		t.Fatal(err)
	}
	for range 2 {
		for _, o := range d.Doubts() {
			if want := map[string]float64{"coil.etch": 0.75, "fluid.height": 0.5, "board.outer_made": 0.2}; want[o.Key] > 0 && math.Abs(o.Spread-want[o.Key]) > 1e-12 {
				t.Errorf("%s differs from pixel to pixel by %g, want %g", o.Key, o.Spread, want[o.Key])
			}
		}
		if d, err = Read("again.toml", bytes.NewReader(d.Marshal())); err != nil {
			t.Fatal(err)
		}
	}
	for _, bad := range []string{"0.5", `"50"`, `"150 %"`, `"-1 %"`, "true"} {
		_, err := Read("bad.toml", strings.NewReader(text+"\n[[doubt]]\nkey = \"coil.etch\"\nsd = \"9 um\"\nspread = "+bad+"\n"))
		if err == nil || !strings.Contains(err.Error(), "spread of coil.etch is") || !strings.Contains(err.Error(), `"0 %" to "100 %"`) {
			t.Errorf("spread = %s: %v", bad, err)
		}
	}
}

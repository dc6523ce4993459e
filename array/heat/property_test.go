package heat

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// anyBoard returns a small board of random make.
func anyBoard(rng *rand.Rand) Params {
	p := board(4+2*rng.IntN(2), 3+rng.IntN(4), 1+rng.IntN(4))
	p.Heated = rng.IntN(len(p.Layers))
	way := []Orientation{Vertical, FaceUp, FaceDown}[rng.IntN(3)]
	p.Front.Orientation, p.Back.Orientation = way, way.Opposite()
	p.Front.Insulation = 0.02 * float64(rng.IntN(2))
	p.Back.AirSpeed = float64(rng.IntN(2))
	if rng.IntN(2) == 1 {
		p = edged(p)
	}
	return p
}

func anyLoad(rng *rand.Rand, pixels int) []float64 {
	w := make([]float64, pixels)
	for i := range w {
		if rng.IntN(3) == 0 {
			w[i] = rng.Float64() * 0.4
		}
	}
	return w
}

func steady(t *testing.T, p Params, load Load) Result {
	t.Helper()
	r, err := mustNew(t, p).Steady(t.Context(), load)
	if err != nil {
		t.Fatal(err)
	}
	if !(r.Residual <= 1e-9) {
		t.Fatalf("residual %g of the power", r.Residual)
	}
	return r
}

// neverCooler checks that no node is cooler in b than in a.
func neverCooler(t *testing.T, what string, a, b [][]float64, slack float64) {
	t.Helper()
	for l := range a {
		for i := range a[l] {
			if b[l][i] < a[l][i]-slack {
				t.Fatalf("%s cools layer %d pixel %d: %.9g K to %.9g K", what, l, i, a[l][i], b[l][i])
			}
		}
	}
}

// More power never lowers a temperature, hotter air never cools anything, neither
// in the steady state nor on the way; energy in = stored + lost throughout.
func TestMonotone(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 11))
	for range 8 {
		p := anyBoard(rng)
		pixels := p.Rows * p.Cols
		watts := anyLoad(rng, pixels)
		more := append([]float64(nil), watts...)
		more[rng.IntN(pixels)] += 0.1
		hot := p
		hot.Ambient += 7
		drive := func() Load { return &CurrentDrive{Copper{3, 0.00393}, 0.25, watts} }

		low := steady(t, p, &FixedPower{watts})
		neverCooler(t, "more power", low.Layers, steady(t, p, &FixedPower{more}).Layers, 1e-8)
		neverCooler(t, "hotter air", low.Layers, steady(t, hot, &FixedPower{watts}).Layers, 1e-8)
		neverCooler(t, "hotter air", steady(t, p, drive()).Layers, steady(t, hot, drive()).Layers, 1e-8)

		for _, dt := range []float64{1.0 / 30, 0.7, 40} {
			a, b, c := mustNew(t, p), mustNew(t, p), mustNew(t, hot)
			c.Start(p.Ambient)
			slack := 1e-9
			if dt > 0.1 {
				slack = 0.02 // the tolerance of long steps
			}
			for range 6 {
				for _, x := range []struct {
					n *Network
					w []float64
				}{{a, watts}, {b, more}, {c, watts}} {
					if err := x.n.Step(t.Context(), dt, &FixedPower{x.w}); err != nil {
						t.Fatal(err)
					}
				}
				neverCooler(t, "more power", a.all(), b.all(), slack)
				neverCooler(t, "hotter air", a.all(), c.all(), slack)
			}
			balanced(t, "monotone", a)
			balanced(t, "monotone", b)
			balanced(t, "monotone", c)
		}
	}
}

func (n *Network) all() (out [][]float64) {
	for l := range n.layers {
		out = append(out, append([]float64(nil), n.Temperatures(l)...))
	}
	return out
}

// A mirrored load on a uniform board gives the mirrored temperatures, and a
// transposed one on a transposed board the transposed ones.
func TestSymmetry(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	const rows, cols = 7, 10
	watts, mirrored, turned := make([]float64, rows*cols), make([]float64, rows*cols), make([]float64, rows*cols)
	for i := range watts {
		watts[i] = rng.Float64()
		r, c := i/cols, i%cols
		mirrored[(rows-1-r)*cols+cols-1-c] = watts[i]
		turned[c*rows+r] = watts[i]
	}
	for _, m := range []Method{Split, Implicit} {
		run := func(rows, cols int, w []float64, dt float64) []float64 {
			p := board(rows, cols, 3)
			p.Front.Length, p.Back.Length = 0.1, 0.1
			p.Method = m
			n := mustNew(t, p)
			for range 20 {
				if err := n.Step(t.Context(), dt, &FixedPower{w}); err != nil {
					t.Fatal(err)
				}
			}
			return n.rise
		}
		const dt = 0.3
		a, b, c := run(rows, cols, watts, dt), run(rows, cols, mirrored, dt), run(cols, rows, turned, dt)
		worstMirror, worstTurn := 0.0, 0.0
		for l := range 3 {
			for i := range watts {
				r, k := i/cols, i%cols
				o := l * rows * cols
				worstMirror = math.Max(worstMirror, math.Abs(a[o+i]-b[o+(rows-1-r)*cols+cols-1-k]))
				worstTurn = math.Max(worstTurn, math.Abs(a[o+i]-c[o+k*rows+r]))
			}
		}
		// Rows and columns commute on a uniform board, so even the splitting
		// has no preferred direction.
		if worstMirror > 1e-10 || worstTurn > 1e-9 {
			t.Errorf("%s: mirrored %.2g K, turned %.2g K off", m, worstMirror, worstTurn)
		}
	}
}

// Without any exposed face heat only spreads: the mean rise is energy over
// capacity, and everything ends at it.
func TestAdiabatic(t *testing.T) {
	p := board(6, 5, 3)
	for l := range p.Layers {
		p.Layers[l].Front, p.Layers[l].Back = 0, 0
	}
	watts := make([]float64, 30)
	watts[7] = 1
	for _, m := range []Method{auto, Split, Implicit} {
		p.Method = m
		n := mustNew(t, p)
		for range 50 {
			if err := n.Step(t.Context(), 0.5, &FixedPower{watts}); err != nil {
				t.Fatal(err)
			}
		}
		near(t, string(m)+" stored", n.Balance().Stored, 25, 1e-9)
		rest := &FixedPower{make([]float64, 30)}
		for range 40 {
			if err := n.Step(t.Context(), 200, rest); err != nil {
				t.Fatal(err)
			}
		}
		want := 25 / (30 * (0.2 + 0.4 + 0.7))
		for i, r := range n.rise {
			if math.Abs(r-want) > 1e-3*want {
				t.Fatalf("%s: node %d at %g K, want %g", m, i, r, want)
			}
		}
		if _, err := n.Steady(t.Context(), &FixedPower{watts}); err == nil {
			t.Error("a board that loses nothing has no steady state")
		}
	}
}

// The quick look at the hottest turn is never below it, whatever the stages, with coils that
// feed themselves and states that were put in.
func TestQuickLookAtTurns(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 8))
	for range 40 {
		p := board(2, 3, 1+rng.IntN(3))
		p.Alpha = 0.00393
		for _, time := range StageTimes()[rng.IntN(6):] {
			p.Stages = append(p.Stages, Stage{Time: time, Mean: rng.NormFloat64(), Hottest: 3 * rng.NormFloat64(), Again: rng.NormFloat64()})
		}
		if rng.IntN(2) == 0 { // what the quick look tells exactly but for its factor
			p.Alpha, p.Stages = 0, []Stage{{Time: 1e-3, Mean: 20, Hottest: 50}}
		}
		n := mustNew(t, p)
		load := &CurrentDrive{Copper: Copper{3, 0.00393}, Amps: 3 * rng.Float64(), Share: make([]float64, 6)}
		if rng.IntN(2) == 0 {
			state := make([][]float64, n.States())
			for i := range state {
				state[i] = slices.Repeat([]float64{p.Ambient}, 6)
				if i >= len(p.Layers) {
					state[i][rng.IntN(6)] = -5 + 10*rng.Float64()
				}
			}
			n.StartFrom(state)
		}
		for range 60 {
			for i := range load.Share {
				load.Share[i] = float64(rng.IntN(2))
			}
			if n.Step(t.Context(), math.Pow(10, -4+4*rng.Float64()), load) != nil {
				break
			}
			if turn, _ := n.HottestTurn(); turn-p.Ambient > n.mostTurn()+1e-9 {
				t.Fatalf("the hottest turn rises by %g K, at most %g K by the quick look: %+v", turn-p.Ambient, n.mostTurn(), p.Stages)
			}
		}
	}
}

// A rise, a power or a state that is no number is not lost among those after it.
func TestQuickLookKeepsNaN(t *testing.T) {
	p := board(2, 3, 1)
	p.Stages = []Stage{{Time: 0.1, Mean: 1, Hottest: 2}}
	for name, spoil := range map[string]func(n *Network){
		"power": func(n *Network) { n.coil.follow([]float64{1, math.NaN(), 2}) },
		"rise":  func(n *Network) { n.rise[1] = math.NaN() },
	} {
		n := mustNew(t, p)
		if spoil(n); !math.IsNaN(n.mostTurn()) {
			t.Errorf("%s: the quick look tells %g K", name, n.mostTurn())
		}
	}
}

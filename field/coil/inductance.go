package coil

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/field"
)

// cornerChords is the number of chords that stand for a quarter arc of a rounded
// square in inductances.
const cornerChords = 4

// filaments returns a closed turn as straight filaments at z = 0, the quarter arcs
// of a rounded square as that many chords.
func (s Spec) filaments(t turn, chords int) []Filament {
	points := lift(s.straightened(t, chords), 0)
	f := make([]Filament, 0, len(points))
	for i, p := range points {
		q := points[(i+1)%len(points)]
		if r3.Norm(r3.Sub(q, p)) > 1e-9*t.apothem {
			f = append(f, Filament{p, q})
		}
	}
	return f
}

// rings holds what mutual inductances between closed turns need of each turn.
type rings struct {
	spec      Spec
	turns     []turn
	filaments [][]Filament // of straight-sided turns
}

func (s Spec) rings(turns []turn, chords int) rings {
	r := rings{spec: s, turns: turns}
	if s.Shape != Round {
		for _, t := range turns {
			r.filaments = append(r.filaments, s.filaments(t, chords))
		}
	}
	return r
}

// length is the length of a closed turn.
func (s Spec) ringLength(t turn) float64 {
	switch s.Shape {
	case Round:
		return 2 * math.Pi * t.apothem
	case Hexagon:
		return 4 * math.Sqrt(3) * t.apothem
	case RoundedSquare:
		return 8*t.apothem - (8-2*math.Pi)*min(t.corner, t.apothem)
	}
	return 8 * t.apothem
}

// mutual is the mutual inductance of turns i and j as thin filaments, their planes
// d apart.
func (r rings) mutual(i, j int, d float64) float64 {
	if r.spec.Shape == Round {
		return LoopMutual(r.turns[i].apothem, r.turns[j].apothem, d)
	}
	// All the sides of one turn have the same mutual inductance to the whole of the
	// other; take one (of a rounded square: one side and corner).
	sum := 0.0
	a, b := r.filaments[i], r.filaments[j]
	part := len(a) / r.spec.sides() // every side yields as many
	for _, p := range a[:part] {
		p.From.Z, p.To.Z = d, d
		for _, q := range b {
			sum += FilamentMutual(p, q)
		}
	}
	return float64(r.spec.sides()) * sum
}

// self is the self-inductance of turn i, its cross-section at the geometric mean
// distance gmd from itself.
func (r rings) self(i int, gmd float64) float64 {
	if r.spec.Shape == Round {
		return LoopSelf(r.turns[i].apothem, gmd)
	}
	if r.spec.Shape == RoundedSquare {
		// Neighbouring chords are pieces of one curve and see each other across the
		// same distance as a piece sees itself.
		return r.mutual(i, i, gmd)
	}
	sum := 0.0
	a := r.filaments[i]
	for k, q := range a {
		p := a[0]
		if k == 0 {
			p.From.Z, p.To.Z = gmd, gmd
		}
		sum += FilamentMutual(p, q)
	}
	return float64(len(a)) * sum
}

// pair returns the mutual inductance of two layers' closed turns, z apart (0 for a
// layer with itself). Widths of the tracks are in: by the geometric mean distance
// for a turn with itself, by that of two rectangles for two turns.
func (r rings) pair(t1, t2, z float64) float64 {
	w := r.spec.Track
	gmd := 0.0
	if z == 0 {
		gmd = RectangleGMD(w, t1)
	}
	// The distance of turns k apart is the same for all but a last partial turn.
	apart := make([]float64, len(r.turns))
	for k := range apart {
		if k > 0 || z != 0 {
			apart[k] = spread(w, t1, t2, r.turns[0].apothem-r.turns[k].apothem, z)
		}
	}
	sum := 0.0
	for i := range r.turns {
		for j := 0; j <= i; j++ {
			var m float64
			if i == j && z == 0 {
				m = r.self(i, gmd)
			} else {
				length := math.Sqrt(r.spec.ringLength(r.turns[i]) * r.spec.ringLength(r.turns[j]))
				m = r.mutual(i, j, z) - field.Mu0/(2*math.Pi)*length*apart[i-j]
			}
			if i != j {
				m *= 2
			}
			sum += m * r.turns[i].weight * r.turns[j].weight
		}
	}
	return sum
}

// LayerInductanceMatrix returns the self and mutual inductances of the layers in
// henries, all currents counted the way they run: every entry is positive. Each
// layer is its closed turns with uniform current over rectangular tracks.
//
// Round turns: Maxwell's coaxial loops with a geometric-mean-distance self term.
// Straight-sided turns: partial inductances of all pairs of straight filaments.
func (c *Coil) LayerInductanceMatrix() *mat.SymDense {
	type key struct{ t1, t2, z float64 }
	layers := c.spec.Layers
	r := c.spec.rings(c.turns, cornerChords)
	known := map[key]float64{}
	m := mat.NewSymDense(len(layers), nil)
	for i := range layers {
		for j := i; j < len(layers); j++ {
			t1, t2 := layers[i].Copper, layers[j].Copper
			z := math.Round(math.Abs(layers[i].Z-layers[j].Z)*1e12) / 1e12 // even stacks repeat their distances
			k := key{min(t1, t2), max(t1, t2), z}
			v, ok := known[k]
			if !ok {
				v = r.pair(t1, t2, z)
				known[k] = v
			}
			m.SetSym(i, j, v)
		}
	}
	return m
}

// groupInductances sums the layer matrix into that of the groups in series.
func (c *Coil) groupInductances() *mat.SymDense {
	layers := c.LayerInductanceMatrix()
	n := c.wiring.groups
	m := mat.NewSymDense(n, nil)
	for i := range c.spec.Layers {
		for j := range c.spec.Layers {
			a, b := i/c.wiring.perGroup, j/c.wiring.perGroup
			if a <= b {
				m.SetSym(a, b, m.At(a, b)+layers.At(i, j))
			}
		}
	}
	return m
}

// ClosedTurns is by which share Inductance may be off, its turns being closed: at most that
// of single layers against the spiral itself by Neumann's integral.
const ClosedTurns = 0.015

// Inductance returns the inductance between the terminals in henries, links and
// vias left out. Parallel groups share the current by their resistances, as they do
// whenever it changes slower than the groups can trade it between themselves: over
// L/R of the coil, at the test frequency of a bench meter, and in Source. The value
// is twice the energy of the field at one ampere.
func (c *Coil) Inductance() float64 { return c.inductance() }

// InductanceFast returns the inductance in henries in the first moments of a voltage
// step, and for ripple far above R/L: parallel groups share the current by equal
// voltage, 1/(1ᵀ M⁻¹ 1) with M the matrix of the groups. It is never above
// Inductance and equal to it for one group. Skin and proximity effect are left out.
func (c *Coil) InductanceFast() float64 {
	m := c.groupInductances()
	n := c.wiring.groups
	var chol mat.Cholesky
	if !chol.Factorize(m) {
		return math.NaN() // an inductance matrix is positive definite
	}
	ones := mat.NewVecDense(n, nil)
	for i := range n {
		ones.SetVec(i, 1)
	}
	var x mat.VecDense
	if err := chol.SolveVecTo(&x, ones); err != nil {
		return math.NaN()
	}
	return 1 / mat.Dot(ones, &x)
}

// InductanceOnSteel returns the inductance in henries with the flat face of steel in
// the plane z = face (m) behind the coil, by the coil's mirror image times factor: 1
// for steel without bounds, field.ImageFactor for a permeability, or a factor measured
// on the bench. The steel must be wide and thick against the coil and not saturate;
// eddy currents, which undo the gain as the frequency rises, are left out.
func (c *Coil) InductanceOnSteel(face, factor float64) float64 {
	return c.Inductance() + factor*c.MutualWithImage(face)
}

// MutualWithImage returns the mutual inductance in henries of the coil and its whole
// mirror image in the plane z = face (m) behind it; a face within the copper, of a board
// whose copper came out thicker than drawn, lies against it.
func (c *Coil) MutualWithImage(face float64) float64 {
	back := c.spec.Layers[len(c.spec.Layers)-1]
	face = min(face, back.Z-back.Copper/2)
	r := c.spec.rings(c.turns, cornerChords)
	known := map[float64]float64{}
	sum := 0.0
	for i, a := range c.spec.Layers {
		for j, b := range c.spec.Layers {
			z := math.Round((a.Z+b.Z-2*face)*1e12) / 1e12
			m, ok := known[z]
			if !ok {
				// So far apart that the copper's thickness does not show.
				m = r.pair(a.Copper, b.Copper, z)
				known[z] = m
			}
			sum += c.share[i] * c.share[j] * m
		}
	}
	return sum
}

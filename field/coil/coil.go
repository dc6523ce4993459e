package coil

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"sync"

	"gonum.org/v1/gonum/mat"
)

// Coil is one flat coil, checked and worked out. It does not change after New and
// may be shared between goroutines.
type Coil struct {
	spec   Spec
	wiring wiring
	turns  []turn // closed turns of one layer, outermost first
	route  route
	// lengths are the track lengths of the layers with their links, m.
	lengths []float64
	// share is the part of the terminals' current in each layer, by resistance;
	// network is the resistance over the resistivity, 1/m.
	share   []float64
	network float64
	// inductance is that between the terminals, H, worked out when first asked for.
	inductance func() float64
}

// turn is one closed turn, or with a weight below 1 the last piece of a spiral that
// ends in mid-turn, spread over the whole way round.
type turn struct {
	apothem float64 // middle of the track to the axis: a circle's radius, half a square's side
	corner  float64 // radius of the track's middle at the corners, rounded square only
	weight  float64 // share of the turn that is there
}

// New checks a spec against a board house's rules, works out what the spec leaves
// open, and returns the coil. The error is a *param.Error that names the rule and the
// value that would pass.
func New(s Spec, r Rules) (*Coil, error) {
	s.ParallelGroups = cmp.Or(s.ParallelGroups, 1)
	s.ViaRing = cmp.Or(s.ViaRing, r.ViaRing)
	s.Layers = append([]Layer(nil), s.Layers...)
	if err := s.check(); err != nil {
		return nil, err
	}
	if err := r.check(s); err != nil {
		return nil, err
	}
	c := &Coil{spec: s, wiring: wiring{s.ParallelGroups, len(s.Layers) / s.ParallelGroups}}
	if err := c.fit(); err != nil {
		return nil, err
	}
	c.complete()
	return c, nil
}

// complete works out what follows from a coil's spec and wiring.
func (c *Coil) complete() {
	c.plan()
	c.turns = c.closedTurns()
	c.measure()
	c.inductance = sync.OnceValue(func() float64 {
		s := mat.NewVecDense(len(c.share), c.share)
		return mat.Inner(s, c.LayerInductanceMatrix(), s)
	})
	c.solve()
}

// Made is the coil as it comes out of the bath: tracks narrower by etch (m) than drawn, in
// the same places, and each kind of layer's copper times a factor, the first and the last of
// a board of layers being its outer ones. The error is a *param.Error.
func (c *Coil) Made(etch, outer, inner float64, layers int) (*Coil, error) {
	if etch == 0 && outer == 1 && inner == 1 {
		return c, nil
	}
	m := &Coil{spec: c.spec, wiring: c.wiring}
	s := &m.spec
	if !(s.Track > etch && s.Gap > -etch) {
		return nil, params.Refuse("etch", etch, "", fmt.Sprintf("more than -%s and less than %s, the gap and the track as drawn", mm(s.Gap), mm(s.Track)))
	}
	s.Track, s.Gap, s.Outer, s.Inner = s.Track-etch, s.Gap+etch, s.Outer-etch, s.Inner+etch
	s.Layers = slices.Clone(s.Layers)
	for i := range s.Layers {
		if i == 0 || i == layers-1 {
			s.Layers[i].Copper *= outer
		} else {
			s.Layers[i].Copper *= inner
		}
	}
	m.complete()
	return m, nil
}

// fit works out the turns and the free middle.
func (c *Coil) fit() error {
	s := &c.spec
	need, why := s.Inner, fmt.Sprintf("inner asks for a free middle of %s", mm(s.Inner))
	if n := c.wiring.inner(); n > 0 {
		pad := s.pad()
		vias := hole(n, pad, s.Gap)
		text := fmt.Sprintf("the middle must hold %d vias of %s drill in %s of copper, %s apart on a ring, which takes %s",
			n, mm(s.ViaDrill), mm(pad), mm(s.Gap), mm(vias))
		if s.Inner > 0 && s.Inner < vias*(1-slack) {
			return params.Refuse("inner", nil,
				fmt.Sprintf("%s holds %d vias; %s", mm(s.Inner), capacity(s.Inner, pad, s.Gap), text),
				fmt.Sprintf("%s or more", mmUp(vias)))
		}
		if vias > need {
			need, why = vias, text
		}
	}
	if n := c.wiring.outer(); n > 0 {
		if most := around(s.Outer, s.pad(), s.Gap); most < n {
			return params.Refuse("outer", nil,
				fmt.Sprintf("the edge of %s has room for %d vias of %s in copper; %d layers in %d groups need %d", mm(s.Outer), most, mm(s.pad()), len(s.Layers), s.ParallelGroups, n),
				fmt.Sprintf("%s or more", mmUp(edgeFor(n, s.pad(), s.Gap))))
		}
	}
	room := s.turnsTo(need)
	if room < 1-slack {
		return params.Refuse("outer", nil,
			fmt.Sprintf("%s leaves no room for one turn of %s track and %s gap: %s", mm(s.Outer), mm(s.Track), mm(s.Gap), why),
			fmt.Sprintf("%s or more", mmUp(need+2*s.Track+2*s.pitch())))
	}
	if s.Turns == 0 {
		// Half turns: then the joints of layers at the edge stand together.
		s.Turns = math.Floor(2*room*(1+slack)) / 2
		if s.Turns > maxTurns {
			return params.Refuse("outer", nil, fmt.Sprintf("%s holds %g turns", mm(s.Outer), s.Turns), fmt.Sprintf("a size for %d turns or fewer", maxTurns))
		}
	} else if s.Turns > room*(1+slack) {
		return params.Refuse("turns", nil,
			fmt.Sprintf("%g turns of %s track and %s gap do not fit in %s: %s", s.Turns, mm(s.Track), mm(s.Gap), mm(s.Outer), why),
			fmt.Sprintf("%s or fewer", floor(room)))
	}
	s.Inner = max(0, s.Outer-2*s.Track-2*s.pitch()*s.wholeSides(s.Turns))
	return nil
}

// pitch is the distance from one track's middle to the next.
func (s Spec) pitch() float64 { return s.Track + s.Gap }

// pad is the diameter of the copper of a via.
func (s Spec) pad() float64 { return s.ViaDrill + 2*s.ViaRing }

// sides is the number of straight sides of a turn; 0 for a circle.
func (s Spec) sides() int {
	switch s.Shape {
	case Square, RoundedSquare:
		return 4
	case Hexagon:
		return 6
	}
	return 0
}

// wholeSides rounds a number of turns up to whole sides: a polygon's track moves in
// by a share of the pitch at each corner.
func (s Spec) wholeSides(turns float64) float64 {
	m := float64(s.sides())
	if m == 0 {
		return turns
	}
	return math.Ceil(turns*m*(1-slack)) / m
}

// turnsTo returns how many turns fit outside a free middle of that size, in whole
// sides of a polygon.
func (s Spec) turnsTo(inner float64) float64 {
	n := (s.Outer - inner - 2*s.Track) / (2 * s.pitch())
	if m := float64(s.sides()); m > 0 {
		return math.Floor(n*m*(1+slack)) / m
	}
	return n
}

// closedTurns returns the closed turns that stand for the spirals: each at the middle
// of the band its turn covers, the same for every layer. What the layers' spirals
// differ by, the turns they fall short of Spec.Turns and where on a side they begin,
// enters as the mean.
func (c *Coil) closedTurns() []turn {
	s := c.spec
	n := float64(len(s.Layers))
	first, sweep := s.Outer/2-s.Track/2, 0.0
	for i := range s.Layers {
		sweep += c.route.sweep(i) / n
		if m := float64(s.sides()); m > 0 {
			// The spiral steps in at corners; half a side before its first step it is
			// where a spiral that moves in steadily has begun.
			start := c.outside(i)
			gone := start*m + 0.5 - float64(s.sideAt(start)) // of the side it begins on
			first += s.pitch() / m * (0.5 - gone) / n
		}
	}
	var turns []turn
	for from := 0.0; from < sweep*(1-slack); from++ {
		to := min(from+1, sweep)
		t := turn{apothem: first - s.pitch()*(from+to)/2, weight: to - from}
		if s.Shape == RoundedSquare {
			t.corner = s.cornerAt(t.apothem)
		}
		turns = append(turns, t)
	}
	return turns
}

// cornerAt returns the radius of the track's middle at the corners of a rounded
// square: arcs of neighbouring turns share their centre, until the inner edge of
// the track would turn sharp.
func (s Spec) cornerAt(apothem float64) float64 {
	return max(s.CornerRadius-(s.Outer/2-apothem), s.Track/2)
}

// Spec returns the spec with everything it left open worked out: Inner, Turns,
// ParallelGroups and ViaRing.
func (c *Coil) Spec() Spec {
	s := c.spec
	s.Layers = append([]Layer(nil), s.Layers...)
	return s
}

// TotalTurns returns the turns of all layers together, whatever their grouping.
func (c *Coil) TotalTurns() float64 { return c.spec.Turns * float64(len(c.spec.Layers)) }

// Radial reports whether the field of the closed turns is axisymmetric.
func (c *Coil) Radial() bool { return c.spec.Shape == Round }

// mmUp prints a length that must not be undercut: rounded up to 0.1 µm.
func mmUp(v float64) string {
	return fmt.Sprintf("%g mm", math.Ceil(v*1e7*(1-slack))/1e4)
}

// floor prints a number of turns rounded down to hundredths.
func floor(turns float64) string { return fmt.Sprintf("%g", math.Floor(turns*100*(1+slack))/100) }

package heat

import (
	"math"
)

// Network is a board's thermal network and its present temperatures.
type Network struct {
	p      Params
	rows   int
	cols   int
	layers int
	pixels int // rows*cols
	nodes  int // layers*pixels; node index layer*pixels + pixel

	capacity []float64 // J/K per node
	east     []float64 // W/K per node, to the pixel on its right
	south    []float64 // W/K per node, to the pixel below
	down     []float64 // W/K per node, to the layer behind
	exposed  []exposure
	rim      []rimNode
	rimTable *fluxTable
	front    *fluxTable // nil where no layer is exposed
	back     *fluxTable

	rise []float64 // K above Ambient, per node: the state

	// Rates in 1/s from conductances alone, for choosing schemes.
	lateralRate float64 // greatest 4 G/C of a layer
	stackRate   float64 // greatest (conductance through the stack and to the air)·2/C
	slowest     float64 // 1/s, about: what the whole board loses over its capacity
	fastest     float64 // greatest sum of all conductances of a node over its capacity

	at     sample // the present evaluation, reused
	kelvin []float64
	coil   coilModel
	turns  []float64    // K per pixel, see Turns
	means  []float64    // K per pixel, see Coils
	spots  [2][]float64 // K per pixel, see Spots

	balance ledger

	split     *splitStepper
	implicit  *implicitStepper
	saved     []float64
	savedCoil [][]float64
}

// exposure is one layer's area open to one face.
type exposure struct {
	layer int
	table *fluxTable
	area  float64 // m² per pixel
}

// rimNode is a node with sides that have no neighbour.
type rimNode struct {
	node int
	area float64 // m²
}

// New builds a network, all of it at Ambient, of parameters as a design gives them.
func New(p Params) *Network {
	p.Layers = append([]Layer(nil), p.Layers...)
	p.defaults()
	n := &Network{p: p, rows: p.Rows, cols: p.Cols, layers: len(p.Layers), pixels: p.Rows * p.Cols}
	n.nodes = n.layers * n.pixels
	n.capacity = make([]float64, n.nodes)
	n.east = make([]float64, n.nodes)
	n.south = make([]float64, n.nodes)
	n.down = make([]float64, n.nodes)
	n.rise = make([]float64, n.nodes)
	n.at = newSample(n)
	n.own()
	for l := range p.Layers {
		n.buildLayer(l)
	}
	n.buildRim()
	n.findRates()
	n.Start(p.Ambient)
	return n
}

// Twin returns a network of the same parameters, all of it at Ambient, that shares
// with n only what nothing writes to: conductances and the tables of the films.
func (n *Network) Twin() *Network {
	t := *n
	t.rise, t.at = make([]float64, n.nodes), newSample(n)
	t.own()
	t.split, t.implicit, t.saved = nil, nil, nil
	t.Start(n.p.Ambient)
	return &t
}

// own makes what a network does not share with its twins.
func (n *Network) own() {
	n.kelvin = make([]float64, n.nodes)
	n.means, n.turns = make([]float64, n.pixels), make([]float64, n.pixels)
	n.spots[0], n.spots[1] = make([]float64, n.pixels), make([]float64, n.pixels)
	n.coil, n.savedCoil = newCoilModel(n), nil
}

func (n *Network) buildLayer(l int) {
	layer := &n.p.Layers[l]
	base := l * n.pixels
	for p := range n.pixels {
		n.capacity[base+p] = layer.Capacity
		if (p+1)%n.cols != 0 {
			n.east[base+p] = layer.Lateral
		}
		if p+n.cols < n.pixels {
			n.south[base+p] = layer.Lateral
		}
		if l+1 < n.layers {
			n.down[base+p] = layer.Down
		}
	}
	n.expose(l, layer.Front, &n.front, &n.p.Front)
	n.expose(l, layer.Back, &n.back, &n.p.Back)
}

// coldest is the lowest temperature in kelvin that a run may meet; the faces are
// tabulated down to it.
const coldest = 100

func (n *Network) table(f *Film) *fluxTable {
	return newFluxTable(f, n.p.Ambient, n.p.Surroundings, coldest-n.p.Ambient, 1.5*(n.p.Ceiling-n.p.Ambient))
}

func (n *Network) expose(l int, area float64, table **fluxTable, f *Film) {
	if area == 0 {
		return
	}
	if *table == nil {
		*table = n.table(f)
	}
	n.exposed = append(n.exposed, exposure{l, *table, area})
}

func (n *Network) buildRim() {
	for l := range n.p.Layers {
		side := n.p.Layers[l].Rim
		if side == 0 {
			continue
		}
		if n.rimTable == nil {
			n.rimTable = n.table(&n.p.Edge)
		}
		for p := range n.pixels {
			r, c := p/n.cols, p%n.cols
			open := 0
			for _, end := range []bool{c == 0, c == n.cols-1, r == 0, r == n.rows-1} {
				if end {
					open++
				}
			}
			if open > 0 {
				n.rim = append(n.rim, rimNode{l*n.pixels + p, float64(open) * side})
			}
		}
	}
}

// findRates bounds the rates that the choice of scheme goes by. The loss enters
// with its steepest slope below half the way to the ceiling.
func (n *Network) findRates() {
	loss := make([]float64, n.nodes)
	for _, e := range n.exposed {
		_, s := e.table.at((n.p.Ceiling - n.p.Ambient) / 2)
		for p := range n.pixels {
			loss[e.layer*n.pixels+p] += s * e.area
		}
	}
	for _, r := range n.rim {
		_, s := n.rimTable.at((n.p.Ceiling - n.p.Ambient) / 2)
		loss[r.node] += s * r.area
	}
	for i := range n.nodes {
		p := i % n.pixels
		c := n.capacity[i]
		x := n.east[i]
		if p%n.cols > 0 {
			x += n.east[i-1]
		}
		y := n.south[i]
		if p >= n.cols {
			y += n.south[i-n.cols]
		}
		v := n.down[i] + loss[i]
		if i >= n.pixels {
			v += n.down[i-n.pixels]
		}
		n.lateralRate = math.Max(n.lateralRate, 2*math.Max(x, y)/c)
		n.stackRate = math.Max(n.stackRate, 2*v/c)
		n.fastest = math.Max(n.fastest, (x+y+v)/c)
	}
	n.slowest = n.slowestGuess()
}

// Params returns the parameters with the defaults filled in. Its slices are the
// network's own: read them only.
func (n *Network) Params() Params { return n.p }

// Start sets every node to a temperature in kelvin and opens a new energy
// balance.
func (n *Network) Start(temperature float64) {
	rise := temperature - n.p.Ambient
	for i := range n.rise {
		n.rise[i] = rise
	}
	for _, x := range n.coil.state {
		clear(x)
	}
	n.restart()
}

// States is the number of slices that State has: one per layer and one per stage.
func (n *Network) States() int { return n.layers + len(n.coil.stages) }

// State returns part i of all that the network knows, Rows*Cols values that stay valid
// until the next call for the same part: the temperatures of layer i in kelvin, and
// after the layers the watts of the stages.
func (n *Network) State(i int) []float64 {
	if i < n.layers {
		return n.Temperatures(i)
	}
	return n.coil.state[i-n.layers]
}

// Forgets is about the rate in 1/s at which the longest-lived pattern of temperature dies away.
func (n *Network) Forgets() float64 { return n.slowest }

// Kelvin is by how many kelvin a unit of part i of State changes a temperature at most.
func (n *Network) Kelvin(i int) float64 {
	if i < n.layers {
		return 1
	}
	return math.Max(math.Abs(n.coil.stages[i-n.layers].Mean), math.Abs(n.coil.stages[i-n.layers].Hottest))
}

// StartFrom sets the state, as State tells it, and opens a new energy balance.
func (n *Network) StartFrom(state [][]float64) {
	for l, t := range state[:n.layers] {
		for p, v := range t {
			n.rise[l*n.pixels+p] = v - n.p.Ambient
		}
	}
	n.coil.restore(state[n.layers:])
	n.restart()
	for _, x := range n.coil.state {
		n.coil.follow(x)
	}
}

func (n *Network) restart() {
	n.coil.reach = 0
	n.balance.open(n.energy())
}

// Temperatures returns the temperatures of a layer in kelvin, Rows*Cols values
// that stay valid until the next call for the same layer.
func (n *Network) Temperatures(layer int) []float64 {
	lo, hi := layer*n.pixels, (layer+1)*n.pixels
	out := n.kelvin[lo:hi]
	for i, r := range n.rise[lo:hi] {
		out[i] = r + n.p.Ambient
	}
	return out
}

// Coils returns the mean temperature of every pixel's copper in kelvin, Rows*Cols
// values that stay valid until the next call; Turns that of its hottest turn.
func (n *Network) Coils() []float64 {
	for p, r := range n.rise[n.p.Heated*n.pixels:][:n.pixels] {
		n.means[p] = r + n.p.Ambient
	}
	n.coil.above(n.coil.offset)
	for p, v := range n.coil.offset {
		n.means[p] += v
	}
	return n.means
}

// Turns returns the temperature of every pixel's hottest turn; see Coils and Stage.
func (n *Network) Turns() []float64 {
	for p, r := range n.rise[n.p.Heated*n.pixels:][:n.pixels] {
		_, n.turns[p] = n.coil.reading(p, r+n.p.Ambient)
	}
	return n.turns
}

// HottestTurn returns the highest of Turns and its pixel.
func (n *Network) HottestTurn() (temperature float64, pixel int) { return hottest(n.Turns()) }

// Spots returns for every pixel the temperature in kelvin just behind its hottest spot
// of the front, or of the back: that of the layer which shows there and what the coil
// adds. It is -Inf where no layer shows.
func (n *Network) Spots(front bool) []float64 {
	side := 0
	if !front {
		side = 1
	}
	out := n.spots[side]
	for p := range out {
		out[p] = math.Inf(-1)
	}
	for i := range n.exposed {
		e := &n.exposed[i]
		if (e.table == n.front) != front {
			continue
		}
		for p, r := range n.rise[e.layer*n.pixels:][:n.pixels] {
			out[p] = math.Max(out[p], r+n.p.Ambient)
		}
	}
	for k, s := range n.coil.stages {
		f := s.Front
		if !front {
			f = s.Back
		}
		for p, x := range n.coil.state[k] {
			out[p] += f * x
		}
	}
	return out
}

// Surface returns the temperature in kelvin of the outer surface in front of
// (or behind) a node of the temperature given: what a hand would touch. Behind a sealed
// gap and a plate clamped on nothing of the face can be; of a case it is the outside.
func (n *Network) Surface(face *Film, node float64) float64 {
	if b := face.Behind; b != nil && b.Kind != Wall {
		if b.Kind == Case {
			_, outer := face.intoCase(node-n.p.Ambient, n.p.Ambient, n.p.Surroundings)
			return n.p.Ambient + outer
		}
		return n.p.Ambient
	}
	_, s := face.Flux(node, n.p.Ambient, n.p.Surroundings)
	return s
}

// Touch returns the hottest surface that a hand can reach, in kelvin: the pane in
// front of the board, or whatever forms the back, at its hottest spot.
func (n *Network) Touch() float64 { return n.Over(n.HottestSpots()) }

// HottestSpots returns the highest of Spots of the front and of the back.
func (n *Network) HottestSpots() (behind [2]float64) {
	for side := range behind {
		behind[side], _ = hottest(n.Spots(side == 0))
	}
	return behind
}

// Over is the hottest surface that a hand can reach, in kelvin, with spots of so many behind
// the front and the back; -Inf where no layer shows.
func (n *Network) Over(behind [2]float64) float64 {
	hottest := 0.0
	for side, film := range []*Film{&n.p.Front, &n.p.Back} {
		if !math.IsInf(behind[side], -1) {
			hottest = max(hottest, n.Surface(film, behind[side]))
		}
	}
	return hottest
}

// energy returns Σ C·rise in joules.
func (n *Network) energy() float64 {
	sum := 0.0
	for i, r := range n.rise {
		sum += n.capacity[i] * r
	}
	return sum
}

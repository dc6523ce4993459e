package heat

import (
	"cmp"

	"lodegrid/field/param"
)

// params names this package in the errors of its parameters.
const params = param.Of("heat")

// Method names a time-stepping scheme.
type Method string

// The schemes; see step.go for what each is good at.
const (
	auto     Method = ""         // the board and the step length decide
	Split    Method = "split"    // symmetric splitting into tridiagonal sweeps, one step per call
	Implicit Method = "implicit" // linearly implicit, whole board at once, one step per call
)

// MaxLayers is the most that New takes.
const MaxLayers = 4

// Params describes a network. Areas, capacities and conductances are per pixel.
type Params struct {
	Rows, Cols int

	Ambient      float64 // K, of the air
	Surroundings float64 // K, of the walls that radiation goes to; 0 = Ambient

	Layers []Layer // front first, 1 … MaxLayers
	Heated int     // the layer that holds the coils and takes the power

	// Stages are how a coil is warmer than its node; none for a coil that is as warm.
	Stages []Stage
	Alpha  float64 // 1/K, of the copper's resistance at 20 °C, for its hottest turn
	// StagesError is how far the stages are from what they stand for, in parts of the
	// hottest turn's rise; for the record.
	StagesError float64

	Front, Back, Edge Film // the faces; one that no layer exposes may stay empty

	// Ceiling is the temperature in kelvin of any node above which a run stops
	// with a *RunawayError; 0 = 700 K, well past any laminate.
	Ceiling float64

	Method Method // auto unless a test or a comparison wants one scheme
	// Tolerance is the error in kelvin that auto aims at: in each internal step of
	// a long one, and over a run of short ones (see splitStep); 0 = 0.01 K.
	Tolerance float64
}

// Layer is one layer of the stack.
type Layer struct {
	Capacity float64 // J/K
	Lateral  float64 // W/K between neighbouring pixels
	Down     float64 // W/K to the next layer behind; not used by the last layer

	Front float64 // m², area exposed to the front air
	Back  float64 // m², area exposed to the back air
	Rim   float64 // m², area per pixel side that has no neighbour, cooled as Edge
}

// defaults fills in what is left at 0.
func (p *Params) defaults() {
	p.Surroundings = cmp.Or(p.Surroundings, p.Ambient)
	p.Ceiling = cmp.Or(p.Ceiling, 700)
	p.Tolerance = cmp.Or(p.Tolerance, 0.01)
}

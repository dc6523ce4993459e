package heat

import (
	"cmp"
	"context"
	"math"

	"lodegrid/field/root"
)

// StefanBoltzmann is σ in W/(m²·K⁴), exact in the SI of 2019 to the digits shown.
const StefanBoltzmann = 5.670374419e-8

// Orientation is the way a surface looks.
type Orientation string

// The orientations of a surface. A board that lies face up has a front face up
// and a back face down.
const (
	Vertical Orientation = "vertical"
	FaceUp   Orientation = "face-up"
	FaceDown Orientation = "face-down"
)

// Opposite returns the way the other side of a board looks.
func (o Orientation) Opposite() Orientation {
	switch o {
	case FaceUp:
		return FaceDown
	case FaceDown:
		return FaceUp
	}
	return o
}

// Film is how one face of the board gives heat to the air and to the room.
type Film struct {
	Orientation Orientation // the way the face looks; Vertical when empty
	Length      float64     // m: height of a vertical face, area ÷ perimeter of a level one
	AirSpeed    float64     // m/s, forced flow along the face; 0 = still air
	FlowLength  float64     // m, length of the face along the flow; 0 = Length
	Emissivity  float64     // 0…1; 0 = no radiation
	Insulation  float64     // m²·K/W in series with the face (pane and tank); 0 = bare
	Convected   float64     // factor on what the correlations tell; 0 = 1
	Coefficient float64     // W/(m²·K); more than 0 replaces the correlations by this constant
	Behind      *Behind     // what stands behind the face; nil = free air
	Air         *Air        // properties to use at every temperature; nil = AirAt(film temperature)
}

// Convection returns the film coefficient in W/(m²·K) between a surface and the
// air, both in kelvin.
func (f *Film) Convection(surface, ambient float64) float64 {
	if f.Coefficient > 0 {
		return f.Coefficient
	}
	air := f.airAt((surface + ambient) / 2)
	ra := Rayleigh(air, surface-ambient, f.Length)
	hot := surface >= ambient
	var nu float64
	switch {
	case f.Orientation == FaceUp && hot, f.Orientation == FaceDown && !hot:
		nu = NusseltHotUp(ra)
	case f.Orientation == FaceUp, f.Orientation == FaceDown:
		nu = NusseltHotDown(ra)
	default:
		nu = NusseltVertical(ra, air.Prandtl)
	}
	if f.AirSpeed > 0 {
		along := cmp.Or(f.FlowLength, f.Length)
		forced := NusseltForced(f.AirSpeed*along/air.Viscosity, air.Prandtl)
		// Both Nusselt numbers on Length, so that they can be combined.
		nu = NusseltMixed(nu, forced*f.Length/along)
	}
	if f.Convected > 0 {
		nu *= f.Convected
	}
	return nu * air.Conductivity / f.Length
}

func (f *Film) airAt(temperature float64) Air {
	if f.Air != nil {
		return *f.Air
	}
	return AirAt(temperature)
}

// bare returns the flux leaving an outer surface that is rise kelvin above the
// air.
func (f *Film) bare(rise, ambient, surroundings float64) float64 {
	if f.Behind != nil {
		return f.behind(rise, ambient, surroundings)
	}
	surface := ambient + rise
	q := f.Convection(surface, ambient) * rise
	if f.Emissivity > 0 {
		s2, r2 := surface*surface, surroundings*surroundings
		q += f.Emissivity * StefanBoltzmann * (s2 + r2) * (surface + surroundings) * (rise + (ambient - surroundings))
	}
	return q
}

// Flux returns the heat flux in W/m² from a node at the temperature given to air
// at ambient and walls at surroundings, and the temperature of the outer
// surface; all temperatures in kelvin. Without insulation the surface is as warm
// as the node.
func (f *Film) Flux(node, ambient, surroundings float64) (flux, surface float64) {
	flux, rise := f.loss(node-ambient, ambient, surroundings)
	return flux, ambient + rise
}

// loss is Flux in rises above the air, which keeps small rises exact.
func (f *Film) loss(rise, ambient, surroundings float64) (flux, surfaceRise float64) {
	if f.Insulation <= 0 {
		return f.bare(rise, ambient, surroundings), rise
	}
	// The surface lies between the node and the colder or hotter of air and
	// walls; flux through the insulation falls and flux from the surface rises
	// with its temperature, so the bracket cannot miss.
	excess := func(s float64) float64 {
		return f.bare(s, ambient, surroundings) - (rise-s)/f.Insulation
	}
	a := min(rise, 0, surroundings-ambient)
	b := max(rise, 0, surroundings-ambient)
	a, b, _ = root.Find(context.Background(), func(s float64) (float64, error) { return excess(s), nil }, a, b, 1e-15*max(math.Abs(a), math.Abs(b)))
	surfaceRise = (a + b) / 2
	// Of the two equal fluxes take the one that cancels less.
	if f.Insulation*f.Convection(ambient+surfaceRise, ambient) > 1 {
		return (rise - surfaceRise) / f.Insulation, surfaceRise
	}
	return f.bare(surfaceRise, ambient, surroundings), surfaceRise
}

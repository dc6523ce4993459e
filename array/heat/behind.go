package heat

import (
	"cmp"
	"context"
	"math"

	"lodegrid/field"
	"lodegrid/field/root"
)

// Behind is what stands behind a face, near enough to matter.
type Behind struct {
	Kind    BehindKind
	Gap     float64 // m, of air between the face and it; kinds Wall, Sealed and Case
	Width   float64 // m, of the face
	Height  float64 // m, of the face
	Contact float64 // m²·K/W, kind Clamped

	// Kinds Sealed and Case.
	CaseArea       float64 // m², of what the case shows to the air
	CaseLength     float64 // m, its length for convection
	CaseWall       float64 // m²·K/W, through its wall
	CaseEmissivity float64 // inside and outside
	Vents          float64 // m², free area of the openings below, and again above
}

// BehindKind tells the ways something may stand behind a face.
type BehindKind string

// The kinds.
const (
	Wall    BehindKind = "wall"    // a wall that takes no heat, the gap open all round
	Sealed  BehindKind = "sealed"  // the same with the gap closed all round
	Case    BehindKind = "case"    // a closed case that stands in the air
	Clamped BehindKind = "clamped" // a plate as cool as the air
)

// NusseltChannel returns the Nusselt number on the gap of a vertical channel with one
// wall warm all over and one that takes no heat, for the Elenbaas number
// El = g β ΔT gap⁴/(ν α height), ΔT between the wall and the air that enters:
//
//	Nu = (144/El² + 2.873/√El)^(−1/2)
//
// A. Bar-Cohen, W. M. Rohsenow, J. Heat Transfer 106 (1984) 116: the 144 from memory; the
// form with both walls warm, 576 in its place, seen in Y. A. Çengel, Heat and Mass Transfer,
// eq. 9-31. A wide gap gives 0.59 of the fourth root of a plate's own Rayleigh number, a narrow one what
// the air that rises in it can carry.
func NusseltChannel(elenbaas float64) float64 {
	return channel(elenbaas, 144)
}

// channel is the composite of a narrow channel, Nu = El/√narrow, and a wide one.
func channel(elenbaas, narrow float64) float64 {
	if elenbaas <= 0 {
		return 0
	}
	return 1 / math.Sqrt(narrow/(elenbaas*elenbaas)+2.873/math.Sqrt(elenbaas))
}

// NusseltCavity returns the Nusselt number on the gap of closed air between upright
// plates, height over gap being the aspect:
//
//	Nu = max{0.0605 Ra^(1/3), [1 + (0.104 Ra^0.293/(1 + (6310/Ra)^1.36))³]^(1/3), 0.242 (Ra/aspect)^0.272}
//
// S. M. ElSherbiny, G. D. Raithby, K. G. T. Hollands, J. Heat Transfer 104 (1982) 96
// (from memory), for aspects of 5 to 110. It is never below 1, conduction.
func NusseltCavity(ra, aspect float64) float64 {
	if ra <= 0 {
		return 1
	}
	x := 0.104 * math.Pow(ra, 0.293) / (1 + math.Pow(6310/ra, 1.36))
	return math.Max(math.Max(0.0605*math.Cbrt(ra), math.Cbrt(1+x*x*x)), 0.242*math.Pow(ra/aspect, 0.272))
}

// NusseltLayer is the same for level plates, the lower one warmer:
//
//	Nu = 1 + 1.44 [1 − 1708/Ra]⁺ + [(Ra/5830)^(1/3) − 1]⁺
//
// K. G. T. Hollands, T. E. Unny, G. D. Raithby, L. Konicek, J. Heat Transfer 98 (1976)
// 189, at no tilt, as Y. A. Çengel, Heat and Mass Transfer, eq. 9-47 has it (seen; 18³ =
// 5832 for 5830). With the upper one warmer the air rests: 1.
func NusseltLayer(ra float64) float64 {
	if ra <= 0 {
		return 1
	}
	return 1 + 1.44*math.Max(1-1708/ra, 0) + math.Max(math.Cbrt(ra/5830)-1, 0)
}

// escape is the share of what a long strip radiates that leaves a gap in front of it, open
// along both its long sides, when what bounds the gap gives back all it gets: by crossed
// strings (H. C. Hottel, from memory), 1 − √(1 + (gap/width)²) + gap/width.
func (b *Behind) escape() float64 {
	r := b.Gap / math.Min(b.Width, b.Height)
	return 1 - (math.Hypot(1, r) - r)
}

// behind is Film.bare with something behind the face.
func (f *Film) behind(rise, ambient, surroundings float64) float64 {
	b := f.Behind
	switch b.Kind {
	case Clamped:
		return rise / b.Contact
	case Wall:
		open := *f
		open.Behind = nil
		if f.Orientation == FaceUp || f.Orientation == FaceDown {
			// No draught: air rests under or over the board, and the wall takes nothing.
			open.Coefficient = 1e-9
			if f.AirSpeed > 0 {
				open.Coefficient = f.blown(ambient+rise, ambient)
			}
		} else {
			open.Coefficient = math.Max(f.channel(ambient+rise, ambient), 1e-9)
		}
		open.Emissivity *= b.escape()
		return open.bare(rise, ambient, surroundings)
	}
	flux, _ := f.intoCase(rise, ambient, surroundings)
	return flux
}

// channel is the coefficient of a face over the air that enters the gap below it; a fan
// adds to the draught. It is no more than that of the face alone.
func (f *Film) channel(surface, ambient float64) float64 {
	air := f.airAt((surface + ambient) / 2)
	g := f.Behind.Gap
	el := Rayleigh(air, surface-ambient, g) * g / f.Behind.Height
	h := NusseltChannel(el) * air.Conductivity / g
	return math.Min(NusseltMixed(h, f.blown(surface, ambient)), f.Convection(surface, ambient))
}

// forced is the coefficient of the stream alone.
func (f *Film) forced(surface, ambient float64) float64 {
	if f.AirSpeed <= 0 {
		return 0
	}
	air := f.airAt((surface + ambient) / 2)
	along := cmp.Or(f.FlowLength, f.Length)
	return NusseltForced(f.AirSpeed*along/air.Viscosity, air.Prandtl) * air.Conductivity / along
}

// blown is the coefficient of a stream through the gap before a wall, over the air that
// enters. In the gap it is a plate's, and at least that of developed laminar flow between
// plates of which one is warm, Nu = 4.861 on twice the gap (R. K. Shah, A. L. London,
// Laminar Flow Forced Convection in Ducts, 1978; from memory). Air that warms on its way
// carries off no more than its own heat capacity, and of that the share 1 − exp(−NTU), as
// along any wall of one temperature (textbook).
func (f *Film) blown(surface, ambient float64) float64 {
	if f.AirSpeed <= 0 {
		return 0
	}
	air := f.airAt((surface + ambient) / 2)
	most := air.Conductivity / air.Diffusivity * f.AirSpeed * f.Behind.Gap / f.Behind.Width
	in := math.Max(f.forced(surface, ambient), 4.861*air.Conductivity/(2*f.Behind.Gap))
	return -most * math.Expm1(-in/most)
}

// intoCase is the flux from the face into a closed gap, and the rise of the outer surface
// of the case to which it goes, and from there into the air; vents carry off a part. The
// air of the vents is as warm as the mean of face and case.
func (f *Film) intoCase(rise, ambient, surroundings float64) (flux, outer float64) {
	b := f.Behind
	area := b.Width * b.Height
	outside := Film{Orientation: Vertical, Length: b.CaseLength, Emissivity: b.CaseEmissivity, Air: f.Air}
	across := func(c float64) float64 { // W/m² from the face to a case at c over the air
		surface, inner := ambient+rise, ambient+c
		air := f.airAt((surface + inner) / 2)
		ra := Rayleigh(air, rise-c, b.Gap)
		nu := 1.0
		switch {
		case f.Orientation == FaceUp && rise > c, f.Orientation == FaceDown && rise < c:
			nu = NusseltLayer(ra)
		case f.Orientation != FaceUp && f.Orientation != FaceDown:
			nu = NusseltCavity(ra, b.Height/b.Gap)
		}
		h := math.Max(nu*air.Conductivity/b.Gap, f.forced(surface, inner))
		if e := f.Emissivity; e > 0 && b.CaseEmissivity > 0 {
			h += StefanBoltzmann * (surface*surface + inner*inner) * (surface + inner) / (1/e + 1/b.CaseEmissivity - 1)
		}
		return h * (rise - c)
	}
	vented := func(c float64) float64 { // W/m²
		warm := (rise + c) / 2
		if b.Vents <= 0 || warm <= 0 {
			return 0
		}
		// Stack effect through two equal openings of discharge coefficient 0.6 (from
		// memory, ASHRAE Fundamentals, natural ventilation).
		air := f.airAt(ambient + warm)
		flow := 0.6 * b.Vents * math.Sqrt(field.Gravity*b.Height*warm/ambient)
		return flow * air.Conductivity / air.Diffusivity * warm / area
	}
	// Looked for is the case's outer surface, which tells the inner one without a search.
	through := func(s float64) (inner, out float64) {
		q := outside.bare(s, ambient, surroundings)
		return s + q*b.CaseWall, q
	}
	excess := func(s float64) float64 {
		c, q := through(s)
		return q*b.CaseArea/area + vented(c) - across(c)
	}
	low, high := math.Min(rise, math.Min(0, surroundings-ambient)), math.Max(rise, math.Max(0, surroundings-ambient))
	outer = low // where vents carry off more than a case as cool as the air takes
	if excess(low) < 0 {
		a, b, _ := root.Find(context.Background(), func(s float64) (float64, error) { return excess(s), nil }, low, high, 1e-13*math.Max(math.Abs(low), math.Abs(high)))
		outer = (a + b) / 2
	}
	inner, _ := through(outer)
	return across(inner), outer
}

package coil

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/field"
	"lodegrid/field/material"
)

// WindingSpec is a wound electromagnet without its core: round wire in a window of
// rectangular cross-section around the z axis. Lengths in metres.
type WindingSpec struct {
	InnerRadius float64 // of the window: the bobbin's barrel
	OuterRadius float64 // the most the winding may reach
	Length      float64 // of the window along z
	Front       float64 // z of the window's front end

	Wire    float64 // bare diameter
	Grade   int     // insulation grade, 1 to 3; not used when Overall is given
	Overall float64 // diameter over the insulation; zero takes the table's for Grade

	// Turns is the number of turns; zero winds the window full.
	Turns int
	// Fill is the share of the window's cross-section that is copper in a winding
	// thrown in at random. Zero counts turns side by side in layers one above the
	// other, each turn taking a square of the overall diameter.
	Fill float64
}

// Winding is a wound coil, checked and worked out. It does not change and may be
// shared between goroutines.
type Winding struct {
	spec   WindingSpec
	layers int     // 0 at random
	outer  float64 // m, radius the winding reaches
}

// most keeps a mistyped number from eating the machine.
const mostWound = 1_000_000

// NewWinding checks a spec and works out what it leaves open. The error is a
// *param.Error with one of the keys inner_radius, outer_radius, length, wire, grade,
// overall, turns, fill.
func NewWinding(s WindingSpec) (*Winding, error) {
	for _, v := range []struct {
		key   string
		value float64
	}{{"outer_radius", s.OuterRadius}, {"length", s.Length}, {"wire", s.Wire}} {
		if err := positive(v.key, "", v.value); err != nil {
			return nil, err
		}
	}
	if !(s.InnerRadius > 0 && s.InnerRadius < s.OuterRadius) {
		return nil, params.Refuse("inner_radius", nil, fmt.Sprintf("%s, the window reaching out to %s", mm(s.InnerRadius), mm(s.OuterRadius)), "more than 0 and less than outer_radius")
	}
	if math.IsNaN(s.Front) || math.IsInf(s.Front, 0) {
		return nil, params.Refuse("front", nil, fmt.Sprintf("%v m", s.Front), "a finite height")
	}
	if s.Overall == 0 {
		var err error
		if s.Overall, err = OverallDiameter(s.Wire, s.Grade); err != nil {
			return nil, err
		}
	} else if !(s.Overall >= s.Wire) || math.IsInf(s.Overall, 0) {
		return nil, params.Refuse("overall", nil, fmt.Sprintf("%s over wire of %s", mm(s.Overall), mm(s.Wire)), mm(s.Wire)+" or more")
	}
	// Round wires side by side in squares fill π/4 of the window, nested π/√12.
	densest := math.Pi / math.Sqrt(12) * s.Wire * s.Wire / (s.Overall * s.Overall)
	if s.Fill != 0 && !(s.Fill > 0 && s.Fill <= densest) {
		return nil, params.Refuse("fill", nil, fmt.Sprintf("%g", s.Fill), fmt.Sprintf("more than 0, up to %.3g for this wire packed as densely as it goes", densest))
	}
	w := &Winding{spec: s}
	perLayer := math.Floor(s.Length / s.Overall * (1 + slack))
	most := perLayer * math.Floor((s.OuterRadius-s.InnerRadius)/s.Overall*(1+slack))
	if s.Fill > 0 {
		most = math.Floor(s.Fill * s.Length * (s.OuterRadius - s.InnerRadius) / w.bare() * (1 + slack))
	}
	if most < 1 {
		return nil, params.Refuse("wire", nil, fmt.Sprintf("%s over its insulation does not fit a window of %s by %s", mm(s.Overall), mm(s.Length), mm(s.OuterRadius-s.InnerRadius)), "a thinner wire or a larger window")
	}
	if s.Turns < 0 || float64(s.Turns) > most {
		return nil, params.Refuse("turns", nil, fmt.Sprintf("%d turns in a window that holds %.0f", s.Turns, most), fmt.Sprintf("1 to %.0f", most))
	}
	if s.Turns == 0 {
		if most > mostWound {
			return nil, params.Refuse("turns", nil, fmt.Sprintf("%.3g turns", most), fmt.Sprintf("%d or fewer", mostWound))
		}
		w.spec.Turns = int(most)
	}
	if s.Fill > 0 {
		w.outer = s.InnerRadius + float64(w.spec.Turns)*w.bare()/(s.Fill*s.Length)
	} else {
		w.layers = int(math.Ceil(float64(w.spec.Turns) / perLayer))
		w.outer = s.InnerRadius + float64(w.layers)*s.Overall
	}
	return w, nil
}

// bare is the copper's cross-section in one wire.
func (w *Winding) bare() float64 { return math.Pi / 4 * w.spec.Wire * w.spec.Wire }

// Spec returns the spec with Turns and Overall worked out.
func (w *Winding) Spec() WindingSpec { return w.spec }

func (w *Winding) meanRadius() float64 { return (w.spec.InnerRadius + w.outer) / 2 }

// WireLength returns the length of the wire in metres, leads left out.
func (w *Winding) WireLength() float64 {
	return 2 * math.Pi * w.meanRadius() * float64(w.spec.Turns)
}

// Resistance returns the resistance in ohms at tempK kelvin.
func (w *Winding) Resistance(tempK float64) float64 {
	return material.CopperResistivity(tempK) * w.WireLength() / w.bare()
}

// Inductance returns the inductance in henries without a core: that of a uniform
// current over the winding's cross-section, by coaxial filaments, plus what the round
// wires and the room between them add,
//
//	µ0 a N [ln(D/d) + 0.138 + 0.017]
//
// with a the mean radius, d the bare diameter and D the side of the square a turn
// takes (E. B. Rosa & F. W. Grover, Bull. Bur. Standards 8 (1912) S169, from memory;
// checked against a sum over single turns).
func (w *Winding) Inductance() float64 {
	n := float64(w.spec.Turns)
	side := math.Sqrt(w.spec.Length * (w.outer - w.spec.InnerRadius) / n)
	uniform := n * n * uniformSection(w.spec.InnerRadius, w.outer, w.spec.Length)
	return uniform + field.Mu0*w.meanRadius()*n*(math.Log(side/w.spec.Wire)+0.138+0.017)
}

// uniformSection is the inductance of one turn whose current is spread evenly over a
// rectangle, from two grids of filaments, the error of either falling with the number
// of its cells.
func uniformSection(inner, outer, length float64) float64 {
	coarse, few := gridded(inner, outer, length, 10)
	fine, many := gridded(inner, outer, length, 20)
	return fine + (fine-coarse)*few/(many-few)
}

// gridded cuts the rectangle into about n² equal cells as square as they come.
func gridded(inner, outer, length float64, n float64) (inductance, cells float64) {
	aspect := math.Sqrt((outer - inner) / length)
	nr, nz := max(2, int(math.Round(n*aspect))), max(2, int(math.Round(n/aspect)))
	dr, dz := (outer-inner)/float64(nr), length/float64(nz)
	gmd := RectangleGMD(dr, dz)
	sum := 0.0
	for i := range nr {
		a := inner + (float64(i)+0.5)*dr
		for j := 0; j <= i; j++ {
			b := inner + (float64(j)+0.5)*dr
			pairs := 0.0
			for k := range nz { // cells k rows apart: nz − k times each way
				m := 0.0
				if i == j && k == 0 {
					m = LoopSelf(a, gmd)
				} else {
					m = LoopMutual(a, b, float64(k)*dz)
				}
				count := float64(nz - k)
				if k > 0 {
					count *= 2
				}
				pairs += count * m
			}
			if i != j {
				pairs *= 2
			}
			sum += pairs
		}
	}
	cells = float64(nr * nz)
	return sum / (cells * cells), cells
}

// SourceAround returns the field at 1 A without a core wherever the point is at least
// clearance (m) off the winding's cross-section, in the bore too: coaxial current
// sheets as long as the winding, at Gauss places in bands no deeper than the clearance.
// The error is some 1e-5 of the largest field; a clearance under a hundredth of the
// winding's depth counts as that.
func (w *Winding) SourceAround(clearance float64) field.Sum {
	s := w.spec
	depth := w.outer - s.InnerRadius
	bands := math.Ceil(depth / max(clearance, depth/100))
	g := gaussLegendre(3)
	var sheets field.Sum
	for band := range int(bands) {
		for i, x := range g.x {
			sheets = append(sheets, field.CylinderMagnet{
				Radius: s.InnerRadius + (float64(band)+0.5+x)*depth/bands, Length: s.Length,
				// A sheet of K amperes per metre is the surface of a magnet of µ0 K.
				Remanence: field.Mu0 * float64(s.Turns) / s.Length * g.w[i] / bands,
				Center:    r3.Vec{Z: s.Front - s.Length/2},
			})
		}
	}
	return sheets
}

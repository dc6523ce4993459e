package design

import (
	"fmt"
	"slices"
	"strings"

	"lodegrid/field/coil"
	"lodegrid/field/quantity"
	"lodegrid/field/tomlplace"
)

// Plane is the copper that one layer of the board has outside the coils.
type Plane struct {
	Feeders bool    // one along each row, or along each column
	Pour    float64 // 0…1, share of what the coils leave free that is poured, in touch from pixel to pixel
	Exposed bool    // not under solder mask
}

// parsePlane reads none, feeders or pour and its share, with exposed behind it or not.
func parsePlane(text string) (Plane, bool) {
	text, exposed := strings.CutSuffix(strings.TrimSpace(text), " exposed")
	p := Plane{Exposed: exposed}
	switch share, pour := strings.CutPrefix(text, "pour "); {
	case pour:
		v, err := quantity.Parse(share, quantity.Ratio)
		p.Pour = v
		return p, err == nil && v > 0 && v <= mostPour
	case text == "feeders":
		p.Feeders = true
		return p, true
	}
	return p, text == "none" && !exposed
}

// mostPour is the greatest share that a pour may fill: clearances take the rest.
const mostPour = 0.9

// Planes are the planes that board.planes states, front first, nil where it states none.
func (b Board) planes() []Plane {
	if b.Planes == "" {
		return nil
	}
	var list []Plane
	for text := range strings.SplitSeq(b.Planes, ",") {
		p, _ := parsePlane(text)
		list = append(list, p)
	}
	return list
}

// PlanesGuessed tells whether nothing says what copper the board has outside its coils.
func (d Design) PlanesGuessed() bool {
	return d.Board.Planes == "" && !slices.Contains(d.own, "heat.copper_fraction")
}

// WithPlanes is the design with other planes, one text for each layer as board.planes has it.
func (d Design) WithPlanes(each ...string) Design {
	d.Board.Planes = strings.Join(each, ", ")
	d.own = slices.DeleteFunc(slices.Clone(d.own), func(k string) bool { return k == "heat.copper_fraction" })
	d.Heat.CopperFraction = d.planeFraction()
	return d
}

// Free is the share of a pixel that the coil, its bore included, leaves free on a layer.
func (d Design) Free(layer int) float64 {
	if layer >= d.Coil.Layers {
		return 1
	}
	c := coil.Spec{Shape: d.Coil.Shape, Outer: d.Coil.Outer, CornerRadius: d.Coil.CornerRadius}
	return max(1-c.Enclosed()/(d.Grid.Pitch*d.Grid.Pitch), 0)
}

// PlaneShare is the share of copper that conducts each way in a layer where its coils, if
// it has any, leave it free. A feeder conducts one way, so it counts by half.
func (d Design) PlaneShare(layer int) float64 {
	free := max(d.Free(layer), 0.02)
	list := d.Board.planes()
	if layer >= len(list) || slices.Contains(d.own, "heat.copper_fraction") {
		return min(d.Heat.CopperFraction/2/free, 1)
	}
	if list[layer].Feeders {
		return min(d.Drive.FeederWidth/d.Grid.Pitch/2/free, 1)
	}
	return list[layer].Pour
}

// PlaneOn is what board.planes states of a layer: feeders or not, the share that is poured,
// and whether that lies bare.
func (d Design) PlaneOn(layer int) (feeders bool, pour float64, exposed bool) {
	list := d.Board.planes()
	if layer >= len(list) {
		return false, 0, false
	}
	return list[layer].Feeders, list[layer].Pour, list[layer].Exposed
}

// Bare is the share of a pixel's face on a layer that is copper under no solder mask.
func (d Design) Bare(layer int) float64 {
	list := d.Board.planes()
	if layer >= len(list) || !list[layer].Exposed {
		return 0
	}
	if list[layer].Feeders {
		return min(d.Drive.FeederWidth/d.Grid.Pitch, 1)
	}
	return list[layer].Pour * d.Free(layer)
}

// PlaneRoom is how wide copper between two pixels may be on a layer, m.
func (d Design) PlaneRoom(layer int) float64 {
	if layer >= d.Coil.Layers {
		return d.Grid.Pitch
	}
	return max(d.Grid.Pitch-d.Coil.Outer-2*d.Coil.Gap, 0)
}

// planeFraction is the share of all copper planes that is copper outside the coils: of
// the planes stated, else of one layer with feeders along the rows and one along the columns.
func (d Design) planeFraction() float64 {
	feeders := min(d.Drive.FeederWidth/d.Grid.Pitch, 1)
	list := d.Board.planes()
	if list == nil {
		return min(2*feeders/float64(max(d.Board.Layers, 2)), 1)
	}
	sum := 0.0
	for i, p := range list {
		sum += p.Pour * d.Free(i)
		if p.Feeders {
			sum += feeders
		}
	}
	return sum / float64(len(list))
}

// checkPlanes holds the planes against the layers and the room that the coils leave.
func (r *resolver) checkPlanes() {
	d := r.design
	if d.Board.Planes == "" || !r.fine("board.planes", "board.layers") {
		return
	}
	const key = "board.planes"
	list := d.Board.planes()
	if len(list) != d.Board.Layers {
		r.fail(key, fmt.Sprintf("%d planes for %d layers", len(list), d.Board.Layers), fmt.Sprintf("%d, front first", d.Board.Layers))
		return
	}
	for i, p := range list {
		if p.Exposed && i > 0 && i+1 < len(list) {
			r.fail(key, fmt.Sprintf("layer %d is exposed, which lies inside the board", i+1), "exposed on the first and the last layer")
			return
		}
		wide := 0.0
		if p.Feeders {
			wide = d.Drive.FeederWidth
		} else if p.Pour > 0 {
			wide = d.Coil.Track // a neck of the pour
		}
		if wide == 0 || !r.fine("coil.outer", "coil.gap", "coil.track", "coil.layers", "grid.pitch", "drive.feeder_width") {
			continue
		}
		if most := d.PlaneRoom(i); wide > most*(1+1e-9) {
			r.fail(key, fmt.Sprintf("copper %s wide on layer %d has no room between pixels: %s is left", mm(wide), i+1, mm(most)),
				"none on that layer, a narrower drive.feeder_width, a smaller coil.outer or a larger grid.pitch")
			return
		}
	}
}

// planesOf is a list with a plane for each layer, held as one text.
func planesOf() kind {
	const accepts = `a list with none, feeders or pour and its share up to 90 % for each layer, exposed behind it where no mask is, such as ["feeders", "none", "none", "pour 60 % exposed"]`
	value := func(text string) any {
		list := []any{}
		for part := range strings.SplitSeq(strings.Trim(text, "[] "), ",") {
			if part = strings.Trim(part, ` "`); part != "" {
				list = append(list, part)
			}
		}
		return list
	}
	return kept("list of planes", accepts, func(v any) (string, *fault) {
		list, f := as[[]any](v, accepts)
		texts := make([]string, len(list))
		for i, item := range list {
			text, ok := item.(string)
			if !ok {
				return "", &fault{"the list holds " + tomlplace.Describe(item), accepts}
			}
			texts[i] = strings.Join(strings.Fields(text), " ")
		}
		return strings.Join(texts, ", "), f
	}, func(all string) *fault {
		if all == "" {
			return nil
		}
		texts := strings.Split(all, ",")
		if len(texts) > 64 {
			return &fault{fmt.Sprintf("a list of %d", len(texts)), accepts}
		}
		for _, text := range texts {
			if _, ok := parsePlane(text); !ok {
				return &fault{fmt.Sprintf("the list holds %s", tomlplace.Clip(strings.TrimSpace(text))), accepts}
			}
		}
		return nil
	}, func(all string) any { return value(all) }, value)
}

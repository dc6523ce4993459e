package cooling

import (
	"context"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"

	"lodegrid/array/design"
	"lodegrid/array/heat"
	"lodegrid/array/heat/winding"
	"lodegrid/array/pixel"
	"lodegrid/field"
	"lodegrid/field/coil"
	"lodegrid/field/material"
	"lodegrid/field/memo"
	"lodegrid/field/root"
)

// resolvedCoil is a pixel's coil turn by turn with what lies behind it.
type resolvedCoil struct {
	winding.Coil
	plate int // layers before this belong to the board or to the film behind it
}

// filmHeat is what an adhesive film or a gap filler stores, J/(m³·K): as plastics do,
// common practice, no source. It is a hundredth of what the pixel stores.
const filmHeat = 1.2e6

func coilHeat(d design.Design, p pixel.Pixel) (*resolvedCoil, error) {
	laminate := material.LaminateNamed(d.Board.Laminate)
	stack := d.Stack()
	copper := material.AnnealedCopper
	c := &resolvedCoil{Coil: winding.Coil{
		Copper: winding.Material{Along: copper.Conductivity, Through: copper.Conductivity, Heat: copper.Density * copper.HeatCapacity * d.Heat.Storage},
		Cell:   d.Grid.Pitch / math.Sqrt(math.Pi),
	}}
	c.Rings = rings(p.Coil.Spec(), d.Grid.Pitch)
	body := winding.Material{Along: d.Heat.BoardConductivity, Through: laminate.Through, Heat: laminate.Density * laminate.HeatCapacity * d.Heat.Storage}
	made, total := layerHeat(p.Coil), 0.0
	for _, w := range made {
		total += w
	}
	at := 0.0
	for i, l := range stack {
		l.Copper *= d.Board.CopperMade(i)
		s := winding.Layer{Thickness: l.Copper, Body: body, Copper: true, Plane: d.PlaneShare(i)}
		if gap := -l.Z - l.Copper/2 - at; gap > 1e-9 {
			c.Layers = append(c.Layers, winding.Layer{Thickness: gap, Body: body})
		}
		if i < len(made) {
			s.Share = made[i] / total
		}
		c.Layers = append(c.Layers, s)
		at = -l.Z + l.Copper/2
	}
	if rest := d.Board.Thickness - at; rest > 1e-9 {
		c.Layers = append(c.Layers, winding.Layer{Thickness: rest, Body: body})
	}
	c.Board, c.plate = len(c.Layers), len(c.Layers)
	if d.Iron.Model == design.IronNone {
		return c, nil
	}
	steel := material.SteelNamed(d.Iron.Steel)
	metal := winding.Material{Along: steel.Conductivity, Through: steel.Conductivity, Heat: steel.Density * steel.HeatCapacity * d.Heat.Storage}
	film := winding.Layer{Thickness: d.Iron.Gap, Body: winding.Material{Along: d.Iron.GapConductivity, Through: d.Iron.GapConductivity, Heat: filmHeat}}
	if d.Iron.Gap == 0 {
		const thin = 10e-6
		film = winding.Layer{Thickness: thin, Body: winding.Material{Along: thin / contact, Through: thin / contact, Heat: filmHeat}}
	}
	plate := winding.Layer{Thickness: d.Iron.Thickness, Body: metal}
	if r := d.Iron.Radius; r > 0 {
		film.Radius, plate.Radius = r, r
	}
	c.Layers = append(c.Layers, film, plate)
	c.plate++
	c.Core, c.CoreOut = metal, d.Iron.CoreRadius
	return c, nil
}

// layerHeat is the heat of each layer of a coil for the same current through its
// terminals, W/A².
func layerHeat(c *coil.Coil) []float64 {
	list := c.LayerCurrents()
	for i, share := range list {
		list[i] = share * share * c.LayerResistance(i, field.RoomTemperature)
	}
	return list
}

// rings are a coil's turns as circles that enclose what the turns enclose, inside out.
// A square coil's corners reach beyond its pixel's circle; then the circles shrink to
// stay within.
func rings(s coil.Spec, pitch float64) []winding.Ring {
	round := math.Sqrt(s.Enclosed()/math.Pi) / (s.Outer / 2)
	round = min(round, 0.999*2/math.Sqrt(math.Pi)*pitch/s.Outer)
	step := s.Track + s.Gap
	var list []winding.Ring
	for from := 0.0; from < s.Turns*(1-1e-9); from++ {
		to := min(from+1, s.Turns)
		mid := s.Outer/2 - s.Track/2 - step*(from+to)/2
		list = append(list, winding.Ring{Inner: round * (mid - s.Track/2), Outer: round * (mid + s.Track/2), Weight: to - from})
	}
	for i, j := 0, len(list)-1; i < j; i, j = i+1, j-1 {
		list[i], list[j] = list[j], list[i]
	}
	return list
}

// span is the side, in pixels, of the board that the coil's own answer is worked out
// on: as large as heat in a plate of steel reaches in still air, and odd.
const span = 15

// answers are those of coils, by all that they follow from: Layers, Stages and StagesError.
var answers = memo.New[string, heat.Params](1 << 10)

// answer sets the stages of a network and what its board conducts.
func (c *resolvedCoil) answer(ctx context.Context, p *heat.Params) error {
	const usual = 30 // K over the air, at which the faces' loss is taken
	slope := func(f *heat.Film) float64 {
		flux, _ := f.Flux(p.Ambient+usual, p.Ambient, p.Ambient)
		return flux / usual
	}
	c.Front, c.Back = slope(&p.Front), slope(&p.Back)
	c.Reach = span * c.Cell
	a, err := answers.Get(fmt.Sprint(c.Coil, p.Layers), func() (a heat.Params, err error) {
		a = heat.Params{Layers: p.Layers, Heated: p.Heated}
		a.Stages, a.StagesError, err = c.stages(ctx, a)
		return a, err
	})
	p.Layers, p.Stages, p.StagesError = slices.Clone(a.Layers), slices.Clone(a.Stages), a.StagesError
	return err
}

// stages are the coil's own answer to its heat: that of the coil resolved turn by turn
// on a board of coils that are off, less that of the network's own node there. worst is
// how far they are from it, in parts of the hottest turn's answer.
func (c *resolvedCoil) stages(ctx context.Context, p heat.Params) (list []heat.Stage, worst float64, err error) {
	var times []float64
	for t := 1e-4; t < 3e3; t *= math.Pow(10, 0.125) {
		times = append(times, t)
	}
	own, err := c.Respond(ctx, times)
	if err != nil {
		return nil, 0, err
	}
	if err := c.spread(ctx, p, own.Ever.Mean[0]); err != nil {
		return nil, 0, err
	}
	net, ever := p.StepResponse(span, c.Front, c.Back, times)
	constants := heat.StageTimes()
	list = make([]heat.Stage, len(constants))
	last := len(net) - 1
	for i, o := range []struct {
		values []float64
		ever   float64
		layer  int
		set    func(*heat.Stage) *float64
	}{
		{own.Mean, own.Ever.Mean[0], BoardLayer, func(s *heat.Stage) *float64 { return &s.Mean }},
		{own.Hottest, own.Ever.Hottest[0], BoardLayer, func(s *heat.Stage) *float64 { return &s.Hottest }},
		{own.Again, own.Ever.Again[0], -1, func(s *heat.Stage) *float64 { return &s.Again }},
		{own.Front, own.Ever.Front[0], BoardLayer, func(s *heat.Stage) *float64 { return &s.Front }},
		{own.Back, own.Ever.Back[0], last, func(s *heat.Stage) *float64 { return &s.Back }},
	} {
		rest, last := slices.Clone(o.values), o.ever
		if o.layer >= 0 {
			floats.Sub(rest, net[o.layer])
			last -= ever[o.layer]
		}
		if i < 2 {
			last = max(last, 0) // a coil colder than its board for ever is the fit's doing
		}
		a := heat.FitStages(constants, times, rest, own.Hottest, last)
		for k, v := range a {
			list[k].Time = constants[k]
			*o.set(&list[k]) = v
		}
		for q, t := range times {
			got := 0.0
			for k, v := range a {
				got -= v * math.Expm1(-t/constants[k])
			}
			if i < 2 && t > 3e-3 {
				worst = max(worst, math.Abs(got-rest[q])/own.Hottest[q])
			}
		}
	}
	return list, worst, nil
}

// spread sets what the board conducts to the plate and from a pixel to the next from what
// the resolved cells do. To the plate it is the flow over the difference of their means
// with all coils on, which has the pin's part in it. To the next pixel it is what makes
// the coil's mean rise over its node the same on a board of coils that are off, where it
// is lone (K/W) less the network's own, as where all are on: a pixel loses much of its
// heat to its next neighbours, closer than nodes a pitch apart can tell. Conductances
// next to a source are set by what is resolved there in reservoir models too (L. J.
// Durlofsky et al., SPE 2000, from memory).
func (c *resolvedCoil) spread(ctx context.Context, p heat.Params, lone float64) error {
	together := c.Coil
	together.Reach = c.Cell
	if len(p.Layers) > 1 { // whatever hangs behind it: as if all heat went that way
		together.Front, together.Back = 1e-6, 10
	}
	all, err := together.Respond(ctx, []float64{1, 10})
	if err != nil {
		return err
	}
	over := all.Ever.Mean[0] - all.Board
	if len(p.Layers) > 1 {
		p.Layers[BoardLayer].Down = 1 / max(all.Board-all.Behind, 1e-3)
	}
	board := &p.Layers[BoardLayer]
	sheet := board.Lateral
	board.Lateral, _ = root.Boundary(func(lateral float64) bool {
		board.Lateral = lateral
		_, ever := p.StepResponse(span, c.Front, c.Back, nil)
		return ever[BoardLayer]+over > lone
	}, 0.25*sheet, 8*sheet, 1e-6*sheet)
	return nil
}

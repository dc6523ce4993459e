package choose

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/array/hold"
	"lodegrid/array/pixel"
	"lodegrid/array/wound"
	"lodegrid/field"
	"lodegrid/field/quantity"
	"lodegrid/scenes/choreograph"
)

// Answer is a question that every maker asks, answered for one design.
type Answer struct {
	Key, Question, Says string
	Rows                []Row
}

// Row is one way to build a pixel, cold, with a steady current. NaN stands for what the
// question does not ask.
type Row struct {
	Name        string
	Refused     string  // why it cannot be, "" when it can
	Turns       float64 // a layer
	Resistance  float64 // Ω
	Current     float64 // A, on the supply without a break
	Power       float64 // W, in the coil
	Field       float64 // T on the axis at the fluid
	PerRootWatt float64 // T/√W: what a given heat buys
	Force       float64 // N, with which a lone lit pixel keeps the drop at the design's drive
	Dark        float64 // N, the same of a dark one
	Heat        float64 // W, of it lit at the design's drive
	Price       float64 // in all
}

// pays is by how much more field for the same heat a layer has to give to pay: less than what
// etching and plating vary by.
const pays = 0.03

// Explain answers the standing questions for a design with what is on offer: its coil in
// series or parallel, thicker copper, which layer stops paying, how much steel, a magnet, and
// a bought electromagnet.
func Explain(ctx context.Context, d design.Design, o Offer) ([]Answer, error) {
	e := explainer{ctx: ctx, d: choreograph.Switched(d), offer: o}
	for _, ask := range []func() (Answer, error){e.groups, e.copper, e.layers, e.steel, e.magnet, e.wound} {
		a, err := ask()
		if err != nil {
			return nil, fmt.Errorf("%s: %w", a.Question, err)
		}
		e.answers = append(e.answers, a)
	}
	return e.answers, nil
}

type explainer struct {
	ctx     context.Context
	d       design.Design
	offer   Offer
	answers []Answer
}

// row is the design with changes; one that the design file refuses says why.
func (e *explainer) row(name string, d design.Design, changes ...design.Change) (Row, error) {
	nan := math.NaN()
	r := Row{Name: name, Force: nan, Dark: nan, Heat: nan, Price: nan}
	d, err := d.With(changes...)
	if err != nil {
		if refused(e.ctx, err) {
			r.Refused = err.Error()
			return r, nil
		}
		return r, err
	}
	p, err := pixel.New(e.ctx, d, d.Fluid.Height)
	if err != nil {
		return r, err
	}
	r.of(d, p)
	if items, ok := e.offer.Priced(d, p.Coil); ok {
		r.Price = total(items)
	}
	return r, nil
}

// of fills in what a pixel does with a steady current.
func (r *Row) of(d design.Design, p pixel.Pixel) {
	perAmpere := p.CoilField().B(r3.Vec{Z: d.Fluid.Height}).Z
	r.Turns, r.Resistance = p.Coil.Spec().Turns, p.Coil.Resistance(field.RoomTemperature)
	coils := float64(d.Coils())
	r.Current = max(0, d.Supply.Voltage-d.PathDrop()) / (coils*r.Resistance + d.Drive.OnResistance)
	r.Power, r.Field, r.PerRootWatt = r.Current*r.Current*r.Resistance, r.Current*perAmpere, perAmpere/math.Sqrt(r.Resistance)
}

// pulled adds what a pixel does to the drop at the design's own drive.
func (e *explainer) pulled(name string, changes ...design.Change) (Row, error) {
	// The drop feels one pixel; of the others only the steel, next to it.
	changes = append(changes, design.Change{Key: "grid.cols", Value: "3"}, design.Change{Key: "grid.rows", Value: "3"}, design.Change{Key: "drive.place", Value: string(design.PlaceAny)})
	r, err := e.row(name, e.d, changes...)
	if err != nil || r.Refused != "" {
		return r, err
	}
	d, err := e.d.With(changes...)
	if err != nil {
		return r, err
	}
	g, err := grid.New(e.ctx, d, 0)
	if err != nil {
		return r, err
	}
	held := g.Pixel.Held(d)
	r.Heat, r.Price = held.Copper.Value, math.NaN()
	r.Force = hold.LoneForce(g, 1)
	r.Dark = hold.LoneForce(g, 0)
	return r, err
}

// best is the row with the most field for its heat, and by what factor it has more than the
// first.
func best(rows []Row) (name string, factor float64) {
	top := rows[0].PerRootWatt
	name = rows[0].Name
	for _, r := range rows {
		if r.Refused == "" && r.PerRootWatt > top {
			name, top = r.Name, r.PerRootWatt
		}
	}
	return name, top / rows[0].PerRootWatt
}

func (e *explainer) groups() (a Answer, err error) {
	a = Answer{Key: "groups", Question: "The coil's layers in series or in two parallel halves"}
	for n, name := range []string{"in series", "two halves in parallel"} {
		r, err := e.row(name, e.d, design.Change{Key: "coil.parallel_groups", Value: fmt.Sprint(n + 1)})
		if err != nil {
			return a, err
		}
		a.Rows = append(a.Rows, r)
	}
	s, p := a.Rows[0], a.Rows[1]
	if p.Refused != "" {
		a.Says = fmt.Sprintf("%d layers do not halve.", e.d.Coil.Layers)
		return a, nil
	}
	a.Says = fmt.Sprintf("On %s without a break the halves in parallel take %s times the current of the series and make %s times the field with %s times the heat. What a watt buys is the same to %s, so the choice is one of voltage: parallel reaches the same field at a lower duty or a lower voltage.",
		quantity.Format(e.d.Supply.Voltage, quantity.Voltage), quantity.Figure(p.Current/s.Current, 3), quantity.Figure(p.Field/s.Field, 3), quantity.Figure(p.Power/s.Power, 3), share(math.Abs(p.PerRootWatt/s.PerRootWatt-1)))
	return a, nil
}

func (e *explainer) copper() (a Answer, err error) {
	a = Answer{Key: "copper", Question: "Thicker copper, though its narrowest track is wider"}
	d := e.d
	board := &Board{Layers: d.Board.Layers}
	if b := slices.IndexFunc(e.offer.Boards, func(b Board) bool { return b.Layers == d.Board.Layers }); b >= 0 {
		board = &e.offer.Boards[b]
	}
	var list []*Copper
	for i := range e.offer.Copper {
		if c := &e.offer.Copper[i]; c.on(d.Board.Layers) {
			list = append(list, c)
		}
	}
	slices.SortStableFunc(list, func(a, b *Copper) int { return cmp.Compare(a.Weight, b.Weight) })
	for _, c := range list {
		track, gap := c.least(d.Board.Layers)
		d.Board.Rules = e.offer.rules(board, c)
		d.Board.Rules.Layers = append(d.Board.Rules.Layers, d.Board.Layers)
		ounces := quantity.Exact(c.Weight, quantity.CopperWeight)
		name := fmt.Sprintf("%s, %s/%s mil", quantity.FormatIn(c.Weight, quantity.CopperWeight, "oz"), quantity.Figure(track/25.4e-6, 3), quantity.Figure(gap/25.4e-6, 3))
		r, err := e.row(name, d, design.Change{Key: "board.copper_outer", Value: ounces}, design.Change{Key: "board.copper_inner", Value: ounces},
			design.Change{Key: "coil.track", Value: quantity.Exact(track, quantity.Length)}, design.Change{Key: "coil.gap", Value: quantity.Exact(gap, quantity.Length)},
			design.Change{Key: "coil.turns", Value: fmt.Sprint(fullTurns(d, track, gap))})
		if err != nil {
			return a, err
		}
		a.Rows = append(a.Rows, r)
	}
	if len(a.Rows) < 2 || a.Rows[0].Refused != "" {
		a.Says = "One copper weight is on offer that fits."
		return a, nil
	}
	name, factor := best(a.Rows)
	a.Says = fmt.Sprintf("In the same outline, wound full at the narrowest track: most field for its heat is %s, %s times %s. Copper by volume decides: fewer, thicker turns lose resistance as the square of what they lose in turns.", name, quantity.Figure(factor, 3), a.Rows[0].Name)
	return a, nil
}

// fullTurns are as many half turns as leave a design's free middle in another copper's track and gap, m.
func fullTurns(d design.Design, track, gap float64) float64 {
	return max(1, math.Floor(2*((d.Coil.Outer-d.Coil.Inner)/2-track)/(track+gap)+1e-6)/2)
}

func (e *explainer) layers() (a Answer, err error) {
	a = Answer{Key: "layers", Question: "Which layer stops paying"}
	stops := 0
	for k := 1; k <= e.d.Board.Layers; k++ {
		r, err := e.row(fmt.Sprintf("%d from the front", k), e.d, design.Change{Key: "coil.layers", Value: fmt.Sprint(k)}, design.Change{Key: "coil.parallel_groups", Value: "1"})
		if err != nil {
			return a, err
		}
		if n := len(a.Rows); n > 0 && stops == 0 && r.PerRootWatt < a.Rows[n-1].PerRootWatt*(1+pays) {
			stops = k
		}
		r.Price = math.NaN() // the board is the same
		a.Rows = append(a.Rows, r)
	}
	if stops == 0 {
		a.Says = fmt.Sprintf("Every layer gives %s more field for the same heat, or more.", share(pays))
	} else {
		a.Says = fmt.Sprintf("Layer %d is the first that gives less than %s more field for the same heat: leave it and those behind it for the connections.", stops, share(pays))
	}
	return a, nil
}

func (e *explainer) steel() (a Answer, err error) {
	a = Answer{Key: "steel", Question: "How much steel behind: sheet, disc, pin"}
	sheet := func(thickness, radius, core string) []design.Change {
		return []design.Change{{Key: "iron.model", Value: string(design.IronAuto)}, {Key: "iron.thickness", Value: thickness}, {Key: "iron.radius", Value: radius}, {Key: "iron.core_radius", Value: core}, {Key: "magnet.kind", Value: string(design.MagnetNone)}}
	}
	half := quantity.Exact(e.d.Coil.Outer/2, quantity.Length)
	type way struct {
		name    string
		changes []design.Change
	}
	ways := []way{{"none", []design.Change{{Key: "iron.model", Value: string(design.IronNone)}, {Key: "iron.core_radius", Value: "0 mm"}, {Key: "magnet.kind", Value: string(design.MagnetNone)}}}}
	for _, t := range []string{"0.1 mm", "0.3 mm", "1 mm", "3 mm"} {
		ways = append(ways, way{"sheet of " + t, sheet(t, "0 mm", "0 mm")})
	}
	ways = append(ways, way{"discs of 1 mm, as wide as the coils", sheet("1 mm", half, "0 mm")})
	if p, err := pixel.New(e.ctx, e.d, e.d.Fluid.Height); err != nil {
		return a, err
	} else if room := math.Floor((p.Coil.FreeRadius()-e.d.Board.HoleClearance)*2e4*(1-1e-9)) / 2e4; room > 0 {
		for _, r := range []float64{room / 2, room} {
			text := quantity.Exact(math.Round(r*1e6)/1e6, quantity.Length)
			ways = append(ways, way{"1 mm and a pin of " + text + " radius", sheet("1 mm", "0 mm", text)})
		}
	}
	for _, w := range ways {
		r, err := e.row(w.name, e.d, w.changes...)
		if err != nil {
			return a, err
		}
		a.Rows = append(a.Rows, r)
	}
	name, factor := best(a.Rows)
	thin, thick := a.Rows[2].PerRootWatt, a.Rows[4].PerRootWatt
	a.Says = fmt.Sprintf("Most is %s: %s times the field for the same heat without steel. A sheet of 3 mm gives %s more than one of 0.3 mm: thicker is a heat sink, not a magnet.", name, quantity.Figure(factor, 3), share(thick/thin-1))
	return a, nil
}

func (e *explainer) magnet() (a Answer, err error) {
	a = Answer{Key: "magnet", Question: "A bias magnet behind each pixel, without steel"}
	bare := []design.Change{{Key: "iron.model", Value: string(design.IronNone)}, {Key: "iron.core_radius", Value: "0 mm"}}
	for _, length := range []string{"", "0.2 mm", "0.5 mm", "1 mm"} {
		name, changes := "none", append(bare[:2:2], design.Change{Key: "magnet.kind", Value: string(design.MagnetNone)})
		if length != "" {
			name = length + " long"
			changes = append(bare[:2:2], design.Change{Key: "magnet.kind", Value: string(design.MagnetPerPixel)}, design.Change{Key: "magnet.length", Value: length}, design.Change{Key: "magnet.depth", Value: "0.2 mm"})
		}
		r, err := e.pulled(name, changes...)
		if err != nil {
			return a, err
		}
		a.Rows = append(a.Rows, r)
	}
	last := a.Rows[len(a.Rows)-1]
	if last.Refused != "" || a.Rows[0].Refused != "" {
		a.Says = "It does not fit this design."
		return a, nil
	}
	a.Says = fmt.Sprintf("One of 1 mm makes a lit pixel hold with %s times the force for the same heat, but a dark one keeps the drop with %s of that: it lets go only where the coil is driven in reverse (drive.bridge h-bridge). With steel the magnet lies behind it and is screened, or in front of it in place of the sheet.",
		quantity.Figure(last.Force/a.Rows[0].Force, 3), share(last.Dark/last.Force))
	return a, nil
}

func (e *explainer) wound() (a Answer, err error) {
	a = Answer{Key: "wound", Question: "A small wound electromagnet, bought, in the coil's place"}
	own, err := e.row("this coil, held", e.d)
	if err != nil {
		return a, err
	}
	p, err := pixel.New(e.ctx, e.d, e.d.Fluid.Height)
	if err != nil {
		return a, err
	}
	flat := p.Full.On
	own.Current, own.Power, own.Field = flat.Average, flat.Average*flat.Average*own.Resistance, own.PerRootWatt*math.Sqrt(own.Resistance)*flat.Average
	a.Rows = []Row{own}
	nan, wide := math.NaN(), ""
	for _, volts := range []float64{5, 12} {
		s := wound.Default()
		s.Voltage = volts
		w, err := wound.New(e.ctx, s)
		if err != nil {
			return a, err
		}
		_, m, fits := w.Against(e.d, p)
		if !fits {
			wide = fmt.Sprintf(" It is %s across and does not fit the pitch.", quantity.Format(m.Width, quantity.Length))
		}
		a.Rows = append(a.Rows, Row{Name: fmt.Sprintf("wound, %g V", volts), Resistance: m.Resistance, Current: m.Current, Power: m.Power, Field: m.Field, PerRootWatt: m.PerRootWatt, Turns: nan, Force: nan, Dark: nan, Heat: nan, Price: nan})
	}
	a.Rows[0].Turns = nan
	a.Says = fmt.Sprintf("For the same heat the wound one makes %s times the field of this coil: it has the depth for copper and iron.%s Dimensions: lodegrid coil --wound.", quantity.Figure(a.Rows[1].PerRootWatt/own.PerRootWatt, 3), wide)
	return a, nil
}

func share(v float64) string { return fmt.Sprintf("%s %%", quantity.Figure(100*v, 2)) }

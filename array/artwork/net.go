package artwork

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/field"
	"lodegrid/field/material"
)

// Net is a pixel's copper as a network of conductors, traced from the drawing alone:
// tracks that end in one another or in a pad are joined, and so are the pads of a hole.
type Net struct {
	Resistance float64 // Ω at 20 °C from wire to wire, leads included
	Leads      float64 // Ω of it in the leads

	conductors []conductor
}

// Coil is the resistance of the coil alone at 20 °C, Ω.
func (n Net) Coil() float64 { return n.Resistance - n.Leads }

// conductor joins two nodes.
type conductor struct {
	a, b  int
	ohms  float64
	track bool // else a stretch of a hole's barrel
	lead  bool // no part of the coil
	line  []r3.Vec
	amps  float64 // from a to b, for 1 A from wire to wire
}

// Trace follows the copper from one wire to the other. It fails where a track leads
// nowhere, where the wires are not joined, and where there are other ways round than the
// parallel groups make.
func (b *Board) Trace() (Net, error) {
	nodes := map[r3.Vec]int{}
	var list []conductor
	join := func(c conductor) {
		for i, p := range []r3.Vec{c.line[0], c.line[len(c.line)-1]} {
			if _, ok := nodes[p]; !ok {
				nodes[p] = len(nodes)
			}
			if i == 0 {
				c.a = nodes[p]
			} else {
				c.b = nodes[p]
			}
		}
		list = append(list, c)
	}
	rho := material.AnnealedCopper.Resistivity
	for _, t := range b.Pixel.Tracks {
		l := b.Layers[t.Layer]
		line := make([]r3.Vec, len(t.Points))
		for i, p := range t.Points {
			line[i] = r3.Vec{X: p.X, Y: p.Y, Z: l.Z}
		}
		join(conductor{ohms: rho * t.Length() / (t.Width * l.Copper), track: true, lead: t.Lead, line: line})
	}
	plating := b.Coil.Spec().ViaPlating
	for _, h := range b.Pixel.Holes {
		for i := 1; h.Plated() && i < len(b.Layers); i++ {
			line := []r3.Vec{lift(h.At, b.Layers[i-1].Z), lift(h.At, b.Layers[i].Z)}
			join(conductor{ohms: rho * (line[0].Z - line[1].Z) / (math.Pi * plating * (h.Drill - plating)), lead: h.Kind != Via, line: line})
		}
	}
	in, ok := nodes[lift(b.Wire(WireIn).At, b.Layers[0].Z)]
	out, also := nodes[lift(b.Wire(WireOut).At, b.Layers[len(b.Layers)-1].Z)]
	if !ok || !also {
		return Net{}, errors.New("tracing the pixel's net: a wire's hole has no copper")
	}
	return solve(list, len(nodes), in, out, b.Coil.Spec().ParallelGroups)
}

func lift(p r2.Vec, z float64) r3.Vec { return r3.Vec{X: p.X, Y: p.Y, Z: z} }

// live leaves out the stretches of barrels that end in nothing, and refuses tracks that do.
func live(list []conductor, nodes, in, out int) ([]conductor, error) {
	degree := make([]int, nodes)
	degree[in], degree[out] = 1, 1 // the wires
	for _, c := range list {
		degree[c.a]++
		degree[c.b]++
	}
	for again := true; again; {
		again = false
		kept := list[:0:0]
		for _, c := range list {
			if degree[c.a] > 1 && degree[c.b] > 1 {
				kept = append(kept, c)
				continue
			}
			if c.track {
				return nil, fmt.Errorf("tracing the pixel's net: the track that begins at %.3f, %.3f mm leads nowhere", c.line[0].X*1e3, c.line[0].Y*1e3)
			}
			again = true
			degree[c.a]--
			degree[c.b]--
		}
		list = kept
	}
	return list, nil
}

// solve finds the currents for 1 A from in to out.
func solve(list []conductor, nodes, in, out, groups int) (Net, error) {
	list, err := live(list, nodes, in, out)
	if err != nil {
		return Net{}, err
	}
	index := map[int]int{out: 0, in: 1}
	at := func(n int) int {
		if _, ok := index[n]; !ok {
			index[n] = len(index)
		}
		return index[n]
	}
	for _, c := range list {
		at(c.a)
		at(c.b)
	}
	n := len(index)
	if loops := len(list) - n + 1; loops != groups-1 {
		return Net{}, fmt.Errorf("tracing the pixel's net: %d ways round in one piece, where %d groups of layers in parallel make %d", loops, groups, groups-1)
	}
	g := mat.NewSymDense(n, nil)
	for _, c := range list {
		i, k := at(c.a), at(c.b)
		g.SetSym(i, i, g.At(i, i)+1/c.ohms)
		g.SetSym(k, k, g.At(k, k)+1/c.ohms)
		g.SetSym(i, k, g.At(i, k)-1/c.ohms)
	}
	g.SetSym(0, 0, 2*g.At(0, 0)) // some conductance to earth, which no current takes
	rhs := mat.NewVecDense(n, nil)
	rhs.SetVec(1, 1)
	rhs.SetVec(0, -1)
	var chol mat.Cholesky
	var v mat.VecDense
	if !chol.Factorize(g) {
		return Net{}, errors.New("tracing the pixel's net: its two wires are not joined")
	}
	if err := chol.SolveVecTo(&v, rhs); err != nil {
		return Net{}, fmt.Errorf("tracing the pixel's net: %w", err)
	}
	net := Net{Resistance: v.AtVec(1) - v.AtVec(0), conductors: list}
	for i := range list {
		c := &list[i]
		c.amps = (v.AtVec(at(c.a)) - v.AtVec(at(c.b))) / c.ohms
		if math.Abs(c.amps) < 1e-9 {
			return Net{}, errors.New("tracing the pixel's net: a track carries no current")
		}
		if c.lead {
			net.Leads += c.amps * c.amps * c.ohms
		}
	}
	return net, nil
}

// Drawn is what is drawn of a pixel's coil over what the model computes with.
type Drawn struct {
	Track  float64 // m, its tracks, leads left out
	Area   float64 // m², all layers
	OfArea float64 // over the model's
	OfOhms float64 // resistance over the model's
	OfAxis float64 // field on the axis at a height, without steel, over that of closed turns
}

// Drawn holds the drawn copper, traced, against the model at a height over the board, m.
func (b *Board) Drawn(n Net, layers int, height float64) (d Drawn) {
	for _, t := range b.Pixel.Tracks {
		if !t.Lead {
			d.Track += t.Length()
			d.Area += t.Area()
		}
	}
	axis := r3.Vec{Z: height}
	d.OfArea, d.OfOhms = d.Area/(b.Coil.CopperArea()*float64(layers)), n.Coil()/b.Coil.Resistance(field.RoomTemperature)
	d.OfAxis = n.Source().B(axis).Z / b.Coil.Source(height, 1e-4).B(axis).Z
	return d
}

// Source is the field of the traced copper at 1 A, each track one filament in its middle,
// closed by a straight line between the wires' holes. It serves at distances that are
// large against a track's width: the width's own part falls as (w/d)²/24.
func (n Net) Source() field.Source {
	var sum field.Sum
	var ends [2]r3.Vec
	meet := map[int]float64{}
	where := map[int]r3.Vec{}
	for _, c := range n.conductors {
		sum = append(sum, field.Path{Points: c.line, Current: c.amps})
		meet[c.a] += c.amps
		meet[c.b] -= c.amps
		where[c.a], where[c.b] = c.line[0], c.line[len(c.line)-1]
	}
	for node, amps := range meet {
		switch {
		case amps > 0.5:
			ends[0] = where[node]
		case amps < -0.5:
			ends[1] = where[node]
		}
	}
	return append(sum, field.Path{Points: []r3.Vec{ends[1], ends[0]}, Current: 1})
}

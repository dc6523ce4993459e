package player

import (
	"reflect"
	"slices"

	"lodegrid/array/drive"
	"lodegrid/array/drops"
	"lodegrid/array/tank"
)

// Moment is a display between two ticks, its fluid included.
type Moment struct {
	Levels []float64 // of the tick before
	pixels []drive.PixelState
	heat   [][]float64
	time   float64
	fluid  kept
}

// Kept is fluid that a moment keeps: a Tank or Droplets.
type Kept interface {
	keep() kept
	resume(m kept)
}

type kept interface{ Bytes() int }

func (b *Tank) keep() kept    { return b.tank.Moment() }
func (b *Tank) resume(m kept) { b.speed = b.tank.Resume(m.(*tank.Moment)) }

func (d *Droplets) keep() kept    { return d.pane.Moment() }
func (d *Droplets) resume(m kept) { d.pane.Resume(m.(*drops.Moment)) }

// Bytes is about the memory that a moment takes.
func (m *Moment) Bytes() int {
	pixel := int(reflect.TypeFor[drive.PixelState]().Size())
	return m.fluid.Bytes() + len(m.Levels)*(8*(1+len(m.heat))+pixel)
}

// Moment keeps how the display is after a tick.
func (l *Live) Moment(b Kept) *Moment {
	p := l.p
	m := &Moment{Levels: slices.Clone(l.levels), pixels: slices.Clone(p.pixels), time: p.time, fluid: b.keep()}
	if l.looked {
		copy(m.pixels, l.saved)
	}
	for i := range p.net.States() {
		m.heat = append(m.heat, slices.Clone(p.net.State(i)))
	}
	return m
}

// Resume puts the display and its fluid back to how they were.
func (l *Live) Resume(b Kept, m *Moment) error {
	p := l.p
	p.net.StartFrom(m.heat)
	copy(p.pixels, m.pixels)
	p.time, p.kick.seconds = m.time, 0
	b.resume(m.fluid)
	l.looked, l.known, l.due = false, false, true
	p.measure()
	for i, s := range p.pixels {
		p.currents.Mean[i] = s.Average
		p.states[i] = p.grid.StateOf(m.Levels[i])
	}
	return l.see(m.Levels)
}

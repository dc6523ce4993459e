package player

import (
	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/scenes"
)

// Fill is what a tank is filled with for a scene. Volumes in m³.
type Fill struct {
	Drop   float64 // a reference drop
	On     []int   // pixels with a drop
	Pool   float64 // at the bottom
	Depth  float64 // m, of the pool
	Left   float64 // of fluid.volume, for which a tank that lies has no place
	Need   float64 // of the scene's fullest picture
	Inside float64 // of the tank
	Room   float64 // of it left to air
}

// Fluid is how much there is, m³.
func (f Fill) Fluid() float64 { return float64(len(f.On))*f.Drop + f.Pool }

// Carrier is how much there is of the liquid round it, m³.
func (f Fill) Carrier() float64 { return f.Inside - f.Room - f.Fluid() }

// Short tells whether the scene's fullest picture needs more.
func (f Fill) Short() bool { return f.Fluid() < f.Need*(1-1e-9) }

// FillOf is what a scene starts with: reference drops where fluid.start says, the last of
// them left out where there is too little, as a maker fills the tank with the display on. The
// rest of what the design has, or later frames need, is a pool at the bottom, and drops on
// dark pixels from the last one on in a display that lies.
func FillOf(g *grid.Grid, s scenes.Scene) Fill {
	d := g.Design
	most := 0
	for _, f := range s.Frames {
		most = max(most, len(Wanted(g, f.Levels, nil)))
	}
	f := Fill{Drop: g.Drop().Volume}
	w, h := d.Inside()
	f.Need, f.Inside = float64(most)*f.Drop, w*h*d.Fluid.TankGap
	f.Room = d.Tank.Room * f.Inside
	at, _ := d.StartAt() // checked with the design
	if at == nil && len(s.Frames) > 0 {
		at = Wanted(g, s.Frames[0].Levels, nil)
	}
	standing, volume := d.Heat.Orientation == design.Vertical, d.Fluid.Volume
	if volume == 0 {
		volume = float64(len(at)) * f.Drop
		if standing {
			volume = max(volume, f.Need)
		}
	}
	whole := int(volume/f.Drop + 1e-9)
	f.On = at[:min(len(at), whole)]
	if !standing {
		has := make([]bool, d.Pixels())
		for _, i := range f.On {
			has[i] = true
		}
		for i := len(has) - 1; i >= 0 && len(f.On) < whole; i-- {
			if !has[i] {
				f.On = append(f.On, i)
			}
		}
	}
	rest := volume - float64(len(f.On))*f.Drop
	switch {
	case rest < 1e-9*f.Drop:
	case standing:
		f.Pool, f.Depth = rest, rest/(w*d.Fluid.TankGap)
	default:
		f.Left = rest
	}
	return f
}

package scope

import (
	"fmt"
	"math"

	"lodegrid/array/extent"
	"lodegrid/array/grid"
)

// Reading is what stands under the pointer, SI units.
type Reading struct {
	X, Y         float64 // m from the grid's middle, y up
	Pixel        int     // −1 beside the grid
	Place        string  // of the pixel
	Bx, By, Bz   float64 // T on the fluid plane
	Strength     float64 // T
	Pressure     float64 // Pa, magnetic
	Level        float64 // −1…1
	Painted      bool    // by hand
	Current      float64 // A, average
	Power        float64 // W, heat in the coil
	Temperature  float64 // K, of the coil
	Hold         float64 // pull over need
	State        grid.State
	Foreign      float64 // field from the others over the own at full current
	Fluid        float64 // 0…1, share of fluid at this place
	HoldLimit    float64
	FalseOnLimit float64
}

// Read reads the place at shares 0…1 of the picture's width and height; ok is false
// outside.
func (c *View) Read(x, y float64) (r Reading, ok bool) {
	if !(x >= 0 && x < 1 && y >= 0 && y < 1) {
		return Reading{}, false
	}
	p := c.plane
	raster := p.Raster
	i, j := int(y*float64(raster.Rows)), int(x*float64(raster.Cols))
	k := i*raster.Cols + j
	r = Reading{
		X:  (x - 0.5) * float64(raster.Cols) * raster.Spacing,
		Y:  (0.5 - y) * float64(raster.Rows) * raster.Spacing,
		Bx: p.Bx[k], By: p.By[k], Bz: p.Bz[k], Strength: p.Abs[k], Pressure: p.Pi[k],
		Fluid: c.fluid[min(int(y*float64(c.cells[0])), c.cells[0]-1)*c.cells[1]+min(int(x*float64(c.cells[1])), c.cells[1]-1)], Pixel: c.Pixel(x, y),
		HoldLimit: c.grid.Design.Limits.Hold, FalseOnLimit: c.grid.Design.Limits.FalseOn,
	}
	if n := r.Pixel; n >= 0 {
		r.Place = extent.PlaceOf(n, c.grid.Design.Grid.Cols)
		r.Level, r.Painted = c.levels[n], !math.IsNaN(c.hands[n])
		r.Current, r.Power = c.pixels[n].Average, c.pixels[n].Copper
		r.Temperature = c.coils[n]
		r.Hold, r.State = c.holds[n], c.states[n]
		r.Foreign = c.foreign(n)
	}
	return r, true
}

// Line is one named value.
type Line struct{ Label, Value string }

// Lines is the reading as people read it, short enough for a narrow column.
func (r Reading) Lines() []Line {
	milli := func(v float64) string { return fmt.Sprintf("%.2f", 1e3*v) }
	list := []Line{
		{"Place x, y", fmt.Sprintf("%.1f, %.1f mm", 1e3*r.X, 1e3*r.Y)},
		{"Field", milli(r.Strength) + " mT"},
		{"Its x, y, z", fmt.Sprintf("%s, %s, %s", milli(r.Bx), milli(r.By), milli(r.Bz))},
		{"Pressure", fmt.Sprintf("%.2f Pa", r.Pressure)},
		{"Fluid here", fmt.Sprintf("%.0f %%", 100*r.Fluid)},
	}
	if r.Pixel < 0 {
		return append(list, Line{"Pixel", "none here"})
	}
	by := "by scene"
	if r.Painted {
		by = "by hand"
	}
	verdict := ""
	switch {
	case r.State == grid.Lit && r.Hold < r.HoldLimit:
		verdict = fmt.Sprintf(" (least %s): lost", number(r.HoldLimit))
	case r.State == grid.Lit:
		verdict = fmt.Sprintf(" (least %s): held", number(r.HoldLimit))
	case r.State == grid.Dark && r.Hold > r.FalseOnLimit:
		verdict = fmt.Sprintf(" (most %s): stays", number(r.FalseOnLimit))
	}
	return append(list,
		Line{"Pixel", r.Place},
		Line{"Level", fmt.Sprintf("%.0f %% %s", 100*r.Level, by)},
		Line{"Current", Amps(r.Current)},
		Line{"Heat", Watts(r.Power)},
		Line{"Coil", Celsius(r.Temperature)},
		Line{"Pull ÷ need", fmt.Sprintf("%.2f%s", r.Hold, verdict)},
		Line{"From others", fmt.Sprintf("%+.1f %%", 100*r.Foreign)},
	)
}

package player

import (
	"math"

	"lodegrid/array"
	"lodegrid/array/design"
	"lodegrid/array/drive"
)

// feel fills the plane with what the fluid feels of the pixels' mean currents, A.
//
// The field of plain PWM is taken from the mean: steel and fluid do not follow tens
// of kilohertz. Scanned rows stay on for milliseconds, which the fluid's
// magnetisation does follow, so there the magnetic pressure is the mean over the
// rows' turns, each with its own full current, and not that of the mean current,
// which would be weaker by as many times as there are rows. B of a scanned plane is
// the mean field, |B| the RMS of the magnitude.
func (p *Player) feel(currents []float64) error {
	d := p.grid.Design
	if d.Drive.Mode != design.DriveScan || d.Grid.Rows == 1 {
		return p.grid.FieldInto(p.plane, currents)
	}
	if p.turn == nil {
		p.turn, p.rowCurrents = array.NewPlane(p.grid.Raster), make([]float64, len(currents))
	}
	rows, cols := d.Grid.Rows, d.Grid.Cols
	sum := p.plane
	for _, plane := range [][]float64{sum.Bx, sum.By, sum.Bz, sum.Abs, sum.Pi} {
		clear(plane)
	}
	share := 1 / float64(rows)
	for row := range rows {
		clear(p.rowCurrents)
		for col := range cols {
			k := row*cols + col
			p.rowCurrents[k] = currents[k] * float64(rows)
		}
		if err := p.grid.FieldInto(p.turn, p.rowCurrents); err != nil {
			return err
		}
		for k := range sum.Pi {
			sum.Bx[k] += share * p.turn.Bx[k]
			sum.By[k] += share * p.turn.By[k]
			sum.Bz[k] += share * p.turn.Bz[k]
			sum.Abs[k] += share * p.turn.Abs[k] * p.turn.Abs[k]
			sum.Pi[k] += share * p.turn.Pi[k]
		}
	}
	for k, v := range sum.Abs {
		sum.Abs[k] = math.Sqrt(v)
	}
	return nil
}

// see works out field and hold of a frame whose mean currents are known. Whether a
// kicked pixel holds is judged by what it holds with, after the kick; the plane is
// left with the frame's mean, kick included, which is what moves the fluid.
func (p *Player) see(levels []float64) error {
	if p.grid.Design.Drive.Mode == design.DriveKick {
		if p.held == nil {
			p.held, p.heldCurrents = make([]drive.PixelState, len(levels)), make([]float64, len(levels))
		}
		if err := p.drive.Steady(p.held, levels, p.resistance); err != nil {
			return err
		}
		for i := range p.held {
			p.heldCurrents[i] = p.held[i].Average
		}
		if err := p.feel(p.heldCurrents); err != nil {
			return err
		}
		p.hold.Ratios(p.holds, p.plane, p.states)
		return p.feel(p.currents)
	}
	if err := p.feel(p.currents); err != nil {
		return err
	}
	p.hold.Ratios(p.holds, p.plane, p.states)
	return nil
}

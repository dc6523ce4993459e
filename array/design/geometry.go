package design

import (
	"gonum.org/v1/gonum/spatial/r3"

	"lodegrid/field/coil"
	"lodegrid/field/material"
)

// Stack returns the board's copper layers, front first.
func (d Design) Stack() []coil.Layer {
	stack, err := d.stack()
	if err != nil {
		panic(err) // Read and With refuse such a board
	}
	return stack
}

func (d Design) stack() ([]coil.Layer, error) {
	return coil.EvenStack(d.Board.Layers, d.Board.Thickness, d.Board.CopperOuter, d.Board.CopperInner)
}

// CopperMade is the copper of a layer, from the front and from 0, as made over that ordered.
func (b Board) CopperMade(layer int) float64 {
	if layer == 0 || layer == b.Layers-1 {
		return b.OuterMade
	}
	return b.InnerMade
}

// Made is the design's coil, wound as drawn, with the copper that the board really has.
func (d Design) Made(drawn *coil.Coil) (*coil.Coil, error) {
	return drawn.Made(d.Coil.Etch, d.Board.OuterMade, d.Board.InnerMade, d.Board.Layers)
}

// CoilSpec returns the coil of one pixel for coil.New, on the layers of the board it
// uses. With Turns set it leaves Inner open, which follows from them.
func (d Design) CoilSpec() coil.Spec {
	inner := d.Coil.Inner
	if d.Coil.Turns > 0 {
		inner = 0
	}
	return coil.Spec{
		Shape: d.Coil.Shape, Outer: d.Coil.Outer, Inner: inner, CornerRadius: d.Coil.CornerRadius,
		Turns: d.Coil.Turns, Track: d.Coil.Track, Gap: d.Coil.Gap,
		Layers: d.Stack()[:d.Coil.Layers], ParallelGroups: d.Coil.ParallelGroups,
		ViaDrill: d.Coil.ViaDrill, ViaPlating: d.Coil.ViaPlating,
	}
}

// Pixels returns the number of pixels.
func (d Design) Pixels() int { return d.Grid.Rows * d.Grid.Cols }

// Turns is how many turns the pixels take: in mode scan as many rows have one together as
// drive.scan_rows says, far apart, row r turn r mod Turns; else all one together.
func (d Design) Turns() int {
	if d.Drive.Mode == DriveScan {
		rows := max(d.Drive.ScanRows, 1)
		return (d.Grid.Rows + rows - 1) / rows
	}
	return 1
}

// Rail is the voltage of the rail that carries the picture, V: in mode scan that of its rows.
func (d Design) Rail() float64 {
	if d.Drive.Mode == DriveScan {
		return d.Drive.KickVoltage
	}
	return d.Supply.Voltage
}

// Coils is how many coils an output has in series, which share its voltage and what its
// switches and diode drop.
func (d Design) Coils() int { return max(d.Drive.InSeries, 1) }

// Switches is the resistance in ohms that each coil on an output has of its switches: in a
// string they share it.
func (d Design) Switches() float64 { return d.Drive.OnResistance / float64(d.Coils()) }

// PathDrop is the voltage that a diode in series with the coil takes, V: that which parts the
// shared lines of a scan whose current goes one way.
func (d Design) PathDrop() float64 {
	if d.Drive.Mode == DriveScan && d.Drive.Bridge == BridgeLowSide {
		return d.Drive.ScanDiode
	}
	return 0
}

// String is which pixels share a pixel's output, coils in series: from, before to.
func (d Design) String(pixel int) (from, to int) {
	from = pixel - pixel%d.Grid.Cols%d.Coils()
	return from, from + d.Coils()
}

// Light puts a pixel, and what is in series with it, at a level.
func (d Design) Light(levels []float64, pixel int, level float64) {
	for from, to := d.String(pixel); from < to; from++ {
		levels[from] = level
	}
}

// Outputs is how many outputs of drivers switch the coils: one a pixel or string of them, in
// mode scan one a row, and one for each piece of a column's line.
func (d Design) Outputs() int {
	if d.Drive.Mode == DriveScan {
		return d.Grid.Rows + d.Grid.Cols*d.Pieces()
	}
	return d.Pixels() / d.Coils()
}

// Pieces is into how many a column's line is cut in mode scan, each as long as there are
// turns: the most rows that are really on at once.
func (d Design) Pieces() int { return (d.Grid.Rows + d.Turns() - 1) / d.Turns() }

// Freewheels is how many diodes take over the current that a low side switches off: one an
// output, in mode scan one for each piece of a column's line.
func (d Design) Freewheels() int {
	switch {
	case d.Drive.Bridge != BridgeLowSide:
		return 0
	case d.Drive.Mode == DriveScan:
		return d.Grid.Cols * d.Pieces()
	}
	return d.Outputs()
}

// DriverChips is how many driver chips these take.
func (d Design) DriverChips() int { return (d.Outputs() + d.Drive.Channels - 1) / d.Drive.Channels }

// Pixel returns the index of the pixel in a row and column, row 0 at the top.
func (d Design) Pixel(row, col int) int { return row*d.Grid.Cols + col }

// PixelCenter returns where the middle of a pixel lies, in metres, at z = 0; the
// grid is centred on the origin.
func (d Design) PixelCenter(row, col int) r3.Vec {
	return r3.Vec{
		X: (float64(col) - float64(d.Grid.Cols-1)/2) * d.Grid.Pitch,
		Y: (float64(d.Grid.Rows-1)/2 - float64(row)) * d.Grid.Pitch,
	}
}

// Size returns the width and height of the grid in metres, whole pixels.
func (d Design) Size() (width, height float64) {
	return float64(d.Grid.Cols) * d.Grid.Pitch, float64(d.Grid.Rows) * d.Grid.Pitch
}

// Usual is what stands behind a display of which nothing is said: what its orientation
// implies, or its fan.
func (h Heat) Usual() Back {
	switch {
	case h.AirSpeed > 0 || h.AirFlow > 0:
		return BackFan
	case h.Orientation == Vertical:
		return BackWall
	}
	return BackSealed
}

// Gapped tells whether there is air between the display's back and a wall or a case.
func (h Heat) Gapped() bool {
	return h.Back == BackWall || h.Back == BackSealed || h.Back == BackCase || h.Back == BackFan && h.AirFlow > 0
}

// IronFront returns the height of the steel's front face in metres, negative; it
// means nothing when there is no steel.
func (d Design) IronFront() float64 { return -d.Board.Thickness - d.Iron.Gap }

// MetalCore is the metal body of the board between two heights in metres and its conductivity in
// S/m; 0 where the board has none.
func (d Design) MetalCore() (front, back, conductivity float64) {
	m := material.LaminateNamed(d.Board.Laminate)
	if m.ElectricConductivity == 0 {
		return 0, 0, 0
	}
	return -d.Board.CopperOuter*d.Board.CopperMade(0) - m.Dielectric, -d.Board.Thickness, m.ElectricConductivity
}

// MagnetBehindIron reports whether the bias magnets lie behind the steel, seen from the
// viewer.
func (d Design) MagnetBehindIron() bool {
	return d.Iron.Model != IronNone && d.Magnet.Kind != MagnetNone && d.Magnet.Depth >= d.Iron.Gap+d.Iron.Thickness-1e-9
}

// MagnetCenter returns the height of the middle of the bias magnet in metres.
func (d Design) MagnetCenter() float64 {
	return -d.Board.Thickness - d.Magnet.Depth - d.Magnet.Length/2
}

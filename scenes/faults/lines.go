package faults

import (
	"context"
	"math"
	"slices"

	"lodegrid/array/design"
	"lodegrid/array/drive"
	"lodegrid/array/hold"
)

// A scan's pixels hang between the line of their row, which the rail is switched to in its turn, and
// the line of their column, which is switched to the return. Row and column lines are shared by the
// pixels of one piece of a column, so many rows as there are turns. What a fault of a line or of a
// coil's diode asks of each coil is worked out turn by turn, the turns as stretches of their own, the
// PWM of all columns starting together.

// network is a scan with a fault, as the scene plays it.
type network struct {
	*study
	rows, cols int       // of the struck pixel's piece
	first      int       // its first row
	heat       []float64 // J over the scene, of a pixel's coil and diode
	struck     []bool    // pixels whose heat is another
	more       float64   // C over the scene, that the fault takes from the rail
	pull       []float64 // most of a frame, mean square of the current over a lit pixel's
	settled    map[float64]drive.PixelState
}

// lines are the faults of a scan's lines and diodes.
func (x *study) lines(ctx context.Context) ([]Fault, error) {
	d := x.grid.Design
	if d.Drive.Mode != design.DriveScan {
		return nil, nil
	}
	kinds := []Kind{RowShorted, ColumnShorted, RowsTouch, ColumnsTouch, LinesTouch}
	if d.PathDrop() > 0 {
		kinds = append([]Kind{DiodeShorted}, kinds...)
	}
	lone := hold.LoneHold(x.grid)
	var list []Fault
	for _, kind := range kinds {
		n := x.network()
		if (kind == RowsTouch || kind == DiodeShorted || kind == RowShorted) && n.rows < 2 || kind == ColumnsTouch && n.cols < 2 {
			continue
		}
		f, err := n.fault(ctx, kind, lone)
		if err != nil {
			return nil, err
		}
		list = append(list, f)
	}
	return list, nil
}

// network is the scan's piece that the struck pixel is in, sound.
func (x *study) network() *network {
	d := x.grid.Design
	n := &network{study: x, cols: d.Grid.Cols, settled: map[float64]drive.PixelState{}}
	n.first = x.pixel / n.cols / d.Turns() * d.Turns()
	n.rows = min(d.Turns(), d.Grid.Rows-n.first)
	n.heat, n.pull, n.struck = make([]float64, d.Pixels()), make([]float64, d.Pixels()), make([]bool, d.Pixels())
	return n
}

// fault plays the scene with a fault.
func (n *network) fault(ctx context.Context, kind Kind, lone float64) (Fault, error) {
	d := n.grid.Design
	row, col := n.pixel/n.cols, n.pixel%n.cols
	f := Fault{Kind: kind, Pixel: n.pixel, Count: 1}
	other := row + 1 // of the lines that touch
	if other >= n.first+n.rows {
		other = row - 1
	}
	beside := col + 1
	if beside >= n.cols {
		beside = col - 1
	}
	total, wrong, on := 0.0, 0.0, 0
	for _, frame := range n.scene.Frames {
		total += frame.Duration
		at := func(row, col int) float64 { return frame.Levels[row*n.cols+col] }
		drawn := make([]float64, d.Pixels()) // of a lit pixel's mean square
		changed := false
		for r := n.first; r < n.first+n.rows; r++ {
			for c := range n.cols {
				k, level := r*n.cols+c, at(r, c)
				list := []float64{level}
				switch {
				case kind == RowShorted && r == row:
					list = nil
					for turn := n.first; turn < n.first+n.rows; turn++ {
						list = append(list, at(turn, c))
					}
				case kind == RowsTouch && (r == row || r == other):
					list = []float64{at(row, c), at(other, c)}
				case kind == ColumnShorted && c == col:
					list = []float64{1 / d.Drive.MaxDuty}
				case kind == ColumnsTouch && (c == col || c == beside):
					list = []float64{max(at(r, col), at(r, beside))}
				case kind == LinesTouch && k == n.pixel:
					list = nil // its coil is bridged
				}
				if kind == DiodeShorted && k == n.pixel {
					list = nil
					if level != 0 { // its own turn without the diode's volts
						s := n.settle(level, 0)
						n.add(k, s, frame.Duration, drawn)
						n.more += s.RailAverage * frame.Duration
					}
				}
				for _, v := range list {
					n.add(k, n.at(v), frame.Duration, drawn)
				}
				if drawn[k] != n.square(n.at(level)) {
					n.more -= n.at(level).RailAverage * frame.Duration
					for _, v := range list {
						n.more += n.at(v).RailAverage * frame.Duration
					}
					changed, n.struck[k] = true, true
				}
			}
		}
		if kind == DiodeShorted || kind == LinesTouch {
			through := 1.0 // coils that the way back leads through
			if kind == LinesTouch {
				through = 0
			}
			for turn := n.first; turn < n.first+n.rows; turn++ {
				if turn != row {
					changed = n.astray(turn, row, col, through, frame.Levels, frame.Duration, drawn) || changed
				}
			}
		}
		lit := 0
		for k, v := range drawn {
			n.pull[k] = max(n.pull[k], v)
			if frame.Levels[k] == 0 && v*lone > d.Limits.FalseOn {
				lit++
			}
		}
		if on = max(on, lit); changed {
			wrong += frame.Duration
		}
	}
	f.Lost = Lost{On: on, Time: wrong / total, Pull: n.pull[n.pixel]}
	switch kind {
	case RowShorted:
		f.Pixel, f.Count = -1, n.cols
	case RowsTouch:
		f.Pixel, f.Count = -1, 2*n.cols
	case ColumnShorted:
		f.Pixel, f.Count = -1, n.rows
	case ColumnsTouch:
		f.Pixel, f.Count = -1, 2*n.rows
	case LinesTouch:
		f.Lost.Dark = 1
	}
	if f.Pixel < 0 {
		f.Lost.Pull = slices.Max(n.pull[n.first*n.cols : (n.first+n.rows)*n.cols])
	}
	f.Asked = max(n.mean+n.more/total, 0)
	f.Current = f.Asked
	full := n.at(1)
	switch kind {
	case LinesTouch: // through both lines' switches, the diode bridged, too
		const least = 1e-3 // Ω, of switches and lines together where the design gives none
		f.Coil = n.rail / max(n.circuit.OnResistance, least)
		duty := d.Drive.MaxDuty / float64(d.Turns())
		f.Asked += duty * f.Coil
		f.Current, f.Switch = f.Asked, f.Coil
		f.Spot = duty * n.rail * f.Coil
		if r := n.parts.of(&f); f.Asked > r.Limit {
			f.Current, f.Held = r.Limit, true
			f.Spot = min(f.Spot, r.Limit*r.Voltage)
		}
		return f, n.heats(ctx, &f, total)
	case DiodeShorted:
		full = n.settle(1, 0)
	case ColumnShorted: // past the column's switch, whose limit does not see it
		full = n.at(1 / d.Drive.MaxDuty)
	}
	f.Coil = full.Average * float64(d.Turns())
	switch kind {
	case DiodeShorted:
		f.Switch = full.Max
	case RowShorted, RowsTouch, ColumnsTouch:
		if f.Switch = full.Max; wrong > 0 {
			f.Switch *= 2 // two coils at once
		}
	}
	return f, n.heats(ctx, &f, total)
}

// at is a coil at a level, which may be beyond the full, as warm as the scene makes the struck one:
// its RMS settled in its row's turn, the rest as means over a scan.
func (n *network) at(level float64) drive.PixelState {
	s, known := n.settled[level]
	if !known && level != 0 {
		s = n.settle(level, n.circuit.PathDrop)
		n.settled[level] = s
	}
	return s
}

// settle is at behind a diode of so many volts.
func (n *network) settle(level, drop float64) drive.PixelState {
	d := n.grid.Design
	c := n.drive.Boosted(n.pixel, level, n.warmOhms())
	c.PathDrop = drop
	s := c.PWM(min(level*d.Drive.MaxDuty, 1), 1/d.Drive.Frequency)
	turns := float64(d.Turns())
	s.Copper, s.OnBoard, s.RailAverage, s.Average = s.Copper/turns, s.OnBoard/turns, s.RailAverage/turns, s.Average/turns
	return s
}

// square is the mean square of a current over that of full level.
func (n *network) square(s drive.PixelState) float64 { return math.Pow(s.RMS/n.at(1).RMS, 2) }

// add is a pixel's current in a turn.
func (n *network) add(pixel int, s drive.PixelState, seconds float64, drawn []float64) {
	n.heat[pixel] += (s.Copper + s.OnBoard) * seconds
	drawn[pixel] += n.square(s)
}

// astray is the current that takes the way back through a line that it should not: in the turn of a
// row, from its coil on the struck column, while that column is off, through the struck pixel into
// the struck row's line and on through that row's other coils whose columns are on, k of them side by
// side,
//
//	V − 2 V_d = i (R + R·through + R/k + …)
//
// each a part of one PWM circuit. It tells whether any flows.
func (n *network) astray(turn, row, col int, through float64, levels []float64, seconds float64, drawn []float64) bool {
	own := levels[turn*n.cols+col]
	others := []float64{own}
	for c := range n.cols {
		if v := levels[turn*n.cols+c]; c != col && v > own {
			others = append(others, v)
		}
	}
	slices.Sort(others)
	flows := false
	turns := float64(n.grid.Design.Turns())
	for i := 1; i < len(others); i++ { // from one column's switching off to the next
		if others[i] == others[i-1] {
			continue
		}
		k := float64(len(others) - i)
		chain := 1 + through + 1/k
		c := n.circuit
		c.Resistance = n.warmOhms()
		c.Voltage, c.OnResistance, c.PathDrop, c.DiodeDrop = n.rail/chain, c.OnResistance/chain, 2*c.PathDrop/chain, c.DiodeDrop/chain
		s := c.PWM((others[i]-others[i-1])*n.grid.Design.Drive.MaxDuty, 1/n.grid.Design.Drive.Frequency)
		square := n.square(s)
		put := func(pixel int, share, drop float64) {
			n.heat[pixel] += (share*share*s.RMS*s.RMS*c.Resistance + share*s.Average*drop) * seconds / turns
			drawn[pixel] += share * share * square
			n.struck[pixel] = true
		}
		diode := n.circuit.PathDrop
		put(turn*n.cols+col, 1, diode)
		if through > 0 {
			put(row*n.cols+col, 1, 0)
		}
		for c := range n.cols {
			if c != col && levels[turn*n.cols+c] >= others[i] {
				put(row*n.cols+c, 1/k, diode)
			}
		}
		n.more += s.RailAverage * seconds / turns
		flows = true
	}
	return flows
}

// heats follows the temperatures, with each struck coil's heat as its law has it at its temperature.
func (n *network) heats(ctx context.Context, f *Fault, total float64) error {
	own := n.lit()
	unit, _ := own.at(n.turns[n.pixel])
	var faulty []int
	var scale []float64
	base := slices.Clone(n.watts)
	for k, is := range n.struck {
		if w := n.heat[k] / total; is && w > 0 {
			faulty, scale = append(faulty, k), append(scale, w/unit)
		} else if is {
			base[k] = 0
		}
	}
	if len(faulty) == 0 { // nothing gets hotter
		return nil
	}
	return n.heatedAs(ctx, f, faulty, scale, own, base)
}

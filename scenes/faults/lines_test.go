package faults

import (
	"math"
	"testing"

	"lodegrid/scenes"
)

// scanOf is a scan of a few pixels that shows a picture for good, at full duty: its rows in turn.
func scanOf(t *testing.T, picture [][]float64, changes ...string) (*Study, *study) {
	t.Helper()
	p := playerOf(t, append([]string{"grid.rows=4", "grid.cols=5", "drive.mode=scan", "drive.bridge=low-side", "drive.max_duty=100 %", "supply.voltage=3 V", "drive.kick_voltage=3 V", "drive.most_lit=20", "limits.board=400 degC", "limits.touch=200 degC", "limits.false_on=0.001", "drive.on_resistance=0 Ω"}, changes...)...)
	f := scenes.Frame{Duration: 0.5}
	for _, row := range picture {
		f.Levels = append(f.Levels, row...)
	}
	return find(t, p, scenes.Scene{Name: "picture", Rows: 4, Cols: 5, Frames: []scenes.Frame{f}})
}

// scanned is a scan with a shorted diode as ngspice has it: the current of each coil in each row's turn.
type scanned struct {
	Voltage, Drop, Resistance float64
	Picture                   [][]float64
	Row, Col                  int
	Turns                     [][]float64 // A
}

// check holds each coil's heat with its diode's against ngspice's, whose currents go with 1/R.
func (s *scanned) check(t *testing.T) {
	out, x := scanOf(t, s.Picture)
	d := x.grid.Design
	if x.pixel != s.Row*5+s.Col || d.PathDrop() != s.Drop || d.Supply.Voltage != s.Voltage {
		t.Fatalf("pixel %d is struck, of %g V, its diode takes %g V: not what ngspice was asked", x.pixel, d.Supply.Voltage, d.PathDrop())
	}
	n := x.network()
	if _, err := n.fault(t.Context(), DiodeShorted, 1); err != nil {
		t.Fatal(err)
	}
	sum := 0.0
	for k := range 20 {
		w := 0.0
		for _, amps := range s.Turns {
			i := amps[k] * s.Resistance / x.warmOhms()
			if w += i * i * x.warmOhms() / 4; k != x.pixel {
				w += math.Abs(i) * s.Drop / 4
			}
		}
		if sum += w; n.struck[k] {
			near(t, "a struck coil's heat by ngspice", n.heat[k]/0.5, w, 0.02)
		} else if math.Abs(w-x.watts[k]) > 0.02*w+1e-6 {
			t.Errorf("pixel %d has %g W in ngspice, before the fault %g W, and is not struck", k, w, x.watts[k])
		}
	}
	if f := out.get(t, DiodeShorted, false); f.Asked < sum/s.Voltage*0.98 || f.Asked > sum/s.Voltage*1.02 {
		t.Errorf("%g A of the supply, %g A in ngspice", f.Asked, sum/s.Voltage)
	}
}

// nodes are the heats of a scan's coils with their diodes, W, by Kirchhoff's law at its lines: each is
// on a voltage where those of the coils that it meets add to nothing, found by halving, one line after
// the other until none moves. The row in its turn is on the rail, the lit columns
// on the return; the diode of one coil is a wire.
func nodes(rail, drop, ohms float64, picture [][]float64, row, col int) [][]float64 {
	rows, cols := len(picture), len(picture[0])
	heat := make([][]float64, rows)
	for r := range heat {
		heat[r] = make([]float64, cols)
	}
	for turn := range picture {
		high, low := make([]float64, rows), make([]float64, cols)
		flow := func(r, c int) float64 {
			v := high[r] - low[c]
			if r == row && c == col {
				return v / ohms
			}
			return max(0, v-drop) / ohms
		}
		for range 20_000 {
			moved := 0.0
			settle := func(at *float64, out func() float64) { // out rises with the line's voltage
				from, to, was := -1.0, rail+1, *at
				for range 60 {
					if *at = (from + to) / 2; out() > 0 {
						to = *at
					} else {
						from = *at
					}
				}
				moved = max(moved, math.Abs(*at-was))
			}
			for r := range rows {
				if r == turn {
					high[r] = rail
					continue
				}
				settle(&high[r], func() float64 {
					sum := 1e-12 * high[r]
					for c := range cols {
						sum += flow(r, c)
					}
					return sum
				})
			}
			for c := range cols {
				if picture[turn][c] == 0 {
					settle(&low[c], func() float64 {
						sum := 1e-12 * low[c]
						for r := range rows {
							sum -= flow(r, c)
						}
						return sum
					})
				}
			}
			if moved < 1e-12 {
				break
			}
		}
		for r := range rows {
			for c := range cols {
				i := flow(r, c)
				if heat[r][c] += i * i * ohms / float64(rows); r != row || c != col {
					heat[r][c] += math.Abs(i) * drop / float64(rows)
				}
			}
		}
	}
	return heat
}

// What a shorted diode lets astray heats each coil as Kirchhoff's law has it.
func TestDiodeShortedByKirchhoff(t *testing.T) {
	for _, picture := range [][][]float64{
		{{1, 0, 0, 0, 0}, {0, 1, 0, 0, 0}, {0, 1, 1, 1, 0}, {0, 0, 0, 0, 0}},
		{{1, 1, 0, 0, 0}, {0, 0, 1, 1, 1}, {1, 0, 0, 1, 1}, {0, 1, 0, 0, 0}},
	} {
		out, x := scanOf(t, picture)
		d := x.grid.Design
		row, col := x.pixel/5, x.pixel%5
		n := x.network()
		if _, err := n.fault(t.Context(), DiodeShorted, 1); err != nil {
			t.Fatal(err)
		}
		f := *out.get(t, DiodeShorted, false)
		want := nodes(3, d.PathDrop(), x.warmOhms(), picture, row, col)
		sum, rail := 0.0, 0.0
		for k := range 20 {
			w := want[k/5][k%5]
			if n.struck[k] {
				near(t, "a struck coil's heat", n.heat[k]/0.5, w, 0.02)
			} else if math.Abs(w-x.watts[k]) > 0.02*w+1e-6 {
				t.Errorf("pixel %d has %g W, before %g W, and is not struck", k, w, x.watts[k])
			}
			sum += w
			rail += x.watts[k]
		}
		if !(sum > 1.05*rail) || !(f.Course.Hottest > x.turns[x.pixel]) || f.Lost.Time != 1 || !(f.Asked > x.mean) {
			t.Errorf("%g W of %g W: %+v", sum, rail, f)
		}
	}
}

// By hand, a picture of two lit pixels in one row and one below the first: a row on for good takes
// what its columns are asked in every turn; two rows that touch take both; a column on for good
// lights its pixel in every row; columns that touch light what either is asked.
func TestLinesByHand(t *testing.T) {
	out, x := scanOf(t, [][]float64{{1, 1, 0, 0, 0}, {1, 0, 0, 0, 0}, {0, 0, 0, 0, 0}, {0, 0, 0, 0, 0}}, "drive.max_duty=50 %")
	if x.pixel != 0 && x.pixel != 5 {
		t.Fatalf("pixel %d is the hottest", x.pixel)
	}
	one := x.mean / 3 // A, that a lit pixel draws
	more := 0.0
	if row := x.pixel / 5; row == 0 {
		more = 1 // in the second row's turn
	} else {
		more = 2 // in the first's
	}
	for _, c := range []struct {
		kind      Kind
		count, on int
		asked     float64
	}{
		{RowShorted, 5, int(more) - 1, 3 + more},
		{RowsTouch, 10, 1, 6}, // one in the second row that is dark
		{ColumnsTouch, 8, 1, 4},
		{ColumnShorted, 4, 2, 1 + (3-0.7)/x.warmOhms()/one}, // full duty in every turn
	} {
		f := out.get(t, c.kind, false)
		if f.Count != c.count || f.Lost.On != c.on || f.Lost.Time != 1 {
			t.Errorf("%s: %+v, want %d of %d on", c.kind, f, c.on, c.count)
		}
		near(t, string(c.kind)+", of the supply", f.Asked, c.asked*one, 0.03)
		if !(f.Course.Hottest > x.turns[x.pixel]) {
			t.Errorf("%s: no hotter than %g K: %+v", c.kind, x.turns[x.pixel], f.Course)
		}
	}
	touch := out.get(t, LinesTouch, false)
	near(t, "through both lines' switches", touch.Coil, 3/1e-3, 1e-9)
	near(t, "their heat", touch.Spot, 3*x.parts.Main.Limit, 1e-9)
	if touch.Lost.Dark != 1 || touch.Caught() == nil || touch.Caught().Part != DriverLimit {
		t.Errorf("a row's line on a column's: %+v", touch)
	}
	if !touch.Held || touch.Current != x.parts.Main.Limit {
		t.Errorf("a row's line on a column's draws %g A of a supply that holds at %g A", touch.Current, x.parts.Main.Limit)
	}
	short, y := scanOf(t, [][]float64{{1, 1, 0, 0, 0}, {1, 0, 0, 0, 0}, {0, 0, 0, 0, 0}, {0, 0, 0, 0, 0}}, "drive.max_duty=20 %")
	if most := y.network().at(5).Max; most < y.parts.DriverLimit {
		t.Fatalf("%g A through a column on for good, a driver's limit of %g A: no test", most, y.parts.DriverLimit)
	}
	for _, c := range short.get(t, ColumnShorted, false).Catches {
		if c.Part == DriverLimit {
			t.Error("a current past the column's switch is said to be limited by it")
		}
	}
	// Without the volts of its own diode half the time V, half that of the diode it runs on through:
	// (D V − (1 − D) V_f)/R, its ripple never down to 0.
	near(t, "a coil whose diode is shorted", out.get(t, DiodeShorted, false).Coil, (3-x.circuit.DiodeDrop)/x.warmOhms()/2, 0.01)
	if c := out.get(t, RowsTouch, false).Caught(); c == nil || c.Part != DriverLimit {
		t.Errorf("two coils on one switch are caught by %+v", c)
	}
}

package choose

import (
	"math"
	"math/cmplx"
	"slices"
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/array/handover"
	"lodegrid/array/hold"
	"lodegrid/field/quantity"
	"lodegrid/scenes"
	"lodegrid/scenes/verdict"
)

// moving is a few pixels of a display that can move its drops.
func moving(t *testing.T, changes ...design.Change) design.Design {
	return fileDesign(t, "../../testdata/carry/moves.toml", append([]design.Change{{Key: "grid.cols", Value: "5"}, {Key: "grid.rows", Value: "4"}}, changes...)...)
}

func advised(t *testing.T, d design.Design, aim Aim) *Advice {
	t.Helper()
	a, err := FindDrives(t.Context(), d, sceneOf(t, d), Usual(), aim)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// Every drive told holds and moves as is wanted, no more than it must; and what it says of
// itself is what its settings give when they are taken and played anew.
func TestDrivesTakenAndRunAgain(t *testing.T) {
	d := moving(t)
	a := advised(t, d, Aim{Most: 3, By: Heat})
	own, err := grid.New(t.Context(), d, 0)
	if err != nil {
		t.Fatal(err)
	}
	want := hold.LoneHold(own)
	if math.Abs(a.Hold-want) > 1e-9*want {
		t.Fatalf("hold of the design %g, wanted %g", want, a.Hold)
	}
	modes := map[design.DriveMode]float64{}
	for _, x := range a.Drives {
		taken, err := d.With(x.Changes...)
		if err != nil {
			t.Fatal(err)
		}
		chips := 5 * 4 // of one output, one a coil; of a scan one a row, and one a column for each row that is on at once
		if x.Mode == design.DriveScan {
			chips = 4 + 5*x.Rows
		}
		if n := taken.DriverChips(); n != chips {
			t.Errorf("%v: taken it has %d chips, want %d", x.Way, n, chips)
		}
		parts, price := chips+len(x.Supplies), float64(chips)*Usual().DriverPrice
		if x.Bridge == design.BridgeLowSide { // a freewheel diode per coil
			parts += 5 * 4
		}
		for _, s := range x.Supplies {
			price += s.Price
		}
		if x.Parts != parts || math.Abs(x.Price-price) > 1e-9 {
			t.Errorf("%v: %d parts for %g, want %d for %g", x.Way, x.Parts, x.Price, parts, price)
		}
		if x.Lone < want*(1-1e-3) || x.Time > a.Move {
			t.Errorf("%v: hold %.4g of %.4g, move %.4g s of %.4g s", x.Way, x.Lone, want, x.Time, a.Move)
		}
		if x.Mode == design.DriveKick && x.Lone > 1.01*want {
			t.Errorf("%v: holds %.4g, wanted %.4g", x.Way, x.Lone, want)
		}
		if x.Time < 0.85*a.Move {
			t.Errorf("%v: moves in %.4g s, %.4g s would do", x.Way, x.Time, a.Move)
		}
		if modes[x.Mode] == 0 {
			modes[x.Mode] = x.Power
		}
		again, err := Judge(t.Context(), taken, sceneOf(t, d), a.Move, nil)
		if err != nil {
			t.Fatal(err)
		}
		g, z, y := again.Grid, again.Verdict.Summary, x.Verdict.Summary
		if lone := hold.LoneHold(g); math.Abs(lone/x.Lone-1) > 1e-3 {
			t.Errorf("%v: taken it holds %.5g, told %.5g, %v", x.Way, lone, x.Lone, err)
		}
		if math.Abs(z.AveragePower/(x.Power-x.Edges)-1) > 1e-3 || math.Abs(z.Touch-y.Touch) > 0.1 || len(again.Verdict.Problems) != len(x.Verdict.Problems) {
			t.Errorf("%v: taken %.5g W, %.5g K, %d problems; told %.5g W, %.5g K, %d", x.Way, z.AveragePower, z.Touch, len(again.Verdict.Problems), x.Power-x.Edges, y.Touch, len(x.Verdict.Problems))
		}
	}
	if at := a.Apart; len(a.Coils) > 0 || at != nil { // rows of five have no strings but of five
		for _, n := range a.Coils {
			t.Errorf("%d in series where the scene moves single drops", n)
		}
		if f := sceneOf(t, d).Frames[at.Frame].Levels; f[at.First] == f[at.Pixel] {
			t.Errorf("%+v are not apart", at)
		}
	}
	// What is held all the time at the strength of a kick makes far more heat.
	if kick, direct := modes[design.DriveKick], modes[design.DriveDirect]; !(kick > 0 && direct > 3*kick) {
		t.Errorf("kick and hold draws %.3g W, direct %.3g W at the same hold and move", kick, direct)
	}
}

// A move's duty is found to about 3 %: with 4 % less it takes too long. (Far less may be quick
// enough again where a drop that comes in slower swings once less before it rests.)
func TestNoMoreDutyThanAMoveTakes(t *testing.T) {
	a := advised(t, moving(t), Aim{Move: 0.35, Most: 3})
	modes := map[design.DriveMode]bool{}
	for _, x := range a.Drives {
		modes[x.Mode] = true
		less, err := x.Design.With(design.Change{Key: "drive.max_duty", Value: quantity.Exact(x.Design.Drive.MaxDuty/1.04, quantity.Ratio)})
		if err != nil {
			t.Fatal(err)
		}
		g, err := grid.New(t.Context(), less, 0)
		if err != nil {
			t.Fatal(err)
		}
		time, err := slowest(t.Context(), g, schemeOf(x.Mode))
		if err != nil || x.Time > a.Move || time <= a.Move {
			t.Errorf("%v: moves in %.4g s of %g s, with 4 %% less duty in %.4g s, %v", x.Way, x.Time, a.Move, time, err)
		}
	}
	if !modes[design.DriveScan] || !modes[design.DriveDirect] {
		t.Errorf("drives of %v", modes)
	}
}

// A rail that is too low is told with the voltage that would do: with that the hold is just
// reached at full duty.
func TestVoltageThatWouldHold(t *testing.T) {
	d := small(t)
	a := advised(t, d, Aim{Hold: 4000, Move: 100, Most: 1})
	for _, x := range a.Stopped {
		if x.Mode != design.DriveStagger || x.Bridge != design.BridgeFull || x.Limit != verdict.Holding {
			continue
		}
		tried, err := d.With(tuned{Way: Way{Mode: x.Mode, Bridge: x.Bridge, Main: x.Volts}, frequency: 250e3, duty: 1}.changes(design.Design{}, 0)...)
		if err != nil {
			t.Fatal(err)
		}
		g, err := grid.New(t.Context(), tried, 0)
		if err != nil {
			t.Fatal(err)
		}
		if got := hold.LoneHold(g); math.Abs(got/4000-1) > 0.02 {
			t.Errorf("at the %.4g V told for %g V the hold is %.4g, wanted 4000, %v", x.Volts, x.Main, got, err)
		}
		return
	}
	t.Errorf("no rail was too low: %+v", a.Stopped)
}

// So it is of a kick that is too weak: with that voltage at full duty a drop that is held as
// firmly as is wanted just moves in time. The voltage is found to 2 %.
func TestVoltageThatWouldMove(t *testing.T) {
	d := moving(t)
	a := advised(t, d, Aim{Move: 0.2, Most: 6})
	// One of the drives told has a supply of its own for the kicks, of the frame that kicks most: each
	// kick turns all that it takes to heat, at every harmonic of its pulses by coil, switches and
	// the steel's part of the impedance, Σ |V_n|²/2 Re Z/|Z|², and feeders take 3 % of the voltage.
	if i := slices.IndexFunc(a.Drives, func(x Driven) bool { return x.Kick > x.Main && len(x.Needs) == 2 }); i < 0 {
		t.Errorf("no drive has a supply for its kicks: %+v", a.Drives)
	} else {
		x := a.Drives[i]
		lit, most := 0, 0.0
		for _, e := range x.Verdict.Ledger.Entries {
			if e.KickCurrent > most {
				lit, most = e.Lit, e.KickCurrent
			}
		}
		g, err := grid.New(t.Context(), x.Design, 0)
		if err != nil {
			t.Fatal(err)
		}
		led, err := g.Resistances(d.Heat.AmbientLow)
		if err != nil {
			t.Fatal(err)
		}
		if slices.Min(led) <= g.Pixel.Coil.Resistance(d.Heat.AmbientLow) || slices.Max(led) > 1.001*slices.Min(led) {
			t.Errorf("the coils have %g to %g Ω with their leads, want alike and more than without", slices.Min(led), slices.Max(led))
		}
		ohms, pulse := led[0]+d.Drive.OnResistance, x.Design.Drive
		spent, steel := math.Pow(pulse.MaxDuty*pulse.KickVoltage, 2)/ohms, 0.0
		for n := 1.0; n < 3000; n++ {
			z := complex(ohms, 0) + g.Pixel.Eddy.Ladder.Impedance(n*pulse.Frequency)
			volts := 2 * pulse.KickVoltage * math.Sin(math.Pi*n*pulse.MaxDuty) / (math.Pi * n)
			square := volts * volts / 2 / math.Pow(cmplx.Abs(z), 2)
			spent += square * real(z)
			steel += square * (real(z) - ohms)
		}
		if want := 1.03 * float64(lit) * spent; math.Abs(x.Needs[1]/want-1) > 5e-4 || steel < 0.02*spent {
			t.Errorf("kicks of %+v need %.5g W, want %.5g W, %.3g of it in the steel", x.Way, x.Needs[1], want, steel/spent)
		}
	}
	i := slices.IndexFunc(a.Stopped, func(x Stopped) bool {
		return x.Mode == design.DriveKick && x.Bridge == design.BridgeFull && x.Limit == Move && x.Volts > 0
	})
	if i < 0 {
		t.Fatalf("no kick was too weak: %+v", a.Stopped)
	}
	told := a.Stopped[i]
	kicked := func(volts, hold float64) *grid.Grid {
		x := tuned{Way: Way{Mode: told.Mode, Bridge: told.Bridge, Main: told.Main, Kick: volts}, frequency: 250e3, duty: 1, hold: hold}
		taken, err := d.With(x.changes(d, a.Move)...)
		if err != nil {
			t.Fatal(err)
		}
		g, err := grid.New(t.Context(), taken, 0)
		if err != nil {
			t.Fatal(err)
		}
		return g
	}
	most := hold.LoneHold(kicked(told.Volts, 1))
	for _, part := range []float64{0.9, 1.05} {
		g := kicked(part*told.Volts, math.Sqrt(a.Hold/most)) // the hold goes with the square of its current
		if time, err := slowest(t.Context(), g, handover.Kick); err != nil || (time <= a.Move) != (part > 1) {
			t.Errorf("at %g of the %.4g V told a drop moves in %.4g s, wanted %g s, %v", part, told.Volts, time, a.Move, err)
		}
		// A kick that outlasts the coil's rise by far is felt as what Ohm's law makes of it.
		ohms := g.Pixel.Coil.Cold().Value + g.Design.Drive.OnResistance
		if felt, want := feltKick(g), part*told.Volts/ohms; math.Abs(felt/want-1) > 0.01 {
			t.Errorf("a kick of %.4g V is felt as %.4g A, by Ohm's law %.4g A", part*told.Volts, felt, want)
		}
	}
}

// A driver that bears too little, or switches too slowly, keeps drives out.
func TestDriversKeepDrivesOut(t *testing.T) {
	a := advised(t, moving(t, design.Change{Key: "drive.driver_current", Value: "0.3 A"}), Aim{Most: 1})
	if len(a.Drives) > 0 {
		t.Errorf("a channel of 0.3 A: %v", a.Drives[0].Way)
	}
	// What edges lose speaks for a lower frequency, and is told.
	d := moving(t)
	quiet := advised(t, d, Aim{Most: 1}).Drives[0]
	d.Drive.EdgeLoss = 1e-6
	lossy := advised(t, d, Aim{Most: 1}).Drives[0]
	if f, g := lossy.Design.Drive.Frequency, quiet.Design.Drive.Frequency; f >= g || quiet.Edges != 0 {
		t.Errorf("%g Hz with losses, %g Hz without, %g W of edges without", f, g, quiet.Edges)
	}
	lit := 0.0
	for _, e := range lossy.Verdict.Ledger.Entries {
		lit += float64(e.Lit) * e.Duration / lossy.Verdict.Summary.Duration
	}
	if want := 2 * 1e-6 * lossy.Design.Drive.Frequency * lit; math.Abs(lossy.Edges/want-1) > 1e-9 {
		t.Errorf("edges lose %g W, want %g", lossy.Edges, want)
	}
	n := 0
	for _, x := range a.Stopped {
		if x.Limit == verdict.Driver {
			n++
		}
	}
	if n == 0 {
		t.Errorf("none is stopped by its driver: %+v", a.Stopped)
	}
	q := &adviser{own: &grid.Grid{Design: moving(t, design.Change{Key: "drive.edge_time", Value: "10 us"}, design.Change{Key: "drive.frequency", Value: "20 kHz"})}}
	for _, f := range q.frequencies() {
		if f*2*10e-6 >= 1 {
			t.Errorf("%g Hz is tried with edges of 10 µs", f)
		}
	}
}

// At a port there are its voltages, and no second rail for a kick.
func TestDrivesAtAPort(t *testing.T) {
	a := advised(t, moving(t, design.Change{Key: "supply.voltage", Value: "15 V"}, design.Change{Key: "drive.kick_voltage", Value: "15 V"}, design.Change{Key: "supply.kind", Value: "usb-pd"}, design.Change{Key: "supply.power", Value: "135 W"}), Aim{Most: 1})
	seen := map[float64]bool{}
	for _, x := range a.Stopped {
		seen[x.Main] = true
	}
	for _, x := range a.Drives {
		seen[x.Main] = true
		if x.Mode == design.DriveKick && x.Kick != x.Main {
			t.Errorf("two rails at one port: %+v", x.Way)
		}
		if x.Supplies[0].Power > 0 && x.Supplies[0].Price != 0 {
			t.Errorf("a port costs %g", x.Supplies[0].Price)
		}
	}
	for v := range seen {
		if v != 5 && v != 9 && v != 15 && v != 20 {
			t.Errorf("%g V at a port", v)
		}
	}
	if len(a.Drives) == 0 {
		t.Error("no drive")
	}
}

// Where neighbours light together, strings of them are tried and told as they play: at the
// same hold with the coils' own heat, on a rail as many times as high for the same duty.
func TestDrivesInSeries(t *testing.T) {
	d := moving(t, design.Change{Key: "grid.cols", Value: "4"})
	s := scenes.Scene{Name: "bars", Rows: 4, Cols: 4}
	for k := range 4 {
		f := scenes.Frame{Levels: make([]float64, 16), Duration: 2}
		for i := range 2 {
			f.Levels[4*k+i] = 1
		}
		s.Frames = append(s.Frames, f)
	}
	a, err := FindDrives(t.Context(), d, s, Usual(), Aim{Most: 9, By: Heat})
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(a.Coils, []int{2}) || a.Apart != nil {
		t.Fatalf("%v in series, apart at %v: want 2", a.Coils, a.Apart)
	}
	told := map[design.DriveMode]bool{}
	for _, x := range a.Drives {
		if x.Coils != 2 {
			continue
		}
		told[x.Mode] = true
		taken, err := d.With(x.Changes...)
		if err != nil {
			t.Fatal(err)
		}
		if taken.Coils() != 2 || taken.DriverChips() != 8 || x.Parts < 8 {
			t.Errorf("taken it has %d in series on %d chips, %d parts", taken.Coils(), taken.DriverChips(), x.Parts)
		}
		again, err := Judge(t.Context(), taken, s, a.Move, nil)
		if err != nil {
			t.Fatal(err)
		}
		if z := again.Verdict.Summary; math.Abs(z.AveragePower/(x.Power-x.Edges)-1) > 1e-3 || x.Lone < a.Hold*(1-1e-3) {
			t.Errorf("taken it draws %g W and holds %g, told %g W and %g", z.AveragePower, x.Lone, x.Power-x.Edges, a.Hold)
		}
	}
	for _, mode := range []design.DriveMode{design.DriveDirect, design.DriveStagger, design.DriveKick} {
		if !told[mode] {
			t.Errorf("no strings in mode %s among the drives", mode)
		}
	}
	if told[design.DriveScan] {
		t.Error("strings on a scan's shared lines")
	}
	s.Frames[2].Levels[9] = 0
	if list, at := together(d, s); list != nil || at == nil || *at != (Apart{2, 8, 9}) {
		t.Errorf("%v in series, apart at %+v", list, at)
	}
}

func BenchmarkDrives(b *testing.B) {
	d := design.Demo()
	for b.Loop() {
		if _, err := FindDrives(b.Context(), d, sceneOf(b, d), Usual(), Aim{By: Heat}); err != nil {
			b.Fatal(err)
		}
	}
}

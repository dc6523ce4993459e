package studies

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/supply"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
)

// turned is a player on another drive.
func turned(t *testing.T, p *player.Player, change func(*design.Design)) *player.Player {
	t.Helper()
	q, err := p.With(change)
	if err != nil {
		t.Fatal(err)
	}
	return q
}

// Row scan gives every pixel 1/rows of the time, or one of so many turns: on the same rail 1/rows of the mean
// current and of the power, on a rail of rows times the voltage the full mean current,
// for rows times the power. PWM far slower than L/R here, whose rise is the only
// difference.
func TestScanSharesTheTime(t *testing.T) {
	base := newPlayer(t, small(t, "iron.model=none", "drive.frequency=2 kHz", "drive.scan_time=60 ms"))
	f := scenes.Frame{Levels: base.Uniform(1), Duration: 0.6}
	for _, c := range []struct {
		atOnce      int
		rows, boost float64 // turns of three rows
	}{{1, 3, 1}, {1, 3, 3}, {2, 2, 2}} {
		rows, boost := c.rows, c.boost
		p := turned(t, base, func(d *design.Design) { d.Drive.KickVoltage, d.Drive.ScanRows = boost*d.Supply.Voltage, c.atOnce })
		modes, err := CompareModes(t.Context(), p.Grid(), f)
		if err != nil {
			t.Fatal(err)
		}
		direct, scan := modes[0], modes[2]
		near(t, "the mean current scanned", scan.Current, direct.Current*boost/rows, 1e-3)
		near(t, "the power scanned", scan.Power, direct.Power*boost*boost/rows, 1e-3)
		near(t, "the RMS over the turns", scan.Effective, direct.Current*boost/math.Sqrt(rows), 1e-3)
		near(t, "the rails' power", scan.Load.Supply.Power()+scan.Load.Boost.Power(), scan.Power, 1e-6)
		if stagger := modes[1]; stagger.Load.Supply.Peak > direct.Load.Supply.Peak || math.Abs(stagger.Power-direct.Power) > 1e-9*direct.Power {
			t.Errorf("staggered %g A and %g W, in phase %g A and %g W", stagger.Load.Supply.Peak, stagger.Power, direct.Load.Supply.Peak, direct.Power)
		}
	}
}

// A kick drives its coils with the kick rail's current, then the hold's, and each rail is
// sized for its own part. PWM far slower than L/R: D V/(R + Ron).
func TestKickAndHold(t *testing.T) {
	p := newPlayer(t, small(t, "iron.model=none", "drive.mode=kick", "drive.frequency=1 kHz",
		"drive.kick_voltage=36 V", "drive.kick_time=100 ms", "drive.max_duty=50 %", "drive.hold_duty=10 %"))
	s := pictures(1, [3]string{"#...", "....", "...."}, [3]string{"#...", ".#..", "...."})
	if _, err := p.Warm(t.Context(), s); err != nil {
		t.Fatal(err)
	}
	l, err := p.Play(t.Context(), s, nil)
	if err != nil {
		t.Fatal(err)
	}
	total := p.Grid().Pixel.Coil.Resistance(p.Grid().Design.Heat.Ambient) + p.Grid().Design.Drive.OnResistance
	kick, hold := 0.5*36/total, 0.1*12/total
	// The rail gives less than the coil carries: after a pulse the current goes on for
	// L/R without it.
	tau := p.Grid().Pixel.Coil.Inductance() / total
	x, err := DriveFrame(p.Grid(), scenes.Frame{Levels: p.Single(1), Duration: 1})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "the frame's mean current", x.Average, 0.1*kick+0.9*hold, 5e-3)
	if l.Entries[0].KickCurrent != 0 {
		t.Errorf("a pixel lit before is kicked again with %g A", l.Entries[0].KickCurrent)
	}
	if l.Entries[1].KickCurrent <= 0 {
		t.Error("a pixel newly lit is not kicked")
	}
	main, err := Sizing(t.Context(), p.Grid(), s, l)
	if err != nil {
		t.Fatal(err)
	}
	boost, bank, err := KickSizing(t.Context(), p.Grid(), s, l)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range main.Cases {
		if c.Draw.Kind == supply.Frame {
			near(t, "what two held pixels draw", c.Draw.Average, 2*hold*(1-tau/100e-6), 5e-3)
		}
	}
	for _, c := range boost.Cases {
		if c.Draw.Kind == supply.AllOn {
			near(t, "what twelve kicks draw", c.Draw.Average, 12*kick*(1-tau/500e-6), 5e-3)
		}
	}
	if bank.Capacitance <= 0 || bank.Rung.Power <= 0 || bank.Rung.Power > boost.Power.Value {
		t.Errorf("capacitors of %g F beside %g W, a supply alone needs %g W", bank.Capacitance, bank.Rung.Power, boost.Power.Value)
	}
	// Two kicks of 0.1 s in a frame of 1 s, 0.9 of their current from the capacitors; 5 % more
	// of it where the rail is high by that, and with series resistance less droop is left.
	beside := 0.9 * 2 * kick * (1 - tau/500e-6)
	droop := p.Grid().Design.Supply.Droop
	near(t, "capacitors that carry two kicks", bank.Capacitance, beside*0.1/droop, 5e-3)
	for _, c := range []struct{ set, more, esr float64 }{{0.05, 1.05, 0.4}, {0, 1, 1.01}} {
		d := p.Grid().Design
		d.Supply.Tolerance, d.Supply.SeriesResistance = c.set, c.esr*droop/beside
		g := p.Grid().With(d)
		want := math.Inf(1) // the resistance takes all of the droop
		if c.esr < 1 {
			want = c.more * beside * 0.1 / (droop * (1 - c.more*c.esr))
		}
		_, got, err := KickSizing(t.Context(), g, s, l)
		if err != nil {
			t.Fatal(err)
		}
		if near(t, "power beside them", got.Rung.Power, bank.Rung.Power, 1e-9); math.IsInf(want, 1) {
			if !math.IsInf(got.Capacitance, 1) {
				t.Errorf("%g F carry kicks whose droop the series resistance takes", got.Capacitance)
			}
			continue
		}
		near(t, "capacitors with series resistance", got.Capacitance, want, 1e-2)
	}
	// The power beside them goes with the square of how high the rail is: just over the rating.
	d := p.Grid().Design
	d.Supply.Tolerance = math.Sqrt(1.01*bank.Rung.Total()*d.UsableShare()/(beside/9*36)) - 1
	g := p.Grid().With(d)
	if _, got, err := KickSizing(t.Context(), g, s, l); err != nil || got.Rung.Power <= bank.Rung.Power {
		t.Errorf("%+v carries what %+v does not, %v", got.Rung, bank.Rung, err)
	}
}

// Two pixels in a row by hand: with r a pitch of a feeder and b one of a bus, the far
// pixel loses 2b I for both on the rows' bus, 2r + r for the row's feeder to the first
// and on to the second, r for its own column's feeder and (2 + 1) b for the columns' bus.
func TestWiringByHand(t *testing.T) {
	p := newPlayer(t, changed(t, "grid.cols=2", "grid.rows=1", "iron.model=none", "drive.mode=direct", "drive.feeder_width=0.2 mm", "drive.bus_width=0.5 mm", "drive.max_duty=100 %"))
	w, err := Wiring(t.Context(), p.Grid(), p.Uniform(1))
	if err != nil {
		t.Fatal(err)
	}
	d := p.Grid().Design
	r := 1 / 58e6 * d.Grid.Pitch / (0.2e-3 * d.Drive.FeederCopper)
	b := 1 / 58e6 * d.Grid.Pitch / (0.5e-3 * d.Drive.FeederCopper)
	near(t, "a pitch of feeder", w.Feeder.Value, r, 1e-9)
	near(t, "a pitch of bus", w.Bus.Value, b, 1e-9)
	i0, i1 := w.Drops.Current[0], w.Drops.Current[1]
	drop := b*(i0+i1) + r*(i0+i1) + r*i1 + r*i1 + b*(i0+i1) + b*i1
	near(t, "the far pixel's drop", w.WorstDrop, drop, 1e-6)
	near(t, "its voltage", w.Drops.Voltage[1], 12-drop, 1e-9)
	near(t, "its current", w.Current, (12-drop)/12, 1e-6)
	// A force goes about with the square of a weak field.
	near(t, "its pull", w.Pull, w.Current*w.Current, 0.02)
	near(t, "power in", w.Loss+w.Delivered, 12*w.Total, 1e-9)
	// The share is of the force, whatever a drop needs: nothing, on a pane that lies and
	// is slippery; more, on one that it clings to.
	for _, more := range [][]string{{"heat.orientation=face-up"}, {"fluid.contact_line=5 mN/m"}, {"fluid.density_difference=0 kg/m3"}} {
		g := newPlayer(t, changed(t, append([]string{"grid.cols=2", "grid.rows=1", "iron.model=none", "drive.mode=direct", "drive.feeder_width=0.2 mm", "drive.bus_width=0.5 mm", "drive.max_duty=100 %"}, more...)...)).Grid()
		v, err := Wiring(t.Context(), g, []float64{1, 1})
		if err != nil {
			t.Fatal(err)
		}
		near(t, "the pull's share with "+more[0], v.Pull, w.Current*w.Current, 0.02)
	}
}

// With two of three rows of a scan on at once, the first and the third have a turn together and
// drop most; heat and what arrives are the means of both turns.
func TestWiringOfTurns(t *testing.T) {
	scan := newPlayer(t, small(t, "iron.model=none", "drive.mode=scan", "drive.scan_rows=2", "drive.kick_voltage=24 V", "drive.feeder_width=0.3 mm"))
	direct := turned(t, scan, func(d *design.Design) { d.Drive.Mode, d.Supply.Voltage = design.DriveDirect, 24 })
	w, err := Wiring(t.Context(), scan.Grid(), scan.Uniform(1))
	if err != nil {
		t.Fatal(err)
	}
	var turns [2]WireDrops
	for k, rows := range [][]int{{0, 2}, {1}} {
		levels := make([]float64, 12)
		for _, r := range rows {
			for col := range 4 {
				levels[4*r+col] = 1
			}
		}
		if turns[k], err = Wiring(t.Context(), direct.Grid(), levels); err != nil {
			t.Fatal(err)
		}
	}
	if turns[0].WorstDrop <= turns[1].WorstDrop {
		t.Errorf("%g V of %g V and %g V", w.WorstDrop, turns[0].WorstDrop, turns[1].WorstDrop)
	}
	near(t, "the worst drop", w.WorstDrop, turns[0].WorstDrop, 1e-9)
	near(t, "heat of the feeders", w.Loss, (turns[0].Loss+turns[1].Loss)/2, 1e-9)
	near(t, "what arrives", w.Delivered, (turns[0].Delivered+turns[1].Delivered)/2, 1e-9)
}

// Feeders supplied from both ends, or thicker ones, never drop more.
func TestBetterWiringDropsLess(t *testing.T) {
	base := newPlayer(t, small(t, "iron.model=none", "drive.mode=direct", "drive.feeder_width=0.3 mm"))
	levels := base.Uniform(1)
	last := math.Inf(1)
	for _, change := range []func(*design.Design){
		func(*design.Design) {},
		func(d *design.Design) { d.Drive.FeederEnds = 2 },
		func(d *design.Design) { d.Drive.FeederEnds, d.Drive.FeederWidth = 2, 1e-3 },
		func(d *design.Design) { d.Drive.FeederEnds, d.Drive.FeederWidth, d.Drive.BusWidth = 2, 1e-3, 0 },
	} {
		w, err := Wiring(t.Context(), turned(t, base, change).Grid(), levels)
		if err != nil {
			t.Fatal(err)
		}
		if !(w.WorstDrop < last) {
			t.Errorf("a drop of %g V after %g V with worse wiring", w.WorstDrop, last)
		}
		last = w.WorstDrop
	}
}

// Where the firmware caps the lit pixels the supply is sized for that many.
func TestSizingForTheCap(t *testing.T) {
	d := small(t, "iron.model=none", "drive.most_lit=8", "drive.mode=direct")
	s := pictures(0.5, marching...)
	p, l := looped(t, d, s)
	proposal, err := Sizing(t.Context(), p.Grid(), s, l)
	if err != nil {
		t.Fatal(err)
	}
	got := map[supply.Kind]float64{}
	for _, c := range proposal.Cases {
		got[c.Draw.Kind] = c.Draw.Average
	}
	if proposal.Basis != supply.Legal {
		t.Errorf("sized for %q, want the worst legal frame", proposal.Basis)
	}
	near(t, "eight of twelve pixels", got[supply.Legal], got[supply.AllOn]*8/12, 1e-9)
	lit := 0
	for _, v := range MostLit(p.Grid()) {
		if v != 0 {
			lit++
		}
	}
	if lit != 8 {
		t.Errorf("%d pixels are legal, want 8", lit)
	}
}

// A smaller supply's dimming draws just what it gives.
func TestSmallerSuppliesAreUsedUp(t *testing.T) {
	p := newPlayer(t, changed(t, "iron.model=none", "drive.max_duty=40 %"))
	s := scenes.Scene{Name: "all", Rows: 10, Cols: 16, Frames: []scenes.Frame{{Levels: p.Uniform(1), Duration: 0.5}}}
	l := &player.Ledger{Entries: []player.Entry{{Duration: 0.5, SupplyPower: 1, SupplyCurrent: 1, SupplyRMSCurrent: 1, SupplyPeakCurrent: 2}}}
	proposal, err := Sizing(t.Context(), p.Grid(), s, l)
	if err != nil {
		t.Fatal(err)
	}
	list, err := SmallerSupplies(t.Context(), p.Grid(), s.Frames[0], proposal)
	if err != nil {
		t.Fatal(err)
	}
	if len(list) != smallerSupplies {
		t.Fatalf("%d smaller supplies, want %d", len(list), smallerSupplies)
	}
	rest := restOf(t, p)
	for _, x := range list {
		watts, err := rest.dimmed(s.Frames[0], x.Scale)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "what the dimmed picture draws", watts, x.Power*0.8/1.03, 1e-6)
		dim := scenes.Frame{Levels: p.Uniform(x.Scale), Duration: 0.5}
		draw, err := rest.draw(t.Context(), supply.Frame, dim, pictureRail)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "the meter's word for it", draw.Average*12, watts, 1e-6)
	}
}

// Random pictures in every mode: more duty never draws less, what the rails give is what
// coils, switches and diodes turn into heat once the currents repeat, and the waveform
// has the mean that the meter tells.
func TestMoreDutyDrawsMore(t *testing.T) {
	base := newPlayer(t, small(t, "iron.model=none"))
	rng := rand.New(rand.NewPCG(7, 8))
	for _, mode := range []design.DriveMode{design.DriveDirect, design.DriveStagger, design.DriveScan, design.DriveKick} {
		levels := make([]float64, 12)
		for i := range levels {
			levels[i] = math.Max(0, 1.5*rng.Float64()-0.5)
		}
		last := 0.0
		for _, duty := range []float64{0.01, 0.05, 0.1, 0.2, 0.4, 0.7, 1} {
			p := turned(t, base, func(d *design.Design) {
				d.Drive.Mode, d.Drive.MaxDuty, d.Drive.HoldDuty = mode, duty, duty/2
			})
			f := scenes.Frame{Levels: levels, Duration: 0.2}
			x, err := DriveFrame(p.Grid(), f)
			if err != nil {
				t.Fatal(err)
			}
			if !(x.Rails > last) {
				t.Errorf("%s: %g W at a duty of %g, %g W at less", mode, x.Rails, duty, last)
			}
			last = x.Rails
			near(t, string(mode)+": heat of a settled frame", x.Coils+x.Switches+x.Diodes, x.Rails, 1e-3)
			rest := restOf(t, p)
			load, err := rest.meter.FrameLoad(t.Context(), nil, levels, rest.resistance, f.Duration)
			if err != nil {
				t.Fatal(err)
			}
			w, err := SampleWaveform(t.Context(), p.Grid(), f, nil)
			if err != nil {
				t.Fatal(err)
			}
			if w.Mean == nil || duty < 0.1 { // a pulse of a few samples only
				continue
			}
			mean := 0.0
			for k := 1; k < len(w.Time); k++ {
				mean += (w.Mean[k] + w.Mean[k-1]) / 2 * (w.Time[k] - w.Time[k-1]) / w.Time[len(w.Time)-1]
			}
			near(t, string(mode)+": mean of the waveform", mean, load.Supply.Average+load.Boost.Average, 0.15)
		}
	}
}

// Hotter air never cools anything: neither a coil's peak nor its mean, nor a surface.
func TestHotterAirCoolsNothing(t *testing.T) {
	s := pictures(0.5, marching...)
	var last *player.Ledger
	lastTouch := 0.0
	for _, air := range []float64{278.15, 288.15, 298.15, 308.15, 318.15} {
		d := cool(t)
		d.Heat.AmbientLow, d.Heat.Ambient = air, air
		_, l := looped(t, d, s)
		z := l.Summary()
		if last != nil {
			for i := range l.PixelPeak {
				if l.PixelPeak[i] <= last.PixelPeak[i] || l.PixelMean[i] <= last.PixelMean[i] {
					t.Errorf("in air of %g K pixel %d peaks at %g K, in cooler air at %g K", air, i, l.PixelPeak[i], last.PixelPeak[i])
				}
			}
			if z.Touch <= lastTouch {
				t.Errorf("in air of %g K surfaces reach %g K, in cooler air %g K", air, z.Touch, lastTouch)
			}
		}
		last, lastTouch = l, z.Touch
		// Energy in is energy stored and lost, and over a loop nearly all is lost.
		b := l.Balance
		if math.Abs(b.Residual) > 1e-9*b.Supplied || math.Abs(b.Stored) > 0.02*b.Supplied {
			t.Errorf("in air of %g K the balance is %+v", air, b)
		}
		var booked float64
		for _, e := range l.Entries {
			booked += e.CoilHeat * e.Duration
		}
		near(t, "heat booked against heat supplied", booked, b.Supplied, 5e-3)
	}
}

// In air of a range heat is that of its warm end, and what coils draw that of its cold end.
func TestEndsOfAir(t *testing.T) {
	s := pictures(0.5, marching...)
	figures := func(air string) (touch, watts float64) {
		d, err := cool(t).With(design.Change{Key: "heat.ambient", Value: air})
		if err != nil {
			t.Fatal(err)
		}
		p, l := looped(t, d, s)
		c, err := newCold(p.Grid())
		if err != nil {
			t.Fatal(err)
		}
		if watts, err = c.dimmed(s.Frames[0], 1); err != nil {
			t.Fatal(err)
		}
		z := l.Summary()
		return z.Touch, watts
	}
	_, most := figures("5 °C")
	warmest, least := figures("40 °C")
	touch, watts := figures("5 °C to 40 °C")
	if touch != warmest || watts != most || !(most > 1.04*least) {
		t.Errorf("from 5 to 40 °C: %g K and %g W; at 40 °C %g K and %g W, at 5 °C %g W", touch, watts, warmest, least, most)
	}
}

// At the largest voltage the looped scene just keeps its limit.
func TestLargestVoltageIsTheLimit(t *testing.T) {
	s := pictures(0.5, marching...)
	d := cool(t)
	p, _ := looped(t, d, s)
	v, err := LargestVoltage(t.Context(), p, s)
	if err != nil {
		t.Fatal(err)
	}
	if !v.Bounded || v.Voltage < 1 {
		t.Fatalf("the largest voltage is %+v, which is no search", v)
	}
	at := func(volts float64) float64 {
		d := d
		d.Supply.Voltage, d.Drive.KickVoltage = volts, volts
		_, l := looped(t, d, s)
		z := l.Summary()
		return math.Max(z.Touch-d.Limits.Touch, z.Hottest-d.Limits.Board)
	}
	if m := at(v.Voltage); m > 0 || m < -0.2 {
		t.Errorf("at %g V the scene is %g K over a limit, want just under", v.Voltage, m)
	}
	if m := at(v.Voltage + 0.05); m <= 0 {
		t.Errorf("a little above %g V the scene is still %g K under", v.Voltage, -m)
	}
}

// What the pulses promise: a pulse of the longest time ends at the limit, a longer start
// leaves less time, neighbours leave less, and what may stay on is where single pulses
// last for ever.
func TestPulses(t *testing.T) {
	p := newPlayer(t, cool(t))
	pulses := NewPulses(p)
	air := p.Grid().Design.Heat.Ambient
	starts, volts := []float64{air, air + 40}, []float64{12, 48}
	table, repeats, err := pulses.Table(t.Context(), starts, volts, 0.05)
	if err != nil {
		t.Fatal(err)
	}
	holds, err := pulses.Continuous(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if len(table) != 8 || len(repeats) != 4 || len(holds) != 2 {
		t.Fatalf("%d pulses, %d repeated, %d for ever", len(table), len(repeats), len(holds))
	}
	for k, x := range table {
		if k%2 == 1 && x.Longest > table[k-1].Longest {
			t.Errorf("%s at %g V: %g s from warm, %g s from cold", x.Company, x.Voltage, x.Longest, table[k-1].Longest)
		}
		if x.Company == Together && x.Longest > 1.02*table[k-4].Longest { // as far as their steps tell
			t.Errorf("%g V: together %g s, alone %g s", x.Voltage, x.Longest, table[k-4].Longest)
		}
		if math.IsInf(x.Longest, 1) {
			continue
		}
		net := pulses.nets[x.Company]
		net.Start(x.Start)
		if err := net.Step(t.Context(), x.Longest, pulses.load(x.Company, x.Voltage, 1)); err != nil {
			t.Fatal(err)
		}
		if hot, _ := net.HottestTurn(); math.Abs(hot-pulses.limit) > 1 { // one step of a hundred kelvin
			t.Errorf("%s at %g V: after the longest pulse the coil is at %g K, want %g K", x.Company, x.Voltage, hot, pulses.limit)
		}
	}
	for _, h := range holds {
		for _, c := range []struct {
			volts float64
			for_  bool
		}{{h.Voltage * 0.999, true}, {h.Voltage * 1.01, false}} {
			x, err := pulses.longest(t.Context(), h.Company, c.volts, air)
			if err != nil {
				t.Fatal(err)
			}
			if math.IsInf(x.Longest, 1) != c.for_ {
				t.Errorf("%s: %g V lasts %g s where %g V may stay on", h.Company, c.volts, x.Longest, h.Voltage)
			}
		}
		// Copper on a fixed voltage cools its own fever; on a fixed current it may not.
		if h.Feeds {
			t.Errorf("%s runs away at %g V", h.Company, h.Runaway)
		}
	}
	for _, r := range repeats {
		if r.Period < r.Width || r.Duty < 0 || r.Duty > 1 {
			t.Errorf("%+v", r)
		}
		if !math.IsInf(r.Period, 1) && r.Width/r.Period > r.Duty*1.0001 && r.Duty < 1 {
			t.Errorf("%s at %g V: pulses fill %g of the time, short ones may fill %g", r.Company, r.Voltage, r.Width/r.Period, r.Duty)
		}
	}
	curves, err := pulses.Curves(t.Context(), starts)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range curves {
		for k := 1; k < len(c.Volts); k++ {
			if c.Volts[k] < c.Volts[k-1] || c.Seconds[k] > c.Seconds[k-1] {
				t.Errorf("%s from %g K: %g V for %g s after %g V for %g s", c.Company, c.Start, c.Volts[k], c.Seconds[k], c.Volts[k-1], c.Seconds[k-1])
			}
		}
	}
	if _, _, err := pulses.Table(t.Context(), []float64{pulses.limit}, volts, 0.05); err == nil {
		t.Error("a start at the limit is accepted")
	}
}

// With much more resistance in the switches than in the coil, heat grows with temperature
// even at a fixed voltage: the current hardly falls.
func TestPulsesSeeRunaway(t *testing.T) {
	p := newPlayer(t, cool(t))
	pulses := NewPulses(p)
	pulses.series, pulses.top = 400, 1000
	holds, err := pulses.Continuous(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for _, h := range holds {
		if h.Voltage >= h.Runaway {
			t.Errorf("%s: %g V within the limit, %g V without a steady state", h.Company, h.Voltage, h.Runaway)
		}
		watts, slope := make([]float64, len(pulses.lit[h.Company])), make([]float64, len(pulses.lit[h.Company]))
		hot := make([]float64, len(watts))
		for i := range hot {
			hot[i] = 350
		}
		pulses.load(h.Company, h.Voltage, 1).Power(watts, slope, hot)
		most := 0.0
		for _, s := range slope {
			most = max(most, s)
		}
		if most <= 0 {
			t.Errorf("%s: heat falls by %g W/K", h.Company, most)
		}
	}
}

// The chips of a design by hand: their number, an H-bridge's I² R with the edges' heat, and
// the chip's temperature by its resistance.
func TestParts(t *testing.T) {
	d := small(t, "drive.channels=5", "drive.driver_current=1 A", "drive.edge_loss=0.4 µJ", "drive.driver_resistance=60 K/W")
	p := newPlayer(t, d)
	x, err := Parts(p.Grid())
	if err != nil {
		t.Fatal(err)
	}
	if x.Chips != 3 || x.Channels != 5 || x.Limit != 1 {
		t.Errorf("%+v", x)
	}
	held := p.Drives().Circuit(0, 1, p.Grid().Pixel.Coil.Resistance(d.Heat.Ambient)).PWM(d.Drive.MaxDuty, 1/d.Drive.Frequency)
	rms := held.RMS * held.RMS
	near(t, "conduction", x.Conduction, 0.6*rms, 1e-9)
	near(t, "switching", x.Switching, 2*0.4e-6*20e3, 1e-12)
	near(t, "chip", x.Chip, 5*(0.6*rms+0.016), 1e-9)
	near(t, "temperature", x.Temperature, d.Heat.Ambient+60*x.Chip, 1e-12)
	if x.Peak < math.Sqrt(rms) || x.Peak > 12/11.9 {
		t.Errorf("a peak of %g A", x.Peak)
	}
	kicked := newPlayer(t, small(t, "drive.mode=kick", "drive.kick_voltage=24 V", "drive.max_duty=100 %", "drive.hold_duty=5 %"))
	k, err := Parts(kicked.Grid())
	if err != nil {
		t.Fatal(err)
	}
	near(t, "peak of a kick", k.Peak, 24/(kicked.Grid().Pixel.Coil.Resistance(d.Heat.Ambient)+0.6), 1e-6)
	// In mode scan an output of a row carries all of its four, or those that may be lit.
	// With two of three rows on at once it switches half of the time instead of a third, and
	// each column has two outputs.
	for most, coils := range map[string]float64{"12": 4, "2": 2} {
		scan := newPlayer(t, small(t, "drive.mode=scan", "drive.kick_voltage=12 V", "drive.max_duty=100 %", "drive.edge_loss=0.4 µJ", "drive.channels=1", "drive.most_lit="+most))
		x, err := Parts(scan.Grid())
		if err != nil {
			t.Fatal(err)
		}
		two := turned(t, scan, func(d *design.Design) { d.Drive.ScanRows = 2 })
		y, err := Parts(two.Grid())
		if err != nil {
			t.Fatal(err)
		}
		near(t, "switching in a turn of three", x.Switching, 2*0.4e-6*20e3/3, 1e-12)
		near(t, "switching in a turn of two", y.Switching, 2*0.4e-6*20e3/2, 1e-12)
		if x.Chips != 3+4 || y.Chips != 3+2*4 {
			t.Errorf("%d chips of one output, with two rows at once %d", x.Chips, y.Chips)
		}
		near(t, "peak of a row", x.Peak, coils*12/(scan.Grid().Pixel.Coil.Resistance(d.Heat.Ambient)+0.6), 1e-6)
	}
}

// The watts that a supply is asked for are the same wherever they are told: by hand, the mean
// current at the board times its voltage and 3 % that the feeders drop, and twice what the
// voltage may be high.
func TestWattsAgree(t *testing.T) {
	d := small(t, "drive.mode=kick", "drive.kick_voltage=36 V", "drive.hold_duty=20 %", "drive.kick_time=0.1 s", "iron.model=none")
	s := pictures(1, marching...)
	for tolerance := 0.0; tolerance < 0.5; tolerance += 0.03 {
		d.Supply.Tolerance = tolerance
		p, l := looped(t, d, s)
		g := p.Grid()
		main, err := Sizing(t.Context(), g, s, l)
		if err != nil {
			t.Fatal(err)
		}
		kick, bank, err := KickSizing(t.Context(), g, s, l)
		if err != nil {
			t.Fatal(err)
		}
		modes, err := CompareModes(t.Context(), g, s.Frames[l.Summary().PeakFrame])
		if err != nil {
			t.Fatal(err)
		}
		of := func(x *supply.Proposal) supply.Sized {
			for _, c := range x.Cases {
				if c.Draw.Kind == supply.Frame {
					return c
				}
			}
			t.Fatal("no frame")
			return supply.Sized{}
		}
		m := modes[3]
		for _, c := range []struct {
			what  string
			sized supply.Sized
			volts float64
			rung  supply.Rung
		}{{"main", of(main), d.Supply.Voltage, m.Rung}, {"kick", of(kick), d.Drive.KickVoltage, m.Boost}} {
			high := 1 + tolerance
			near(t, c.what+" rail's power", c.sized.Need.Value, 1.03*c.volts*high*c.sized.Draw.Average*high, 1e-9)
			if c.rung != c.sized.Rung {
				t.Errorf("tolerance %g, %s: %+v is proposed, %+v told beside the drive modes", tolerance, c.what, c.sized.Rung, c.rung)
			}
		}
		// A tenth of the kick's current is the frame's mean, which the supply beside capacitors gives.
		beside := supply.Usual.Rate(36, of(kick).Need.Value/10, d.UsableShare())
		if err != nil || beside != bank.Rung {
			t.Errorf("tolerance %g: %+v beside the capacitors, want %+v (%v)", tolerance, bank.Rung, beside, err)
		}
	}
}

// Supply and drivers are sized for currents through leads and tracks, D V/(R + r + Ron) with a
// PWM far slower than L/R: the drivers by the pixel nearest to them, here the last one.
func TestTracksAreCounted(t *testing.T) {
	d := small(t, "iron.model=none", "drive.frequency=10 Hz", "drive.mode=direct", "drive.max_duty=50 %", "heat.ambient=20 degC")
	led := func(i int) float64 { return 1 + 0.02*float64(12-i) }
	g := ledPlayer(t, d, led).Grid()
	r, volts := g.Pixel.Coil.Resistance(293.15), 0.5*d.Supply.Voltage
	parts, err := Parts(g)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "a driver's highest current", parts.Peak, d.Supply.Voltage/(1.02*r+d.Drive.OnResistance), 1e-3)
	x, err := DriveFrame(g, scenes.Frame{Levels: AllOn(g), Duration: 1})
	if err != nil {
		t.Fatal(err)
	}
	watts := 0.0
	for i := range 12 {
		watts += volts * d.Supply.Voltage / (led(i)*r + d.Drive.OnResistance)
	}
	near(t, "what all draw", x.Rails, watts, 2e-3)
}

// Feeders that would take more than the supply's voltage leave the far corner nothing.
func TestFeedersTakeAll(t *testing.T) {
	g := newPlayer(t, small(t, "iron.model=none")).Grid()
	c, err := newCold(g)
	if err != nil {
		t.Fatal(err)
	}
	var w WireDrops
	w.Voltage, w.FarCorner = slices.Repeat([]float64{-0.6}, g.Design.Pixels()), 11
	if err := w.weaken(c); err != nil || w.Current != 0 {
		t.Errorf("%v: %g of its current at the far corner", err, w.Current)
	}
}

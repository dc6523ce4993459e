package studies

import (
	"math"
	"slices"
	"strings"
	"testing"

	"lodegrid/array/cooling"
	"lodegrid/array/design"
	"lodegrid/array/supply"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
)

// cool is a small display of square coils without steel, whose field is in exact
// proportion to the current, so that a duty solved for one kernel holds for all.
func cool(t testing.TB, changes ...string) design.Design {
	t.Helper()
	return small(t, append([]string{"iron.model=none", "supply.voltage=20 V", "limits.hold=3"}, changes...)...)
}

// looped plays a scene from its warm state on a new player.
func looped(t *testing.T, d design.Design, s scenes.Scene) (*player.Player, *player.Ledger) {
	t.Helper()
	p := newPlayer(t, d)
	if _, err := p.Warm(t.Context(), s); err != nil {
		t.Fatal(err)
	}
	l, err := p.Play(t.Context(), s, nil)
	if err != nil {
		t.Fatal(err)
	}
	return p, l
}

func with(t *testing.T, d design.Design, key string, share float64) design.Design {
	t.Helper()
	switch key {
	case "drive.max_duty":
		d.Drive.MaxDuty = share
	case "heat.ambient":
		d.Heat.AmbientLow, d.Heat.Ambient = share, share
	}
	return d
}

// At the duty that heat allows the looped scene just keeps the limit, and a per mille
// above it does not: told by new players on designs of those duties, which share
// nothing with the search.
func TestHeatDutyIsTheLimit(t *testing.T) {
	s := pictures(0.5, marching...)
	for _, c := range []struct {
		name    string
		changes []string
		margin  func(d design.Design, z player.Summary) float64
	}{
		{"touch", nil, func(d design.Design, z player.Summary) float64 { return d.Limits.Touch - z.Touch }},
		{"board", []string{"limits.touch=300 degC", "limits.board=80 degC"}, func(d design.Design, z player.Summary) float64 { return d.Limits.Board - z.Hottest }},
		{"kick", []string{"drive.mode=kick", "drive.kick_time=20 ms"}, func(d design.Design, z player.Summary) float64 { return d.Limits.Touch - z.Touch }},
	} {
		d := cool(t, c.changes...)
		p, _ := looped(t, d, s)
		found, err := HeatDuty(t.Context(), p, s)
		heat := found.Value
		if err != nil {
			t.Fatal(err)
		}
		if heat <= 0.01 || heat >= 0.99 {
			t.Fatalf("%s: heat allows %g, which is no search", c.name, heat)
		}
		at := func(duty float64) float64 {
			e := d
			e.Drive.HoldDuty *= duty / d.Drive.MaxDuty // goes along in mode kick
			_, l := looped(t, with(t, e, "drive.max_duty", duty), s)
			return c.margin(d, l.Summary())
		}
		if m := at(heat); m < -0.02 || m > 0.5 {
			t.Errorf("%s: at %g a margin of %g K is left, want just over 0", c.name, heat, m)
		}
		if m := at(heat + 1e-3); m >= 0 {
			t.Errorf("%s: a per mille over %g still leaves %g K", c.name, heat, m)
		}
	}
}

func TestHeatDutyAtItsEnds(t *testing.T) {
	s := pictures(0.5, marching...)
	d := cool(t, "limits.touch=300 degC", "limits.board=400 degC", "supply.voltage=2 V")
	p, l := looped(t, d, s)
	found, err := HeatDuty(t.Context(), p, s)
	heat := found.Value
	if err != nil {
		t.Fatal(err)
	}
	if heat != 1 {
		t.Errorf("nothing gets warm, and heat allows %g, want 1", heat)
	}
	found, err = HoldDuty(t.Context(), p, s, l.Summary().LeastHoldFrame)
	hold := found.Value
	if err != nil {
		t.Fatal(err)
	}
	if !math.IsInf(hold, 1) {
		t.Errorf("a weak coil holds at a duty of %g, want none", hold)
	}
	dark := pictures(0.5, [3]string{"....", "....", "...."})
	if found, err = HeatDuty(t.Context(), p, dark); err != nil || found.Value != 1 || found.Why == "" {
		t.Errorf("a dark scene: %+v, %v; want full duty", found, err)
	}
	p, _ = looped(t, cool(t, "magnet.kind=pixel", "magnet.max_temp=63 degC"), dark)
	if found, err = HeatDuty(t.Context(), p, dark); err != nil || !strings.Contains(found.Why, "63 °C of the board") {
		t.Errorf("magnets that bear 63 °C: %+v, %v", found, err)
	}
}

// At the duty that the drops need the least-holding frame just holds; a per mille
// below it does not.
func TestHoldDutyIsTheLimit(t *testing.T) {
	s := pictures(0.5, marching...)
	d := cool(t)
	p, l := looped(t, d, s)
	found, err := HoldDuty(t.Context(), p, s, l.Summary().LeastHoldFrame)
	hold := found.Value
	if err != nil {
		t.Fatal(err)
	}
	if hold <= 0.01 || hold >= 0.99 {
		t.Fatalf("the drops need %g, which is no search", hold)
	}
	at := func(duty float64) float64 {
		_, l := looped(t, with(t, d, "drive.max_duty", duty), s)
		return l.Summary().LeastHold - d.Limits.Hold
	}
	if m := at(hold); m < 0 || m > 0.02*d.Limits.Hold {
		t.Errorf("at %g the least hold is %g over the limit, want just over 0", hold, m)
	}
	if m := at(hold - 1e-3); m >= 0 {
		t.Errorf("a per mille under %g it still holds by %g", hold, m)
	}
}

// The dimming that the supply on hand asks for loads it to just all it gives.
func TestSizingDimsToTheSupply(t *testing.T) {
	s := pictures(0.5, marching...)
	d := cool(t, "supply.power=4 W", "limits.supply_load=90 %")
	p, l := looped(t, d, s)
	a, err := Sizing(t.Context(), p.Grid(), s, l)
	if err != nil {
		t.Fatal(err)
	}
	if a.Load.Value <= 1 || a.Dimming.Value <= 0.1 || a.Dimming.Value >= 0.95 {
		t.Fatalf("load %g, dimming %g: nothing to dim", a.Load.Value, a.Dimming.Value)
	}
	p, l = looped(t, with(t, d, "drive.max_duty", d.Drive.MaxDuty*a.Dimming.Value), s)
	b, err := Sizing(t.Context(), p.Grid(), s, l)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "the load at that duty", b.Load.Value, 1, 1e-3)
	// What it is held against: 4 W at 80 % derating, of which 90 % may be used; a feeder
	// may drop 3 % of the voltage.
	p.Reset()
	e, err := p.Show(t.Context(), s.Frames[l.Summary().PeakFrame])
	if err != nil {
		t.Fatal(err)
	}
	near(t, "the frame that draws most, cold, with the feeder's drop", e.SupplyPower*1.03, 4*0.8*0.9, 1e-3)
}

// More duty never draws or heats less and never holds less while cold; a hotter room
// never makes anything cooler.
func TestMonotony(t *testing.T) {
	s := pictures(0.5, marching...)
	base := cool(t)
	var power, hot, hold float64
	for _, duty := range []float64{0.02, 0.05, 0.13, 0.3, 0.6, 1} {
		p := newPlayer(t, with(t, base, "drive.max_duty", duty))
		l, err := p.Play(t.Context(), s, nil)
		if err != nil {
			t.Fatal(err)
		}
		z := l.Summary()
		if z.AveragePower <= power || z.Hottest <= hot || z.LeastHold <= hold {
			t.Errorf("duty %g: %g W, %g K, least hold %g; less duty gave %g W, %g K, %g", duty, z.AveragePower, z.Hottest, z.LeastHold, power, hot, hold)
		}
		power, hot, hold = z.AveragePower, z.Hottest, z.LeastHold
	}
	var before []float64
	touch := 0.0
	for _, ambient := range []float64{253.15, 273.15, 293.15, 303.15, 318.15} {
		_, l := looped(t, with(t, base, "heat.ambient", ambient), s)
		for i, v := range before {
			if l.PixelPeak[i] <= v {
				t.Errorf("at %g K in the room pixel %d peaks at %g K, in a cooler one at %g K", ambient, i, l.PixelPeak[i], v)
			}
		}
		if z := l.Summary(); z.Touch <= touch {
			t.Errorf("at %g K in the room the surface reaches %g K, in a cooler one %g K", ambient, z.Touch, touch)
		} else {
			touch = z.Touch
		}
		before = l.PixelPeak
	}
}

// The surface that a hand reaches lies between the air and the layer behind it.
func TestTouch(t *testing.T) {
	p, _ := looped(t, small(t), pictures(0.5, marching...))
	board := slices.Max(p.Network().Temperatures(cooling.BoardLayer))
	if touch := p.Touch(); touch <= p.Grid().Design.Heat.Ambient || touch >= board {
		t.Errorf("the surface is at %g K between air of %g K and a board of %g K", touch, p.Grid().Design.Heat.Ambient, board)
	}
}

// What a frame is sized for draws what it draws when it is played: the heat that the ripple
// makes in the steel, too, which no waveform of a coil's current shows.
func TestSizedForWhatIsPlayed(t *testing.T) {
	f := pictures(0.5, marching...).Frames[3]
	for _, changes := range [][]string{
		{"drive.mode=direct", "drive.max_duty=40 %"}, {"drive.mode=stagger", "drive.max_duty=24 %"}, {"drive.mode=scan", "drive.max_duty=38 %"},
		{"drive.mode=kick", "drive.max_duty=60 %", "drive.hold_duty=20 %"}, {"drive.mode=stagger", "drive.in_series=2", "drive.max_duty=50 %"},
	} {
		c := restOf(t, newPlayer(t, small(t, changes...)))
		if c.drive.Circuit(0, 1, 1).SteelResistance == 0 {
			t.Fatal("no steel that heats")
		}
		if c.grid.Design.Coils() > 1 {
			f.Levels = AllOn(c.grid)
		}
		draw, err := c.draw(t.Context(), supply.Frame, f, pictureRail)
		if err != nil {
			t.Fatal(err)
		}
		power, err := c.dimmed(f, 1)
		if err != nil {
			t.Fatal(err)
		}
		near(t, strings.Join(changes, " "), draw.Average*c.grid.Design.Rail(), power, 1e-4)
		if draw.RMS < draw.Average || draw.Peak < draw.RMS {
			t.Errorf("%v: %+v", changes, draw)
		}
		m, err := modeDraw(t.Context(), c.grid, c.grid.Design.Drive.Mode, f)
		if err != nil {
			t.Fatal(err)
		}
		near(t, strings.Join(changes, " ")+", among the modes", m.Load.Supply.Power()+m.Load.Boost.Power(), m.Power, 1e-4)
	}
}

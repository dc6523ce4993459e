package studies

import (
	"context"
	"math"
	"strings"
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/grid"
	"lodegrid/array/supply"
)

// A scan's capacitors carry what its rows draw above the mean for a scan: a quarter of the
// time takes a quarter of them, twice the droop half.
func TestSettingsThatSpareCapacitors(t *testing.T) {
	d := small(t, "iron.model=none", "drive.mode=scan", "drive.scan_time=60 ms", "drive.kick_voltage=12 V", "supply.droop=0.1 V", "drive.max_duty=60 %")
	s := pictures(0.6, marching...)
	p, l := looped(t, d, s)
	own, err := Sizing(t.Context(), p.Grid(), s, l)
	if err != nil {
		t.Fatal(err)
	}
	list, err := SpareCapacitors(t.Context(), p.Grid(), s, l, own)
	if err != nil || len(list) < 4 || list[0].Proposal != own {
		t.Fatalf("%d settings, %v", len(list), err)
	}
	seen := map[string]bool{}
	for _, x := range list[1:] {
		set := x.Set[0]
		seen[set.Key] = true
		share := map[string]float64{"drive.scan_time": 1 / 4.0, "supply.droop": 0.1 / 0.6}[set.Key]
		// The coils pull as before: the mean square of a turn's current times its share stays.
		changed, err := d.With(x.Set...)
		if err != nil {
			t.Fatal(err)
		}
		g := p.Grid().With(changed)
		felt := func(g *grid.Grid) float64 { on := g.Pixel.Full; return on.Share * on.On.Average * on.On.Average }
		if got := felt(g) / felt(p.Grid()); math.Abs(got-1) > 0.02 {
			t.Errorf("%v: the mean square is %.4g times as before", x.Set, got)
		}
		if share == 0 || set.Key == "drive.scan_time" && set.Value != "15 ms" || set.Key == "supply.droop" && set.Value != "0.6 V" {
			continue
		}
		if got := x.Capacitance.Value / own.Capacitance.Value; math.Abs(got/share-1) > 0.05 {
			t.Errorf("%s = %s takes %.3g of the capacitors, want %.3g", set.Key, set.Value, got, share)
		}
		if v := x.InrushTime.Value * x.Cases[0].Rung.Total() / x.Cases[0].Rung.Voltage; x.Limiter.Value <= 0 || v <= 0 {
			t.Errorf("%s = %s: limiter %+v, soft start %+v", set.Key, set.Value, x.Limiter, x.InrushTime)
		}
	}
	for _, key := range []string{"drive.scan_time", "drive.scan_rows", "drive.kick_voltage", "supply.droop"} {
		if !seen[key] {
			t.Errorf("%s is not tried", key)
		}
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err = SpareCapacitors(ctx, p.Grid(), s, l, own); err == nil || !strings.Contains(err.Error(), "trying [drive.scan_time = 15 ms]") {
		t.Errorf("ended while it tries the first: %v", err)
	}
	own.Capacitor.Value = LargeBank
	if list, err = SpareCapacitors(t.Context(), p.Grid(), s, l, own); err != nil || list != nil {
		t.Errorf("small capacitors: %v, %v", list, err)
	}
}

// In air hotter than a supply's own a picture may take less of its rating, and the next
// rating is proposed; a port of USB Power Delivery has ratings of its own.
func TestSupplyInHotAirAndAtAPort(t *testing.T) {
	s := pictures(0.5, marching...)
	size := func(changes ...string) *supply.Proposal {
		p, l := looped(t, small(t, append(changes, "iron.model=none", "limits.touch=120 degC", "supply.power=0 W")...), s)
		out, err := Sizing(t.Context(), p.Grid(), s, l)
		if err != nil {
			t.Fatal(err)
		}
		return out
	}
	d := small(t, "heat.ambient=60 degC", "limits.touch=90 degC")
	near(t, "the share of a rating at 60 °C", d.UsableShare(), 0.8*0.75, 1e-9)
	near(t, "the same of a supply made for it", small(t, "heat.ambient=60 degC", "limits.touch=90 degC", "supply.full_to=60 degC").UsableShare(), 0.8, 1e-9)
	if got := size("supply.kind=usb-pd", "supply.voltage=15 V"); got.Power.Value != 45 || got.Voltage.Value != 15 {
		t.Errorf("at a port of 15 V: %v, %v", got.Power, got.Voltage)
	}
	slow, quick := size("supply.response=4 ms"), size()
	near(t, "capacitors for a supply four times as slow", slow.Capacitance.Value, 4*quick.Capacitance.Value, 1e-6)
	resistive := size("supply.series_resistance=100 mohm")
	if resistive.Capacitance.Value <= quick.Capacitance.Value {
		t.Errorf("with 0.1 Ω in series %g F, without %g F", resistive.Capacitance.Value, quick.Capacitance.Value)
	}
	if _, err := small(t).With(design.Change{Key: "supply.kind", Value: "usb-pd"}); err == nil {
		t.Error("12 V of a port that has none is accepted")
	}
}

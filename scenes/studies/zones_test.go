package studies

import (
	"testing"

	"lodegrid/scenes"
)

// A display that asks for several supplies is cut so that every band's worst frame is carried
// by one, though its picture stands in one corner; all bands together cover it once.
func TestZonesCarryTheirWorstFrame(t *testing.T) {
	for _, mode := range []string{"direct", "scan"} {
		d := changed(t, "iron.model=none", "drive.mode="+mode, "supply.kind=usb-pd", "supply.voltage=20 V", "drive.kick_voltage=20 V", "drive.max_duty="+map[string]string{"direct": "15 %", "scan": "95 %"}[mode], "supply.feeder_len=0.2 m", "supply.contact_current=1 A")
		p := newPlayer(t, d)
		top, all := p.Uniform(0), p.Uniform(1)
		for i := range 32 {
			top[i] = 1 // the upper two rows
		}
		s := scenes.Scene{Name: "corner", Rows: 10, Cols: 16, Frames: []scenes.Frame{{Levels: top, Duration: 0.5}, {Levels: all, Duration: 0.5}}}
		c := restOf(t, p)
		draw, err := c.draw(t.Context(), "worst frame", s.Frames[1], pictureRail)
		if err != nil {
			t.Fatal(err)
		}
		whole, err := c.zone(t.Context(), s, mode == "scan", 0, 16, 1)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "the whole as one zone", whole.Need(), draw.Average*20*1.03, 1e-9)
		d.Supply.Tolerance = 0.1 // 1.1 times the current of the zone, which is sized for it
		high := p.Grid().With(d)
		q, err := newCold(high)
		if err != nil {
			t.Fatal(err)
		}
		off, err := q.zone(t.Context(), s, mode == "scan", 0, 16, 2)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "through a joint where the rail is high", off.Return, draw.Average*1.1/2, 1e-9)
		x, err := Zones(t.Context(), p.Grid(), s, whole.Proposal)
		if mode == "scan" && whole.Supplies.Value == 1 {
			if x != nil || err != nil {
				t.Errorf("cut up for nothing: %+v, %v", x, err)
			}
			continue
		}
		if err != nil || x == nil || len(x.Zones) < int(whole.Supplies.Value) || mode == "scan" && !x.Columns {
			t.Fatalf("%s: %+v, %v, wants %g supplies", mode, x, err, whole.Supplies.Value)
		}
		next, sum := 0, 0.0
		for _, z := range x.Zones {
			if z.From != next || z.To <= z.From {
				t.Errorf("%s: a zone from %d to %d after %d", mode, z.From, z.To, next)
			}
			if next = z.To; z.Supplies.Value != 1 || z.Need() > z.Power.Value*d.UsableShare()*(1+1e-9) {
				t.Errorf("%s: zone %d to %d needs %g W of %g × %g W", mode, z.From, z.To, z.Need(), z.Supplies.Value, z.Power.Value)
			}
			if z.Contacts.Value < z.Fuse.Value || z.Contacts.Value > z.Fuse.Value+1 {
				t.Errorf("%s: %g contacts of 1 A behind a fuse of %g A", mode, z.Contacts.Value, z.Fuse.Value)
			}
			sum += z.Need()
			// Lit alone, 1/n of its current takes its own lead, the rest the others' equal ones.
			n := float64(len(x.Zones))
			near(t, "through a joint", z.Return, z.Need()/(20*1.03)*(n-1)/n, 1e-9)
		}
		if lines := map[bool]int{false: 10, true: 16}[x.Columns]; next != lines {
			t.Errorf("%s: zones end at %d of %d", mode, next, lines)
		}
		near(t, "all zones together", sum, whole.Need(), 1e-6)
	}
}

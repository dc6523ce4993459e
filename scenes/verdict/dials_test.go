package verdict

import (
	"math"
	"slices"
	"strings"
	"testing"

	"lodegrid/array/design"
	"lodegrid/scenes/player"
)

// What may show more of a scene is looked for in liquids, drops, kick, volts, pitch and coil. On few
// volts, more of them and a closer pitch do; each setting that is found shows enough, and one on its way
// back by twice the tolerance does not.
func TestDialsAreMildest(t *testing.T) {
	d, s := small(t, "limits.shown=90 %", "drive.max_duty=100 %", "coil.outer=10 mm", "supply.voltage=5 V"), walking(6)
	p := playerOf(t, d)
	x, err := play(t.Context(), p, s, s, nil, func(after func([]player.Entry) error) (*player.Ledger, error) { return p.Try(t.Context(), s, after) })
	if err != nil {
		t.Fatal(err)
	}
	var tried, found []string
	for _, dial := range x.dials(1) {
		key := dial.set(dial.to)[0].Key
		tried = append(tried, key)
		for _, c := range dial.set(dial.to) {
			if strings.Contains(c.Value, "e+") {
				t.Errorf("%s goes to %q: want plain decimals", c.Key, c.Value)
			}
		}
		if _, err := d.With(dial.set(dial.to)...); err != nil {
			t.Errorf("%s goes to what no design may have: %v", key, err)
		}
		set, err := x.mildest(t.Context(), dial)
		if err != nil {
			t.Fatal(err)
		}
		if set == nil {
			continue
		}
		found = append(found, key)
		if ok, err := x.keeps(t.Context(), set); !ok || err != nil {
			t.Errorf("%v does not show enough: %v", set, err)
		}
		if key == "grid.pitch" {
			changed, err := d.With(set...)
			if err != nil {
				t.Fatal(err)
			}
			back := dial.set(changed.Grid.Pitch * math.Exp(2*dialTolerance))
			if ok, err := x.keeps(t.Context(), back); ok || err != nil {
				t.Errorf("%v shows enough, too, where %v is told: %v", back, set, err)
			}
		}
	}
	if want := []string{"fluid.drop_diameter", "fluid.density_difference", "drive.kick_time", "supply.voltage", "grid.pitch", "grid.pitch", "coil.outer"}; !slices.Equal(tried, want) {
		t.Errorf("tried are %v, want %v", tried, want)
	}
	if want := []string{"supply.voltage", "grid.pitch"}; !slices.Equal(found, want) {
		t.Errorf("found are %v, want %v", found, want)
	}
}

// A scan's strongest drive is no weaker than its own: one that heats too much already has none.
func TestStrongestIsNotWeaker(t *testing.T) {
	x := &played{player: playerOf(t, small(t, "drive.mode=scan", "drive.max_duty=50 %"))}
	for heat, want := range map[float64][]design.Change{0.4: nil, 0.8: {{Key: "drive.max_duty", Value: "80 %"}}} {
		if got := x.strongest(heat); !slices.Equal(got, want) {
			t.Errorf("heat allows %g: strongest is %v, want %v", heat, got, want)
		}
	}
}

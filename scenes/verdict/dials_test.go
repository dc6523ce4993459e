package verdict

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"lodegrid/array/design"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
)

// What may show more of a scene is looked for in liquids, drops, kick, volts, pitch and coil. On few
// volts more of them do with cold coils alone, a closer pitch does; each setting that is found shows enough
// when it is played, and one on its way back by twice the tolerance does not.
func TestDialsAreMildest(t *testing.T) {
	d, s := small(t, "limits.shown=90 %", "limits.touch=300 degC", "limits.board=390 degC", "supply.power=500 W", "limits.false_on=100", "drive.max_duty=100 %", "coil.outer=10 mm", "supply.voltage=5 V"), walking(6)
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
		set, err := x.mildest(t.Context(), dial, map[string]*played{})
		if err != nil {
			t.Fatal(err)
		}
		if set == nil {
			continue
		}
		found = append(found, key)
		shows := func(set []design.Change) bool {
			y, err := replay(t.Context(), x, set)
			if err != nil {
				t.Fatal(err)
			}
			return y.seen.Keeps(d.Limits.Shown, d.Limits.Stray)
		}
		if !shows(set) {
			t.Errorf("%v does not show enough", set)
		}
		if key == "grid.pitch" {
			changed, err := d.With(set...)
			if err != nil {
				t.Fatal(err)
			}
			back := dial.set(changed.Grid.Pitch * math.Exp(2*dialTolerance))
			if shows(back) {
				t.Errorf("%v shows enough, too, where %v is told", back, set)
			}
		}
	}
	if want := []string{"fluid.drop_diameter", "fluid.density_difference", "drive.kick_time", "supply.voltage", "grid.pitch", "grid.pitch", "coil.outer"}; !slices.Equal(tried, want) {
		t.Errorf("tried are %v, want %v", tried, want)
	}
	if want := []string{"grid.pitch"}; !slices.Equal(found, want) {
		t.Errorf("found are %v, want %v", found, want)
	}
	volts := []design.Change{{Key: "supply.voltage", Value: "12 V"}}
	cold, err := x.keeps(t.Context(), volts)
	if err != nil {
		t.Fatal(err)
	}
	if y, err := replay(t.Context(), x, volts); err != nil || !cold || y.seen.Keeps(d.Limits.Shown, d.Limits.Stray) {
		t.Errorf("12 V show enough with cold coils: %v, played: %+v (%v); want true, and not", cold, y, err)
	}
	// What was found is told as a remedy.
	v := judged(t, d, s)
	i := slices.IndexFunc(v.Problems, func(p Problem) bool { return p.Limit == Shown })
	if i < 0 || !slices.ContainsFunc(v.Problems[i].Remedies, func(r Remedy) bool { return r.Set[0].Key == "grid.pitch" }) {
		t.Errorf("no pitch is told: %v", v.Problems)
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

// Where drops are carried each needs a lit pixel: a firmware that lights fewer than a picture wants may light as many,
// and that is played with as many drops, as another supply is with as many kicks at once; where pixels are just
// switched neither changes anything.
func TestMoreLitCarriesMore(t *testing.T) {
	d, s := small(t, "drive.most_lit=2"), walking(2)
	lit := s.Frames[1].Levels
	for v := range lit {
		lit[v] = 1
	}
	x := &played{player: playerOf(t, d), scene: walking(2), wanted: s}
	most := []design.Change{{Key: "drive.most_lit", Value: fmt.Sprint(len(lit))}}
	for _, carried := range []bool{false, true} {
		if carried {
			x.plan = func(context.Context, design.Design) (p *player.Player, played, wanted scenes.Scene, err error) {
				return
			}
		}
		tried := slices.ContainsFunc(x.dials(1), func(l dial) bool { return slices.Equal(l.set(l.to), most) })
		if tried != carried || x.sizesOnly(most) == carried || x.sizesOnly([]design.Change{{Key: string(Power)}}) == carried {
			t.Errorf("carried %v: %v is tried: %v, taken to change nothing: %v", carried, most, tried, x.sizesOnly(most))
		}
	}
}

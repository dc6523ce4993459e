package cooling

import (
	"encoding/json"
	"fmt"
	"os"
	"strings"
	"testing"

	"lodegrid/array/design/trial"
	"lodegrid/array/heat"
	"lodegrid/array/pixel"
)

// resolvedCase is a lone pixel of a model that resolves every turn, on a wide board;
// the files tell where they come from.
type resolvedCase struct {
	Name         string  `json:"name"`
	Thickness    float64 `json:"thickness_m"`
	Layers       int     `json:"layers"`
	Copper       float64 `json:"copper_m"`
	Track        float64 `json:"track_m"`
	Gap          float64 `json:"gap_m"`
	Turns        int     `json:"turns"`
	Inner        float64 `json:"first_turn_inner_radius_m"`
	Steel        float64 `json:"steel_m"`
	Film         float64 `json:"film_m"`
	Core         float64 `json:"core_radius_m"`
	Pitch        float64 `json:"pitch_m"`
	Voltage      float64 `json:"voltage_v"`
	OnResistance float64 `json:"on_resistance_ohm"`
	Resistance   float64 `json:"resistance20_ohm"`
	Start        float64 `json:"start_k"`
	Limit        float64 `json:"limit_k"`
	HottestTime  float64 `json:"hottest_turn_reaches_limit_s"`
	MeanTime     float64 `json:"mean_copper_reaches_limit_s"`
	Mean         float64 `json:"steady_mean_k_per_w"`
	Hottest      float64 `json:"steady_hottest_k_per_w"`
	AllOn        float64 `json:"all_on_mean_k_per_w"`
}

func resolvedCases(t *testing.T, file string) []resolvedCase {
	t.Helper()
	text, err := os.ReadFile("../../testdata/heat/" + file)
	if err != nil {
		t.Fatal(err)
	}
	var f struct {
		Cases []resolvedCase `json:"cases"`
	}
	if err := json.Unmarshal(text, &f); err != nil {
		t.Fatal(err)
	}
	return f.Cases
}

// network is the case as this program cools it, its faces of constant coefficients, on
// side × side pixels.
func (r resolvedCase) network(t *testing.T, side int) (*heat.Network, heat.Params) {
	t.Helper()
	mm := func(v float64) string { return fmt.Sprintf("%.9g mm", 1e3*v) }
	outer := 2*(r.Inner+r.Track) + float64(2*r.Turns-1)*(r.Track+r.Gap)
	changes := []string{
		fmt.Sprintf("board.layers=%d", r.Layers), fmt.Sprintf("coil.layers=%d", r.Layers), "board.thickness=" + mm(r.Thickness),
		"board.layers_on_offer=2 4 6 8 12", "board.copper_outer=" + mm(r.Copper), "board.copper_inner=" + mm(r.Copper), "coil.track=" + mm(r.Track), "coil.gap=" + mm(r.Gap),
		fmt.Sprintf("coil.turns=%d", r.Turns), "coil.outer=" + mm(outer), "grid.pitch=" + mm(r.Pitch), "heat.copper_fraction=2 %",
	}
	if r.Steel > 0 {
		changes = append(changes, "iron.thickness="+mm(r.Steel), "iron.gap="+mm(r.Film), "iron.core_radius="+mm(r.Core), "board.via_drill=0.1 mm", "board.via_ring=0.05 mm", "board.hole_clearance=0.1 mm")
	} else {
		changes = append(changes, "iron.model=none", "iron.core_radius=0 mm")
	}
	d := trial.Sign(t, changes...)
	p, err := pixel.New(t.Context(), d, d.Fluid.Height)
	if err != nil {
		t.Fatal(err)
	}
	params, err := cooled(t.Context(), d, p, heat.Params{
		Rows: side, Cols: side, Ambient: r.Start, Front: heat.Film{Coefficient: 7.6}, Back: heat.Film{Coefficient: 10}, Edge: heat.Film{Coefficient: 1e-9},
	})
	if err != nil {
		t.Fatal(err)
	}
	n := heat.New(params)
	return n, params
}

// awry is by how many per cent a value is off; 0 where there is nothing to compare with.
func awry(got, want float64) float64 {
	if want == 0 {
		return 0
	}
	return 100 * (got/want - 1)
}

// Coils of two to twelve layers, with plate, pin and without, wide and narrow tracks,
// pulses of 7 ms to 4 s: against two models that resolve every turn, one stored and run
// live by .ci/checks/heat_resolved.py, one written by someone else for this program.
func TestCoilsAgainstResolvedModels(t *testing.T) {
	document, err := os.ReadFile("../../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	// What this program printed for these pulses when a coil was one lump over its board.
	lump := map[string]float64{"demo24": 1.39, "demo12": 14.6, "four24": 0.051, "four12": 1.75}
	for _, file := range []string{"resolved_other.json", "resolved.json"} {
		for _, r := range resolvedCases(t, file) {
			n, params := r.network(t, 13)
			share := make([]float64, 169)
			share[84] = 1
			load := &heat.VoltageDrive{Copper: heat.Copper{Resistance20: r.Resistance, Alpha: 0.00393}, Volts: r.Voltage, Series: r.OnResistance, Share: share}
			got, reached, err := n.Until(t.Context(), load, r.Limit, 1e4)
			if err != nil || !reached {
				t.Fatal(reached, err)
			}
			steady, err := n.Steady(t.Context(), &heat.FixedPower{Watts: share})
			if err != nil {
				t.Fatal(err)
			}
			mean, hottest := steady.Coils[84]-r.Start, steady.Turns[84]-r.Start
			one, _ := r.network(t, 1)
			on, err := one.Steady(t.Context(), &heat.FixedPower{Watts: []float64{1e-3}})
			if err != nil {
				t.Fatal(err)
			}
			all := 1e3 * (on.Coils[0] - r.Start)
			t.Logf("%-9s pulse %.4g s (%+.1f %%), lone mean %.3g K/W (%+.1f %%), hottest %.3g (%+.1f %%), all on %.4g (%+.1f %%); stages within %.2f %%", r.Name,
				got, awry(got, r.HottestTime), mean, awry(mean, r.Mean), hottest, awry(hottest, r.Hottest), all, awry(all, r.AllOn), 100*params.StagesError)
			if old, told := lump[r.Name]; told && file == "resolved_other.json" {
				row := fmt.Sprintf("| %s | %.3g s | %.3g s | %.3g s | %+.1f %% | %.1f, %.1f | %.1f, %.1f |",
					r.Name, old, r.HottestTime, got, awry(got, r.HottestTime), r.Mean, r.Hottest, mean, hottest)
				if !strings.Contains(string(document), row+"\n") {
					t.Errorf("DEVELOPERS.md has not this row of the safe-operating table:\n%s", row)
				}
			}
			for what, x := range map[string]struct{ off, least, most float64 }{
				"the longest pulse":   {awry(got, r.HottestTime), -12, 5},
				"the mean copper":     {awry(mean, r.Mean), -8, 8},
				"the hottest turn":    {awry(hottest, r.Hottest), -8, 8},
				"with all on it":      {awry(all, r.AllOn), -3, 3},
				"the stages at worst": {100 * params.StagesError, 0, 1},
			} {
				if !(x.off >= x.least && x.off <= x.most) {
					t.Errorf("%s, %s: %+.1f %% off, want %g to %g %%", r.Name, what, x.off, x.least, x.most)
				}
			}
		}
	}
}

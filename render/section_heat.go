package render

import (
	"context"
	"fmt"

	"lodegrid/array/design"
	"lodegrid/field/quantity"
	"lodegrid/scenes/player"
	"lodegrid/scenes/studies"
)

// HeatSection is how hot the display gets with one pixel held on and with all
// held on.
func HeatSection(ctx context.Context, d design.Design, p *player.Player) (Section, error) {
	return heatSection(ctx, d, p, true)
}

// HeatFigures is HeatSection without what a guess of the copper leaves open.
func HeatFigures(ctx context.Context, d design.Design, p *player.Player) (Section, error) {
	return heatSection(ctx, d, p, false)
}

func heatSection(ctx context.Context, d design.Design, p *player.Player, guess bool) (Section, error) {
	s := Section{Key: "heat", Title: "Heat", Facts: []Fact{
		{Key: "ambient_k", Label: "ambient", Value: d.Heat.Ambient, Text: ambient(d)},
		{Key: "ambient_low_k", Label: "coils draw most at", Value: d.Heat.AmbientLow, Text: celsius(d.Heat.AmbientLow)},
	}}
	copper := Fact{Key: "copper_fraction", Label: "copper outside the coils", Value: d.Heat.CopperFraction, Text: fmt.Sprintf("%s %% of the planes", quantity.Figure(100*d.Heat.CopperFraction, 3))}
	least, most := 0.0, 0.0
	if guess {
		var err error
		if least, most, err = studies.Guessed(ctx, p); err != nil {
			return s, err
		}
	}
	if most > 0 {
		copper.Text += fmt.Sprintf(", a guess (board.planes): one pixel's rise is anywhere from %s K/W to %s K/W", quantity.Figure(least, 3), quantity.Figure(most, 3))
		s.Facts = append(s.Facts, Fact{Key: "least_rise_k_per_w", Value: least}, Fact{Key: "most_rise_k_per_w", Value: most})
	}
	s.Facts = append(s.Facts, copper)
	t := Table{Key: "steady", Title: fmt.Sprintf("Held continuously in air of %s, when nothing warms any more", celsius(d.Heat.Ambient)), Columns: []Column{
		{"pattern", "pattern"}, {"power_w", "supply power"}, {"hottest_k", "hottest turn"}, {"mean_k", "mean of its coil"}, {"rise_k_per_w", "that rise per watt of the pixel"}, {"resistance_ohm", "its resistance"}, {"current_a", "its current"},
	}}
	for _, c := range []struct {
		name   string
		levels []float64
	}{{oneOutput(d), p.Single(1)}, {"all pixels", p.Uniform(1)}} {
		held, err := studies.Settle(ctx, p, c.levels)
		if err != nil {
			return s, err
		}
		if held.Runaway != nil {
			t.Rows = append(t.Rows, []Cell{Say(c.name), {None, "–"}, {None, "no steady state"}, {None, "–"}, {None, "–"}, {None, "–"}, {None, "–"}})
			s.Notes = append(s.Notes, "Held continuously, "+c.name+": "+runaway(held.Runaway)+".")
			continue
		}
		rise := Cell{held.Rise, fmt.Sprintf("%s K/W", quantity.Figure(held.Rise, 3))}
		if held.Copper == 0 {
			rise = Cell{None, "–"}
		}
		t.Rows = append(t.Rows, []Cell{
			Say(c.name), In(held.Power, quantity.Power), {held.Turn, celsius(held.Turn)}, {held.Coil, celsius(held.Coil)}, rise,
			In(held.Resistance, quantity.Resistance), In(held.Current, quantity.Current),
		})
	}
	s.Tables = []Table{t}
	s.Notes = append(s.Notes,
		fmt.Sprintf("Every coil is resolved turn by turn and layer by layer, and told here by %d stages over its board, within %.1f %% of that.", len(p.Network().Params().Stages), 100*p.Network().Params().StagesError),
		"Copper's resistance, convection and radiation follow the temperature; neighbours share heat through the board and any steel behind it.",
		fmt.Sprintf("Limits: board %s, touchable surface %s (ISO 13732-1, contact of a minute; from memory).", celsius(d.Limits.Board), celsius(d.Limits.Touch)))
	return s, nil
}

// ambient tells the air, and at which end of it heat is judged.
func ambient(d design.Design) string {
	h := d.Heat
	if h.AmbientLow == h.Ambient {
		return fmt.Sprintf("%s, display %s", celsius(h.Ambient), h.Orientation)
	}
	return fmt.Sprintf("%s for heat, of air of %s to %s, display %s", celsius(h.Ambient), celsius(h.AmbientLow), celsius(h.Ambient), h.Orientation)
}

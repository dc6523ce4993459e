package render

import (
	"context"
	"fmt"
	"math"

	"lodegrid/array/design"
	"lodegrid/field/quantity"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
	"lodegrid/scenes/studies"
)

// MountingSection is what is behind the display and what a free back and a blocked one
// would do. In short it says that only where they decide differently; else also what other
// copper outside the coils would do. The peaks are those of the scene as it was
// played.
func MountingSection(ctx context.Context, p *player.Player, s scenes.Scene, peaks player.Summary, short bool) (Section, error) {
	h := p.Grid().Design.Heat
	text := behind(h)
	if h.Back == h.Usual() {
		text += "; the default for a " + string(h.Orientation) + " display"
		if h.AirSpeed > 0 {
			text += " with a fan"
		}
	}
	out := Section{Key: "mounting", Title: "What is behind it", Facts: []Fact{{Key: "back", Label: "behind the display", Value: string(h.Back), Text: text}}}
	facts, plume, err := plumeFacts(ctx, p, s)
	if err != nil {
		return out, err
	}
	if out.Facts = append(out.Facts, facts...); facts != nil {
		out.Notes = append(out.Notes, "The air that rises is taken as a laminar boundary layer, row upon row (Kays and Crawford, from memory): an estimate, and the limits are judged without it.")
		if studies.Breaks(plume, peaks, p.Grid().Design.Limits) {
			out.Notes = append(out.Notes, "With it a limit is passed that is kept without: leave that margin.")
		}
	}
	backs, err := studies.Backs(ctx, p, s, peaks)
	if err != nil {
		return out, err
	}
	differ := studies.Differ(backs)
	if differ || !short {
		out.Tables = []Table{mountings("backs", "The scene at its hottest by what is behind the display", Column{"back", "behind it"}, backs, func(m studies.Mounted) Cell { return Say(string(m.Back)) })}
	}
	if differ {
		out.Notes = append(out.Notes, "What is behind the display decides which limits it keeps: see to it that it hangs as the design says (heat.back).")
	}
	if !short {
		list, err := studies.Coppers(ctx, p, s, peaks)
		if err != nil {
			return out, err
		}
		t := mountings("coppers", "The same by the copper outside the coils", Column{"copper", "copper outside the coils"}, list, func(m studies.Mounted) Cell { return Say(m.Copper) })
		t.Columns = append(t.Columns, Column{"copper_fraction", "of the planes"}, Column{"longest_pulse_s", "longest pulse alone at " + quantity.Format(p.Grid().Design.Supply.Voltage, quantity.Voltage)})
		for i, m := range list {
			pulse := Cell{finite(m.Pulse, Infinite), "no limit"}
			if !math.IsInf(m.Pulse, 1) {
				pulse = In(m.Pulse, quantity.Time)
			}
			t.Rows[i] = append(t.Rows[i], Cell{m.Share, fmt.Sprintf("%s %%", quantity.Figure(100*m.Share, 3))}, pulse)
		}
		out.Tables = append(out.Tables, t)
		if p.Grid().Design.PlanesGuessed() {
			if d := p.Grid().Design; d.PlaneRoom(d.Board.Layers-1) < d.Drive.FeederWidth {
				out.Notes = append(out.Notes, fmt.Sprintf("Feeders of %s (drive.feeder_width) have no room between the coils on any layer: %s is left.", quantity.Format(d.Drive.FeederWidth, quantity.Length), quantity.Format(d.PlaneRoom(0), quantity.Length)))
			}
			out.Notes = append(out.Notes, "Nothing tells what copper the board has outside its coils (board.planes): the truth is anywhere from none to feeders on every layer, or beyond if copper is poured.")
		}
	}
	out.Notes = append(out.Notes, "Channel: Bar-Cohen and Rohsenow 1984; closed gap: ElSherbiny 1982 upright (both from memory), Hollands 1976 level; ±20 %. A wall is taken to pass no heat.")
	return out, nil
}

func behind(h design.Heat) string {
	gap := fmt.Sprintf("%s mm of air", quantity.Figure(1e3*h.BackGap, 3))
	switch h.Back {
	case design.BackWall:
		return "a wall, " + gap + " between, open all round"
	case design.BackSealed:
		return "a wall, " + gap + " between, closed all round"
	case design.BackCase:
		return "a closed case, " + gap + " in it"
	case design.BackClamped:
		return "a plate as cool as the air, clamped on"
	case design.BackFan:
		if h.Gapped() {
			return fmt.Sprintf("a wall, air blown through the %s mm between at %s m/s", quantity.Figure(1e3*h.BackGap, 3), quantity.Figure(h.AirSpeed, 3))
		}
		return fmt.Sprintf("free air, moved at %s m/s", quantity.Figure(h.AirSpeed, 3))
	}
	return "free air"
}

func mountings(key, title string, first Column, list []studies.Mounted, name func(studies.Mounted) Cell) Table {
	t := Table{Key: key, Title: title, Columns: []Column{
		first, {"chosen", "the design's"}, {"hottest_k", "hottest turn"}, {"touch_k", "surface within reach"}, {"keeps_board", "board within limit"}, {"keeps_touch", "touch within limit"}, {"rise_k_per_w", "one pixel alone"},
	}}
	word := map[bool]string{true: "yes", false: "no"}
	for _, m := range list {
		row := []Cell{name(m), Say(word[m.Chosen]), {m.Hottest, celsius(m.Hottest)}, {m.Touch, celsius(m.Touch)}, Say(word[m.Board]), Say(word[m.Hand]), {m.Rise, fmt.Sprintf("%s K/W", quantity.Figure(m.Rise, 3))}}
		if m.Restless {
			row[2], row[3] = Cell{None, "no steady state"}, Cell{None, "–"}
		}
		if m.Rise == 0 {
			row[6] = Cell{None, "–"}
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// MountingFigures is MountingSection without what something else behind the display would do.
func MountingFigures(ctx context.Context, p *player.Player, s scenes.Scene) (Section, error) {
	facts, _, err := plumeFacts(ctx, p, s)
	return Section{Key: "mounting", Facts: facts}, err
}

// plumeFacts are what the air that rises along a display does to a scene's heat.
func plumeFacts(ctx context.Context, p *player.Player, s scenes.Scene) (facts []Fact, plume player.Plume, err error) {
	plume, err = studies.Plume(ctx, p, s)
	if err != nil {
		return nil, plume, err
	}
	if plume != (player.Plume{}) {
		tenths := func(v float64) string { return fmt.Sprintf("%+.1f K", math.Round(10*v)/10+0) } // no −0
		facts = append(facts,
			Fact{Key: "plume_hottest_k", Label: "air that rises along it", Value: plume.Hottest, Text: fmt.Sprintf("top row %s, bottom row %s, hottest turn %s, surface within reach %s; not in the other figures", tenths(plume.Top), tenths(plume.Bottom), tenths(plume.Hottest), tenths(plume.Touch))},
			Fact{Key: "plume_touch_k", Value: plume.Touch}, Fact{Key: "plume_top_k", Value: plume.Top}, Fact{Key: "plume_bottom_k", Value: plume.Bottom})
	}
	return facts, plume, nil
}

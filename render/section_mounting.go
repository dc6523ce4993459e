package render

import (
	"context"
	"fmt"

	"lodegrid/array/design"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
	"lodegrid/scenes/studies"
)

// MountingSection is what is behind the display, and what a free back and a blocked one
// would do; with pours also what copper poured into the board's free area gains.
func MountingSection(ctx context.Context, p *player.Player, s scenes.Scene, pours bool) (Section, error) {
	h := p.Grid().Design.Heat
	out := Section{Key: "mounting", Title: "What is behind it", Facts: []Fact{{Key: "back", Label: "behind the display", Value: string(h.Back), Text: behind(h)}}}
	backs, err := studies.Backs(ctx, p, s)
	if err != nil {
		return out, err
	}
	out.Tables = []Table{mountings("backs", "The scene's mean heat by what is behind the display", Column{"back", "behind it"}, backs, func(m studies.Mounted) Cell { return Say(string(m.Back)) })}
	differ := false
	for _, m := range backs {
		differ = differ || m.Keeps != backs[0].Keeps
	}
	if differ {
		out.Notes = append(out.Notes, "What is behind the display decides whether it keeps its limits: see to it that it hangs as the design says (heat.back).")
	}
	if pours {
		list, err := studies.Pours(ctx, p, s)
		if err != nil {
			return out, err
		}
		out.Tables = append(out.Tables, mountings("pours", "The same by copper poured between the coils", Column{"pour", "of the free area"}, list, func(m studies.Mounted) Cell {
			return Cell{m.Pour, fmt.Sprintf("%.3g %%", 100*m.Pour)}
		}))
	}
	out.Notes = append(out.Notes, "Channel: Bar-Cohen and Rohsenow 1984; closed gap: ElSherbiny 1982 upright, Hollands 1976 level; all from memory, ±20 %. A wall is taken to pass no heat.")
	return out, nil
}

func behind(h design.Heat) string {
	gap := fmt.Sprintf("%.3g mm of air", 1e3*h.BackGap)
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
		return fmt.Sprintf("free air, moved at %.3g m/s", h.AirSpeed)
	}
	return "free air"
}

func mountings(key, title string, first Column, list []studies.Mounted, name func(studies.Mounted) Cell) Table {
	t := Table{Key: key, Title: title, Columns: []Column{
		first, {"chosen", "the design's"}, {"hottest_k", "hottest turn"}, {"touch_k", "surface within reach"}, {"keeps", "keeps the limits"}, {"rise_k_per_w", "one pixel alone"},
	}}
	word := map[bool]string{true: "yes", false: "no"}
	for _, m := range list {
		row := []Cell{name(m), Say(word[m.Chosen]), {m.Hottest, celsius(m.Hottest)}, {m.Touch, celsius(m.Touch)}, Say(word[m.Keeps]), {m.Rise, fmt.Sprintf("%.3g K/W", m.Rise)}}
		if m.Restless {
			row[2], row[3] = Cell{None, "no steady state"}, Cell{None, "–"}
		}
		if m.Rise == 0 {
			row[5] = Cell{None, "–"}
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

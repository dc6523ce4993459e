package render

import (
	"fmt"
	"math"

	"lodegrid/array/supply"
	"lodegrid/field/quantity"
	"lodegrid/scenes/studies"
)

// SupplySection is the proposed supply with each figure's reason.
func SupplySection(p *supply.Proposal) Section {
	s := Section{Key: "supply", Title: "Supply"}
	t := Table{Key: "cases", Title: "What the grid draws", Columns: []Column{
		{"case", "case"}, {"average_a", "average"}, {"rms_a", "RMS"}, {"peak_a", "peak"}, {"need_w", "power at the supply"}, {"rating_w", "rating it asks for"},
	}}
	for _, c := range p.Cases {
		name := string(c.Draw.Kind)
		if c.Draw.Kind == p.Basis {
			name += " (sized for)"
		}
		t.Rows = append(t.Rows, []Cell{
			{string(c.Draw.Kind), name}, In(c.Draw.Average, quantity.Current), In(c.Draw.RMS, quantity.Current), In(c.Draw.Peak, quantity.Current),
			In(c.Need.Value, quantity.Power), {c.Rung.Total(), rung(c.Rung)},
		})
	}
	s.Tables = []Table{t}
	for _, f := range p.Figures() {
		s.Facts = append(s.Facts, figure(f))
	}
	return s
}

// KickSupplySection is the proposed supply of the kick rail.
func KickSupplySection(p *supply.Proposal, b studies.Bank) Section {
	s := SupplySection(p)
	s.Key, s.Title = "kick_supply", "Supply of the kick rail"
	bank := Fact{Key: "bank_f", Label: "or capacitors that carry the kicks", Value: None, Text: "none is enough", Why: b.Why}
	if !math.IsInf(b.Capacitance, 1) {
		bank.Value, bank.Text = b.Capacitance, fmt.Sprintf("%s beside a supply of %s: the rail falls by %s over a kick", quantity.Format(b.Capacitance, quantity.Capacitance), rung(b.Rung), quantity.Format(b.Droop, quantity.Voltage))
	}
	s.Facts = append(s.Facts, bank)
	return s
}

// figure turns a supply figure into a fact.
func figure(f supply.Figure) Fact {
	dimensions := map[string]quantity.Dimension{
		"V": quantity.Voltage, "A": quantity.Current, "W": quantity.Power, "F": quantity.Capacitance, "s": quantity.Time,
		"J": quantity.Energy, "Ω": quantity.Resistance, "m²": quantity.Area, "K": quantity.Temperature,
	}
	out := Fact{Key: f.Key, Label: f.Name, Value: f.Value, Text: fmt.Sprintf("%s %s", quantity.Figure(f.Value, 4), f.Unit), Why: f.Why}
	switch d, ok := dimensions[f.Unit]; {
	case math.IsInf(f.Value, 1): // only a capacitance is
		out.Value, out.Text = None, "none is enough"
	case ok:
		out.Text = quantity.Format(f.Value, d)
	case f.Key == supply.LoadKey:
		out.Text = fmt.Sprintf("%.0f %% of what it gives continuously", f.Value*100)
	case f.Key == supply.DimmingKey:
		out.Text = fmt.Sprintf("to %.0f %% of every level", f.Value*100)
	default:
		out.Text = quantity.Figure(f.Value, 4)
	}
	return out
}

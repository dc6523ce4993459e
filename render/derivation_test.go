package render

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"lodegrid/array/design"
	"lodegrid/array/drive"
	"lodegrid/array/grid"
	"lodegrid/scenes"
	"lodegrid/scenes/player"
	"lodegrid/scenes/studies"
)

// span is what a printed number may stand for.
type span struct{ low, high float64 }

// printed is the span of a literal: derivations print four digits or more.
func printed(v float64) span {
	half := 0.0
	if v != 0 {
		half = 0.5 * math.Pow(10, math.Floor(math.Log10(math.Abs(v)))-3)
	}
	return span{v - half, v + half}
}

func over(a, b span, op func(x, y float64) float64) span {
	corners := []float64{op(a.low, b.low), op(a.low, b.high), op(a.high, b.low), op(a.high, b.high)}
	return span{slices.Min(corners), slices.Max(corners)}
}

// sum evaluates a printed derivation: numbers with units, + − × / ² √ and brackets, the
// operators between spaces. It works in spans, so that only a formula or a number that
// is wrong fails, not one that is rounded.
type reader struct {
	text      string
	operators int
	bad       bool
}

func (r *reader) take(prefix string) bool {
	rest, ok := strings.CutPrefix(strings.TrimLeft(r.text, " "), prefix)
	if ok {
		r.text = rest
	}
	return ok
}

func (r *reader) sum() span {
	v := r.product()
	for {
		switch {
		case r.take("+ "):
			v = over(v, r.product(), func(x, y float64) float64 { return x + y })
		case r.take("− "):
			v = over(v, r.product(), func(x, y float64) float64 { return x - y })
		default:
			return v
		}
		r.operators++
	}
}

func (r *reader) product() span {
	v := r.factor()
	for {
		switch {
		case r.take("× "):
			v = over(v, r.factor(), func(x, y float64) float64 { return x * y })
		case r.take("/ "):
			v = over(v, r.factor(), func(x, y float64) float64 { return x / y })
		default:
			return v
		}
		r.operators++
	}
}

func (r *reader) factor() span {
	if r.take("√") {
		v := r.factor()
		return span{math.Sqrt(max(v.low, 0)), math.Sqrt(max(v.high, 0))}
	}
	var v span
	if r.take("(") {
		v = r.sum()
		if !r.take(")") {
			r.bad = true
		}
	} else {
		v = r.number()
	}
	if rest, ok := strings.CutPrefix(r.text, "²"); ok {
		r.text = rest
		v = over(v, v, func(x, y float64) float64 { return x * y })
	}
	return v
}

// scales are the prefixed units that derivations use; others are SI or counts.
var scales = map[string]float64{"mΩ/m": 1e-3, "mm": 1e-3, "mm²": 1e-6, "%": 0.01}

func (r *reader) number() span {
	text := strings.TrimLeft(r.text, " ")
	end := 0
	for end < len(text) && (strings.ContainsRune("0123456789.", rune(text[end])) ||
		text[end] == 'e' && end > 0 || (text[end] == '-' || text[end] == '+') && end > 0 && text[end-1] == 'e' || text[end] == '-' && end == 0) {
		end++
	}
	v, err := strconv.ParseFloat(text[:end], 64)
	if err != nil {
		r.bad = true
		return span{}
	}
	text = text[end:]
	// A unit follows after a space, and is no operator.
	if rest, ok := strings.CutPrefix(text, " "); ok {
		unit := rest[:len(rest)-len(strings.TrimLeftFunc(rest, func(c rune) bool { return unicode.IsLetter(c) || strings.ContainsRune("Ω·/²³°%", c) }))]
		if first, _ := utf8.DecodeRuneInString(unit); unit != "" && unit != "/" && (unicode.IsLetter(first) || first == '/' || first == '%') {
			text = rest[len(unit):]
			if s, ok := scales[unit]; ok {
				v *= s
			}
		}
	}
	r.text = text
	return printed(v)
}

// evaluate returns what a derivation's numbers come to; false where it has none. Prose
// stands before a colon and after a semicolon.
func evaluate(why string) (span, bool) {
	why, _, _ = strings.Cut(why, ";")
	if _, after, ok := strings.Cut(why, ": "); ok {
		why = after
	}
	parts := strings.Split(why, " = ")
	r := reader{text: parts[len(parts)-1]}
	v := r.sum()
	return v, !r.bad && r.operators > 0 && strings.TrimSpace(r.text) == ""
}

func TestEvaluateDerivations(t *testing.T) {
	for _, c := range []struct {
		why  string
		want float64 // NaN: no numbers
	}{
		{"D V/(R + Ron) = 0.16 × 12 V / (11.94 Ω + 0.6 Ω)", 0.16 * 12 / 12.54},
		{"while its row is on: a b = 2 × 3 mm; more to say", 6e-3},
		{"√(x) = √((5 A)² − (3 A)²)", 4},
		{"2 ℓ r I = 2 × 1.5 m × 19.5 mΩ/m × (1 + 0.00393 × (60 − 20)) × 2 A", 2 * 1.5 * 0.0195 * (1 + 0.00393*40) * 2},
		{"x = 1.7241e-08 Ω·m × 6.9e+08 /m", 1.7241e-8 * 6.9e8},
		{"µ0 ∫ M dH with Langevin's M", math.NaN()},
		{"next usual rating from 20 W / 0.8 derating = 25 W", math.NaN()},
		{"duty 0.16 × 12 V", math.NaN()},
	} {
		v, ok := evaluate(c.why)
		if ok == math.IsNaN(c.want) || ok && !(v.low <= c.want && c.want <= v.high && v.high-v.low < 0.01*math.Abs(c.want)) {
			t.Errorf("%q gives %v, %v; want %g", c.why, v, ok, c.want)
		}
	}
}

// Every derivation that is printed with numbers comes to the value beside it, in every
// drive mode, and those that must have numbers do.
func TestDerivationsComeToTheirValues(t *testing.T) {
	set := func(pairs ...string) []design.Change {
		var list []design.Change
		for k := 0; k < len(pairs); k += 2 {
			list = append(list, design.Change{Key: pairs[k], Value: pairs[k+1]})
		}
		return list
	}
	for name, changes := range map[string][]design.Change{
		"direct":               set("drive.mode", "direct"),
		"direct, diode":        set("drive.mode", "direct", "drive.bridge", "low-side", "drive.frequency", "200 kHz"),
		"stagger":              set("drive.mode", "stagger", "supply.power", "1 W", "fluid.contact_line", "3 mN/m"),
		"scan":                 set("drive.mode", "scan", "drive.max_duty", "70 %", "drive.kick_voltage", "20 V"),
		"kick":                 set("drive.mode", "kick", "drive.max_duty", "50 %", "drive.hold_duty", "15 %"),
		"kick, a rail for it":  set("drive.mode", "kick", "drive.kick_voltage", "24 V", "drive.max_duty", "50 %", "drive.hold_duty", "15 %"),
		"parallel, with steel": set("coil.parallel_groups", "2", "iron.model", "slab", "drive.bus_width", "1 mm", "drive.max_duty", "20 %"),
	} {
		t.Run(name, func(t *testing.T) {
			g := gridOf(t, append(set("supply.voltage", "12 V", "drive.max_duty", "20 %", "heat.air_speed", "3 m/s"), changes...)...)
			worked := map[string]bool{}
			for _, s := range derivedSections(t, g) {
				for _, f := range s.Facts {
					v, ok := evaluate(f.Why)
					if !ok {
						continue
					}
					worked[f.Key] = true
					value := f.Value.(float64)
					if slack := 1e-9 * math.Abs(value); !(v.low-slack <= value && value <= v.high+slack) || v.high-v.low > 0.02*math.Abs(value) {
						t.Errorf("%s/%s: %s = %s, which is %.5g to %.5g", s.Key, f.Key, f.Text, f.Why, v.low, v.high)
					}
				}
			}
			must := []string{"resistance_20c_ohm", "resistance_hot_ohm", "time_constant_s", "full_current_a", "full_power_w", "full_supply_w", "weight_n",
				"pull_point_n", "tau_air_s", "rise_air_m", "feeder_ohm", "feeder_heat_w", "mains_w", "capacitor_energy_j", "bulk_capacitance_f"}
			if strings.Contains(name, "rail") {
				must = append(must, "bank_f")
			}
			for _, key := range must {
				if !worked[key] {
					t.Errorf("%s: no derivation with numbers", key)
				}
			}
		})
	}
}

// derivedSections are the sections whose facts tell how they came about.
func derivedSections(t *testing.T, g *grid.Grid) []Section {
	t.Helper()
	inductance, err := InductanceSection(t.Context(), g.Design, g.Pixel)
	if err != nil {
		t.Fatal(err)
	}
	p, err := player.New(g)
	if err != nil {
		t.Fatal(err)
	}
	alone, err := AloneSection(t.Context(), p)
	if err != nil {
		t.Fatal(err)
	}
	list := []Section{coilSection(t, g.Design, g.Pixel), inductance, FieldSection(g), FluidSection(g), alone}
	levels := make([]float64, g.Design.Pixels())
	levels[0], levels[5], levels[6] = 1, 1, 1
	s := scenes.Scene{Name: "three", Rows: g.Design.Grid.Rows, Cols: g.Design.Grid.Cols, Frames: []scenes.Frame{{Levels: levels, Duration: 1}}}
	p.Reset()
	ledger, err := p.Play(t.Context(), s, func([]player.Entry) error { return nil })
	if err != nil {
		t.Fatal(err)
	}
	proposal, err := studies.Sizing(t.Context(), g, s, ledger)
	if err != nil {
		t.Fatal(err)
	}
	list = append(list, SupplySection(proposal))
	kick, bank, err := studies.KickSizing(t.Context(), g, s, ledger)
	if err != nil {
		t.Fatal(err)
	}
	if kick != nil {
		list = append(list, KickSupplySection(kick, bank))
	}
	wires, err := studies.Wiring(t.Context(), g, levels)
	if err != nil {
		t.Fatal(err)
	}
	return append(list, WiringSection(g.Design, []string{"three"}, []studies.WireDrops{wires}))
}

// What a figure of full level is told to be goes with the drive mode.
func TestFullLevelIsNamed(t *testing.T) {
	for mode, want := range map[drive.Mode]string{drive.Direct: "current at full level, cold", drive.Kick: "at full level, held", drive.Scan: "while its row is on"} {
		g := gridOf(t, design.Change{Key: "drive.mode", Value: string(mode)})
		s := coilSection(t, g.Design, g.Pixel)
		var label, why string
		for _, f := range s.Facts {
			if f.Key == "full_current_a" {
				label, why = f.Label, f.Why
			}
		}
		if !strings.Contains(label, want) || mode == drive.Kick && !strings.Contains(why, fmt.Sprintf("%.5g × ", g.Design.Drive.HoldDuty)) {
			t.Errorf("mode %s: %q because %q", mode, label, why)
		}
	}
}

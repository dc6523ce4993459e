package render

import (
	"bytes"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"lodegrid/array/design"
	"lodegrid/array/design/trial"
	"lodegrid/array/drive"
	"lodegrid/array/grid"
	"lodegrid/array/handover"
	"lodegrid/array/hold"
	"lodegrid/array/supply"
	"lodegrid/array/wound"
	"lodegrid/field"
	"lodegrid/scenes"
	"lodegrid/scenes/choose"
	"lodegrid/scenes/optimise"
	"lodegrid/scenes/player"
	"lodegrid/scenes/studies"
	"lodegrid/scenes/verdict"
)

// units are the units that figures are shown in: their size in SI and how a key ends.
var units = map[string]struct {
	size float64
	end  string
}{
	"m": {1, "_m"}, "mm": {1e-3, "_m"}, "µm": {1e-6, "_m"}, "mil": {25.4e-6, "_m"}, "cm": {1e-2, "_m"}, "mm²": {1e-6, "_m2"},
	"T": {1, "_t"}, "mT": {1e-3, "_t"}, "µT": {1e-6, "_t"}, "nT": {1e-9, "_t"}, "A": {1, "_a"}, "mA": {1e-3, "_a"}, "µA": {1e-6, "_a"}, "V": {1, "_v"}, "mV": {1e-3, "_v"}, "kV": {1e3, "_v"},
	"W": {1, "_w"}, "mW": {1e-3, "_w"}, "µW": {1e-6, "_w"}, "kW": {1e3, "_w"}, "Ω": {1, "_ohm"}, "mΩ": {1e-3, "_ohm"}, "H": {1, "_h"}, "mH": {1e-3, "_h"}, "µH": {1e-6, "_h"}, "nH": {1e-9, "_h"},
	"F": {1, "_f"}, "mF": {1e-3, "_f"}, "µF": {1e-6, "_f"}, "nF": {1e-9, "_f"}, "s": {1, "_s"}, "ms": {1e-3, "_s"}, "µs": {1e-6, "_s"}, "min": {60, "_s"}, "h": {3600, "_s"}, "Hz": {1, "_hz"}, "kHz": {1e3, "_hz"},
	"J": {1, "_j"}, "mJ": {1e-3, "_j"}, "µJ": {1e-6, "_j"}, "kJ": {1e3, "_j"}, "nJ": {1e-9, "_j"}, "N": {1, "_n"}, "mN": {1e-3, "_n"}, "µN": {1e-6, "_n"}, "nN": {1e-9, "_n"},
	"Pa": {1, "_pa"}, "kPa": {1e3, "_pa"}, "K": {1, "_k"}, "°C": {1, "_k"}, "K/W": {1, "_k_per_w"}, "mm/s": {1e-3, "_m_per_s"}, "m/s": {1, "_m_per_s"}, "mT/√W": {1e-3, "_t_per_sqrt_w"}, "°": {math.Pi / 180, "_rad"},
}

var leading = regexp.MustCompile(`^(-?[0-9]+(?:\.[0-9]+)?(?:e-?[0-9]+)?)( ?)([^\s0-9,;:().]+)`)

// checkShown tells where a figure's text is not its value: the leading number, in the
// leading unit, has to be the value as far as it is printed, and the key has to end in
// that unit.
func checkShown(t *testing.T, where, key string, value any, text string) {
	t.Helper()
	v, isNumber := value.(float64)
	m := leading.FindStringSubmatch(text)
	if !isNumber || m == nil {
		return
	}
	u, known := units[m[3]]
	if !known {
		return
	}
	shown, err := strconv.ParseFloat(m[1], 64)
	if err != nil {
		t.Fatal(err)
	}
	step := 1.0 // in the last digit printed; the safe side may be one away
	if _, after, ok := strings.Cut(m[1], "."); ok {
		step = math.Pow10(-len(after))
	} else if n := len(strings.TrimRight(strings.TrimPrefix(m[1], "-"), "0")); n < 3 {
		step = math.Pow10(max(len(strings.TrimPrefix(m[1], "-"))-3, -2))
	}
	if m[3] == "°C" {
		shown += field.ZeroCelsius
	}
	if off := math.Abs(shown*u.size - v); off > 1.01*step*u.size && off > 6e-3*math.Abs(v) {
		t.Errorf("%s/%s is %g and shown as %q", where, key, v, text)
	}
	if !strings.HasSuffix("_"+key, u.end) {
		t.Errorf("%s/%s is shown in %s: the key does not end in %s", where, key, m[3], u.end)
	}
}

// checkSection tells what no section may have: keys that are not lower snake case or stand
// twice, a text that is empty or holds what Go prints of a bad number, a value that JSON
// has no form for, a figure shown as another.
func checkSection(t *testing.T, s Section) {
	t.Helper()
	seen := map[string]bool{"notes": true}
	key := func(where, k string) {
		if !regexp.MustCompile(`^[a-z][a-z0-9]*(_[a-z0-9]+)*$`).MatchString(k) {
			t.Errorf("%s: key %q", where, k)
		}
	}
	words := func(where, text string) {
		for _, bad := range []string{"NaN", "Inf", "%!", "<nil>", "  "} {
			if strings.Contains(text, bad) {
				t.Errorf("%s says %q", where, text)
			}
		}
		if strings.TrimSpace(text) == "" {
			t.Errorf("%s says nothing", where)
		}
	}
	value := func(where string, v any) {
		if f, ok := v.(float64); ok && (math.IsNaN(f) || math.IsInf(f, -1)) || v == nil {
			t.Errorf("%s is %v", where, v)
		}
	}
	words(s.Key, s.Title)
	for _, f := range s.Facts {
		where := s.Key + "/" + f.Key
		if seen[f.Key] {
			t.Errorf("%s stands twice", where)
		}
		seen[f.Key] = true
		key(where, f.Key)
		value(where, f.Value)
		if f.Label == "" {
			if f.Text != "" {
				t.Errorf("%s is for programs and says %q", where, f.Text)
			}
			continue
		}
		words(where, f.Text)
		if f.Why != "" {
			words(where, f.Why)
		}
		checkShown(t, s.Key, f.Key, f.Value, f.Text)
	}
	for _, table := range s.Tables {
		where := s.Key + "/" + table.Key
		if seen[table.Key] {
			t.Errorf("%s stands twice", where)
		}
		seen[table.Key] = true
		key(where, table.Key)
		columns := map[string]bool{}
		for i, c := range table.Columns {
			key(where, c.Key)
			if columns[c.Key] || i > 0 && c.Head == "" {
				t.Errorf("%s: column %q headed %q", where, c.Key, c.Head)
			}
			columns[c.Key] = true
		}
		if len(table.Rows) == 0 {
			t.Errorf("%s has no rows", where)
		}
		for _, r := range table.Rows {
			if len(r) != len(table.Columns) {
				t.Fatalf("%s: %d cells under %d heads", where, len(r), len(table.Columns))
			}
			for i, c := range r {
				k := table.Columns[i].Key
				value(where+"/"+k, c.Value)
				if _, word := c.Value.(Word); !word && !(k == "change" && c.Text == "") {
					words(where+"/"+k, c.Text)
				}
				if table.Columns[0].Key == "quantity" && i > 0 {
					k = r[0].Value.(string)
				}
				if k == "change" || table.Columns[i].Key == "ratio" || table.Columns[i].Key == "change" {
					continue
				}
				checkShown(t, where, k, c.Value, c.Text)
			}
		}
	}
	for _, n := range s.Notes {
		words(s.Key, n)
	}
	if t.Failed() {
		return
	}
	var b bytes.Buffer
	d := Document{Kind: "test", Design: "d", Sections: []Section{s}}
	if err := d.WriteJSON(&b); err != nil || strings.Contains(b.String(), "null") {
		t.Errorf("%s as JSON: %v, %s", s.Key, err, b.String())
	}
	if err := d.WriteHTML(&b); err != nil {
		t.Errorf("%s as HTML: %v", s.Key, err)
	}
}

// change makes a list of "key=value".
func change(t *testing.T, texts ...string) []design.Change {
	t.Helper()
	var list []design.Change
	for _, text := range texts {
		c, err := design.ParseChange(text)
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, c)
	}
	return list
}

// showcase are small designs that between them reach every section and most words.
var showcase = map[string][]string{
	"plain":            {"drive.max_duty=20 %", "heat.air_speed=3 m/s", "supply.power=2 W"},
	"scan":             {"drive.mode=scan", "drive.kick_voltage=20 V", "drive.max_duty=60 %", "heat.air_speed=3 m/s"},
	"kick on a rail":   {"drive.mode=kick", "drive.kick_voltage=24 V", "drive.max_duty=50 %", "drive.hold_duty=15 %", "heat.air_speed=3 m/s", "drive.most_lit=4"},
	"kick, never held": {"drive.mode=kick", "drive.hold_duty=0 %", "drive.max_duty=50 %"},
	"magnets, lying":   {"magnet.kind=pixel", "magnet.diameter=4 mm", "magnet.length=1 mm", "magnet.depth=2 mm", "iron.model=slab", "iron.steel=austenitic-stainless", "heat.orientation=face-up", "fluid.contact_line=5 mN/m"},
	"a pin of steel":   {"iron.model=fem", "iron.thickness=1 mm", "iron.core_radius=0.8 mm", "drive.bridge=low-side", "drive.max_duty=20 %"},
	"parallel":         {"drive.max_duty=20 %", "coil.parallel_groups=2", "coil.shape=rounded-square", "iron.model=image", "iron.thickness=20 mm", "heat.air_speed=3 m/s"},
}

// played is a design with a scene played on it.
type played struct {
	g       *grid.Grid
	p       *player.Player
	s       scenes.Scene
	ledger  *player.Ledger
	summary player.Summary
}

func play(t *testing.T, changes ...string) played {
	t.Helper()
	x := played{g: gridOf(t, change(t, append([]string{"supply.voltage=12 V"}, changes...)...)...)}
	x.s = pattern(t, 0, 1, 0, 0, 0, 1, 1, 0, 1, 0, 0, 1)
	x.s.Frames = append(x.s.Frames, scenes.Frame{Levels: []float64{1, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0}, Duration: 1}, scenes.Frame{Levels: make([]float64, 12), Duration: 0.5})
	var err error
	if x.p, err = player.New(x.g); err != nil {
		t.Fatal(err)
	}
	if x.ledger, err = x.p.Play(t.Context(), x.s, func([]player.Entry) error { return nil }); err != nil {
		t.Fatal(err)
	}
	x.summary = x.ledger.Summary()
	return x
}

// must unwraps a section that was made without an error.
func must(t *testing.T, s Section, err error) Section {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// fact finds a fact by its key.
func fact(t *testing.T, s Section, key string) Fact {
	t.Helper()
	for _, f := range s.Facts {
		if f.Key == key {
			return f
		}
	}
	t.Fatalf("%s has no fact %s", s.Key, key)
	return Fact{}
}

// Every section of every kind of document, over designs that differ most: figures are
// shown as what they are, under keys with their units, and nothing bad is printed.
func TestSectionsOfEveryDesign(t *testing.T) {
	for name, changes := range showcase {
		t.Run(name, func(t *testing.T) {
			x := play(t, changes...)
			g, d, ctx := x.g, x.g.Design, t.Context()
			inductance, err := InductanceSection(ctx, d, g.Pixel)
			checkSection(t, must(t, inductance, err))
			steel, err := SteelSection(g)
			checkSection(t, must(t, steel, err))
			alone, err := AloneSection(ctx, x.p)
			checkSection(t, must(t, alone, err))
			heat, err := HeatSection(ctx, d, x.p)
			checkSection(t, must(t, heat, err))
			passing, err := handover.All(ctx, g)
			if err != nil {
				t.Fatal(err)
			}
			for _, s := range []Section{
				coilSection(t, d, g.Pixel), FieldSection(g), FluidSection(g), HeightSection(g), AccuracySection(g), CrosstalkSection(g, 3),
				HandoverSection(g, passing, nil), SceneSection(d, x.s, x.ledger),
			} {
				checkSection(t, s)
			}
			proposal, err := studies.Sizing(ctx, g, x.s, x.ledger)
			if err != nil {
				t.Fatal(err)
			}
			checkSection(t, SupplySection(proposal))
			if kick, bank, err := studies.KickSizing(ctx, g, x.s, x.ledger); err != nil {
				t.Fatal(err)
			} else if kick != nil {
				checkSection(t, KickSupplySection(kick, bank))
			}
			modes, err := studies.CompareModes(ctx, g, x.s.Frames[0])
			if err != nil {
				t.Fatal(err)
			}
			checkSection(t, ModesSection(d, "frame 1", modes))
			carried, err := studies.DriveFrame(g, x.s.Frames[0])
			if err != nil {
				t.Fatal(err)
			}
			checkSection(t, DriverSection(d, []string{"frame 1"}, []studies.Drivers{carried}))
			wires, err := studies.Wiring(ctx, g, x.s.Frames[0].Levels)
			if err != nil {
				t.Fatal(err)
			}
			checkSection(t, WiringSection(d, []string{"frame 1"}, []studies.WireDrops{wires}))
			v := &verdict.Verdict{Ledger: x.ledger, Summary: x.summary, HeatDuty: 0.3, HoldDuty: math.Inf(1)}
			checkSection(t, ThermalBudgetSection(d, x.s, v, &studies.VoltageLimit{Voltage: 14.567, Boost: 14.567, Bounded: true, Top: 60, Board: 350, Touch: 320}))
			for _, c := range []Chart{HeightChart(g), PowerChart(d, x.ledger), HeatChart(d, x.ledger)} {
				var b bytes.Buffer
				if err := c.Write(&b, "svg", 400, 300); err != nil || strings.Contains(b.String(), "NaN") {
					t.Errorf("%s: %v", c.Title, err)
				}
			}
		})
	}
}

// A display without a steady state, and one whose kick leaves nothing to hold, have the
// keys of others, with words for numbers.
func TestNoSteadyState(t *testing.T) {
	for name, changes := range map[string][]string{
		"runs away":  {"drive.max_duty=100 %", "supply.voltage=60 V"},
		"never held": {"drive.mode=kick", "drive.hold_duty=0 %"},
	} {
		g := gridOf(t, change(t, changes...)...)
		p, err := player.New(g)
		if err != nil {
			t.Fatal(err)
		}
		alone, err := AloneSection(t.Context(), p)
		checkSection(t, must(t, alone, err))
		for _, key := range aloneKeys {
			if f := fact(t, alone, key); f.Value != None {
				t.Errorf("%s: %s is %v", name, key, f.Value)
			}
		}
		if len(alone.Notes) != 1 {
			t.Errorf("%s: notes %q", name, alone.Notes)
		}
		heat, err := HeatSection(t.Context(), g.Design, p)
		checkSection(t, must(t, heat, err))
		row := heat.Tables[0].Rows[1]
		if row[4].Value != None || (name == "runs away") != (row[2].Text == "no steady state" && row[2].Value == None) {
			t.Errorf("%s: %v", name, row)
		}
	}
}

// The words of a scene say what its ledger holds.
func TestSceneSection(t *testing.T) {
	d := gridOf(t).Design
	l := &player.Ledger{Entries: []player.Entry{
		{Frame: 0, Start: 0, Duration: 2, SupplyPower: 3, SupplyPeakPower: 5, Hottest: 320, HottestPixel: 5, LeastHold: 2.5, LeastHoldPixel: 6, GreatestFalsePixel: -1, CrosstalkMargin: 0.2, Lit: 3},
		{Frame: 1, Start: 2, Duration: 1, SupplyPower: 6, SupplyPeakPower: 7, Hottest: 330, HottestPixel: 11, LeastHold: 0.75, LeastHoldPixel: 0, GreatestFalsePixel: 4, GreatestFalseOn: 0.9, CrosstalkMargin: -0.4, Failing: []int{0}, FalseOn: []int{4, 5}, Lit: 5},
		{Frame: 2, Start: 3, Duration: 1, LeastHold: math.Inf(1), LeastHoldPixel: -1, GreatestFalsePixel: -1, CrosstalkMargin: math.Inf(1), Hottest: 310},
	}}
	one := &player.Ledger{Entries: []player.Entry{l.Entries[0]}}
	one.Entries[0].Lit = 1
	if got := fact(t, SceneSection(d, scenes.Scene{}, one), "frames").Text; got != "1 in 2 s, 1 pixel lit on average" {
		t.Errorf("one pixel lit: %q", got)
	}
	s := SceneSection(d, scenes.Scene{Name: "three"}, l)
	checkSection(t, s)
	for key, want := range map[string]string{
		"frames": "3 in 4 s, 2.67 pixels lit on average", "average_power_w": "3 W", "peak_frame_power_w": "6 W, frame 2", "peak_power_w": "7 W, frame 2",
		"hottest_k": "56.9 °C, row 3, column 4, frame 2", "least_hold": "0.75 × what the drop needs, row 1, column 1, frame 2",
		"failing_pixels": "1 of 8, in 1 frame (limit 2)", "false_on_pixels": "2, in 1 frame (limit 0.5)", "crosstalk_margin": "0.4 above the false-on limit",
	} {
		if f := fact(t, s, key); f.Text != want {
			t.Errorf("%s: %q, want %q", key, f.Text, want)
		}
	}
	// Each mode with its own rails and duties.
	d.Drive.KickVoltage, d.Drive.MaxDuty, d.Drive.HoldDuty = 24, 0.9, 0.3
	for mode, want := range map[design.DriveMode]string{
		design.DriveDirect: ", at 12 V and a duty of up to 90 %, with 3 W", design.DriveScan: ", at 24 V and a duty of up to 90 %, with 3 W",
		design.DriveKick: ", kicked at 24 V and a duty of up to 90 %, then held at 12 V and a duty of up to 30 %, with 3 W",
	} {
		d.Drive.Mode = mode
		if n := SceneSection(d, scenes.Scene{}, l).Notes; !strings.Contains(n[0], want) {
			t.Errorf("%s: %q, want it to say %q", mode, n, want)
		}
	}
	rows := s.Tables[0].Rows
	if rows[0][0].Value != 2 || rows[1][0].Value != 1 || rows[2][6].Value != None || rows[0][6].Value != 0.75 {
		t.Errorf("frames in the order of their draw: %v", rows)
	}
	// All dark, and nothing to cross over to.
	s = SceneSection(d, scenes.Scene{Name: "dark"}, &player.Ledger{Entries: l.Entries[2:]})
	if f := fact(t, s, "least_hold"); f.Value != None || f.Label != "" {
		t.Errorf("the hold of no lit pixel: %+v", f)
	}
	if f := fact(t, s, "crosstalk_margin"); f.Value != None || f.Text != "no pixel is dark" {
		t.Errorf("the margin of no dark pixel: %+v", f)
	}
}

// Pixels by their temperature, frames by their heat; duties and voltages rounded to the
// safe side, and words where there is none.
func TestThermalBudgetSection(t *testing.T) {
	d := gridOf(t).Design
	l := &player.Ledger{
		Entries:   []player.Entry{{Duration: 1, CoilHeat: 2, SwitchHeat: 0.25, DiodeHeat: 0.25, Hottest: 310, Lit: 1}, {Start: 1, Duration: 3, CoilHeat: 2, Hottest: 320, Lit: 2}},
		PixelPeak: []float64{300, 320, 310}, PixelMean: []float64{299, 305, 304}, PixelEnergy: []float64{1, 5, 2}, PixelOverTouch: []float64{0, 1.5, 0},
	}
	l.Balance.Supplied, l.Balance.Lost, l.Balance.Stored = 8, 9, -1
	v := &verdict.Verdict{Ledger: l, Summary: player.Summary{Duration: 4, Hottest: 320, HottestPixel: 1, Touch: 315, LeastHoldPixel: 2}, HeatDuty: 0.12345, HoldDuty: 0.10111}
	section := func(limit *studies.VoltageLimit) Section {
		s := ThermalBudgetSection(d, scenes.Scene{Name: "s"}, v, limit)
		checkSection(t, s)
		return s
	}
	s := section(nil)
	if r := s.Tables[0].Rows; r[0][0].Value != 1 || r[1][0].Value != 2 || r[0][5].Text != "1.5 s of 4 s" || r[1][5].Text != "never" || math.Abs(r[0][4].Value.(float64)-(d.Limits.Board-320)) > 1e-9 {
		t.Errorf("hottest pixels: %v", r)
	}
	if r := s.Tables[1].Rows; r[0][0].Value != 2 || r[0][5].Text != "75 %" || r[1][4].Value != 0.5 || r[1][3].Value != 2.0 {
		t.Errorf("costly frames: %v", r)
	}
	for key, want := range map[string]string{
		"heat_duty": fmt.Sprintf("12.3 %% (now %.1f %%), solved for", d.Drive.MaxDuty*100), "hold_duty": "10.2 %",
		"heat_j": "8 J made in the coils = 9 J given to the air − 1 J that the board gave up, to less than a millionth of it",
	} {
		if f := fact(t, s, key); f.Text != want {
			t.Errorf("%s: %q, want %q", key, f.Text, want)
		}
	}
	d.Drive.Mode = design.DriveKick
	if s := section(nil); fact(t, s, "hold_duty").Text != "10.2 %, drive.hold_duty in proportion" || !strings.HasSuffix(fact(t, s, "heat_duty").Text, "solved for, drive.hold_duty in proportion") {
		t.Errorf("duties of a kick: %q, %q", fact(t, s, "heat_duty").Text, fact(t, s, "hold_duty").Text)
	}
	if got := unmended(d, v, &verdict.Problem{Limit: verdict.Board}); !strings.HasPrefix(got, "A duty of 12.3 %, with drive.hold_duty in proportion, keeps it cool") {
		t.Error(got) // a kick's duty alone does not: most of the heat is the hold's
	}
	d.Drive.Mode = design.DriveDirect
	v.HoldDuty = math.Inf(1)
	if f := fact(t, section(nil), "hold_duty"); f.Value != None || f.Text != "more than full duty" {
		t.Errorf("no duty holds: %+v", f)
	}
	for _, c := range []struct {
		limit studies.VoltageLimit
		value any
		text  string
	}{
		{studies.VoltageLimit{Voltage: 8.589, Boost: 17.178, Bounded: true, Top: 60, Board: 328.6, Touch: 324.15}, 8.589, "8.58 V (now 5 V), solved for: coils 55.5 °C, surface 51.0 °C there; kick or scan rail 17.17 V with it"},
		{studies.VoltageLimit{Voltage: 60, Boost: 60, Top: 60}, Undecided, "any up to 60 V (now 5 V)"},
		{studies.VoltageLimit{Top: 60}, None, "none is low enough (now 5 V)"},
	} {
		d.Supply.Voltage = 5
		if f := fact(t, section(&c.limit), "heat_voltage_v"); f.Value != c.value || f.Text != c.text {
			t.Errorf("%+v: %v, %q", c.limit, f.Value, f.Text)
		}
	}
}

// How long, how often, how much: numbers where there are, words where there are none.
func TestPulseSection(t *testing.T) {
	g := gridOf(t, change(t, "grid.cols=2", "grid.rows=2", "drive.max_duty=20 %", "supply.voltage=12 V")...)
	p, err := player.New(g)
	if err != nil {
		t.Fatal(err)
	}
	pulses := studies.NewPulses(p)
	starts := []float64{g.Design.Heat.Ambient}
	s, err := PulseSection(t.Context(), g.Design, pulses, starts, []float64{1, 24}, 0.1)
	checkSection(t, must(t, s, err))
	table, repeats, err := pulses.Table(t.Context(), starts, []float64{1, 24}, 0.1)
	if err != nil {
		t.Fatal(err)
	}
	for i, p := range table {
		row := s.Tables[0].Rows[i]
		switch {
		case math.IsInf(p.Longest, 1) && (row[3].Value != any(p.Longest) && row[3].Value != Infinite || row[3].Text != "no limit" || row[4].Value != None):
			t.Errorf("%g V never gets hot: %v", p.Voltage, row)
		case !math.IsInf(p.Longest, 1) && (row[3].Value != p.Longest || row[5].Value != p.Heat):
			t.Errorf("%g V: %v, computed %g s", p.Voltage, row, p.Longest)
		}
	}
	for i, r := range repeats {
		row := s.Tables[1].Rows[i]
		if r.Period <= r.Width && row[2].Text != "may stay on" || r.Period > r.Width && !math.IsInf(r.Period, 1) && math.Abs(row[3].Value.(float64)*r.Period-1) > 1e-12 {
			t.Errorf("%g V repeated: %v, period %g s", r.Voltage, row, r.Period)
		}
	}
	for _, row := range s.Tables[2].Rows {
		if row[2].Value != Undecided && !strings.Contains(row[2].Text, "(past ") && !strings.Contains(row[2].Text, "(runs away)") {
			t.Errorf("held: %v", row)
		}
	}
	curves, err := pulses.Curves(t.Context(), starts)
	if err != nil || len(curves) == 0 {
		t.Fatalf("%d curves, %v", len(curves), err)
	}
	d := g.Design
	d.Drive.KickVoltage = 24
	c := SafeAreaChart(d, curves)
	if len(c.Lines) != len(curves) || len(c.Levels) != 2 || !c.LogX || !strings.Contains(c.Lines[0].Label, string(curves[0].Company)) || c.Lines[0].Dashed == c.Lines[len(c.Lines)-1].Dashed {
		t.Errorf("%+v", c)
	}
	var b bytes.Buffer
	if err := c.Write(&b, "svg", 400, 300); err != nil {
		t.Error(err)
	}
	for _, c := range []struct {
		level Cell
		feeds bool
		want  Cell
	}{
		{Cell{math.Inf(1), "∞"}, false, Cell{Undecided, "none below 60 V"}},
		{Cell{20.0, "20 V"}, true, Cell{20.0, "20 V (runs away)"}},
		{Cell{20.0, "20 V"}, false, Cell{20.0, "20 V (past 426.9 °C)"}},
	} {
		if got := endOf(c.level, c.feeds, 700, "60 V"); got != c.want {
			t.Errorf("%v: %v, want %v", c.level, got, c.want)
		}
	}
}

// The rows of the comparison carry what each mode draws, the kick rail one of its own.
func TestModesSection(t *testing.T) {
	x := play(t, "drive.mode=kick", "drive.kick_voltage=24 V", "drive.max_duty=50 %", "drive.hold_duty=15 %", "heat.air_speed=3 m/s")
	modes, err := studies.CompareModes(t.Context(), x.g, x.s.Frames[0])
	if err != nil {
		t.Fatal(err)
	}
	s := ModesSection(x.g.Design, "frame 1", modes)
	rows := s.Tables[0].Rows
	if len(rows) != 5 || rows[0][7].Text != "100 %" || rows[3][0].Text != "kick (the design's)" || rows[4][1].Value != 24.0 || rows[4][5].Value != None || rows[4][8].Value != modes[3].Boost.Total() {
		t.Errorf("%v", rows)
	}
	for k, m := range modes {
		row := map[string]any{
			"mode": string(m.Mode), "rail_v": m.Load.Supply.Voltage, "average_a": m.Load.Supply.Average, "rms_a": m.Load.Supply.RMS, "peak_a": m.Load.Supply.Peak,
			"power_w": m.Power, "coil_a": m.Current, "pull_share": m.Pull, "rating_w": m.Rung.Total(),
		}
		if m.Load.Supply.Peak == 0 { // a scan from the kick rail
			row["rail_v"], row["average_a"], row["rms_a"], row["peak_a"] = m.Load.Boost.Voltage, m.Load.Boost.Average, m.Load.Boost.RMS, m.Load.Boost.Peak
		}
		sameRow(t, s.Tables[0], k, row)
	}
	boost := modes[3].Load.Boost
	sameRow(t, s.Tables[0], 4, map[string]any{"mode": "kick rail", "rail_v": boost.Voltage, "average_a": boost.Average, "rms_a": boost.RMS, "peak_a": boost.Peak})
	table := StaggerTable([]string{"frame 1", "dark"}, []drive.Spread{{InPhase: 3, Uniform: 2, Best: 1.5, Floor: 1.2}, {}})
	sameRow(t, table, 0, map[string]any{"picture": "frame 1", "in_phase_a": 3.0, "uniform_a": 2.0, "best_a": 1.5, "floor_a": 1.2, "gain": 2.0})
	if table.Rows[0][5].Text != "2 ×" || table.Rows[1][5].Value != 1.0 {
		t.Errorf("%v", table.Rows)
	}
	most := x.g.Design.Drive.MaxDuty
	small := SmallerTable(&verdict.Verdict{HoldDuty: 0.2}, []studies.Smaller{{Power: 10, Scale: 0.5, Duty: 0.5 * most}, {Power: 5, Scale: 0.3, Duty: 0.3 * most}})
	if r := small.Rows; r[0][3].Text != "yes" || r[1][3].Text != "no" || r[1][1].Text != "× 0.300" || r[0][2].Value != 0.25 {
		t.Errorf("%v", r)
	}
	checkSection(t, Section{Key: "x", Title: "x", Tables: []Table{table, small}})
	if got := rung(modes[0].Rung); got == "" {
		t.Error("no rating")
	}
}

// sameRow tells where a row of a table holds another value than it should, by column.
func sameRow(t *testing.T, table Table, row int, want map[string]any) {
	t.Helper()
	for i, c := range table.Columns {
		if w, ok := want[c.Key]; ok && table.Rows[row][i].Value != w {
			t.Errorf("%s, row %d: %s is %v, want %v", table.Key, row, c.Key, table.Rows[row][i].Value, w)
		}
	}
	for key := range want {
		if !slices.ContainsFunc(table.Columns, func(c Column) bool { return c.Key == key }) {
			t.Errorf("%s has no column %s", table.Key, key)
		}
	}
}

// The cases of a proposal, the one it is sized for marked, and its figures as they are.
func TestSupplySection(t *testing.T) {
	p, err := supply.Propose(t.Context(), supply.Params{Voltage: 12, Basis: supply.Frame, Rated: 18, Draws: []supply.Draw{
		{Kind: supply.Scene, Average: 0.5, RMS: 0.7, Peak: 2, Period: 50e-6}, {Kind: supply.Frame, Average: 1.25, RMS: 1.5, Peak: 3, Period: 50e-6},
	}})
	if err != nil {
		t.Fatal(err)
	}
	s := SupplySection(p)
	checkSection(t, s)
	for k, c := range p.Cases {
		sameRow(t, s.Tables[0], k, map[string]any{"case": string(c.Draw.Kind), "average_a": c.Draw.Average, "rms_a": c.Draw.RMS, "peak_a": c.Draw.Peak, "need_w": c.Need.Value, "rating_w": c.Rung.Total()})
	}
	if s.Tables[0].Rows[1][0].Text != "worst frame (sized for)" {
		t.Errorf("%v", s.Tables[0].Rows[1])
	}
	for _, f := range p.Figures() {
		if got := fact(t, s, f.Key); got.Value != f.Value || got.Why != f.Why || got.Label != f.Name {
			t.Errorf("%+v is told as %+v", f, got)
		}
	}
	// 15.45 W of the 14.4 W that 18 W give for long: (12 V + 3 % of it) × 1.25 A over 18 W × 0.8.
	if f := fact(t, s, "load_share"); f.Text != "107 % of what it gives continuously" {
		t.Errorf("%+v", f)
	}
	none := figure(supply.Figure{Key: "bulk_capacitance_f", Name: "bulk capacitance", Value: math.Inf(1), Unit: "F"})
	if none.Value != None || none.Text != "none is enough" {
		t.Errorf("%+v", none)
	}
	if f := figure(supply.Figure{Key: supply.DimmingKey, Name: "global dimming", Value: 0.754}); f.Text != "to 75 % of every level" {
		t.Errorf("%+v", f)
	}
}

// Wiring and drivers say where and in which turn; a current that dies out is noted.
func TestDriverAndWiringNotes(t *testing.T) {
	d := gridOf(t, change(t, "drive.mode=scan", "drive.feeder_ends=2")...).Design
	w := studies.WireDrops{}
	w.Drops = drive.Drops{Total: 5, Worst: 5, WorstDrop: 0.3, FarCorner: 0, Voltage: []float64{11.7}, Loss: 0.1, Delivered: 2}
	w.Feeder.Value, w.Bus.Value, w.Current, w.Pull = 0.01, 0.002, 0.9, 0.8
	s := WiringSection(d, []string{"all on"}, []studies.WireDrops{w})
	checkSection(t, s)
	if row := s.Tables[0].Rows[0]; row[3].Text != "row 2, column 2" || row[5].Text != "90 %" || !strings.Contains(strings.Join(s.Notes, " "), "Mode scan") || !strings.Contains(s.Notes[0], "both ends") {
		t.Errorf("%v, %q", row, s.Notes)
	}
	sameRow(t, s.Tables[0], 0, map[string]any{"picture": "all on", "total_a": 5.0, "drop_v": 0.3, "pixel": 5, "far_v": 11.7, "current_share": 0.9, "pull_share": 0.8, "loss_w": 0.1, "loss_share": w.LossShare()})
	if fact(t, s, "bus_ohm").Value != 0.002 {
		t.Error("the bus is not told")
	}
	s = DriverSection(d, []string{"all on", "dark"}, []studies.Drivers{{Lit: 12, Average: 0.1, RMS: 0.2, Peak: 0.3, Switch: 0.11, Diode: 0.06, Switches: 1, Diodes: 0.5, Rails: 6, Discontinued: 12}, {}})
	checkSection(t, s)
	sameRow(t, s.Tables[0], 0, map[string]any{"picture": "all on", "lit": 12, "average_a": 0.1, "rms_a": 0.2, "peak_a": 0.3, "switch_w": 0.11, "diode_w": 0.06, "drivers_w": 1.5, "drivers_share": 0.25})
	if rows := s.Tables[0].Rows; rows[0][7].Value != 1.5 || rows[0][8].Text != "25 %" || rows[1][8].Value != 0.0 || !strings.Contains(s.Notes[1], "of 12 pixels dies out") {
		t.Errorf("%v, %q", rows, s.Notes)
	}
}

func TestWaveformChart(t *testing.T) {
	for _, c := range []struct {
		mode   design.DriveMode
		last   float64
		mean   bool
		beside bool
		title  string
		unit   string
		lines  []string
	}{
		{design.DriveDirect, 50e-6, false, false, "one PWM period", "µs", []string{"direct"}},
		{design.DriveStagger, 50e-6, false, true, "one PWM period", "µs", []string{"stagger", "all together"}},
		{design.DriveScan, 30e-3, true, false, "one scan", "ms", []string{"highest in a period", "mean of a period"}},
		{design.DriveKick, 0.5, true, false, "start of a frame", "ms", []string{"highest in a period", "mean of a period"}},
	} {
		d := trial.Lit()
		d.Drive.Mode = c.mode
		w := studies.Waveform{Time: []float64{0, c.last}, Highest: []float64{1, 2}}
		if c.mean {
			w.Mean = []float64{0.5, 1}
		}
		var together *studies.Waveform
		if c.beside {
			together = &w
		}
		chart := WaveformChart(d, "frame 1", w, together)
		var labels []string
		for _, l := range chart.Lines {
			labels = append(labels, l.Label)
		}
		factor := map[string]float64{"µs": 1e6, "ms": 1e3}[c.unit]
		if !strings.Contains(chart.Title, c.title) || chart.X != "time, "+c.unit || !slices.Equal(labels, c.lines) || math.Abs(chart.Lines[0].X[1]-c.last*factor) > 1e-9*c.last*factor {
			t.Errorf("%s: %+v", c.mode, chart)
		}
	}
}

// What optimising saved, and words where nothing was.
func TestOptimiseSection(t *testing.T) {
	d := gridOf(t).Design
	r := optimise.Result{
		Changed: true, Lit: 200, Rested: 50, Waiting: 3, LongestWait: 0.4, Kicked: 7, Kept: 1,
		Before: player.Summary{PeakFramePower: 20, PeakPower: 30, AveragePower: 10, Hottest: 330, Touch: 320, LeastHold: 2, FailingPixels: 1},
		After:  player.Summary{PeakFramePower: 15, PeakPower: 24, AveragePower: 9, Hottest: 325, Touch: 318, LeastHold: 1.5},
	}
	s := OptimiseSection(d, r)
	checkSection(t, s)
	rows := map[string][]Cell{}
	for _, row := range s.Tables[0].Rows {
		rows[row[0].Value.(string)] = row
	}
	if p := rows["peak_frame_power_w"]; p[3].Text != "-25.0 %" || p[3].Value != -5.0 || rows["hottest_k"][3].Text != "-5.0 K" || rows["least_hold"][2].Value != 1.5 || rows["failing_pixels"][1].Text != "1" {
		t.Errorf("%v", rows)
	}
	if f := fact(t, s, "rested"); f.Text != "50 of 200 (25 %)" {
		t.Errorf("%+v", f)
	}
	still := OptimiseSection(d, optimise.Result{Before: player.Summary{LeastHold: math.Inf(1)}, After: player.Summary{LeastHold: math.Inf(1)}})
	checkSection(t, still)
	if fact(t, still, "changed").Text != "no: nothing could be saved without losing a drop" || fact(t, still, "rested").Text != "none" || still.Tables[0].Rows[0][3].Text != "–" || len(still.Tables[0].Rows) != 7 {
		t.Errorf("%+v", still)
	}
}

// The models of the steel side by side, each against the last.
func TestIronModelsSection(t *testing.T) {
	g := gridOf(t, change(t, "iron.model=slab", "coil.shape=square")...)
	s, err := IronModelsSection(t.Context(), g.Design, g.Pixel)
	checkSection(t, must(t, s, err))
	table := s.Tables[0]
	for _, row := range table.Rows {
		best := row[len(row)-1].Value.(float64)
		for i := 1; i < len(row)-1; i += 2 {
			if want := row[i].Value.(float64)/best - 1; math.Abs(row[i+1].Value.(float64)-want) > 1e-12 {
				t.Errorf("%s: %v, want %g", table.Columns[i+1].Key, row[i+1].Value, want)
			}
		}
	}
	if table.Columns[len(table.Columns)-1].Key != "slab_t" || len(table.Columns) != 6 || !strings.Contains(s.Notes[len(s.Notes)-1], "square") {
		t.Errorf("%+v, %q", table.Columns, s.Notes)
	}
	none := gridOf(t)
	if _, err := IronModelsSection(t.Context(), none.Design, none.Pixel); err == nil {
		t.Error("no steel, and no error")
	}
}

// The flat coil beside a bought one, ratios and fit.
func TestWoundSection(t *testing.T) {
	g := gridOf(t, change(t, "drive.max_duty=20 %", "supply.voltage=12 V")...)
	spec := wound.Default()
	spec.Core = 0
	w, err := wound.New(t.Context(), spec)
	if err != nil {
		t.Fatal(err)
	}
	s := WoundSection(g, w)
	checkSection(t, s)
	flat, wound, _ := w.Against(g.Design, g.Pixel)
	for _, row := range s.Tables[0].Rows {
		if math.Abs(row[3].Value.(float64)*row[2].Value.(float64)/row[1].Value.(float64)-1) > 1e-12 {
			t.Errorf("%v", row)
		}
		if row[0].Value == "power_w" && (row[1].Value != flat.Power || row[2].Value != wound.Power) {
			t.Errorf("heat: %v, computed %g and %g", row, flat.Power, wound.Power)
		}
	}
	if !strings.Contains(fact(t, s, "magnet").Text, "no core") || !strings.Contains(s.Notes[1], "does not fit the pitch of 12 mm") {
		t.Errorf("%+v", s)
	}
	for peak, want := range map[float64]string{1.2: "", 1.6: ": beginning to saturate", 2.1: ": saturated"} {
		if got := saturates(peak); got != want {
			t.Errorf("%g T: %q", peak, got)
		}
	}
}

// Steel that is none is said to be none, and finite elements tell where they peak.
func TestSteelSection(t *testing.T) {
	stainless := gridOf(t, change(t, "iron.model=slab", "iron.steel=austenitic-stainless")...)
	s, err := SteelSection(stainless)
	if notes := strings.Join(must(t, s, err).Notes, " "); !strings.Contains(notes, "is austenitic") || !strings.Contains(notes, "0.1 mm of low-carbon steel") {
		t.Errorf("%q", notes)
	}
	pin := gridOf(t, change(t, "iron.model=fem", "iron.core_radius=0.5 mm", "supply.voltage=24 V", "drive.max_duty=100 %", "magnet.kind=pixel", "magnet.diameter=3 mm", "magnet.length=1 mm", "magnet.depth=2 mm")...)
	s, err = SteelSection(pin)
	checkSection(t, must(t, s, err))
	f, m := pin.Pixel.Iron.CoilSolution, pin.Pixel.Iron.BiasSolution
	if fact(t, s, "peak_t").Value != f.Peak || fact(t, s, "bias_peak_t").Value != m.Peak || fact(t, s, "saturating_share").Value != f.Above(1.5) {
		t.Errorf("%+v", s)
	}
	if share := f.Above(1.5); (share > 0.01) != strings.Contains(strings.Join(s.Notes, " "), "begins to saturate") {
		t.Errorf("%.2g of the steel above 1.5 T, notes %q", share, s.Notes)
	}
}

// Neighbours by distance, the field at FullCurrent, the share of the own.
func TestCrosstalkSection(t *testing.T) {
	g := gridOf(t)
	s := CrosstalkSection(g, 2)
	list := g.Neighbours(2)
	own := math.Abs(g.Kernel.At(0, 0).Z) * g.Pixel.FullCurrent
	for k, row := range s.Tables[0].Rows {
		b := row[4].Value.(float64)
		if row[0].Value != list[k].Right || math.Abs(b/own-row[5].Value.(float64)) > 1e-9 || math.Abs(20*math.Log10(b/own)-row[6].Value.(float64)) > 1e-6 {
			t.Errorf("%v", row)
		}
	}
	w := g.WorstAnywhere()
	if fact(t, s, "worst_share").Value != w.Share || fact(t, s, "worst_bz_t").Value != w.Bz*g.Pixel.FullCurrent || !strings.Contains(fact(t, s, "worst_share").Text, fmt.Sprintf("row %d, column %d", w.Row+1, w.Col+1)) {
		t.Errorf("%+v", s.Facts)
	}
	var pairs [][2]any // of two rows of four: either way round
	for _, row := range CrosstalkSection(gridOf(t, design.Change{Key: "grid.cols", Value: "4"}, design.Change{Key: "grid.rows", Value: "2"}), 4).Tables[0].Rows {
		pairs = append(pairs, [2]any{row[0].Value, row[1].Value})
	}
	if want := [][2]any{{1, 0}, {1, 1}, {2, 0}, {2, 1}, {3, 0}, {3, 1}}; !slices.Equal(pairs, want) {
		t.Errorf("neighbours %v, want %v", pairs, want)
	}
}

// Powers of ten are marked and lettered, their multiples marked alone.
func TestDecades(t *testing.T) {
	var labels []string
	n := 0
	for _, k := range (decades{}).Ticks(0.05, 20) {
		n++
		if k.Label != "" {
			labels = append(labels, k.Label)
		}
	}
	if !slices.Equal(labels, []string{"0.1", "1", "10"}) || n != 5+9+9+2 {
		t.Errorf("%d ticks, %q", n, labels)
	}
	if (decades{}).Ticks(0, 10) != nil || (decades{}).Ticks(1, math.Inf(1)) != nil {
		t.Error("an axis without bounds is marked")
	}
}

// Each fact of one pixel's sections is the figure its key says, and none is another's.
func TestPixelFacts(t *testing.T) {
	x := play(t, "drive.max_duty=20 %", "heat.air_speed=3 m/s", "magnet.kind=pixel", "magnet.diameter=4 mm", "magnet.length=1 mm", "magnet.depth=2 mm", "iron.model=slab", "fluid.contact_line=2 mN/m")
	g, d := x.g, x.g.Design
	c, f, pull := g.Pixel.Coil, g.Pixel.Axis(d.Fluid.Height)[0], hold.PullOf(g)
	steelL, _, err := g.Pixel.Inductance(t.Context(), d)
	if err != nil {
		t.Fatal(err)
	}
	inductance, err := InductanceSection(t.Context(), d, g.Pixel)
	inductance = must(t, inductance, err)
	alone, err := AloneSection(t.Context(), x.p)
	alone = must(t, alone, err)
	one, err := studies.Settle(t.Context(), x.p, x.p.Single(1))
	if err != nil {
		t.Fatal(err)
	}
	held := g.Pixel.Held(d)
	lone := hold.LoneHold(g)
	air, carrier := hold.Surfaces(g)
	rise, _ := c.LoneTrack(g.Pixel.FullCurrent)
	worst, _ := c.FormDifference(d.Fluid.Height)
	const cold = 293.15
	ron := d.Drive.OnResistance
	for _, s := range []struct {
		section Section
		want    map[string]any
	}{
		{coilSection(t, d, g.Pixel), map[string]any{
			"outer_m": d.Coil.Outer, "inner_m": c.Spec().Inner, "turns_per_layer": c.Spec().Turns, "track_m": c.Spec().Track, "length_m": c.Length(),
			"resistance_20c_ohm": c.Resistance(cold), "resistance_hot_ohm": c.Resistance(d.Limits.Board), "inductance_h": c.Inductance(),
			"time_constant_s": c.Inductance() / (c.Resistance(cold) + ron), "full_current_a": g.Pixel.FullCurrent, "full_rms_a": held.RMS.Value,
			"full_power_w": held.Copper.Value, "full_supply_w": held.Power.Value, "track_rise_k": rise,
		}},
		{inductance, map[string]any{
			"air_h": c.Inductance(), "steel_h": steelL, "tau_air_s": c.Inductance() / (c.Resistance(cold) + ron), "tau_steel_s": steelL / (c.Resistance(cold) + ron),
			"layer_h": c.LayerInductanceMatrix().At(0, 0),
		}},
		{FieldSection(g), map[string]any{
			"fluid_height_m": d.Fluid.Height, "air_t": f.Alone, "coil_t": f.Coil, "magnet_t": f.Magnet, "total_t": f.Total, "pressure_pa": pull.Pressure,
			"pull_n": pull.Whole.Value, "weight_n": g.Weight().Value, "pinning_n": 2e-3 * d.Fluid.DropDiameter, "lone_hold": lone,
		}},
		{FluidSection(g), map[string]any{
			"pull_point_n": pull.Point.Value, "pull_n": pull.Whole.Value, "pull_gain": pull.Whole.Value / pull.Alone, "pull_weights": pull.Whole.Value / g.Weight().Value,
			"rise_air_m": air.Rise.Value, "rise_carrier_m": carrier.Rise.Value,
		}},
		{alone, map[string]any{
			"copper_w": one.Copper, "temperature_k": one.Coil, "rise_k_per_w": one.Rise, "resistance_ohm": one.Resistance, "current_a": one.Current,
			"field_t": one.Field, "tau_s": one.TimeConstant.Value,
		}},
		{AccuracySection(g), map[string]any{"form_worst": worst, "kernel_error": g.Kernel.Error}},
	} {
		for key, want := range s.want {
			got := fact(t, s.section, key).Value
			if w, ok := want.(float64); ok {
				if v, ok := got.(float64); !ok || math.Abs(v-w) > 1e-9*math.Abs(w) {
					t.Errorf("%s/%s is %v, want %g", s.section.Key, key, got, w)
				}
			} else if got != want {
				t.Errorf("%s/%s is %v, want %v", s.section.Key, key, got, want)
			}
		}
	}
	for k, row := range HeightSection(g).Tables[0].Rows {
		f := g.Pixel.Axis(heights...)[k]
		for i, want := range []float64{f.Height, f.Alone, f.Coil, f.Gain, f.Total} {
			if row[i].Value != want {
				t.Errorf("at %g mm column %d is %v, want %g", f.Height*1e3, i, row[i].Value, want)
			}
		}
	}
	chart := HeightChart(g)
	if n := len(chart.Lines); n != 4 || chart.Lines[2].X[119] != 15 || math.Abs(chart.Lines[2].Y[119]-1e3*g.Pixel.Axis(chartFrom, chartTo)[1].Total) > 1e-9 || chart.Lines[0].Label != "coil alone" {
		t.Errorf("%d lines, the third ends at %g mm", n, chart.Lines[2].X[119])
	}
	// Designs side by side have the field of all of it.
	both := AxisChart([]choose.Compared{{Choice: &choose.Choice{Grid: g}, Number: 1}})
	if l := both.Lines[0]; l.Label != "no. 1" || !slices.Equal(l.Y, chart.Lines[2].Y) {
		t.Errorf("side by side: %q, %d points", l.Label, len(l.Y))
	}
	if l := chart.Lines[3]; l.X[0] != g.Design.Fluid.Height*1e3 || l.X[1] != l.X[0] || l.Y[1] < chart.Lines[1].Y[0] {
		t.Errorf("the fluid plane is marked from %g, %g to %g, %g", l.X[0], l.Y[0], l.X[1], l.Y[1])
	}
	if plain := HeightSection(gridOf(t)).Tables[0]; len(plain.Columns) != 4 || len(plain.Rows[0]) != 4 {
		t.Errorf("without a magnet: %v", plain.Columns)
	}
}

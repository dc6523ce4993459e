package render

import (
	"math"
	"strings"
	"testing"

	"lodegrid/array/artwork"
	"lodegrid/array/design"
	"lodegrid/array/design/trial"
	"lodegrid/array/escape"
	"lodegrid/array/grid"
	"lodegrid/field"
	"lodegrid/field/coil"
	"lodegrid/scenes/faults"
	"lodegrid/scenes/player"
	"lodegrid/scenes/shown"
	"lodegrid/scenes/verdict"
)

// table is a section's table of a key.
func table(t *testing.T, s Section, key string) Table {
	t.Helper()
	for _, x := range s.Tables {
		if x.Key == key {
			return x
		}
	}
	t.Fatalf("section %s has no table %s", s.Key, key)
	return Table{}
}

// row is the text of a table's row, without its first cell.
func row(x Table, n int) string {
	var cells []string
	for _, c := range x.Rows[n][1:] {
		cells = append(cells, c.Text)
	}
	return strings.Join(cells, " | ")
}

// What each fault reads like: its heat, its current, what it takes from the picture, what
// catches it, and the caution that it earns.
func TestFaultsInWords(t *testing.T) {
	d := trial.Design(t)
	never := math.Inf(1)
	at := func(c float64) float64 { return c + field.ZeroCelsius }
	course := func(hottest, touch, board, finger float64) faults.Course {
		return faults.Course{Hottest: hottest, Touch: touch, ToBoard: board, ToTouch: finger}
	}
	for _, c := range []struct {
		name                          string
		fault                         faults.Fault
		heat, current, picture, catch string
		caution                       []string // key: words it holds
	}{
		{"stuck", faults.Fault{Kind: faults.SwitchStuck, Pixel: 5, Count: 1, Asked: 1.5, Current: 1.5, Coil: 0.5, Heats: true,
			Course: course(at(180), at(90), 12, 4), Ratio: 0.5, Earliest: never, Latest: never, Lost: faults.Lost{On: 1, Time: 0.75, Pull: 2},
			Catches: []faults.Catch{{Part: faults.FeederFuse, Size: 3, Within: never}, {Part: faults.RailCheck, Size: 6, Within: 6, Works: true}}},
			"180.0 °C | 90.0 °C | after 12 s | after 4 s | –", "500 mA | 1.5 A | 1.5 A | 0.5 | no", "row 2, column 2 | 0 | 1 | 200 % | 75 %",
			"a look at the rail's current | yes | every 6 s | the feeder's fuse", []string{"fault_stuck: draws only 500 mA, and the board is over its limit after 12 s; the feeder's fuse does not open. What catches it in time: a look at the rail's current, every 6 s."}},
		{"hung", faults.Fault{Kind: faults.HungLit, Pixel: -1, Count: 12, Asked: 20, Current: 4, Held: true, Coil: 0.4, Heats: true,
			Course: course(never, at(140), 200, 9000), Ratio: 2, Earliest: 40, Latest: 130, Lost: faults.Lost{On: 12, Pull: 1, Time: 1},
			Catches: []faults.Catch{{Part: faults.Watchdog, Size: 1, Within: 1, Works: true}}},
			"no end in sight | 140.0 °C | after 3.33 min | after 2.5 h | –", "400 mA | 20 A | 4 A, its limit | 2 | after 40 s to 2.17 min", "12 pixels | 0 | 12 | 100 % | 100 %",
			"a watchdog that switches the rail off | yes | after 1 s | –", []string{"fault_hung: 20 A are asked of a supply that gives 4 A at most: its rail collapses, and the feeder's fuse opens within 2.17 min"}},
		{"all on, strong", faults.Fault{Kind: faults.HungOn, Strong: true, Pixel: -1, Count: 12, Asked: 30, Current: 30, Coil: 1, Heats: true,
			Course: course(never, never, 0.5, 0), Ratio: 10, Latest: 0.15, Lost: faults.Lost{On: 12, Pull: 1, Time: 1}},
			"no end in sight | no end in sight | after 500 ms | without a fault too | –", "1 A | 30 A | 30 A | 10 | within 150 ms", "",
			"nothing | no | – | –", []string{"fault_strong_supply: every switch on and 30 A to be had, the board is over its limit after 500 ms", "fault_uncaught: all switched on, strong supply (the board is over its limit after 500 ms)"}},
		{"too hot without it", faults.Fault{Kind: faults.HungOn, Pixel: -1, Count: 12, Asked: 3, Current: 3, Coil: 1, Heats: true,
			Course: course(never, never, 0, 0), Ratio: 1, Latest: never, Lost: faults.Lost{On: 12, Pull: 1, Time: 1}, Catches: []faults.Catch{{Part: faults.Watchdog}}},
			"no end in sight | no end in sight | without a fault too | without a fault too | –", "1 A | 3 A | 3 A | 1 | no", "12 pixels | 0 | 12 | 100 % | 100 %",
			"nothing: without the fault, too, the board passes its limit | no | – | a watchdog that switches the rail off", nil},
		{"shorted", faults.Fault{Kind: faults.CoilShorted, Pixel: 0, Count: 1, Asked: 4, Current: 4, Held: true, Spot: 40, Ratio: 1.6, Earliest: never, Latest: never, Lost: faults.Lost{Dark: 1, Time: 0.5},
			Catches: []faults.Catch{{Part: faults.DriverLimit, Size: 0.65, Works: true}, {Part: faults.PixelFuse, Size: 0.5}, {Part: faults.FeederFuse, Size: 3}}},
			"as before | as before | never | never | 40 W in its driver", "– | 4 A | 4 A, its limit | 1.6 | perhaps", "row 1, column 1 | 1 | 0 | 0 % | 50 %",
			"its driver's current limit | yes | 650 mA | a fuse in its lead, the feeder's fuse", []string{"fault_short: up to 40 W into its driver", "fault_short: near 650 mA"}},
		{"shorted in a string", faults.Fault{Kind: faults.CoilShorted, Pixel: 0, Count: 1, Asked: 2, Current: 2, Coil: 0.6, Heats: true, Course: course(at(120), at(80), 12, never), Ratio: 0.7, Earliest: never, Latest: never, Lost: faults.Lost{Dark: 1, Time: 0.5},
			Catches: []faults.Catch{{Part: faults.RailCheck, Size: 6, Within: 6, Works: true}}},
			"120.0 °C | 80.0 °C | after 12 s | never | –", "600 mA | 2 A | 2 A | 0.7 | no", "row 1, column 1 | 1 | 0 | 0 % | 50 %",
			"a look at the rail's current | yes | every 6 s | –", []string{"fault_short: others, which carry 600 mA then; the feeder's fuse does not open"}},
		{"loose", faults.Fault{Kind: faults.FeederLoose, Pixel: -1, Count: 12, Asked: 2, Current: 2, Spot: 6, Ratio: 0.7, Earliest: never, Latest: never, Lost: faults.Lost{Pull: 0.25, Time: 1},
			Catches: []faults.Catch{{Part: faults.UnderVoltage, Size: 11.5, Works: true}}},
			"as before | as before | never | never | 6 W in the joint, at worst", "– | 2 A | 2 A | 0.7 | no", "12 pixels | 0 | 0 | 25 % | 100 %",
			"an under-voltage switch at the board | yes | off below 11.5 V | –", []string{"fault_loose: may take up to 6 W"}},
		{"open", faults.Fault{Kind: faults.CoilOpen, Pixel: 11, Count: 1, Asked: 1, Current: 1, Ratio: 0.3, Earliest: never, Latest: never, Lost: faults.Lost{Dark: 1, Time: 0.1}},
			"as before | as before | never | never | –", "– | 1 A | 1 A | 0.3 | no", "row 3, column 4 | 1 | 0 | 0 % | 10 %", "nothing is needed | – | – | –", nil},
		{"fan", faults.Fault{Kind: faults.FanStopped, Pixel: -1, Count: 12, Asked: 1, Current: 1, Heats: true, Course: course(at(60), at(55), never, 600), Ratio: 0.3, Earliest: never, Latest: never, Lost: faults.Lost{Pull: 1},
			Catches: []faults.Catch{{Part: faults.FanSensor, Size: 3, Works: true}}},
			"60.0 °C | 55.0 °C | never | after 10 min | –", "– | 1 A | 1 A | 0.3 | no", "12 pixels | 0 | 0 | 100 % | 0 %", "the fan's speed sensor | yes | after 3 s | –", nil},
		{"stuck, fingers first", faults.Fault{Kind: faults.PixelHung, Pixel: 5, Count: 1, Asked: 1.5, Current: 1.5, Coil: 0.5, Heats: true,
			Course: course(at(180), at(90), 300, 30), Ratio: 0.5, Earliest: never, Latest: never, Lost: faults.Lost{On: 1, Time: 0.75, Pull: 2}},
			"180.0 °C | 90.0 °C | after 5 min | after 30 s | –", "500 mA | 1.5 A | 1.5 A | 0.5 | no", "row 2, column 2 | 0 | 1 | 200 % | 75 %",
			"nothing | no | – | –", []string{"fault_stuck: one pixel left on draws only 500 mA, and a surface has been over its limit for a minute after 90 s; the feeder's fuse does not open.", "fault_uncaught: (a surface has been over its limit for a minute after 90 s)"}},
		{"cut-out", faults.Fault{Kind: faults.SupplyHigh, Pixel: -1, Count: 12, Asked: 1.1, Current: 1.1, Heats: true, Course: course(at(120), at(80), never, 30), Ratio: 0.35, Earliest: never, Latest: never, Lost: faults.Lost{Pull: 1.2, Time: 1},
			Catches: []faults.Catch{{Part: faults.CutOut, Size: at(75), Works: true}}},
			"120.0 °C | 80.0 °C | never | after 30 s | –", "– | 1.1 A | 1.1 A | 0.35 | no", "12 pixels | 0 | 0 | 120 % | 100 %", "a thermal cut-out | yes | 75.0 °C | –", nil},
	} {
		x := &faults.Study{Faults: []faults.Fault{c.fault, {Kind: faults.DriverDead, Pixel: 1, Count: 1, Latest: never}}, Guarantee: faults.Guarantee{MostLit: 7, LongestOn: 0.25, Watchdog: 1},
			Parts: faults.Parts{Main: faults.Rail{Voltage: 12, Rating: 36, Limit: 4.2, Fuse: 3, Feeders: 1}, DriverLimit: 0.65, PixelPeak: 0.5, PixelRMS: 0.2, CutOut: at(75), Place: 6, Usual: at(57), LeastRail: 11.5}}
		sections := FaultsSections(d, x)
		checkSection(t, sections[0])
		does, parts := sections[0], sections[1]
		told := []string{row(table(t, does, "heat"), 0), row(table(t, does, "current"), 0), "", row(table(t, FaultsBrief(d, x), "catches"), 0)}
		if p := table(t, does, "picture"); len(p.Rows) > 1 { // not told twice for a strong supply
			told[2] = row(p, 0)
		}
		for k, want := range []string{c.heat, c.current, c.picture, c.catch} {
			if told[k] != want {
				t.Errorf("%s: table %d reads\n%q, want\n%q", c.name, k, told[k], want)
			}
		}
		dead := "as before | as before | never | never | –"
		if f := c.fault; f.Heats && f.Course.ToTouch == 0 { // so is what heats no more
			dead = strings.Replace(dead, "| never | –", "| without a fault too | –", 1)
			if f.Course.ToBoard == 0 {
				dead = strings.Replace(dead, "never", "without a fault too", 1)
			}
		}
		if got := row(table(t, does, "heat"), 1); got != dead {
			t.Errorf("%s: a dead driver reads %q, want %q", c.name, got, dead)
		}
		cautions := FaultCautions(x)
		for _, want := range c.caution {
			key, words, _ := strings.Cut(want, ": ")
			found := false
			for _, x := range cautions {
				found = found || x.Key == key && strings.Contains(x.Text, words)
			}
			if !found {
				t.Errorf("%s: no caution %q among %+v", c.name, want, cautions)
			}
		}
		if len(c.caution) == 0 && len(cautions) > 0 {
			t.Errorf("%s: cautions %+v, want none", c.name, cautions)
		}
		for key, want := range map[string]string{"supply_limit_a": "4.2 A", "supply_fuse_a": "3 A", "pixel_fuse_a": "none of its size", "driver_limit_a": "650 mA", "least_rail_v": "11.5 V",
			"cut_out_k": "75.0 °C, on the board behind row 2, column 3", "firmware": "at full level at once: 7 pixels at most; a pixel switched fully on: 0.25 s at most; rail switched off by hardware: 1 s without a sign of life"} {
			if got := fact(t, parts, key).Text; got != want {
				t.Errorf("%s: %s is %q, want %q", c.name, key, got, want)
			}
		}
	}
	// A kick rail and a fuse in each lead have figures, a large fuse its doubt.
	x := &faults.Study{Guarantee: faults.Guarantee{LongestOn: never}, Parts: faults.Parts{Main: faults.Rail{Voltage: 12, Rating: 360, Limit: 42, Fuse: 40}, Kick: faults.Rail{Voltage: 24, Rating: 48, Limit: 2.8, Fuse: 2}, PixelFuse: 0.5}}
	sections := FaultsSections(d, x)
	if got := fact(t, sections[1], "kick_limit_a").Text + ", " + fact(t, sections[1], "kick_fuse_a").Text + ", " + fact(t, sections[1], "pixel_fuse_a").Text; got != "2.8 A, 2 A, 500 mA" {
		t.Errorf("kick rail and pixel fuse: %q", got)
	}
	if !strings.Contains(strings.Join(sections[0].Notes, "\n"), "No miniature fuse is made for 40 A") {
		t.Errorf("notes of a 40 A fuse: %q", sections[0].Notes)
	}
	if got := fact(t, sections[1], "firmware").Text; !strings.Contains(got, "fully on: as long as it likes") {
		t.Errorf("a pixel that may stay on: %q", got)
	}
}

// The ways section says where the drivers sit and what is in the way.
func TestWaysInWords(t *testing.T) {
	for _, c := range []struct {
		changes []string
		want    []string // of the text of facts and notes
	}{
		{[]string{"drive.place=any"}, []string{"left open", "is left open (drive.place), so that ways are not judged"}},
		{[]string{"drive.place=edge"}, []string{"at the board's edge", "24, 2 for each pixel", "The verdict counts what the tracks drop", "connections come out to the drivers at the edge"}},
		{[]string{"drive.place=edge", "drive.bridge=low-side", "coil.layers=2", "supply.voltage=1 V"}, []string{"12, 1 for each pixel and a common return", "one of them the return", "12 of 12"}},
		{[]string{"drive.place=back"}, []string{"on the board's back", "need 2 layers without windings, for the parts and for feeders that cross; there are 0"}},
		{[]string{"drive.place=second-board"}, []string{"on a second board behind, with pins"}},
		{[]string{"drive.place=edge", "drive.mode=scan"}, []string{"7, one for each row and column", "need a diode or a switch at each coil"}},
	} {
		g := trial.Build(t, grid.New, 0, c.changes...)
		s := WaysSection(g)
		checkSection(t, s)
		text := strings.Join(s.Notes, "\n")
		for _, f := range s.Facts {
			text += "\n" + f.Text
		}
		for _, want := range c.want {
			if !strings.Contains(text, want) {
				t.Errorf("%v: no %q in\n%s", c.changes, want, text)
			}
		}
	}
	a := escape.Answer{Place: design.PlaceBoard, Judged: true, Obstacle: "a pin of 1.5 mm needs a hole"}
	if got := unwired(a); got != "The coils' connections find no way (drivers on a second board behind, with pins): a pin of 1.5 mm needs a hole." {
		t.Error(got)
	}
	if got := unwired(escape.Answer{Place: design.PlaceEdge, Need: 2, Have: 1, Width: 2e-4}); got != "Lines along rows and columns cross, so they need 2 layers with room for a track of 0.2 mm; there are 1." {
		t.Error(got)
	}
}

// What steel bars, no layer without a coil opens, nor drivers at an edge that need a diode at each coil.
func TestSteelInTheWayIsAdvisedOn(t *testing.T) {
	for _, c := range []struct {
		changes   []string
		want, not string
	}{
		{[]string{"drive.mode=scan"}, "in place of the sheet", "layer"},
		{[]string{"drive.mode=scan", "iron.radius=5 mm"}, "Smaller discs", "sheet"},
		{[]string{"drive.mode=scan", "drive.place=back"}, "in place of the sheet", "edge"},
		{[]string{"drive.place=second-board"}, "Drivers at the board's edge", "layer"},
	} {
		d := trial.Design(t, append([]string{"iron.model=auto"}, c.changes...)...)
		spec := d.CoilSpec()
		wound, err := coil.New(spec, d.Board.Rules)
		if err != nil {
			t.Fatal(err)
		}
		v := &verdict.Verdict{Wiring: escape.Of(d, wound, 0.1)}
		got := unmended(d, v, &verdict.Problem{Limit: verdict.Wiring})
		if !strings.Contains(got, c.want) || strings.Contains(got, c.not) {
			t.Errorf("%v: %s", c.changes, got)
		}
	}
}

// What shows, of a record made by hand: ten wanted places after the first picture, of
// which six are full.
func TestShownInWords(t *testing.T) {
	d := trial.Design(t)
	r := &shown.Record{Model: shown.Drops,
		Sights: []shown.Sight{{Frame: 0, End: 1, Start: true, Wanted: 4, Shown: 4, Mean: 1, Overlap: 0.9, Running: 1},
			{Frame: 1, End: 2, Wanted: 5, Shown: 4, Mean: 0.8, Overlap: 0.7, Stray: 1, Running: 0.8}, {Frame: 2, End: 3, Wanted: 5, Shown: 2, Mean: 0.5, Overlap: 0.3, Stray: 2.5, Running: 0.6}},
		Events: []shown.Event{{Fate: shown.Starved, Frame: 1}, {Fate: shown.Starved, Frame: 2}, {Fate: shown.Lost, Frame: 2}, {Fate: shown.Fused, Frame: 1}},
		Delays: []shown.Delay{{Frame: 1, Seconds: 0.4}, {Frame: 2, Seconds: math.Inf(1)}}}
	s := ShownSection(d, r, nil)
	checkSection(t, s)
	for key, want := range map[string]string{"share": "60 % when the frames end (limit 90 %), after the first picture", "first_picture": "100 %, its drops placed by hand",
		"stray": "35 % of the fluid wanted (limit 25 %)", "pictures_never": "1 of 2 new ones", "delay_s": "400 ms", "lost": "1", "fused": "1"} {
		if got := fact(t, s, key).Text; got != want {
			t.Errorf("%s: %q, want %q", key, got, want)
		}
	}
	pool := d
	pool.Fluid.Start = "pool"
	if got := fact(t, ShownSection(pool, r, nil), "first_picture").Text; got != "100 %, begun as fluid.start says" {
		t.Error(got)
	}
	sameRow(t, table(t, s, "worst_pictures"), 0, map[string]any{"frame": 3, "wanted": 5, "shown": 2, "stray_drops": 2.5})
	lines := Seen(r, r)
	for k, want := range []string{"the fluid is on 60 % of the wanted pixels at the frames' ends after the first picture (in which it is on 100 %)",
		"1 of them had had their drop; 1 times drops ran together; 1 of 2 new pictures never came, the others after 400 ms on average; worst is frame 3 with 2 of 5", "on 60 % of them"} {
		if !strings.Contains(lines[k], want) {
			t.Errorf("line %d: %q, want %q in it", k, lines[k], want)
		}
	}
	if got := Seen(&shown.Record{}, r); len(got) != 1 || !strings.Contains(got[0], "no frame") {
		t.Errorf("an empty record: %q", got)
	}
	chart := ShownChart(d, r)
	if n := len(chart.Lines[0].Y); n != 6 || chart.Lines[0].Y[5] != 0.4 || chart.Lines[1].Y[5] != 0.3 || chart.Lines[2].Y[5] != 0.5 || chart.Lines[0].X[4] != 2 || chart.Levels[0].Y != d.Limits.Shown {
		t.Errorf("chart of what shows: %+v", chart)
	}
	still := &shown.Record{Model: shown.Drops, Sights: r.Sights[:1]}
	if got := fact(t, ShownSection(d, still, nil), "delay_s"); got.Value != None {
		t.Errorf("a still picture's delay: %+v", got)
	}
	if got := Seen(still, still)[0]; !strings.Contains(got, "of the first picture") {
		t.Errorf("a still picture: %q", got)
	}
}

// What to fill in, by hand: the air of a closed tank by the gas law, and the notes that each
// case earns.
func TestFillingInWords(t *testing.T) {
	d := trial.Design(t)
	d.Tank.Room = 0.05
	warm := d.Fluid.At(d.Fluid.Temperature + 30)
	v := verdict.Verdict{Liquids: [2]verdict.Liquids{{Fluid: d.Fluid, Hold: 3}, {Fluid: warm, Hold: 2}}, Grows: 0.03,
		Fill: player.Fill{Drop: 1e-7, On: []int{1, 2}, Pool: 3e-7, Depth: 2e-3, Need: 4e-7, Inside: 1e-5, Room: 5e-7}}
	s := LiquidsSection(d, &v)
	checkSection(t, s)
	for key, want := range map[string]float64{"fluid_m3": 5e-7, "carrier_m3": 9e-6, "room_m3": 5e-7, "pool_depth_m": 2e-3, "growth": 0.03,
		"closed_tank_pa": 101325 * (d.Fluid.Temperature + 30) / d.Fluid.Temperature * 2.5} {
		if got, _ := fact(t, s, key).Value.(float64); math.Abs(got/want-1) > 1e-9 {
			t.Errorf("%s is %g, want %g", key, got, want)
		}
	}
	notes := func(change func()) string { change(); return strings.Join(LiquidsSection(d, &v).Notes, " ") }
	for _, c := range []struct {
		change func()
		says   string
	}{
		{func() { v.Fill.Depth = 2 * d.Grid.Pitch }, "over the lower edge of the lowest pixels"},
		{func() { v.Fill.Left = 1e-7 }, "is left out of the film"},
		{func() { v.Fill.Pool, v.Fill.Need = 0, 3e-7 }, "The fullest picture needs 300 µL"},
		{func() { v.Fill.Pool, d.Fluid.DensityDifference = 1e-7, -5 }, "rises to the top"},
	} {
		if before := strings.Join(LiquidsSection(d, &v).Notes, " "); strings.Contains(before, c.says) {
			t.Errorf("%q is told too early", c.says)
		}
		if got := notes(c.change); !strings.Contains(got, c.says) {
			t.Errorf("%q is missing in %q", c.says, got)
		}
	}
	for pool, want := range map[float64]bool{0: false, 1e-7: true} {
		v.Fill.Pool = pool
		if f := fact(t, LiquidsSection(d, &v), "fluid_m3"); strings.Contains(f.Text, "in the pool") != want {
			t.Errorf("a pool of %g m³: %q", pool, f.Text)
		}
	}
	v.Grows = 0.06
	if f := fact(t, LiquidsSection(d, &v), "closed_tank_pa"); f.Value != any(Infinite) {
		t.Errorf("no room, and %v Pa", f.Value)
	}
}

// How near a lit drop is to being pushed apart by its own field, and the caution where it is.
func TestRoundnessInWords(t *testing.T) {
	for _, c := range []struct {
		changes []string
		caution bool
	}{
		{nil, false},
		{[]string{"fluid.surface_tension=0.01 mN/m", "fluid.susceptibility=8", "fluid.saturation=200 kA/m", "fluid.drop_diameter=3 mm", "supply.voltage=48 V"}, true},
	} {
		s := FluidSection(trial.Build(t, grid.New, 0, c.changes...))
		checkSection(t, s)
		f := fact(t, s, "own_field_apart")
		share, ok := f.Value.(float64)
		if !ok || share <= 0 || c.caution != (share >= 1) || c.caution != strings.Contains(strings.Join(s.Notes, " "), "does not stay round") {
			t.Errorf("%v: %+v, %q", c.changes, f, s.Notes)
		}
	}
}

// A tank's figures say whether the coils were cold when it began.
func TestResolvedTellsTheStart(t *testing.T) {
	d := trial.Design(t)
	if cold, warm := Resolved(d, 12, false), Resolved(d, 12, true); !strings.Contains(cold, "begun with cold coils") || !strings.Contains(warm, "begun as warm as") {
		t.Errorf("%q, %q", cold, warm)
	}
}

// What completes a scan's folder is named by its key, and not as "told above" where nothing is.
func TestUndrawnScan(t *testing.T) {
	d := trial.Design(t)
	d.Drive.Mode, d.Drive.Place = design.DriveScan, design.PlaceEdge
	b := &artwork.Board{NoWays: "lines need a diode"}
	for bridge, want := range map[design.Bridge]string{design.BridgeFull: `drive.bridge = "low-side"`, design.BridgeLowSide: "board.layers"} {
		d.Drive.Bridge = bridge
		if list := UndrawnProblem(d, b, false); len(list) != 1 || !strings.HasPrefix(list[0].Advice[0], want) {
			t.Errorf("%s: %+v", bridge, list)
		}
	}
	if again := UndrawnProblem(d, b, true); strings.Contains(again[0].What, "diode") {
		t.Errorf("the reason is told twice: %q", again[0].What)
	}
	d = trial.Design(t, "drive.in_series=2") // whose joints no layer and no larger board has room for
	if list := UndrawnProblem(d, b, false); !strings.HasPrefix(list[0].Advice[0], `drive.place = "second-board"`) {
		t.Errorf("%+v", list)
	}
}

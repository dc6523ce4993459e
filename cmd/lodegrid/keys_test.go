package main

import (
	"encoding/csv"
	"encoding/json"
	"flag"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"lodegrid/render"
)

// The stored list of keys is written anew by go test ./cmd/lodegrid -run Keys -regen;
// look at what changed before it is kept, and raise render.SchemaVersion when a key went
// away or means something else.
var regen = flag.Bool("regen", false, "write what the test compares with anew")

const keyList = "../../testdata/command/keys.txt"

// keyRuns are documents that together reach every section and table. Small grids have
// the keys of large ones.
func keyRuns(dir string) [][]string {
	tiny := []string{"--set", "grid.cols=3", "--set", "grid.rows=3"}
	steel := []string{"--set", "iron.model=slab", "--set", "iron.gap=1.2 mm"}
	kick := append([]string{"--set", "drive.mode=kick", "--set", "drive.kick_voltage=24 V", "--set", "drive.hold_duty=5 %", "--set", "drive.max_duty=50 %", "--set", "fluid.relaxation=1 h"}, tiny...)
	scan := append([]string{"--set", "drive.mode=scan", "--set", "fluid.relaxation=1 ms"}, tiny...)
	magnets := append([]string{"--set", "magnet.kind=pixel"}, tiny...)
	lying := append([]string{"--set", "heat.orientation=face-up", "--set", "fluid.contact_line=5 mN/m"}, tiny...)
	lax := []string{"--set", "limits.shown=0 %", "--set", "limits.stray=100 %", "--set", "drive.place=any"} // little to mend, which takes long
	run := func(args []string, more ...[]string) []string {
		args = slices.Clone(args)
		for _, m := range more {
			args = append(args, m...)
		}
		return append(args, "--json")
	}
	return [][]string{
		run([]string{"report"}, tiny, lax), // of the demo
		run([]string{"report", smallDesign}, kick),
		run([]string{"report", smallDesign}, scan),
		run([]string{"report", smallDesign}, lying),
		run([]string{"report", smallDesign, "--set", "drive.max_duty=100 %", "--set", "heat.air_speed=0 m/s", "--set", "supply.voltage=60 V"}, tiny), // has no steady state
		run([]string{"coil", "--iron-models", "--wound"}, tiny),
		run([]string{"coil", smallDesign, "--set", "coil.parallel_groups=2", "--set", "coil.shape=rounded-square", "--set", "coil.turns=4"}, steel, magnets),
		run([]string{"coil", smallDesign}, kick),
		run([]string{"coil", "--set", "magnet.depth=2 mm"}, magnets),
		run([]string{"design"}),
		run([]string{"crosstalk", smallDesign, "--equalise"}, magnets),
		run([]string{"crosstalk", smallDesign, "--set", "grid.cols=2", "--set", "grid.rows=2", "--set", "magnet.kind=sheet"}),
		run([]string{"heat", smallDesign}, tiny),
		run([]string{"heat", smallDesign}, kick),
		run([]string{"supply", smallDesign, "--set", "drive.max_duty=20 %"}, tiny),
		run([]string{"supply", smallDesign, "--set", "drive.most_lit=4", "--set", "supply.power=0.4 W"}, tiny),
		run([]string{"supply", smallDesign}, kick),
		run([]string{"supply", smallDesign, "--set", "supply.droop=0.01 V"}, scan),
		run([]string{"supply", smallDesign, "--set", "supply.kind=usb-pd", "--set", "supply.voltage=15 V", "--set", "supply.power=45 W", "--set", "supply.derating=5 %", "--set", "supply.contact_current=1 A"}, tiny),
		run([]string{"faults", smallDesign, "--set", "heat.back=fan", "--set", "heat.air_speed=1 m/s"}, kick),
		run([]string{"drives", movingDesign, "--exact", "2"}, tiny),
		run([]string{"drives", smallDesign, "--move", "30s", "--exact", "1", "--set", "heat.orientation=face-up", "--set", "fluid.contact_line=0 mN/m"}),
		run([]string{"drives", smallDesign, "--hold", "20000", "--exact", "1"}),
		run([]string{"frames", smallDesign, "--optimise", "--cap", "0.1 W", "-o", filepath.Join(dir, "frames.csv")}, tiny),
		// Too weak a hold: the tank loses drops.
		run([]string{"carry", movingDesign, "--set", "scene.kind=checker", "--set", "scene.duration=8 s", "--set", "fluid.density_difference=40 kg/m3", "--set", "heat.air_speed=10 m/s", "--tank", "2s", "--cells", "8", "--tries", "1", "--loops", "2", "--set", "scene.gather=5 s", "-o", filepath.Join(dir, "moves.csv")}, tiny),
		run([]string{"choose", smallDesign, "--offer", smallOffer, "--exact", "6"}),
		run([]string{"choose", smallDesign, "--explain"}),
		run([]string{"coupon", smallDesign, "--coils", "2", "-o", filepath.Join(dir, "coupon")}),
		run([]string{"fit", smallDesign, filepath.Join(dir, "cold.csv")}),
		run([]string{"compare", smallDesign, "--vary", "drive.max_duty=10 %"}),
		run([]string{"order", smallDesign, "-o", filepath.Join(dir, "order")}, tiny),
		run([]string{"order", smallDesign, "--set", "order.wire_drill=4 mm", "-o", filepath.Join(dir, "none")}, tiny),
	}
}

// smallOffer is what small coils are chosen from.
const smallOffer = "../../testdata/choose/offer.toml"

// benchReadings are some of a coil, two of them far off.
const benchReadings = "../../testdata/fit/readings.csv"

// movingDesign has coils that can move drops.
const movingDesign = "../../testdata/carry/moves.toml"

// Every key that a program may read is on the stored list, is lower snake case, stands
// once in its object, and never holds null.
func TestKeysAreTheStoredOnes(t *testing.T) {
	t.Parallel()
	seen := map[string]bool{}
	dir := t.TempDir()
	writeFile(t, filepath.Join(dir, "cold.csv"), regexp.MustCompile(`(?m)^22,3,.*\n`).ReplaceAllString(readFile(t, benchReadings), "")) // what gets warm takes long
	for _, args := range keyRuns(dir) {
		var r result
		if args[0] == "carry" {
			r.out = bare(t, args...) // what mends it takes long, and is told as report tells it
		} else {
			r = lode(args...)
		}
		if r.code != exitOK && r.code != exitLimit {
			t.Fatalf("%v: exit code %d, %s", args, r.code, r.err)
		}
		doc := oneDocument(t, r.out, args[0])
		for _, path := range keysOf(t, doc, args[0]) {
			seen[path] = true
		}
	}
	want := strings.Split(strings.TrimSpace(readFile(t, keyList)), "\n")
	shared := map[string]bool{} // of problems and cautions, which are of one type whatever tells them
	for path := range seen {
		if _, own, _ := strings.Cut(path, "/"); strings.HasPrefix(own, "problems/") || strings.HasPrefix(own, "cautions/") {
			shared[own] = true
		}
	}
	for _, path := range want {
		if kind, own, _ := strings.Cut(path, "/"); shared[own] && seen[kind+"/problems"] {
			seen[path] = true
		}
	}
	list := slices.Sorted(maps.Keys(seen))
	got := strings.Join(list, "\n") + "\n"
	if *regen {
		if err := os.WriteFile(keyList, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	for _, path := range list {
		if !slices.Contains(want, path) {
			t.Errorf("%s is not on the list of keys", path)
		}
	}
	for _, path := range want {
		if !seen[path] {
			t.Errorf("%s is on the list of keys and in no document", path)
		}
	}
}

var snake = regexp.MustCompile(`^[a-z][a-z0-9]*(_[a-z0-9]+)*$`)

// keysOf lists section/key for facts, section/table/column for tables, and
// section/table:row where the rows of a table are unlike quantities.
func keysOf(t *testing.T, doc map[string]any, kind string) []string {
	t.Helper()
	var list []string
	add := func(parts ...string) {
		for _, p := range parts[1:] {
			if !snake.MatchString(p) {
				t.Errorf("%q in %v is not lower snake case", p, parts)
			}
		}
		list = append(list, strings.Join(parts, "/"))
	}
	for name, v := range doc {
		section, ok := v.(map[string]any)
		if !ok {
			if v == nil {
				t.Errorf("%s: %s is null", kind, name)
			}
			add(kind, name)
			list, _ := v.([]any)
			for _, one := range list { // problems and cautions
				found, _ := one.(map[string]any)
				for key, v := range found {
					if v == nil {
						t.Errorf("%s/%s/%s is null", kind, name, key)
					}
					add(kind, name, key)
				}
				remedies, _ := found["remedies"].([]any)
				for _, r := range remedies {
					for key := range r.(map[string]any) {
						add(kind, name, "remedies", key)
					}
				}
			}
			continue
		}
		for key, v := range section {
			rows, isTable := v.([]any)
			switch {
			case key == "notes":
			case v == nil:
				t.Errorf("%s/%s/%s is null", kind, name, key)
			case !isTable:
				add(kind, name, key)
			}
			for _, r := range rows {
				row, ok := r.(map[string]any)
				if !ok {
					continue
				}
				for column, v := range row {
					add(kind, name, key, column)
					if v == nil {
						t.Errorf("%s/%s/%s/%s is null", kind, name, key, column)
					}
				}
				if q, ok := row["quantity"].(string); ok {
					add(kind, name, key, q)
				}
			}
		}
	}
	return list
}

// What has no number is a word, in JSON and CSV alike: a pulse without limit, what the
// board never reaches, a kick that is over.
func TestWordsForWhatIsNoNumber(t *testing.T) {
	args := []string{"heat", smallDesign, "--set", "grid.cols=2", "--set", "grid.rows=2", "--pulse-volts", "1 V, 24 V"}
	r := lode(append(args, "--json")...)
	r.want(t, exitOK)
	var doc struct {
		Pulses struct {
			Single []struct {
				Voltage  float64 `json:"voltage_v"`
				Longest  any     `json:"longest_s"`
				CoolDown any     `json:"cool_down_s"`
			} `json:"single"`
		} `json:"pulses"`
	}
	if err := json.Unmarshal([]byte(r.out), &doc); err != nil {
		t.Fatal(err)
	}
	for _, p := range doc.Pulses.Single {
		switch _, number := p.Longest.(float64); {
		case p.Voltage == 1 && (p.Longest != string(render.Infinite) || p.CoolDown != string(render.None)):
			t.Errorf("a pulse of 1 V, which never gets hot: longest %v, cool-down %v", p.Longest, p.CoolDown)
		case p.Voltage == 24 && !number:
			t.Errorf("a pulse of 24 V: longest %v", p.Longest)
		}
	}
	csvRun := lode(append(args, "--csv")...)
	csvRun.want(t, exitOK)
	words := 0
	for _, table := range strings.Split(csvRun.out, "\r\n\r\n") {
		records, err := csv.NewReader(strings.NewReader(table)).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		for _, record := range records {
			for _, field := range record {
				switch field {
				case "":
					t.Errorf("an empty field in %q", record)
				case string(render.Infinite), string(render.None), string(render.Undecided):
					words++
				case "NaN", "+Inf", "-Inf", "<nil>":
					t.Errorf("%s in %q", field, record)
				}
			}
		}
	}
	if words == 0 {
		t.Error("no word in the tables of heat")
	}
}

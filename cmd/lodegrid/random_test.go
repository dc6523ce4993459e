package main

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"lodegrid/array/design"
	"lodegrid/field/coil"
	"lodegrid/field/material"
)

// dice draws what a random design is made of.
type dice struct{ *rand.Rand }

func roll(seed, index uint64) dice { return dice{rand.New(rand.NewPCG(seed, index))} }

// one of the texts; naming one more than once makes it likelier.
func (r dice) one(of ...string) string { return of[r.IntN(len(of))] }

// chance is true in a share p of all cases.
func (r dice) chance(p float64) bool { return r.Float64() < p }

func (r dice) even(from, to float64) float64 { return from + (to-from)*r.Float64() }

// log is evenly spread over orders of magnitude.
func (r dice) log(from, to float64) float64 {
	return math.Exp(r.even(math.Log(from), math.Log(to)))
}

// amount writes a number with its unit, to four figures as people do.
func amount(v float64, unit string) string { return strings.TrimSpace(fmt.Sprintf("%.4g %s", v, unit)) }

// randomChanges are settings that usually make a valid design: every kind of coil,
// steel, magnet, drive, cooling and scene, on small grids. What does not fit together is
// left to the design's own check to refuse.
func randomChanges(r dice) []design.Change {
	var list []design.Change
	set := func(key, value string) { list = append(list, design.Change{Key: key, Value: value}) }
	number := func(key string, v float64, unit string) { set(key, amount(v, unit)) }

	cols, rows := 2+r.IntN(5), 2+r.IntN(5)
	if r.chance(0.08) {
		cols, rows = 12+r.IntN(9), 8+r.IntN(5)
	}
	number("grid.cols", float64(cols), "")
	number("grid.rows", float64(rows), "")
	pitch := r.log(6, 30)
	number("grid.pitch", pitch, "mm")

	// Board and coil.
	layers := []int{1, 2, 2, 2, 4, 4, 6, 8}[r.IntN(8)]
	number("board.layers", float64(layers), "")
	thick := max(0.15*float64(layers), r.log(0.2, 3.2))
	number("board.thickness", thick, "mm")
	outer, inner := r.one("0.5 oz", "1 oz", "1 oz", "2 oz"), r.one("0.5 oz", "1 oz", "1 oz", "2 oz")
	set("board.copper_outer", outer)
	if layers > 2 {
		set("board.copper_inner", inner)
	}
	least := 4.0 // mil, of the rules for the copper
	if outer == "2 oz" || layers > 2 && inner == "2 oz" {
		least = 8
	}
	laminates := []string{"fr4", "fr4", "fr4-high-tg", "polyimide"}
	if layers == 1 {
		laminates = append(laminates, "aluminium", "aluminium")
	}
	set("board.laminate", r.one(laminates...))
	shape := r.one("round", "round", "round", "square", "rounded-square", "hexagon")
	set("coil.shape", shape)
	track, gap := least, least
	if r.chance(0.6) {
		track, gap = least*r.log(1, 3), least*r.log(1, 2)
		number("coil.track", track, "mil")
		number("coil.gap", gap, "mil")
	}
	size := pitch - max(gap*0.0254, r.log(0.2, 0.2*pitch)) - 0.01
	number("coil.outer", size, "mm")
	most := (size*r.even(0.4, 0.85)/2)/((track+gap)*0.0254) - 1
	if shape != "round" {
		most = min(most, 12) // each side of each turn is a conductor
	}
	if most > 1 && r.chance(0.85) {
		number("coil.turns", math.Max(1, math.Round(2*most*r.log(0.2, 1))/2), "")
	}
	if wound := 1 + r.IntN(layers); r.chance(0.2) {
		number("coil.layers", float64(wound), "")
	} else if layers > 1 && r.chance(0.3) {
		groups := 2
		for _, g := range []int{3, 4, 6, layers} {
			if layers%g == 0 && r.chance(0.3) {
				groups = g
			}
		}
		number("coil.parallel_groups", float64(groups), "")
	}

	// Steel: none, a sheet, a disc, a core in a sheet, a pin in a disc; every model.
	steelBack := 0.0
	if steel := r.one("none", "none", "sheet", "sheet", "disc", "core", "pin"); steel != "none" {
		model := r.one("auto", "auto", "image", "slab", "fem")
		if model == "fem" && shape != "round" && r.chance(0.8) {
			model = "auto" // the elements are round
		}
		set("iron.model", model)
		set("iron.steel", r.one(material.SteelNames()...))
		behind, sheet := r.log(0.05, 3), r.log(0.1, 5)
		number("iron.gap", behind, "mm")
		number("iron.thickness", sheet, "mm")
		steelBack = behind + sheet
		number("iron.gap_conductivity", r.log(0.0263, 1), "W/(m K)")
		if steel == "disc" || steel == "pin" {
			number("iron.radius", pitch/2*r.even(0.5, 0.98), "mm")
		}
		if steel == "core" || steel == "pin" {
			number("iron.core_radius", r.log(0.2, 0.12*pitch), "mm")
		}
	}

	magnet := r.one("none", "none", "none", "pixel", "sheet")
	if magnet != "none" {
		set("magnet.kind", magnet)
		set("magnet.grade", r.one(material.GradeNames()...))
		number("magnet.length", r.log(0.3, 5), "mm")
		number("magnet.depth", steelBack+r.log(0.05, 10), "mm")
		number("magnet.diameter", pitch*r.even(0.1, 0.95), "mm")
		if r.chance(0.3) {
			number("magnet.remanence", r.even(-1400, 1400), "mT")
		}
	}

	// Drive and supply.
	voltage := r.log(3, 48)
	number("supply.voltage", voltage, "V")
	if r.chance(0.7) {
		number("supply.power", r.log(1, 500), "W")
	}
	number("supply.droop", voltage*r.log(0.005, 0.3), "V")
	number("supply.feeder_len", r.even(0, 10), "m")
	mode := r.one("direct", "stagger", "scan", "kick")
	set("drive.mode", mode)
	bridge := r.one("low-side", "h-bridge")
	set("drive.bridge", bridge)
	number("drive.frequency", r.log(0.1, 300), "kHz")
	number("drive.on_resistance", r.log(0.01, 3), "ohm")
	number("drive.diode_drop", r.even(0, 1), "V")
	number("drive.scan_diode", r.even(0, 1), "V")
	number("drive.max_duty", r.log(0.1, 100), "%")
	if (mode == "kick" || mode == "scan") && r.chance(0.6) {
		number("drive.kick_voltage", voltage*r.even(1, 3), "V")
	}
	number("drive.kick_time", r.log(0.005, 2), "s")
	number("drive.hold_duty", r.even(0, 60), "%")
	number("drive.scan_time", r.log(1, 50), "ms")
	number("drive.feeder_ends", float64(1+r.IntN(2)), "")
	number("drive.feeder_width", r.log(0.2, 5), "mm")
	number("drive.bus_width", r.even(0, 20), "mm")
	if r.chance(0.2) {
		number("drive.most_lit", float64(1+r.IntN(cols*rows)), "")
	}

	// Fluid, cooling, limits.
	set("fluid.kind", r.one("oil-light", "oil-medium", "oil-strong", "water-light", "water-medium"))
	deep := r.log(0.5, 6)
	number("fluid.tank_gap", deep, "mm")
	number("fluid.height", deep/2+r.log(0.1, 6), "mm")
	number("fluid.density_difference", []float64{0, r.log(0.5, 800), r.log(0.5, 800), r.log(0.5, 800), -r.log(0.5, 800)}[r.IntN(5)], "kg/m3")
	number("fluid.contact_line", []float64{0, 0, r.log(0.01, 20)}[r.IntN(3)], "mN/m")
	number("fluid.drop_diameter", pitch*r.even(0.2, 1.1), "mm")
	if rows%3 == 0 { // without a draw, so that the designs stay those that they were
		number("fluid.volume", 0.3*float64(rows*cols)*pitch*pitch*deep/1000, "mL")
	}
	if cols%4 == 1 {
		number("tank.room", 12, "%")
		set("fluid.start", "1,1")
	}
	ambient := r.even(-20, 48)
	if cols%3 == 0 {
		set("heat.ambient", amount(ambient-25, "degC")+" to "+amount(ambient, "degC"))
	} else {
		number("heat.ambient", ambient, "degC")
	}
	set("heat.orientation", r.one("vertical", "face-up", "face-down"))
	number("heat.emissivity", r.even(0, 1), "")
	number("heat.air_speed", []float64{0, 0, r.log(0.1, 10)}[r.IntN(3)], "m/s")
	number("heat.copper_fraction", r.even(0, 60), "%")
	number("heat.front_insulation", r.log(1e-4, 0.3), "m² K/W")
	number("limits.touch", max(ambient+2, r.even(35, 90)), "degC")
	number("limits.hold", r.log(0.3, 10), "")
	number("limits.false_on", r.log(0.05, 2), "")

	// Scene: short, a dozen frames.
	kinds := design.SceneKinds()
	kind := kinds[r.IntN(len(kinds))]
	if kind == "file" || (kind == "ticker" && rows < 7 || kind == "clock" && (rows < 5 || cols < 15)) && r.chance(0.8) {
		kind = "all-on" // letters need room
	}
	set("scene.kind", kind)
	if kind == "ticker" {
		set("scene.text", r.one("High tide 14:20", "Open", "~"))
	}
	length := r.log(0.2, 20)
	number("scene.duration", length, "s")
	number("scene.frame_time", length/r.even(1, 20), "s")
	set("scene.mapping", r.one("threshold", "linear", "dither"))
	number("scene.threshold", r.Float64(), "")
	level := r.even(0, 1)
	if bridge == "h-bridge" && r.chance(0.3) {
		level = -level
	}
	if r.chance(0.5) {
		number("scene.level", level, "")
	}
	number("scene.seed", float64(r.IntN(1000)), "")
	if kind == "tide" {
		number("scene.band", float64(r.IntN(3)), "")
	}
	return list
}

// randomDesign is the design of an index, with the changes that make it from the
// default one. Each index has its own dice: any design can be had again alone.
func randomDesign(t *testing.T, index int) (design.Design, []design.Change) {
	t.Helper()
	const seed = 1
	r := roll(seed, uint64(index))
	plain, err := design.Read("", strings.NewReader(""))
	if err != nil {
		t.Fatal(err)
	}
	for range 200 {
		list := append([]design.Change{{Key: "name", Value: fmt.Sprintf("Random %d", index)}}, randomChanges(r)...)
		var d design.Design
		if d, err = plain.With(list...); err == nil {
			return d, list
		}
	}
	t.Fatalf("no valid design came in 200 rolls; the last was refused: %v", err)
	panic("not reached")
}

// The dice reach every choice that a design has, and stay inside what is valid often
// enough for their values to mean what they were rolled for.
func TestRandomDesignsCoverEveryChoice(t *testing.T) {
	t.Parallel()
	seen := map[string]int{}
	for i := range randomDesigns {
		d, list := randomDesign(t, i)
		for _, c := range list {
			seen[c.Key+"="+c.Value]++
		}
		steel := "none"
		if d.Iron.Model != design.IronNone {
			steel = fmt.Sprintf("disc %t, core %t", d.Iron.Radius > 0, d.Iron.CoreRadius > 0)
		}
		seen["steel "+steel]++
		if d.Drive.KickVoltage > d.Supply.Voltage {
			seen["own rail "+string(d.Drive.Mode)]++
		}
		if d.Scene.Level < 0 {
			seen["reversed"]++
		}
		if d.Drive.MaxDuty < 0.003 || d.Drive.MaxDuty > 0.5 {
			seen[fmt.Sprintf("duty over half %t", d.Drive.MaxDuty > 0.5)]++
		}
		if d.Coil.ParallelGroups > 1 {
			seen["parallel"]++
		}
		if d.Pixels() >= 96 {
			seen["large"]++
		}
	}
	want := []string{"steel none", "steel disc false, core false", "steel disc true, core false", "steel disc false, core true",
		"steel disc true, core true", "own rail kick", "own rail scan", "reversed", "duty over half true", "duty over half false", "parallel", "large"}
	choice := func(key string, values ...string) {
		for _, v := range values {
			want = append(want, key+"="+v)
		}
	}
	for _, s := range coil.Shapes() {
		choice("coil.shape", string(s))
	}
	choice("iron.model", "auto", "image", "slab", "fem")
	choice("iron.steel", material.SteelNames()...)
	choice("magnet.kind", "pixel", "sheet")
	choice("drive.mode", "direct", "stagger", "scan", "kick")
	choice("drive.bridge", "low-side", "h-bridge")
	choice("heat.orientation", "vertical", "face-up", "face-down")
	choice("board.laminate", "fr4", "fr4-high-tg", "polyimide", "aluminium")
	choice("fluid.kind", "oil-light", "oil-medium", "oil-strong", "water-light", "water-medium")
	choice("scene.mapping", "threshold", "linear", "dither")
	for _, k := range design.SceneKinds() {
		if k != "file" {
			choice("scene.kind", k)
		}
	}
	for _, w := range want {
		if seen[w] < 3 {
			t.Errorf("%q comes in %d of %d designs, want at least 3", w, seen[w], randomDesigns)
		}
	}
}

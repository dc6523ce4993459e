package main

import (
	"strings"
	"testing"
)

// One pixel, section by section, with what was asked for beside it; and what cannot be
// is a mistake of usage or of the design, by name.
func TestCoil(t *testing.T) {
	t.Parallel()
	steel := []string{"coil", smallDesign, "--set", "iron.model=auto"}
	lode(append(steel, "--wound", "--iron-models", "--why")...).want(t, exitOK,
		"out:resistance at 20 °C", "out:with its steel", "out:Mohan", "out:L/R", "out:pull towards the board", "out:raised meniscus",
		"out:surface peaks", "out:rise per watt", "out:true spiral", "out:31 % too strong", "out:wound electromagnet", "out:mT/√W")
	oneDocument(t, lode(append(steel, "--wound-gauge", "32", "--json")...).out, "coil")
	lode(append(steel, "--set", "iron.steel=austenitic-stainless")...).want(t, exitOK, "out:austenitic", "out:low-carbon steel in its place")
	// A pixel that is kicked and then let go carries nothing at full level.
	let := lode("coil", smallDesign, "--set", "iron.model=fem", "--set", "drive.mode=kick", "--set", "drive.hold_duty=0 %", "--set", "drive.kick_voltage=48 V", "--set", "drive.kick_time=5 ms", "--wound", "--iron-models")
	let.want(t, exitOK, "out:no current at full level")
	if strings.Contains(let.out, "NaN") {
		t.Error("a pixel without current prints NaN")
	}
	for _, c := range []struct{ flag, value, says string }{
		{"--wound-core", "30 mm", "--wound-core: 30 mm across"},
		{"--wound-inner", "40 mm", "--wound-inner"},
		{"--wound-outer", "0 mm", "more than 0 mm, up to 1 m"},
		{"--wound-outer", "-3 mm", "-3 mm; accepted: more than 0 mm"},
		{"--wound-height", "1e9 mm", "up to 1 m"},
		{"--wound-shell", "-1 mm", "-1 mm; accepted: 0 mm to"},
		{"--wound-height", "15", "15"},
		{"--wound-wire", "50 mm", "0.071 mm to 1.6 mm"},
		{"--wound-steel", "cheese", "low-carbon"},
		{"--wound-volts", "-5 V", "--wound-volts: -5 V; accepted: more than 0 V"},
	} {
		lode("coil", smallDesign, c.flag, c.value).want(t, exitUsage, c.says)
	}
	lode("coil", smallDesign, "--set", "iron.model=none", "--iron-models").want(t, exitUsage, "iron.model")
}

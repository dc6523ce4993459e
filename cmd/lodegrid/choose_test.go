package main

import (
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// What is chosen is printed, and written as a design that other commands read.
func TestChoose(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	chosen, offer := filepath.Join(dir, "chosen.toml"), filepath.Join(dir, "offer.toml")
	args := []string{"choose", smallDesign, "--offer", smallOffer, "--exact", "4"}
	lode(append(args, "-o", chosen)...).want(t, exitOK, "out:None of these beats another", "out:Why the others lose", "out:in all", "out:NO LIMIT IS BROKEN")
	lode("design", chosen).want(t, exitOK, "out:The design is valid")
	lode(append(args, "-o", chosen)...).want(t, exitFailure, "--force") // it is the user's own now
	lode(append(args, "-o", smallOffer, "--force")...).want(t, exitUsage, "which is read")
	lode(append(args, "--set", "limits.touch=31 degC")...).want(t, exitLimit, "out:Nothing on offer keeps every limit", "out:limits.touch keeps out")
	lode("choose", "--new", "-o", offer).want(t, exitOK)
	lode("choose", "--new").want(t, exitOK, "out:[[copper]]")
	lode("choose", smallDesign, "--offer", filepath.Join(dir, "none.toml")).want(t, exitInput, "none.toml")
	lode("choose", smallDesign, "--offer", smallDesign).want(t, exitInput, "unknown key")
	lode("choose", smallDesign, "--explain").want(t, exitOK, "out:Which layer stops paying", "out:wound, 12 V")
	lode("choose", "--explain", "-o", chosen).want(t, exitUsage, "--explain")
	lode("choose", "--pitch", "0.1 mm").want(t, exitInput, "at a pitch of 0.1 mm")
	lode("choose", "--exact", "-1").want(t, exitUsage, "0 or more")
	lode("choose", smallDesign, "--offer", smallOffer, "--set", "coil.shape=square").want(t, exitInput, "coil.shape")
}

// Designs stand side by side in the order of the goal, those that break a limit last, and
// what differs from the first is marked.
func TestCompare(t *testing.T) {
	chart := filepath.Join(t.TempDir(), "axis.svg")
	r := lode("compare", smallDesign, "--vary", "drive.max_duty=10 %", "--vary", "drive.max_duty=6 %; coil.turns=15", "--best", "heat", "--chart", chart)
	r.want(t, exitLimit, "out:small.toml", "out:10 % *", "out:15 *", "out:ONE PROBLEM", "out:No. 2 breaks limits.touch.")
	if order := regexp.MustCompile(`(?m)^    ([123])  +\d+\.\d\d `).FindAllStringSubmatch(r.out, -1); len(order) != 3 || order[0][1]+order[1][1]+order[2][1] != "312" {
		t.Errorf("not in the order 3, 1, 2: %q in %s", order, r.out)
	}
	if !strings.Contains(readFile(t, chart), "no. 3") {
		t.Error("the chart lacks a design")
	}
	lode("compare", smallDesign, "--vary", "limits.touch=40 degC", "--set", "limits.touch=40 degC").want(t, exitLimit, "out:No. 1, the best of them")
	lode("compare", smallDesign, "--vary", "coil.turns=15").want(t, exitOK, "out:NO LIMIT IS BROKEN")
	lode("compare", smallDesign).want(t, exitUsage, "two designs or more, have 1")
	lode("compare", smallDesign, "--vary", "coil.turn=3").want(t, exitInput, "coil.turns")
	lode("compare", smallDesign, "none.toml").want(t, exitInput, "none.toml")
}

package main

import (
	"path/filepath"
	"testing"
)

// What is chosen is printed, and written as a design that other commands read.
func TestChoose(t *testing.T) {
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
	lode("choose", "--exact", "0").want(t, exitUsage, "1 or more")
	lode("choose", smallDesign, "--offer", smallOffer, "--set", "coil.shape=square").want(t, exitInput, "coil.shape")
}

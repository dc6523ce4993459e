package design

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
)

// Hash returns a hash of the design's content in the sections named, of all of it
// when none is. Two designs have the same hash when every value of those sections is
// the same float64; names of files count, what is in them does not. It serves as a
// key for what is computed from those sections.
func (d Design) Hash(names ...string) string {
	h := sha256.New()
	fmt.Fprintln(h, "lodegrid design 1")
	for _, s := range settings {
		if len(names) == 0 || slices.Contains(names, s.section()) {
			fmt.Fprintf(h, "%s = %s\n", s.key, encode(s.kind.hold(&d)))
		}
	}
	if len(names) == 0 || slices.Contains(names, "board") {
		for i := range d.Board.Rules.Tracks {
			for _, s := range ruleSettings {
				fmt.Fprintf(h, "%s = %s\n", s.key, encode(s.kind.hold(&d.Board.Rules.Tracks[i])))
			}
		}
	}
	return hex.EncodeToString(h.Sum(nil)[:16])
}

package main

import (
	"fmt"
	"io"
	"strings"

	"lodegrid/array/design"
)

// writeExplanation lists every key of the design file.
func writeExplanation(w io.Writer) error {
	section := ""
	for _, e := range design.Explain() {
		head, _, nested := strings.Cut(e.Key, ".")
		if !nested {
			head = ""
		}
		if head != section {
			section = head
			if _, err := fmt.Fprintf(w, "\n[%s]\n", section); err != nil {
				return err
			}
		}
		measure := e.Measure
		if e.Unit != "" {
			measure += ", usually in " + e.Unit
		}
		if _, err := fmt.Fprintf(w, "  %s = %s\n      %s\n      %s; accepted: %s\n", e.Key, e.Default, e.Sentence, measure, e.Accepts); err != nil {
			return err
		}
	}
	_, err := fmt.Fprintf(w, `
base = "other.toml"
      A design file, beside this one, that this one goes by: what stands here is laid over it.

[[doubt]]
      How far a value may be off: key, sd (one standard deviation, with its unit) and perhaps
      spread, the share of its square that differs from pixel to pixel of one board ("0 %%" to
      "100 %%"), and correlation, a list of one number for each [[doubt]] before it; lodegrid
      fit writes them.
      Keys: %s; the usual tolerances (common practice, no source) where none is stated.
`, strings.Join(design.DoubtKeys(), ", "))
	return err
}

package spelling_test

import (
	"strings"
	"testing"

	"lodegrid/field/quantity/spelling"
)

// kitten–sitting is the textbook pair; the others follow from the definition.
func TestEdits(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{{"", "", 0}, {"mm", "mm", 0}, {"mn", "mm", 1}, {"", "mm", 2}, {"Hkz", "kHz", 1}, {"ab", "ba", 1}, {"µΩ", "mΩ", 1}, {"kitten", "sitting", 3}} {
		if got := spelling.Edits(c.a, c.b); got != c.want {
			t.Errorf("Edits(%q, %q) = %d, want %d", c.a, c.b, got, c.want)
		}
		if got := spelling.Edits(c.b, c.a); got != c.want {
			t.Errorf("Edits(%q, %q) = %d, want %d", c.b, c.a, got, c.want)
		}
	}
}

func TestNearest(t *testing.T) {
	names := []string{"pitch", "cols", "rows", "on_resistance"}
	for typed, want := range map[string]string{
		"pich": "pitch", "Pitch": "pitch", "row": "rows", "on_resistence": "on_resistance", "onresistance": "on_resistance",
		"": "", "x": "", "voltage": "", strings.Repeat("pitch", 1000): "",
	} {
		if got := spelling.Nearest(typed, names); got != want {
			t.Errorf("Nearest(%q) = %q, want %q", typed, got, want)
		}
	}
}

package generate

import (
	"strings"
	"testing"
)

// TestFontsHoldWhatTheySay: every character a font claims has a glyph of its
// height that is lit somewhere, and no two look the same.
func TestFontsHoldWhatTheySay(t *testing.T) {
	var ascii strings.Builder
	for r := '!'; r <= '~'; r++ {
		ascii.WriteRune(r)
	}
	for _, test := range []struct {
		font dotFont
		has  string
	}{
		{font5x7(), ascii.String() + "ÄÖÜÅÉØÆäöüåéèàçñøæß°€£–·"},
		{font3x5(), "0123456789:.-"},
		{font7x13(), ascii.String()},
	} {
		seen := map[string]rune{}
		for _, r := range test.has {
			g, ok := test.font.glyph(r)
			if !ok {
				t.Errorf("%s: no glyph for %q", test.font.name, r)
				continue
			}
			if g.rows != test.font.height {
				t.Errorf("%s: %q is %d rows high", test.font.name, r, g.rows)
			}
			look := strings.Builder{}
			for p, lit := range g.lit {
				look.WriteByte(map[bool]byte{true: '#', false: '.'}[lit])
				if p%g.cols == g.cols-1 {
					look.WriteByte('\n')
				}
			}
			if !strings.Contains(look.String(), "#") {
				t.Errorf("%s: %q is blank", test.font.name, r)
			}
			if other, twice := seen[look.String()]; twice {
				t.Errorf("%s: %q looks like %q", test.font.name, r, other)
			}
			seen[look.String()] = r
		}
		if _, ok := test.font.glyph('☂'); ok {
			t.Errorf("%s: has a glyph it should lack", test.font.name)
		}
		if _, err := test.font.line("☂"); err == nil || !strings.Contains(err.Error(), "it has "+test.font.holds) {
			t.Errorf("%s: missing glyph: error %v", test.font.name, err)
		}
	}
	// Digits fit the places the clock gives them.
	for _, l := range clockLayouts() {
		for r := '0'; r <= '9'; r++ {
			if g, ok := l.font.glyph(r); !ok || g.cols > l.digit {
				t.Errorf("%s: digit %q is wider than %d columns", l.font.name, r, l.digit)
			}
		}
		if g, ok := l.font.glyph(':'); !ok || g.cols > l.colon && !l.stacked {
			t.Errorf("%s: the colon is wider than %d columns", l.font.name, l.colon)
		}
	}
}

func TestLineSpacing(t *testing.T) {
	b, err := font5x7().line("i i")
	if err != nil {
		t.Fatal(err)
	}
	if want := 3 + 1 + 3 + 1 + 3; b.cols != want || b.rows != 7 {
		t.Errorf("line of %d × %d dots, want 7 × %d", b.rows, b.cols, want)
	}
	if _, err := font5x7().line(""); err == nil {
		t.Error("an empty line was set")
	}
}

func TestParseGlyphsErrors(t *testing.T) {
	for name, text := range map[string]string{
		"short":     "A\n#\n",
		"uneven":    "A\n##\n#\n",
		"foreign":   "A\n#x\n##\n",
		"twice":     "A A\n# #\n# #\n",
		"misplaced": "A B\n###\n###\n",
		"beyond":    "A  B\n##\n##\n",
		"gap":       "A\n##\n# \n",
	} {
		if _, err := parseGlyphs(text, 2); err == nil {
			t.Errorf("%s: accepted", name)
		}
	}
}

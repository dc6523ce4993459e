package scope

import (
	"image/color"
	"testing"
)

// Letters stand out from what they stand on by 4.5 to 1 and controls from what is round
// them by 3 to 1, computed from the colours themselves (WCAG 2.1, success criteria 1.4.3
// and 1.4.11).
func TestContrast(t *testing.T) {
	contrast := func(a, b color.RGBA) float64 {
		x, y := luminance(a), luminance(b)
		return (max(x, y) + 0.05) / (min(x, y) + 0.05)
	}
	// The worked ends of the scale: black on white is 21 to 1, and #767676 on white is
	// the palest grey that is 4.5 to 1 (from memory).
	if c := contrast(blackColor, whiteColor); c < 20.99 || c > 21.01 {
		t.Fatalf("black on white is %g", c)
	}
	if c, d := contrast(color.RGBA{0x76, 0x76, 0x76, 255}, whiteColor), contrast(color.RGBA{0x77, 0x77, 0x77, 255}, whiteColor); c < 4.5 || d >= 4.5 {
		t.Fatalf("#767676 and #777777 on white are %g and %g", c, d)
	}
	for name, th := range map[string]Theme{"light": Light, "dark": Dark} {
		rest, hover, on := th.Button()
		for what, on := range map[string][2]color.RGBA{
			"ink": {th.Ink, th.Paper}, "faint": {th.Faint, th.Paper}, "warning": {th.Warning, th.Paper}, "accent": {th.Accent, th.Paper}, "leaf": {th.Leaf, th.Paper},
			"button": {th.Ink, rest}, "button under the pointer": {th.Ink, hover}, "chosen button": {th.Ink, on},
		} {
			if c := contrast(on[0], on[1]); c < 4.5 {
				t.Errorf("%s: letters, %s: %.2f to 1", name, what, c)
			}
		}
		for what, on := range map[string][2]color.RGBA{
			"rim of buttons and tracks": {th.Rim, th.Paper}, "rim under the pointer": {th.Faint, th.Paper}, "rim of a chosen button": {th.Accent, th.Paper},
			"slider's handle": {th.Accent, th.Grid}, "bar of a meter": {th.Accent, th.Grid}, "bar over its limit": {th.Warning, th.Grid}, "place on the time line": {th.Ink, th.Grid},
			"line of a chart": {th.Accent, th.Paper}, "limit of a chart": {th.Warning, th.Paper}, "what was played": {th.Accent, th.Grid}, "what follows": {th.Faint, th.Grid},
		} {
			if c := contrast(on[0], on[1]); c < 3 {
				t.Errorf("%s: %s: %.2f to 1", name, what, c)
			}
		}
	}
	for _, o := range Overlays() {
		if m := overlayFacts[o].colors; m != nil {
			for k := range 256 {
				if c := m.At(float64(k) / 255); contrast(c, Readable(c)) < 4.5 {
					t.Errorf("%v: a number on %v: %.2f to 1", o, c, contrast(c, Readable(c)))
				}
			}
		}
	}
}

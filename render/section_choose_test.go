package render

import "testing"

// Derived values are read on a screen, with what a file would need in the table's value.
func TestSixDigits(t *testing.T) {
	for text, want := range map[string]string{
		"109.99999999999999 mm": "110 mm", "0 mN/m to 2.6984471841844816 mN/m": "0 mN/m to 2.69845 mN/m", "-0.24221726457399106 kg/(m³·K)": "-0.242217 kg/(m³·K)",
		"7.3712 mm": "7.3712 mm", "checker": "checker", "[2 4 6]": "[2 4 6]",
	} {
		if got := SixDigits(text); got != want {
			t.Errorf("%s: %s, want %s", text, got, want)
		}
	}
}

package tomlplace

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Describe names a TOML value.
func Describe(v any) string {
	switch x := v.(type) {
	case string:
		return "the text " + Clip(x)
	case int64, float64:
		return "the number " + Number(x)
	case bool:
		return strconv.FormatBool(x)
	case map[string]any:
		return "a section"
	case []any:
		return "a list"
	}
	return fmt.Sprintf("the date or time %v", v)
}

// Number writes a number as TOML and people do.
func Number(v any) string {
	switch x := v.(type) {
	case int64:
		return strconv.FormatInt(x, 10)
	case float64:
		if a := math.Abs(x); a < 1e15 && (a >= 1e-5 || a == 0) {
			return strconv.FormatFloat(x, 'f', -1, 64)
		}
		return strings.ToLower(strconv.FormatFloat(x, 'g', -1, 64))
	}
	return ""
}

// Clip quotes a text, shortened when it is long.
func Clip(text string) string {
	if r := []rune(text); len(r) > 40 {
		text = string(r[:40]) + "…"
	}
	return strconv.Quote(text)
}

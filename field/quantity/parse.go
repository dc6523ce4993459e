package quantity

import (
	"fmt"
	"math"
	"math/big"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Longest text Parse looks at, in bytes, and the largest power of ten it takes.
const (
	maxText     = 80
	maxExponent = 400
)

// Parse reads a number with a unit, such as "0.8mm" or "-0.11 %/K", and returns
// its value in the SI unit of the dimension. The result is finite. The error is an
// *Error.
func Parse(text string, d Dimension) (float64, error) {
	if len(text) > maxText {
		return 0, d.refuse(text, fmt.Sprintf("%d characters are too many for a quantity", utf8.RuneCountInString(text)), "")
	}
	trimmed := strings.TrimFunc(text, unicode.IsSpace)
	if trimmed == "" {
		return 0, d.refuse(text, "no quantity given", d.like(""))
	}
	num, rest := number(trimmed)
	if num == "" {
		return 0, d.refuse(text, notNumber(trimmed), d.like(""))
	}
	if rest != "" && strings.ContainsRune(",'_", rune(rest[0])) {
		return 0, d.refuse(text, fmt.Sprintf("%q inside the number %q", rest[:1], trimmed), `a decimal point written "." and no marks between thousands`)
	}
	name := strings.TrimFunc(rest, unicode.IsSpace)
	if name == "" {
		return 0, d.refuse(text, fmt.Sprintf("%s has no unit of %s", num, d.Name()), d.like(num))
	}
	u := d.find(name)
	if u == nil {
		return 0, d.unknown(text, name)
	}
	return u.si(text, num, d)
}

// si returns the number in SI units, rounded once.
func (u *unit) si(text, num string, d Dimension) (float64, error) {
	if e := exponent(num); e > maxExponent || e < -maxExponent {
		return 0, d.refuse(text, fmt.Sprintf("%q is out of range", strings.TrimSpace(text)), "")
	}
	x, ok := new(big.Rat).SetString(num)
	if !ok {
		return 0, d.refuse(text, fmt.Sprintf("%q is not a number", num), d.like(""))
	}
	zero := x.Sign() == 0 && u.offset == nil
	x.Mul(x, u.factor)
	if u.offset != nil {
		x.Add(x, u.offset)
		if x.Sign() < 0 {
			return 0, d.refuse(text, fmt.Sprintf("%q is below absolute zero", strings.TrimSpace(text)), "")
		}
		zero = x.Sign() == 0
	}
	v, _ := x.Float64()
	if math.IsInf(v, 0) || (v == 0 && !zero) {
		return 0, d.refuse(text, fmt.Sprintf("%q is out of range", strings.TrimSpace(text)), "")
	}
	if d == Temperature && v < 0 {
		return 0, d.refuse(text, fmt.Sprintf("%q is below absolute zero", strings.TrimSpace(text)), "")
	}
	return v, nil
}

// notNumber says what is wrong with a text that does not start with a number.
func notNumber(text string) string {
	lower := strings.ToLower(strings.TrimLeft(text, "+-−"))
	for _, word := range []string{"nan", "inf", "∞"} {
		if strings.HasPrefix(lower, word) {
			return fmt.Sprintf("%q is not a finite number", text)
		}
	}
	return fmt.Sprintf("%q does not start with a number", text)
}

package quantity

import (
	"math/big"
	"strconv"
	"strings"
)

// Exact writes a finite value given in SI units so that Parse returns the very same
// float64, in the unit that needs the fewest digits: "4 mil", "12 mm", "25 °C".
// For a value that is not finite it returns what Format does, which Parse refuses.
func Exact(v float64, d Dimension) string {
	if d.d == nil || v-v != 0 {
		return Format(v, d)
	}
	if v == 0 && d != Temperature {
		return "0 " + d.Usual()
	}
	best, bestCost := "", 1<<30
	chosen := d.choose(v) // on a tie: the usual unit for plain numbers, else what a screen shows
	if x := d.d.units[0].of(v); d.d.units[0].offset == nil && (x >= 0.1 && x < 1000 || x <= -0.1 && x > -1000) {
		chosen = &d.d.units[0]
	}
	try := func(u *unit) {
		text, cost, ok := u.exact(v, d, bestCost)
		if ok && cost < bestCost {
			best, bestCost = text, cost
		}
	}
	try(chosen)
	for i := range d.d.units {
		if u := &d.d.units[i]; u != chosen {
			try(u)
		}
	}
	if best == "" { // the SI unit always works; this is for a dimension that does not list it
		return strconv.FormatFloat(v, 'g', -1, 64) + " " + d.d.si
	}
	return best
}

// exact returns the shortest number of the unit that Parse turns back into v, and
// how awkward it is to read; false when that is as awkward as the limit or more.
func (u *unit) exact(v float64, d Dimension, limit int) (text string, cost int, ok bool) {
	x := new(big.Rat).SetFloat64(v)
	if u.offset != nil {
		x.Sub(x, u.offset)
	}
	x.Quo(x, u.factor)
	f := new(big.Float).SetPrec(160).SetRat(x)
	if a, _ := f.Float64(); a != 0 && (a < 0.01 && a > -0.01 || a >= 10000 || a <= -10000) {
		cost += 3
	}
	if u.minor {
		cost += 2
	}
	for digits := 1; digits <= 18; digits++ {
		if cost++; cost >= limit {
			break
		}
		text = plain(f.Text('e', digits-1)) + " " + u.symbol
		if back, err := Parse(text, d); err == nil && back == v {
			return text, cost, true
		}
	}
	return "", 0, false
}

// plain rewrites a number in exponent form without one where that stays short.
func plain(num string) string {
	mantissa, exp, _ := strings.Cut(num, "e")
	e, err := strconv.Atoi(exp)
	if err != nil || e > 6 || e < -5 {
		return num
	}
	sign := ""
	if strings.HasPrefix(mantissa, "-") {
		sign, mantissa = "-", mantissa[1:]
	}
	digits := strings.Replace(mantissa, ".", "", 1)
	switch {
	case e < 0:
		return sign + "0." + strings.Repeat("0", -e-1) + digits
	case len(digits) <= e+1:
		return sign + digits + strings.Repeat("0", e+1-len(digits))
	}
	return sign + digits[:e+1] + "." + digits[e+1:]
}

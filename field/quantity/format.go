package quantity

import (
	"math"
	"strconv"
	"strings"
)

// Format writes a value given in SI units with a unit that suits its size, to
// three significant digits, four when the first is 1, without trailing zeros:
// "4.7 Ω", "12 µs", "1.016 mm". Temperatures are in °C to a tenth.
func Format(v float64, d Dimension) string {
	if d.d == nil {
		return short(v)
	}
	return write(v, d.choose(v))
}

// Count writes a number of things by the name of one, whose plural adds an s:
// "1 pixel", "2 pixels".
func Count(n int, name string) string {
	if n != 1 {
		name += "s"
	}
	return strconv.Itoa(n) + " " + name
}

// FormatIn writes a value given in SI units in the unit named, to as many digits
// as Format does. A unit the dimension does not have makes it choose as Format.
func FormatIn(v float64, d Dimension, unit string) string {
	u := d.find(unit)
	if u == nil {
		return Format(v, d)
	}
	return write(v, u)
}

// Within is a value known to a standard deviation, rounded to the second digit of that: what is
// finer tells nothing.
func Within(v, sd float64) float64 {
	if !(sd > 0) || math.IsInf(sd, 0) {
		return v
	}
	step := math.Pow(10, math.Floor(math.Log10(sd))-1)
	return math.Round(v/step)*step + 0 // no −0
}

// AtMost writes a bound that must not be passed, in SI units, rounded to four digits and
// never up: what it says is within the bound.
func AtMost(v float64, d Dimension) string { return bound(v, d, math.Floor) }

// AtLeast writes a bound that must be reached, rounded to four digits and never down.
func AtLeast(v float64, d Dimension) string { return bound(v, d, math.Ceil) }

func bound(v float64, d Dimension, towards func(float64) float64) string {
	u := d.choose(v)
	x := u.of(v)
	if x == 0 || x-x != 0 {
		return write(v, u)
	}
	step := math.Pow(10, math.Floor(math.Log10(math.Abs(x)))-3)
	if near := math.Round(x/step) * step; math.Abs(near-x) < 1e-9*math.Abs(x) {
		return decimals(near, 4) + " " + u.symbol
	}
	return decimals(towards(x/step)*step, 4) + " " + u.symbol
}

// of returns an SI value as a number of the unit.
func (u *unit) of(v float64) float64 {
	if u.offset != nil {
		offset, _ := u.offset.Float64()
		v -= offset
	}
	return v / u.scale
}

// choose returns the unit for a value: the largest shown whose `from` the value
// reaches after rounding, so that 0.9999 A is written 1 A and not 1000 mA.
func (d Dimension) choose(v float64) *unit {
	size := round(math.Abs(v))
	var best, smallest *unit
	for i := range d.d.units {
		u := &d.d.units[i]
		if !u.shown {
			continue
		}
		if smallest == nil || u.scale < smallest.scale {
			smallest = u
		}
		if size >= u.from*(1-1e-12) && (best == nil || u.from > best.from) {
			best = u
		}
	}
	if v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		for i := range d.d.units {
			if d.d.units[i].shown {
				return &d.d.units[i]
			}
		}
	}
	if best == nil {
		return smallest
	}
	return best
}

func write(v float64, u *unit) string {
	x := u.of(v)
	if u.offset == nil {
		return short(x) + " " + u.symbol
	}
	if math.Abs(x) < 1e6 {
		x = math.Round(x*10) / 10
		return strconv.FormatFloat(x+0, 'f', -1, 64) + " " + u.symbol
	}
	return short(x) + " " + u.symbol
}

// significant returns how many digits a number is written to.
func significant(x float64) int {
	if strings.HasPrefix(strconv.FormatFloat(math.Abs(x), 'e', 3, 64), "1") {
		return 4
	}
	return 3
}

func round(x float64) float64 { return roundTo(x, significant(x)) }

func roundTo(x float64, digits int) float64 {
	r, err := strconv.ParseFloat(strconv.FormatFloat(x, 'e', digits-1, 64), 64)
	if err != nil {
		return x
	}
	return r
}

// short writes a number to its significant digits.
func short(x float64) string { return decimals(x, significant(x)) }

// decimals writes a number to so many digits, in plain decimals where they stay readable.
func decimals(x float64, digits int) string {
	switch {
	case math.IsNaN(x):
		return "NaN"
	case math.IsInf(x, 1):
		return "∞"
	case math.IsInf(x, -1):
		return "-∞"
	case x == 0:
		return "0"
	}
	x = roundTo(x, digits)
	if a := math.Abs(x); a >= 1e6 || a < 1e-4 {
		return strings.NewReplacer("e+0", "e", "e+", "e", "e-0", "e-").Replace(strconv.FormatFloat(x, 'e', -1, 64))
	}
	return strconv.FormatFloat(x, 'f', -1, 64)
}

// Figure writes a number without a unit to so many significant digits, without trailing
// zeros and in plain decimals where they stay readable. What is less than faint is what
// rounding leaves of a difference of equal numbers, and written 0.
func Figure(x float64, digits int) string {
	if math.Abs(x) < faint {
		return "0"
	}
	return decimals(x, digits)
}

const faint = 1e-12

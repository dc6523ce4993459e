// Package quantity reads and writes physical quantities the way people write
// them: a number and a unit, "4 mil", "12 V", "-0.11 %/K", "25 °C".
//
// Parse takes such a text and the dimension expected and returns the value in SI
// units. It never guesses: a number without a unit, a unit of another dimension
// and a unit it does not know are errors that say what would be accepted. The
// value is the decimal text times the exact conversion factor, rounded once, so
// "4 mil", "0.1016 mm" and 101.6e-6 are the same float64.
//
// Format writes a value with a unit that suits its size, to three or four
// digits, for screens and reports. Exact writes a text that Parse turns back into
// the same float64, for files.
//
// Temperatures are absolute and in kelvin inside; "25 °C" is 298.15. A difference
// of temperatures is a dimension of its own, in which "25 °C" is 25.
//
// The package needs nothing beyond the standard library.
package quantity

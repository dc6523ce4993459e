package quantity

import (
	"math/big"
	"strings"
)

// Dimension is what a quantity measures, with the units it may be written in.
// The zero Dimension accepts nothing. Dimensions can be compared with ==.
type Dimension struct{ d *dimension }

type dimension struct {
	name  string // as it stands in a sentence: "length", "flux density"
	units []unit // the usual one first
	si    string // symbol of the unit with factor 1
}

// unit is one way to write a quantity: SI value = factor·x + offset.
type unit struct {
	symbol string
	also   []string // other spellings accepted, beside those that normal makes equal
	factor *big.Rat
	offset *big.Rat // nil except for temperatures
	scale  float64  // factor, rounded
	from   float64  // Format takes this unit for values of this size (SI) and more
	shown  bool     // Format may choose this unit
	minor  bool     // Exact takes this unit only when it saves digits
}

// Name returns the dimension's name as it stands in a sentence, such as "length".
func (d Dimension) Name() string {
	if d.d == nil {
		return "nothing"
	}
	return d.d.name
}

// String returns the name.
func (d Dimension) String() string { return d.Name() }

// SI returns the symbol of the unit that values of this dimension are in.
func (d Dimension) SI() string {
	if d.d == nil {
		return ""
	}
	return d.d.si
}

// Usual returns the unit most texts of this dimension use, such as "mm".
func (d Dimension) Usual() string {
	if d.d == nil {
		return ""
	}
	return d.d.units[0].symbol
}

// Units returns the accepted units, the usual one first.
func (d Dimension) Units() []string {
	if d.d == nil {
		return nil
	}
	symbols := make([]string, len(d.d.units))
	for i, u := range d.d.units {
		symbols[i] = u.symbol
	}
	return symbols
}

// find returns the unit that a text names; nil when none does.
func (d Dimension) find(text string) *unit {
	if d.d == nil {
		return nil
	}
	text = normal(text)
	for i := range d.d.units {
		u := &d.d.units[i]
		if normal(u.symbol) == text {
			return u
		}
		for _, a := range u.also {
			if normal(a) == text {
				return u
			}
		}
	}
	return nil
}

// normal brings the ways of typing one unit to one form: the two micro signs and u,
// ohm signs, raised digits, signs of multiplication, spaces.
func normal(unit string) string {
	return strings.Join(strings.Fields(tight.Replace(strings.Join(strings.Fields(signs.Replace(unit)), " "))), "·")
}

var tight = strings.NewReplacer(" / ", "/", " /", "/", "/ ", "/", "( ", "(", " )", ")", "° ", "°")

var signs = strings.NewReplacer(
	"µ", "u", "μ", "u", // U+00B5, U+03BC
	"Ω", "ohm", "Ω", "ohm", // U+03A9, U+2126
	"º", "°", "˚", "°", "℃", "°C", "℉", "°F",
	"²", "2", "³", "3", "^", "", "⁻¹", "-1",
	"·", " ", "⋅", " ", "*", " ", "×", " ",
	"\u00a0", " ", "\u2009", " ", "\u202f", " ",
)

package quantity

import "errors"

// Flag is a quantity on a command line: it reads into and writes from *Value. It
// implements encoding.TextUnmarshaler and encoding.TextMarshaler, which is what the
// TextVar of flag packages asks for. Value is in SI units.
type Flag struct {
	Dim   Dimension
	Value *float64
}

// UnmarshalText sets the value from a text such as "0.8mm". The error is an *Error.
func (f *Flag) UnmarshalText(text []byte) error {
	v, err := Parse(string(text), f.Dim)
	if err != nil {
		return err
	}
	if f.Value == nil {
		return errors.New("quantity: flag without a place for its value")
	}
	*f.Value = v
	return nil
}

// MarshalText returns the value as a text that UnmarshalText reads back exactly;
// nothing when there is no value.
func (f Flag) MarshalText() ([]byte, error) {
	if f.Value == nil {
		return nil, nil
	}
	return []byte(Exact(*f.Value, f.Dim)), nil
}

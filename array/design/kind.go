package design

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"lodegrid/field/quantity"
	"lodegrid/field/quantity/spelling"
	"lodegrid/field/tomlplace"
)

// kind is how a setting of T is written, read and held to its limits.
type kind[T any] interface {
	// read sets the value from what a TOML file holds.
	read(t *T, v any) *fault
	// check holds the value in t against the limits.
	check(t *T) *fault
	// hold returns the value as a TOML file holds it; read gives it back exactly.
	hold(t *T) any
	// value turns a text from a command line into what a TOML file would hold.
	value(text string) any
	// measure is the dimension or type, and accepts what may be written.
	measure() string
	accepts() string
}

// quantityKind is a number with a unit, in a string.
type quantityKind[T any] struct {
	dim       quantity.Dimension
	at        func(*T) *float64
	bounds    bounds
	low, high float64
}

func quantityOf[T any](dim quantity.Dimension, at func(*T) *float64, b bounds) kind[T] {
	low, err := quantity.Parse(b.low, dim)
	if err != nil {
		panic(err) // a slip in the table of settings; any test run finds it
	}
	high, err := quantity.Parse(b.high, dim)
	if err != nil {
		panic(err)
	}
	return quantityKind[T]{dim, at, b, low, high}
}

func (k quantityKind[T]) read(t *T, v any) *fault {
	text, ok := v.(string)
	if !ok {
		switch v.(type) {
		case int64, float64:
			text = tomlplace.Number(v) // Parse says which unit it lacks
		default:
			return &fault{"this is " + tomlplace.Describe(v), k.accepts()}
		}
	}
	x, err := quantity.Parse(text, k.dim)
	if err != nil {
		e := err.(*quantity.Error)
		return &fault{e.Problem, e.Accept}
	}
	*k.at(t) = x
	return k.check(t)
}

func (k quantityKind[T]) check(t *T) *fault {
	v := *k.at(t)
	return k.bounds.check(v, k.low, k.high, func() string { return quantity.Exact(v, k.dim) })
}

func (k quantityKind[T]) hold(t *T) any         { return quantity.Exact(*k.at(t), k.dim) }
func (k quantityKind[T]) value(text string) any { return text }
func (k quantityKind[T]) measure() string       { return k.dim.Name() }
func (k quantityKind[T]) accepts() string {
	return fmt.Sprintf("%s, in quotes with a unit: %s", k.bounds, strings.Join(k.dim.Units(), ", "))
}

// spanKind is one quantity, or two with "to" between that it may lie between, in a string.
type spanKind[T any] struct {
	low, high quantityKind[T]
}

func spanOf[T any](dim quantity.Dimension, at func(*T) (low, high *float64), b bounds) kind[T] {
	end := func(pick func(low, high *float64) *float64) quantityKind[T] {
		return quantityOf(dim, func(t *T) *float64 { return pick(at(t)) }, b).(quantityKind[T])
	}
	return spanKind[T]{
		end(func(low, _ *float64) *float64 { return low }),
		end(func(_, high *float64) *float64 { return high }),
	}
}

func (k spanKind[T]) read(t *T, v any) *fault {
	low, high := v, v
	if text, ok := v.(string); ok {
		if a, b, two := strings.Cut(text, " to "); two {
			low, high = a, b
		}
	}
	for _, end := range []struct {
		kind quantityKind[T]
		v    any
	}{{k.low, low}, {k.high, high}} {
		if f := end.kind.read(t, end.v); f != nil {
			return &fault{f.problem, k.accepts()}
		}
	}
	return k.check(t)
}

func (k spanKind[T]) check(t *T) *fault {
	for _, end := range []quantityKind[T]{k.low, k.high} {
		if f := end.check(t); f != nil {
			return f
		}
	}
	if low, high := *k.low.at(t), *k.high.at(t); low > high {
		return &fault{fmt.Sprintf("%s to %s runs down", quantity.Exact(low, k.low.dim), quantity.Exact(high, k.low.dim)), "the lower end first"}
	}
	return nil
}

func (k spanKind[T]) hold(t *T) any {
	low, high := k.low.hold(t).(string), k.high.hold(t).(string)
	if low == high {
		return high
	}
	return low + " to " + high
}
func (k spanKind[T]) value(text string) any { return text }
func (k spanKind[T]) measure() string       { return k.high.measure() }
func (k spanKind[T]) accepts() string {
	return k.high.accepts() + `; or two with "to" between`
}

// numberKind is a pure number.
type numberKind[T any] struct {
	at        func(*T) *float64
	bounds    bounds
	low, high float64
}

func numberOf[T any](at func(*T) *float64, b bounds) kind[T] {
	low, err := strconv.ParseFloat(b.low, 64)
	if err != nil {
		panic(err)
	}
	high, err := strconv.ParseFloat(b.high, 64)
	if err != nil {
		panic(err)
	}
	return numberKind[T]{at, b, low, high}
}

func (k numberKind[T]) read(t *T, v any) *fault {
	switch x := v.(type) {
	case int64:
		*k.at(t) = float64(x)
	case float64:
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return &fault{tomlplace.Number(x) + " is not a finite number", k.accepts()}
		}
		*k.at(t) = x
	default:
		return &fault{"this is " + tomlplace.Describe(v), k.accepts()}
	}
	return k.check(t)
}

func (k numberKind[T]) check(t *T) *fault {
	v := *k.at(t)
	return k.bounds.check(v, k.low, k.high, func() string { return tomlplace.Number(v) })
}

func (k numberKind[T]) hold(t *T) any         { return *k.at(t) }
func (k numberKind[T]) value(text string) any { return bare(text) }
func (k numberKind[T]) measure() string       { return "number" }
func (k numberKind[T]) accepts() string       { return "a number, " + k.bounds.String() }

// wholeKind is a count.
type wholeKind[T any] struct {
	at        func(*T) *int
	low, high int
}

func wholeOf[T any](at func(*T) *int, low, high int) kind[T] { return wholeKind[T]{at, low, high} }

func (k wholeKind[T]) read(t *T, v any) *fault {
	x, ok := v.(int64)
	if !ok {
		return &fault{"this is " + tomlplace.Describe(v), k.accepts()}
	}
	if x < int64(k.low) || x > int64(k.high) {
		return &fault{fmt.Sprintf("%d is out of range", x), k.accepts()}
	}
	*k.at(t) = int(x)
	return nil
}

func (k wholeKind[T]) check(t *T) *fault     { return k.read(t, int64(*k.at(t))) }
func (k wholeKind[T]) hold(t *T) any         { return int64(*k.at(t)) }
func (k wholeKind[T]) value(text string) any { return bare(text) }
func (k wholeKind[T]) measure() string       { return "whole number" }
func (k wholeKind[T]) accepts() string {
	if k.high == maxWhole {
		return fmt.Sprintf("a whole number, %d or more", k.low)
	}
	return fmt.Sprintf("a whole number, %d to %d", k.low, k.high)
}

const maxWhole = math.MaxInt32

// seedKind is a seed of a random sequence.
type seedKind[T any] struct{ at func(*T) *uint64 }

func seedOf[T any](at func(*T) *uint64) kind[T] { return seedKind[T]{at} }

func (k seedKind[T]) read(t *T, v any) *fault {
	x, ok := v.(int64)
	if !ok {
		return &fault{"this is " + tomlplace.Describe(v), k.accepts()}
	}
	if x < 0 {
		return &fault{fmt.Sprintf("%d is negative", x), k.accepts()}
	}
	*k.at(t) = uint64(x)
	return nil
}

func (k seedKind[T]) check(t *T) *fault {
	if v := *k.at(t); v > math.MaxInt64 {
		return &fault{fmt.Sprintf("%d does not fit in a file", v), k.accepts()}
	}
	return nil
}
func (k seedKind[T]) hold(t *T) any         { return int64(*k.at(t)) }
func (k seedKind[T]) value(text string) any { return bare(text) }
func (k seedKind[T]) measure() string       { return "whole number" }
func (k seedKind[T]) accepts() string       { return "a whole number, 0 or more" }

// switchKind is true or false.
type switchKind[T any] struct{ at func(*T) *bool }

func switchOf[T any](at func(*T) *bool) kind[T] { return switchKind[T]{at} }

func (k switchKind[T]) read(t *T, v any) *fault {
	x, ok := v.(bool)
	if !ok {
		return &fault{"this is " + tomlplace.Describe(v), k.accepts()}
	}
	*k.at(t) = x
	return nil
}

func (k switchKind[T]) check(*T) *fault { return nil }
func (k switchKind[T]) hold(t *T) any   { return *k.at(t) }
func (k switchKind[T]) value(text string) any {
	if v, err := strconv.ParseBool(text); err == nil {
		return v
	}
	return text
}
func (k switchKind[T]) measure() string { return "true or false" }
func (k switchKind[T]) accepts() string { return "true or false" }

// choiceKind is one of a few names.
type choiceKind[T any, S ~string] struct {
	at      func(*T) *S
	options []S
}

func choiceOf[T any, S ~string](at func(*T) *S, options ...S) kind[T] {
	return choiceKind[T, S]{at, options}
}

func (k choiceKind[T, S]) read(t *T, v any) *fault {
	text, ok := v.(string)
	if !ok {
		return &fault{"this is " + tomlplace.Describe(v), k.accepts()}
	}
	*k.at(t) = S(text)
	return k.check(t)
}

func (k choiceKind[T, S]) check(t *T) *fault {
	v := *k.at(t)
	if slices.Contains(k.options, v) {
		return nil
	}
	return &fault{fmt.Sprintf("%s is not among the choices", tomlplace.Clip(string(v))), k.accepts() + did(spelling.Nearest(string(v), k.names()))}
}

func (k choiceKind[T, S]) hold(t *T) any         { return string(*k.at(t)) }
func (k choiceKind[T, S]) value(text string) any { return text }
func (k choiceKind[T, S]) measure() string       { return "choice" }
func (k choiceKind[T, S]) accepts() string       { return strings.Join(k.names(), ", ") }
func (k choiceKind[T, S]) names() []string {
	names := make([]string, len(k.options))
	for i, o := range k.options {
		names[i] = string(o)
	}
	return names
}

// textKind is free text on one line.
type textKind[T any] struct {
	at  func(*T) *string
	max int // characters
}

func textOf[T any](at func(*T) *string, max int) kind[T] { return textKind[T]{at, max} }

func (k textKind[T]) read(t *T, v any) *fault {
	text, ok := v.(string)
	if !ok {
		return &fault{"this is " + tomlplace.Describe(v), k.accepts()}
	}
	*k.at(t) = text
	return k.check(t)
}

func (k textKind[T]) check(t *T) *fault {
	text := *k.at(t)
	if n := utf8.RuneCountInString(text); n > k.max {
		return &fault{fmt.Sprintf("%d characters", n), k.accepts()}
	}
	if i := strings.IndexFunc(text, func(r rune) bool { return unicode.IsControl(r) || r == utf8.RuneError }); i >= 0 {
		return &fault{fmt.Sprintf("%q holds a character that cannot be printed", text), k.accepts()}
	}
	return nil
}

func (k textKind[T]) hold(t *T) any         { return *k.at(t) }
func (k textKind[T]) value(text string) any { return text }
func (k textKind[T]) measure() string       { return "text" }
func (k textKind[T]) accepts() string {
	return fmt.Sprintf("text in quotes on one line, up to %d characters", k.max)
}

// countsKind is a list of counts.
type countsKind[T any] struct {
	at        func(*T) *[]int
	low, high int
}

func countsOf[T any](at func(*T) *[]int, low, high int) kind[T] { return countsKind[T]{at, low, high} }

func (k countsKind[T]) read(t *T, v any) *fault {
	list, ok := v.([]any)
	if !ok {
		return &fault{"this is " + tomlplace.Describe(v), k.accepts()}
	}
	var counts []int
	for _, item := range list {
		n, ok := item.(int64)
		if !ok {
			return &fault{"the list holds " + tomlplace.Describe(item), k.accepts()}
		}
		if n < int64(k.low) || n > int64(k.high) {
			return &fault{fmt.Sprintf("the list holds %d", n), k.accepts()}
		}
		counts = append(counts, int(n))
	}
	*k.at(t) = counts
	return k.check(t)
}

func (k countsKind[T]) check(t *T) *fault {
	counts := *k.at(t)
	if len(counts) == 0 || len(counts) > k.high {
		return &fault{fmt.Sprintf("a list of %d", len(counts)), k.accepts()}
	}
	for _, n := range counts {
		if n < k.low || n > k.high {
			return &fault{fmt.Sprintf("the list holds %d", n), k.accepts()}
		}
	}
	return nil
}

func (k countsKind[T]) hold(t *T) any {
	list := []any{}
	for _, n := range *k.at(t) {
		list = append(list, int64(n))
	}
	return list
}

func (k countsKind[T]) value(text string) any {
	list := []any{}
	for _, part := range strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune("[], ", r) }) {
		list = append(list, bare(part))
	}
	return list
}
func (k countsKind[T]) measure() string { return "list of whole numbers" }
func (k countsKind[T]) accepts() string {
	return fmt.Sprintf("a list of whole numbers such as [2, 4], each %d to %d", k.low, k.high)
}

// bare reads a text as the number TOML would see; as text when it is none.
func bare(text string) any {
	text = strings.TrimSpace(text)
	if n, err := strconv.ParseInt(text, 10, 64); err == nil {
		return n
	}
	if x, err := strconv.ParseFloat(text, 64); err == nil {
		return x
	}
	return text
}

// encode writes what a TOML file holds as it stands there.
func encode(v any) string {
	switch x := v.(type) {
	case string:
		return quote(x)
	case bool:
		return strconv.FormatBool(x)
	case []any:
		parts := make([]string, len(x))
		for i, item := range x {
			parts[i] = encode(item)
		}
		return "[" + strings.Join(parts, ", ") + "]"
	}
	return tomlplace.Number(v)
}

// quote writes a text as a TOML basic string.
func quote(text string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range text {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r < 0x20 || r == 0x7f:
			fmt.Fprintf(&b, "\\u%04X", r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}

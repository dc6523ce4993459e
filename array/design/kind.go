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

// kind is how a setting is written, read and held to its limits. Its functions take where the
// value stands: a pointer to it, or to both ends of a span.
type kind struct {
	measure string // the dimension or type
	accepts string // what may be written
	// read sets the value from what a TOML file holds, and check holds it against the limits.
	read  func(at, v any) *fault
	check func(at any) *fault
	// hold returns the value as a TOML file holds it; read gives it back exactly.
	hold func(at any) any
	// value turns a text from a command line into what a TOML file would hold.
	value func(text string) any

	// Of a number: its dimension, nil of a pure one, and its bounds.
	dim    *quantity.Dimension
	bounds bounds
}

// kept makes the kind of a value: take is what it reads, hold what it writes.
func kept[V any](measure, accepts string, take func(v any) (V, *fault), check func(V) *fault, hold func(V) any, value func(string) any) kind {
	return kind{
		measure: measure, accepts: accepts, value: value,
		read: func(at, v any) *fault {
			x, f := take(v)
			if f != nil {
				return f
			}
			*at.(*V) = x
			return check(x)
		},
		check: func(at any) *fault { return check(*at.(*V)) },
		hold:  func(at any) any { return hold(*at.(*V)) },
	}
}

// as takes a value of a type from what a TOML file holds.
func as[V any](v any, accepts string) (V, *fault) {
	x, ok := v.(V)
	if !ok {
		return x, &fault{"this is " + tomlplace.Describe(v), accepts}
	}
	return x, nil
}

func anything[V any](V) *fault        { return nil }
func itself[V any](v V) any           { return v }
func asText(text string) any          { return text }
func whole[N ~int | ~uint64](n N) any { return int64(n) }

// quantityOf is a number with a unit, in a string.
func quantityOf(dim quantity.Dimension, b bounds) kind {
	low, high := b.parsed(func(text string) (float64, error) { return quantity.Parse(text, dim) })
	accepts := fmt.Sprintf("%s, in quotes with a unit: %s", b, strings.Join(dim.Units(), ", "))
	k := kept(dim.Name(), accepts, func(v any) (float64, *fault) {
		switch v.(type) {
		case int64, float64:
			v = tomlplace.Number(v) // Parse says which unit it lacks
		}
		text, f := as[string](v, accepts)
		if f != nil {
			return 0, f
		}
		x, err := quantity.Parse(text, dim)
		if err != nil {
			e := err.(*quantity.Error)
			return 0, &fault{e.Problem, e.Accept}
		}
		return x, nil
	}, func(v float64) *fault {
		return b.check(v, low, high, func() string { return quantity.Exact(v, dim) })
	}, func(v float64) any { return quantity.Exact(v, dim) }, asText)
	k.dim, k.bounds = &dim, b
	return k
}

// spanOf is one quantity, or two with "to" between that it may lie between, in a string.
func spanOf(dim quantity.Dimension, b bounds) kind {
	end := quantityOf(dim, b)
	k := end
	k.accepts += `; or two with "to" between`
	k.check = func(at any) *fault {
		ends := at.([2]*float64)
		for _, p := range ends {
			if f := end.check(p); f != nil {
				return f
			}
		}
		if *ends[0] > *ends[1] {
			return &fault{fmt.Sprintf("%s to %s runs down", end.hold(ends[0]), end.hold(ends[1])), "the lower end first"}
		}
		return nil
	}
	k.read = func(at, v any) *fault {
		parts := []any{v, v}
		if text, ok := v.(string); ok {
			if a, b, two := strings.Cut(text, " to "); two {
				parts = []any{a, b}
			}
		}
		for i, p := range at.([2]*float64) {
			if f := end.read(p, parts[i]); f != nil {
				return &fault{f.problem, k.accepts}
			}
		}
		return k.check(at)
	}
	k.hold = func(at any) any {
		ends := at.([2]*float64)
		low, high := end.hold(ends[0]).(string), end.hold(ends[1]).(string)
		if low == high {
			return high
		}
		return low + " to " + high
	}
	return k
}

// numberOf is a pure number.
func numberOf(b bounds) kind {
	low, high := b.parsed(func(text string) (float64, error) { return strconv.ParseFloat(text, 64) })
	accepts := "a number, " + b.String()
	k := kept("number", accepts, func(v any) (float64, *fault) {
		if n, ok := v.(int64); ok {
			return float64(n), nil
		}
		x, f := as[float64](v, accepts)
		if math.IsNaN(x) || math.IsInf(x, 0) {
			f = &fault{tomlplace.Number(x) + " is not a finite number", accepts}
		}
		return x, f
	}, func(v float64) *fault {
		return b.check(v, low, high, func() string { return tomlplace.Number(v) })
	}, itself, bare)
	k.bounds = b
	return k
}

// wholeOf is a count.
func wholeOf(low, high int) kind {
	accepts := fmt.Sprintf("a whole number, %d to %d", low, high)
	if high == maxWhole {
		accepts = fmt.Sprintf("a whole number, %d or more", low)
	}
	take := func(v any) (int, *fault) {
		x, f := as[int64](v, accepts)
		if f == nil && (x < int64(low) || x > int64(high)) {
			f = &fault{fmt.Sprintf("%d is out of range", x), accepts}
		}
		return int(x), f
	}
	return kept("whole number", accepts, take, func(n int) *fault { _, f := take(int64(n)); return f }, whole, bare)
}

const maxWhole = math.MaxInt32

// seedOf is a seed of a random sequence.
func seedOf() kind {
	const accepts = "a whole number, 0 or more"
	return kept("whole number", accepts, func(v any) (uint64, *fault) {
		x, f := as[int64](v, accepts)
		if x < 0 {
			f = &fault{fmt.Sprintf("%d is negative", x), accepts}
		}
		return uint64(x), f
	}, func(v uint64) *fault {
		if v > math.MaxInt64 {
			return &fault{fmt.Sprintf("%d does not fit in a file", v), accepts}
		}
		return nil
	}, whole, bare)
}

// switchOf is true or false.
func switchOf() kind {
	const accepts = "true or false"
	return kept(accepts, accepts, func(v any) (bool, *fault) { return as[bool](v, accepts) }, anything, itself, func(text string) any {
		if v, err := strconv.ParseBool(text); err == nil {
			return v
		}
		return text
	})
}

// choiceOf is one of a few names.
func choiceOf[S ~string](options ...S) kind {
	names := spelling.Texts(options)
	accepts := strings.Join(names, ", ")
	return kept("choice", accepts, func(v any) (S, *fault) {
		text, f := as[string](v, accepts)
		return S(text), f
	}, func(v S) *fault {
		if slices.Contains(options, v) {
			return nil
		}
		return &fault{fmt.Sprintf("%s is not among the choices", tomlplace.Clip(string(v))), accepts + did(spelling.Nearest(string(v), names))}
	}, func(v S) any { return string(v) }, asText)
}

// textOf is free text on one line, of so many characters at most.
func textOf(most int) kind {
	accepts := fmt.Sprintf("text in quotes on one line, up to %d characters", most)
	return kept("text", accepts, func(v any) (string, *fault) { return as[string](v, accepts) }, func(text string) *fault {
		if n := utf8.RuneCountInString(text); n > most {
			return &fault{fmt.Sprintf("%d characters", n), accepts}
		}
		if strings.ContainsFunc(text, func(r rune) bool { return unicode.IsControl(r) || r == utf8.RuneError }) {
			return &fault{fmt.Sprintf("%q holds a character that cannot be printed", text), accepts}
		}
		return nil
	}, itself, asText)
}

// countsOf is a list of counts.
func countsOf(low, high int) kind {
	accepts := fmt.Sprintf("a list of whole numbers such as [2, 4], each %d to %d", low, high)
	return kept("list of whole numbers", accepts, func(v any) (counts []int, f *fault) {
		list, f := as[[]any](v, accepts)
		for _, item := range list {
			n, ok := item.(int64)
			switch {
			case !ok:
				return nil, &fault{"the list holds " + tomlplace.Describe(item), accepts}
			case n < int64(low) || n > int64(high):
				return nil, &fault{fmt.Sprintf("the list holds %d", n), accepts}
			}
			counts = append(counts, int(n))
		}
		return counts, f
	}, func(counts []int) *fault {
		if len(counts) == 0 || len(counts) > high {
			return &fault{fmt.Sprintf("a list of %d", len(counts)), accepts}
		}
		for _, n := range counts {
			if n < low || n > high {
				return &fault{fmt.Sprintf("the list holds %d", n), accepts}
			}
		}
		return nil
	}, func(counts []int) any {
		list := []any{}
		for _, n := range counts {
			list = append(list, int64(n))
		}
		return list
	}, func(text string) any {
		list := []any{}
		for _, part := range strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune("[], ", r) }) {
			list = append(list, bare(part))
		}
		return list
	})
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

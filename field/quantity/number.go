package quantity

import (
	"strings"
	"unicode/utf8"
)

// number splits a text into the decimal number at its start, in plain ASCII, and
// the rest. The number is empty when the text does not start with one.
func number(text string) (num, rest string) {
	sign := ""
	body := text
	switch r, n := utf8.DecodeRuneInString(text); r {
	case '+':
		body = text[n:]
	case '-', '−': // U+2212 is what a word processor makes of it
		sign, body = "-", text[n:]
	}
	i := digits(body)
	n := i
	if i < len(body) && body[i] == '.' {
		f := digits(body[i+1:])
		n += f
		i += 1 + f
	}
	if n == 0 {
		return "", text
	}
	if i < len(body) && (body[i] == 'e' || body[i] == 'E') {
		j := i + 1
		if j < len(body) && (body[j] == '+' || body[j] == '-') {
			j++
		}
		if e := digits(body[j:]); e > 0 {
			i = j + e
		}
	}
	return sign + body[:i], body[i:]
}

func digits(s string) int {
	i := 0
	for i < len(s) && s[i] >= '0' && s[i] <= '9' {
		i++
	}
	return i
}

// exponent returns the decimal exponent of a number, capped at ±9999 so that no
// text makes it overflow.
func exponent(num string) int {
	i := strings.IndexAny(num, "eE")
	if i < 0 {
		return 0
	}
	e, neg := 0, false
	for _, c := range num[i+1:] {
		switch {
		case c == '-':
			neg = true
		case c >= '0' && c <= '9' && e < 1000:
			e = 10*e + int(c-'0')
		}
	}
	if neg {
		return -e
	}
	return e
}

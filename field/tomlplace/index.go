package tomlplace

import (
	"regexp"
	"sort"
	"strings"
	"unicode/utf8"
)

// index finds lines and columns.
type index struct {
	data   []byte
	starts []int // offset of each line
}

func lineIndex(data []byte) index {
	starts := []int{0}
	for i, c := range data {
		if c == '\n' {
			starts = append(starts, i+1)
		}
	}
	return index{data, starts}
}

func (x index) place(offset int) Place {
	i := sort.SearchInts(x.starts, offset+1) - 1
	return Place{i + 1, utf8.RuneCount(x.data[x.starts[i]:offset]) + 1}
}

// line returns the text of a line, without its end.
func (x index) line(n int) string {
	if n < 1 || n > len(x.starts) {
		return ""
	}
	text, _, _ := strings.Cut(string(x.data[x.starts[n-1]:]), "\n")
	return strings.TrimSuffix(text, "\r")
}

// unquoted matches the commonest slip: pitch = 12 mm.
var unquoted = regexp.MustCompile(`^\s*([A-Za-z0-9_.-]+)\s*=\s*([-+]?[0-9.]+(?:[eE][-+]?[0-9]+)?\s*[^\s0-9"'#,\]}][^"'#]*?)\s*(?:#.*)?$`)

// Package spelling deals with names: which one a mistyped one was probably meant to be.
package spelling

import "strings"

// Edits returns the least number of letters to insert, drop, change or swap with
// their neighbour to turn a into b (optimal string alignment, L. Boytsov, ACM J.
// Experimental Algorithmics 16 (2011), from memory).
func Edits(a, b string) int {
	s, t := []rune(a), []rune(b)
	var older []int
	old := make([]int, len(t)+1)
	for j := range old {
		old[j] = j
	}
	for i := 1; i <= len(s); i++ {
		row := make([]int, len(t)+1)
		row[0] = i
		for j := 1; j <= len(t); j++ {
			change := 1
			if s[i-1] == t[j-1] {
				change = 0
			}
			row[j] = min(old[j]+1, row[j-1]+1, old[j-1]+change)
			if i > 1 && j > 1 && s[i-1] == t[j-2] && s[i-2] == t[j-1] {
				row[j] = min(row[j], older[j-2]+1)
			}
		}
		older, old = old, row
	}
	return old[len(t)]
}

// Nearest returns the name closest to a mistyped one, the first of equals; empty
// when none is close: one edit away for short names, a third of the letters and
// four at most for longer ones. Upper and lower case count as one.
func Nearest(typed string, names []string) string {
	typed = strings.ToLower(typed)
	best, bestDistance := "", max(1, min(4, len(typed)/3))+1
	for _, name := range names {
		if len(name) > len(typed)+4 || len(typed) > len(name)+4 {
			continue
		}
		if d := Edits(typed, strings.ToLower(name)); d < bestDistance {
			best, bestDistance = name, d
		}
	}
	return best
}

// Texts are names of a type of their own as plain texts.
func Texts[S ~string](names []S) []string {
	list := make([]string, len(names))
	for i, n := range names {
		list[i] = string(n)
	}
	return list
}

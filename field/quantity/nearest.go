package quantity

import "strings"

// nearest returns the accepted unit closest to a mistyped one; empty when none is
// close.
func (d Dimension) nearest(name string) string {
	if d.d == nil {
		return ""
	}
	typed := normal(name)
	best, bestDistance := "", 2
	if len([]rune(typed)) > 3 {
		bestDistance = 3
	}
	for _, u := range d.d.units {
		for _, s := range append([]string{u.symbol}, u.also...) {
			spelling := normal(s)
			distance := edits(typed, spelling)
			if strings.EqualFold(typed, spelling) {
				distance = 0
			}
			// A degree sign left out is the usual slip with temperatures.
			if strings.EqualFold("°"+typed, spelling) {
				distance = 0
			}
			// A single letter is one edit away from every other: no hint.
			if len([]rune(typed)) == 1 && len([]rune(spelling)) == 1 && distance > 0 {
				continue
			}
			if distance < bestDistance {
				best, bestDistance = u.symbol, distance
			}
		}
	}
	return best
}

// edits returns the least number of letters to insert, drop, change or swap with
// their neighbour to turn a into b (optimal string alignment).
func edits(a, b string) int {
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

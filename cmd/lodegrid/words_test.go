package main

import (
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"
)

// Words and figures that mean nothing to a maker are on no screen: no rounding of the computer
// told as a figure, no internal name of a pixel or frame.
func TestWordsAMakerKnows(t *testing.T) {
	t.Parallel()
	strange := regexp.MustCompile(`(?i)hungr|\bfor ever\b|do not pass|\de-1\d|\br0c\d`)
	look := func(what, text string) {
		if len(text) < 50 {
			t.Errorf("%s: only %q", what, text)
		}
		if at := strange.FindStringIndex(text); at != nil {
			t.Errorf("%s says %q", what, text[max(at[0]-60, 0):min(at[1]+40, len(text))])
		}
	}
	page := filepath.Join(t.TempDir(), "page.html")
	for _, args := range [][]string{
		{"report", smallDesign, "--why", "--html", page}, {"crosstalk", smallDesign, "--equalise", "--why"},
		{"frames", smallDesign, "-o", filepath.Join(t.TempDir(), "f.lvt")}, {"help", "scenes"}, {"help", "files"}, {"design", "--explain"},
	} {
		r := lode(args...)
		look(strings.Join(args[:2], " "), r.out+r.err)
	}
	for _, name := range []string{"heat", "supply", "faults", "coil"} {
		look(name, textOf(t, documentOf(t, name, smallDesign), 0, true))
	}
	look("the page", regexp.MustCompile(`base64,[^"]*`).ReplaceAllString(readFile(t, page), ""))
	for _, c := range commands() {
		r := lode("help", c.name)
		look("help "+c.name, r.out)
	}
}

// In columns no line is longer, in tables neither, and nothing is lost.
func TestColumns(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"report", "heat", "supply", "crosstalk", "faults"} {
		doc := documentOf(t, name, smallDesign)
		wide := textOf(t, doc, 0, false)
		for _, most := range []int{60, 80} {
			narrow := textOf(t, doc, most, false)
			for _, line := range strings.Split(narrow, "\n") {
				// A single word, as a setting, is not broken.
				if utf8.RuneCountInString(line) > most && len(strings.Fields(line)) > 1 && !strings.HasPrefix(line, "---") {
					t.Errorf("%s in %d columns: %d letters in %q", name, most, utf8.RuneCountInString(line), line)
				}
			}
			has := map[string]int{}
			for _, word := range strings.Fields(narrow) {
				has[word]++
			}
			for _, word := range strings.Fields(wide) {
				if has[word] == 0 && !strings.HasPrefix(word, "---") {
					t.Errorf("%s in %d columns lost %q", name, most, word)
				}
			}
		}
	}
	coil := documentOf(t, "coil", smallDesign)
	if narrow := textOf(t, coil, 60, false); lode("coil", smallDesign, "--columns", "60").out != narrow || narrow == textOf(t, coil, 0, false) {
		t.Error("--columns 60 does not print 60 columns")
	}
	lode("report", smallDesign, "--columns", "59").want(t, exitUsage, "60 or more")
}

package main

import (
	"os"
	"slices"
	"strings"
	"testing"
)

// What the README shows of the program's output is what it prints: what is soon refused is run
// here, all of it by TestReadmeWalk.
func TestReadmeQuotesTheProgram(t *testing.T) {
	t.Parallel()
	quotes, ran := 0, 0
	for _, s := range readmeSteps(t) {
		words := s.words()
		if quotes += len(s.quotes); len(s.quotes) == 0 || os.Getenv("LODEGRID_CI") != "" || s.code != exitInput {
			continue
		}
		ran++
		args := words[1:]
		if !slices.ContainsFunc(args, func(a string) bool { return strings.HasSuffix(a, ".toml") }) {
			args = slices.Insert(args, 1, demoDesign) // other tests have another sign built in
		}
		r := lode(args...)
		if r.code != s.code {
			t.Fatalf("%s: exit code %d, README promises %d: %s", s.line, r.code, s.code, r.err)
		}
		s.quoted(t, r.out+r.err)
	}
	if quotes < 8 || ran == 0 && os.Getenv("LODEGRID_CI") == "" {
		t.Errorf("only %d lines are quoted, %d refusals: the README is not read as it is written", quotes, ran)
	}
}

// quoted checks that what a command printed has the lines that README quotes, in their order.
func (s step) quoted(t *testing.T, printed string) {
	t.Helper()
	lines := strings.Split(printed, "\n")
	for _, q := range s.quotes {
		k := slices.IndexFunc(lines, func(l string) bool { return strings.TrimSpace(l) == q })
		if k < 0 {
			t.Errorf("README.md quotes %q, which %s does not print there", q, s.line)
			continue
		}
		lines = lines[k+1:]
	}
}

package main

import (
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// What the README shows of the program's output is what it prints: every line of a block
// that begins with "$ lodegrid" stands in the output of that command, in this order. Of
// each subcommand the first is run, of all of them in the full check.
func TestReadmeQuotesTheProgram(t *testing.T) {
	t.Parallel()
	arguments := regexp.MustCompile(`[^\s"]+"[^"]*"|\S+`)
	quotes := 0
	var lines, ran []string // of the output that is quoted from; subcommands
	for _, line := range strings.Split(readFile(t, "../../README.md"), "\n") {
		text, quoted := strings.CutPrefix(line, "    ")
		command, begins := strings.CutPrefix(text, "$ lodegrid ")
		switch {
		case !quoted:
			lines = nil
		case begins && slices.Contains(ran, strings.Fields(command)[0]) && os.Getenv("LODEGRID_CI") == "":
			lines = nil // the full check runs them all
		case begins:
			ran = append(ran, strings.Fields(command)[0])
			args := arguments.FindAllString(command, -1)
			for i, a := range args {
				args[i] = strings.ReplaceAll(a, `"`, "")
			}
			if !slices.ContainsFunc(args, func(a string) bool { return strings.HasSuffix(a, ".toml") }) {
				args = slices.Insert(args, 1, demoDesign) // other tests have another sign built in
			}
			r := lode(args...)
			if lines = strings.Split(r.out, "\n"); r.code == exitInput { // what mends it is quoted too
				lines = strings.Split(r.err, "\n")
			} else if r.code != exitOK && r.code != exitLimit {
				t.Fatalf("%s: exit code %d, %s", command, r.code, r.err)
			}
		case lines != nil && text != "…":
			quotes++
			k := slices.IndexFunc(lines, func(l string) bool { return strings.TrimSpace(l) == strings.TrimSpace(text) })
			if k < 0 {
				t.Errorf("README.md quotes %q, which is not printed there", text)
				continue
			}
			lines = lines[k+1:]
		}
	}
	least := 10
	if os.Getenv("LODEGRID_CI") == "" {
		least = 3
	}
	if quotes < least {
		t.Errorf("only %d lines are quoted: the README is not read as it is written", quotes)
	}
}

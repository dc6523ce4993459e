package main

import (
	"context"
	"embed"
	"slices"
	"strings"
	"text/template"

	"github.com/spf13/pflag"

	"lodegrid/array/design"
)

//go:embed completion/*.tmpl
var completionScripts embed.FS

var shells = []string{"bash", "zsh", "fish"}

func completionCommand() command {
	return command{
		name: "completion", words: shells, short: "a script that has a shell complete subcommands, flags and their values",
		long: `Prints a script for the shell named. It takes effect in a running shell with

  source <(lodegrid completion bash)
  source <(lodegrid completion zsh)      # after compinit
  lodegrid completion fish | source

and for good in the file where the shell keeps completions, such as
~/.local/share/bash-completion/completions/lodegrid, _lodegrid in a folder of zsh's
fpath, or ~/.config/fish/completions/lodegrid.fish.`,
		setup: func(f *flagSet) body {
			return func(_ context.Context, j *job) error {
				t, err := template.New("").Funcs(template.FuncMap{"join": strings.Join, "zsh": zshText, "fish": fishText}).ParseFS(completionScripts, "completion/*.tmpl")
				if err != nil {
					return err
				}
				return t.ExecuteTemplate(j.out, f.Arg(0)+".tmpl", completions())
			}
		},
	}
}

// completed is what may follow on a command line after a subcommand.
type completed struct {
	Name, About string
	Design      bool
	Words       []string
	Flags       []completedFlag
}

// completedFlag is a flag, and what is known about its value.
type completedFlag struct {
	Name, Short, About string
	Value              bool
	Words              []string // values that are accepted, or some of them
	Files              bool     // or a file
	Open               bool     // each word is the beginning of a value
	Many               bool
}

// completions gathers the subcommands with their flags.
func completions() (list []completed) {
	helped := completed{Name: "help", About: "this list, or the help of one subcommand"}
	for _, t := range topics() {
		helped.Words = append(helped.Words, t.name)
	}
	for _, c := range commands() {
		helped.Words = append(helped.Words, c.name)
		one := completed{Name: c.name, About: c.short, Design: c.reads != nothing, Words: c.words}
		flags, _ := newFlagSet(c)
		flags.VisitAll(func(f *pflag.Flag) { one.Flags = append(one.Flags, completedFlagOf(flags, f)) })
		one.Flags = append(one.Flags, completedFlag{Name: "help", Short: "h", About: "the help of " + c.name})
		list = append(list, one)
	}
	return append(list, helped)
}

func completedFlagOf(flags *flagSet, f *pflag.Flag) completedFlag {
	c := completedFlag{Name: f.Name, Short: f.Shorthand, About: f.Usage, Value: f.NoOptDefVal == ""}
	if w, ok := f.Value.(choice); ok {
		c.Words = w.accepted
	}
	for _, t := range flags.targets {
		c.Files = c.Files || t.Flag == f.Name
	}
	switch f.Name {
	case "scene":
		c.Words, c.Files = kindNames(), true
	case "wasm", "wasm-exec":
		c.Files = true
	case "set":
		c.Open, c.Many = true, true
		for _, e := range design.Explain() {
			if !strings.HasPrefix(e.Key, "board.rule.") {
				c.Words = append(c.Words, e.Key+"=")
			}
		}
		slices.Sort(c.Words)
	}
	return c
}

// zshText protects a description for zsh's _arguments and _describe, between quotes.
func zshText(s string) string {
	return strings.NewReplacer(`\`, `\\`, `'`, `'\''`, `[`, `\[`, `]`, `\]`, `:`, `\:`).Replace(s)
}

// fishText protects a text between quotes.
func fishText(s string) string { return strings.NewReplacer(`\`, `\\`, `'`, `\'`).Replace(s) }

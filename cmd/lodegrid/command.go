package main

import (
	"context"
	"errors"
	"fmt"
	"runtime/debug"
	"strings"

	"github.com/spf13/pflag"

	"lodegrid/field/quantity/spelling"
)

// command is one subcommand.
type command struct {
	name  string
	reads reading
	words []string // one of which must follow, where the command takes words
	short string   // one line
	long  string   // what it computes, for its own help
	// setup declares flags and returns what runs once they are parsed.
	setup func(f *flagSet) body
}

// args is what may follow the name.
func (c command) args() string {
	switch {
	case c.words != nil:
		return " " + strings.Join(c.words, "|")
	case c.reads == nothing:
		return ""
	}
	switch c.reads {
	case manyDesigns:
		return " DESIGN…"
	case designAndReadings:
		return " [DESIGN] READINGS"
	}
	return " [DESIGN]"
}

// commands lists the subcommands in the order of the help.
func commands() []command {
	return []command{
		reportCommand, coilCommand, chooseCommand, compareCommand, couponCommand, fitCommand, crosstalkCommand, heatCommand, supplyCommand, drivesCommand, faultsCommand,
		filmCommand, framesCommand, carryCommand, orderCommand, playCommand, webCommand, designCommand,
		completionCommand(), licencesCommand, versionCommand,
	}
}

// run finds and runs a subcommand and returns the exit code.
func run(ctx context.Context, args []string, io streams) int {
	out := &checked{Writer: io.out}
	io.out = out
	err := dispatch(ctx, args, io)
	if out.err != nil && !errors.Is(err, context.Canceled) {
		err = fmt.Errorf("writing to the standard output: %w", out.err)
	}
	code := exitCode(err)
	switch {
	case err == nil, errors.Is(err, errLimit):
	case code == exitInterrupted:
		fmt.Fprintln(io.err, "lodegrid: interrupted")
	default:
		fmt.Fprintf(io.err, "lodegrid: %v\n", err)
	}
	return code
}

func dispatch(ctx context.Context, args []string, io streams) (err error) {
	defer mistake(&err)
	if len(args) == 0 {
		_ = writeHelp(io.err) // what is missing is told in any case
		return usageError{"no subcommand; see the list above"}
	}
	switch args[0] {
	case "help", "--help", "-h":
		return help(io.out, args[1:])
	case "--version":
		args = []string{"version"}
	}
	c, err := find(args[0])
	if err != nil {
		return err
	}
	flags, body := newFlagSet(c)
	if err := flags.Parse(args[1:]); err != nil {
		if errors.Is(err, pflag.ErrHelp) {
			return writeCommandHelp(io.out, c)
		}
		return usageError{flagMistake(c, flags, err)}
	}
	return flags.execute(ctx, io, body)
}

// mistake makes an error of a panic, which is a mistake in the code, with where it was made.
func mistake(err *error) {
	if said := recover(); said != nil {
		*err = fmt.Errorf("a mistake of the program's own, please report it: %v\n%s", said, debug.Stack())
	}
}

// find returns the subcommand of a name.
func find(name string) (command, error) {
	var names []string
	for _, c := range commands() {
		if c.name == name {
			return c, nil
		}
		names = append(names, c.name)
	}
	text := fmt.Sprintf("unknown subcommand %q; accepted: %s", name, strings.Join(names, ", "))
	if near := spelling.Nearest(name, names); near != "" {
		text += fmt.Sprintf(" (did you mean %q?)", near)
	}
	return command{}, usageError{text}
}

// flagMistake adds the nearest flag and the way to the help.
func flagMistake(c command, flags *flagSet, err error) string {
	text := c.name + ": " + err.Error()
	var missing *pflag.NotExistError
	if errors.As(err, &missing) {
		var names []string
		flags.VisitAll(func(f *pflag.Flag) { names = append(names, f.Name) })
		if near := spelling.Nearest(missing.GetSpecifiedName(), names); near != "" {
			text += fmt.Sprintf(" (did you mean --%s?)", near)
		}
	}
	return text + fmt.Sprintf("; see lodegrid help %s", c.name)
}

package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"runtime/debug"
	"strings"

	"github.com/spf13/pflag"

	"lodegrid/field/quantity/spelling"
)

// command is one subcommand.
type command struct {
	name  string
	reads reading
	short string // one line
	long  string // what it computes, for its own help
	// setup declares flags and returns what runs once they are parsed.
	setup func(f *flagSet) body
}

// args is what may follow the name.
func (c command) args() string {
	if c.reads == nothing {
		return ""
	}
	return " [DESIGN]"
}

// commands lists the subcommands in the order of the help.
func commands() []command {
	return []command{
		reportCommand(), coilCommand(), crosstalkCommand(), heatCommand(), supplyCommand(),
		filmCommand(), framesCommand(), playCommand(), webCommand(), designCommand(),
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

func dispatch(ctx context.Context, args []string, io streams) error {
	if len(args) == 0 {
		writeHelp(io.err)
		return usageError{"no subcommand; see the list above"}
	}
	switch args[0] {
	case "help", "--help", "-h":
		if len(args) > 1 {
			c, err := find(args[1])
			if err != nil {
				return err
			}
			writeCommandHelp(io.out, c)
			return nil
		}
		writeHelp(io.out)
		return nil
	case "version", "--version":
		fmt.Fprintln(io.out, version())
		return nil
	case "licences":
		if len(args) > 1 {
			return usageError{fmt.Sprintf("licences takes nothing (have %s)", args[1])}
		}
		_, err := io.out.Write(licences)
		return err
	}
	c, err := find(args[0])
	if err != nil {
		return err
	}
	flags, body := newFlagSet(c)
	if err := flags.Parse(args[1:]); err != nil {
		if errors.Is(err, pflag.ErrHelp) {
			writeCommandHelp(io.out, c)
			return nil
		}
		return usageError{flagMistake(c, flags, err)}
	}
	return flags.execute(ctx, io, body)
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

func writeHelp(w io.Writer) {
	fmt.Fprint(w, `lodegrid computes a magnetic pixel display before its boards are paid for.

  lodegrid SUBCOMMAND [DESIGN] [flags]

Without DESIGN, a TOML file, it takes the built-in demo: a tide sign for a harbour
café.

Subcommands:
`)
	for _, c := range commands() {
		fmt.Fprintf(w, "  %-10s %s\n", c.name, c.short)
	}
	fmt.Fprint(w, `  help       this list, or the help of one subcommand
  version    the program's version
  licences   the licences of everything linked into the program

Exit codes: 0 fine; 1 failure; 2 wrong usage; 3 design or scene file invalid;
4 done, but the design breaks a limit; 130 interrupted.
`)
}

func writeCommandHelp(w io.Writer, c command) {
	flags, _ := newFlagSet(c)
	fmt.Fprintf(w, "lodegrid %s%s [flags]\n\n%s\n\nFlags:\n%s", c.name, c.args(), c.long, flags.FlagUsages())
}

// version is the module version and, when known, the revision it was built from.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "lodegrid (unknown version)"
	}
	text := "lodegrid " + info.Main.Version
	for _, s := range info.Settings {
		if s.Key == "vcs.revision" {
			text += " " + s.Value
		}
	}
	return text + " " + info.GoVersion
}

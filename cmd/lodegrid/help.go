package main

import (
	"errors"
	"fmt"
	"io"
)

// help writes the help of a subcommand or on a topic, the list of both without a name.
func help(w io.Writer, args []string) error {
	switch len(args) {
	case 0:
		return writeHelp(w)
	case 1:
	default:
		return usageError{fmt.Sprintf("help takes one subcommand or topic, have %d", len(args))}
	}
	for _, t := range topics() {
		if t.name == args[0] {
			return t.write(w)
		}
	}
	c, err := find(args[0])
	if err != nil {
		return err
	}
	return writeCommandHelp(w, c)
}

func writeHelp(w io.Writer) error {
	_, err := fmt.Fprint(w, `lodegrid computes a magnetic pixel display before its boards are paid for.

  lodegrid SUBCOMMAND [DESIGN] [flags]

Without DESIGN, a TOML file, it takes the built-in demo: a tide sign for a harbour
café.

Subcommands:
`)
	for _, c := range commands() {
		fmt.Fprintf(w, "  %-10s %s\n", c.name, c.short)
	}
	fmt.Fprintf(w, "  %-10s %s\n\nlodegrid help also tells of:\n", "help", "this list, or the help of one subcommand")
	for _, t := range topics() {
		fmt.Fprintf(w, "  %-10s %s\n", t.name, t.short)
	}
	fmt.Fprint(w, "\nExit codes:\n")
	return errors.Join(err, writeExitCodes(w))
}

// helpColumns is where the help of flags is broken.
const helpColumns = 80

func writeCommandHelp(w io.Writer, c command) error {
	flags, _ := newFlagSet(c)
	text := fmt.Sprintf("lodegrid %s%s", c.name, c.args())
	if flags.HasFlags() {
		text += " [flags]\n\n" + c.long + "\n\nFlags:\n" + flags.FlagUsagesWrapped(helpColumns)
	} else {
		text += "\n\n" + c.long + "\n"
	}
	_, err := io.WriteString(w, text)
	return err
}

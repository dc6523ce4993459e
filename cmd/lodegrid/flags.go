package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/pflag"

	"lodegrid/field/quantity"
	"lodegrid/field/quantity/spelling"
	"lodegrid/render/output"
)

// flagSet is the flags of a subcommand, and the plan of the files they name.
type flagSet struct {
	*pflag.FlagSet
	reads   reading
	words   []string
	plan    *output.Plan
	changes []string
	bench   string // file of readings
	scene   sceneFlags
	targets []*output.Target
	printed *documentFlags // nil of a subcommand that prints none
	checks  []func() error
	columns int // of the terminal that results go to, 0 of none
}

// reading is what a subcommand is given to read.
type reading int

const (
	nothing reading = iota
	oneDesign
	designAndReadings
	designAndScene
	designAndPictures // the scene as it is wanted, never planned
	manyDesigns       // each with its scene
)

// newFlagSet declares the flags that come from what a subcommand reads.
func newFlagSet(c command) (*flagSet, body) {
	f := &flagSet{FlagSet: pflag.NewFlagSet(c.name, pflag.ContinueOnError), reads: c.reads, words: c.words, plan: &output.Plan{}}
	f.SortFlags = false
	f.Usage = func() {}
	b := c.setup(f)
	if c.reads >= designAndScene {
		f.scene.declare(f)
	}
	if c.reads >= oneDesign {
		f.StringArrayVar(&f.changes, "set", nil, `change a key of the design, e.g. --set drive.max_duty="10 %" (may be repeated)`)
	}
	if len(f.targets) > 0 {
		f.BoolVar(&f.plan.Force, "force", false, "replace files that lodegrid did not write; what is read is never replaced")
	}
	return f, b
}

// file declares a flag that names a file to write.
func (f *flagSet) file(name, short, value, usage string, k output.Kind) *output.Target {
	t := f.plan.Target(name, k)
	f.StringVarP(&t.Path, name, short, value, usage)
	f.targets = append(f.targets, t)
	return t
}

// chart declares a flag that names a file for a chart.
func (f *flagSet) chart(name, usage string) *output.Target {
	return f.file(name, "", "", "file for a chart of "+usage+", .svg or .png", output.Kind{Endings: []string{".svg", ".png"}})
}

// picture declares a flag that names a PNG file.
func (f *flagSet) picture(name, usage string) *output.Target {
	return f.file(name, "", "", "PNG file for "+usage, output.Kind{Endings: []string{".png"}})
}

// check has something looked at between the parsing of the flags and the reading of files.
func (f *flagSet) check(c func() error) { f.checks = append(f.checks, c) }

// checkAll refuses what can be told from the command line alone.
func (f *flagSet) checkAll() error {
	for _, c := range f.checks {
		if err := c(); err != nil {
			return err
		}
	}
	for _, t := range f.targets {
		if !t.Asked() && f.Changed(t.Flag) && f.Lookup(t.Flag).Value.String() == "" {
			return usageError{fmt.Sprintf("--%s: empty; want the name of a file", t.Flag)}
		}
	}
	return f.plan.CheckNames()
}

// quantity declares a flag that takes a number with its unit; its default stands in value.
func (f *flagSet) quantity(value *float64, name string, dim quantity.Dimension, usage string) {
	q := quantity.Flag{Dim: dim, Value: value}
	f.TextVar(&q, name, q, usage)
}

// choice is a flag that takes one of several words.
type choice struct {
	value    *string
	accepted []string
}

// choice declares such a flag; its default may be none of them.
func (f *flagSet) choice(value *string, name, preset, usage string, accepted []string) {
	*value = preset
	f.Var(choice{value, accepted}, name, usage+": "+strings.Join(accepted, ", "))
}

func (c choice) String() string { return *c.value }
func (c choice) Type() string   { return "word" }

func (c choice) Set(text string) error {
	if !slices.Contains(c.accepted, text) {
		hint := ""
		if near := spelling.Nearest(text, c.accepted); near != "" {
			hint = fmt.Sprintf(" (did you mean %q?)", near)
		}
		return fmt.Errorf("accepted: %s%s", strings.Join(c.accepted, ", "), hint)
	}
	*c.value = text
	return nil
}

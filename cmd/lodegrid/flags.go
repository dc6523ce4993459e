package main

import (
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"lodegrid/field/quantity"
	"lodegrid/field/quantity/spelling"
	"lodegrid/render/order"
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
	silent  bool           // no bar tells of the work
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

// folder declares the flag of a folder to write.
func (f *flagSet) folder(value, usage string, k output.Kind) *output.Target {
	t := f.file("out", "o", value, usage, k)
	f.check(func() error {
		if t.Path == "-" || t.Path == os.DevNull {
			return usageError{fmt.Sprintf("--out %s: a folder is needed", t.Path)}
		}
		return nil
	})
	return t
}

// writeAll fills a folder.
func writeAll(folder *output.Target, files []order.File) (err error) {
	for _, file := range files {
		err = errors.Join(err, folder.WriteFile(file.Name, file.Write))
	}
	return err
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

// yours declares a flag that names a file which is the user's own work once it is written.
func (f *flagSet) yours(name, short, usage string) *output.Target {
	return f.file(name, short, "", usage, output.Kind{Yours: true})
}

// number declares a flag that takes a number from least to most; less than least is no bound.
func number[N int | float64 | time.Duration](f *flagSet, value *N, name string, preset, least, most N, usage string) *N {
	span := fmt.Sprintf("%v…%v", least, most)
	if most < least {
		span = fmt.Sprintf("%v or more", least)
	}
	switch v := any(value).(type) {
	case *int:
		f.IntVar(v, name, any(preset).(int), usage+", "+span)
	case *float64:
		f.Float64Var(v, name, any(preset).(float64), usage+", "+span)
	case *time.Duration:
		f.DurationVar(v, name, any(preset).(time.Duration), usage)
	}
	f.check(func() error {
		if *value >= least && (most < least || *value <= most) { // no NaN is
			return nil
		}
		return usageError{fmt.Sprintf("--%s %v: %s is possible", name, *value, span)}
	})
	return value
}

// quantity declares a flag that takes a number with its unit, from 0 to most, of which 0 is no
// bound; its default stands in value.
func (f *flagSet) quantity(value *float64, name string, dim quantity.Dimension, most float64, usage string) {
	q := quantity.Flag{Dim: dim, Value: value}
	f.TextVar(&q, name, q, usage)
	f.check(func() error {
		if most == 0 || *value >= 0 && *value <= most {
			return nil
		}
		return usageError{fmt.Sprintf("--%s %s: %s to %s is possible", name, quantity.Format(*value, dim), quantity.Format(0, dim), quantity.Format(most, dim))}
	})
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

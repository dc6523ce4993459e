package main

import (
	"github.com/spf13/pflag"

	"lodegrid/array/design"
)

// changeFlags change single keys of a design from the command line.
type changeFlags struct{ list []string }

func (f *changeFlags) declare(flags *pflag.FlagSet) {
	flags.StringArrayVar(&f.list, "set", nil, `change a key of the design, e.g. --set drive.max_duty="10 %" (may be repeated)`)
}

func (f *changeFlags) apply(d design.Design) (design.Design, error) {
	if len(f.list) == 0 {
		return d, nil
	}
	var changes []design.Change
	for _, text := range f.list {
		c, err := design.ParseChange(text)
		if err != nil {
			return d, err
		}
		changes = append(changes, c)
	}
	return d.With(changes...)
}

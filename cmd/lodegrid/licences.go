package main

import (
	"context"
	_ "embed"
)

// licences is the notice that goes with every copy of the program: the modules linked
// into it and the texts their licences ask to pass on.
//
//go:generate go test -run ^TestLicences$ -regen .
//go:embed licences.txt
var licences []byte

var licencesCommand = command{
	name: "licences", short: "the licences of everything linked into the program",
	long: "Prints the licences of everything linked into the program; whoever passes it on passes these on with it.",
	setup: func(*flagSet) body {
		return func(_ context.Context, j *job) error {
			_, err := j.out.Write(licences)
			return err
		}
	},
}

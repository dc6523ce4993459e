package main

import (
	"context"
	"fmt"
	"runtime/debug"
)

var versionCommand = command{
	name: "version", short: "the program's version", long: "Prints the program's version and, when known, the revision it was built from.",
	setup: func(*flagSet) body {
		return func(_ context.Context, j *job) error {
			_, err := fmt.Fprintln(j.out, version())
			return err
		}
	},
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

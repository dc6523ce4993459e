package main

import _ "embed"

// licences is the notice that goes with every copy of the program: the modules linked
// into it and the texts their licences ask to pass on.
//
//go:generate go test -run ^TestLicences$ -regen .
//go:embed licences.txt
var licences []byte

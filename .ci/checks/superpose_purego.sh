#!/usr/bin/env bash
# array/lattice without its vector loops, as every processor but amd64 runs it, and
# the same files vetted for two of those.
set -euo pipefail
go test -tags purego ./array/lattice
GOOS=linux GOARCH=arm64 go vet ./array/lattice
GOOS=js GOARCH=wasm go vet ./array/lattice

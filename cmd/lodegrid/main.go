//go:build !js

// Command lodegrid computes a magnetic pixel display before its boards are paid
// for: the coil, the field, crosstalk, heat, supply and the animation.
package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := run(ctx, os.Args[1:], standardStreams())
	stop()
	os.Exit(code)
}

//go:build !js

// Command lodegrid computes a magnetic pixel display before its boards are paid
// for: the coil, the field, crosstalk, heat, supply and the animation.
package main

import (
	"context"
	"fmt"
	"os"
	"os/signal"
	"syscall"
	"time"

	"lodegrid/render/output"
)

func main() {
	ctx, stop := interruptible()
	code := run(ctx, os.Args[1:], standardStreams())
	stop()
	os.Exit(code)
}

// interruptible returns a context that the first Ctrl-C or SIGTERM ends. Work that does
// not stop then is left: the temporary files are removed and the process ends. A second
// signal kills at once.
func interruptible() (context.Context, func()) {
	ctx, cancel := context.WithCancel(context.Background())
	signals := make(chan os.Signal, 1)
	signal.Notify(signals, os.Interrupt, syscall.SIGTERM)
	go func() {
		<-signals
		signal.Reset(os.Interrupt, syscall.SIGTERM)
		cancel()
		time.Sleep(patience)
		output.Abandon()
		fmt.Fprintln(os.Stderr, "lodegrid: interrupted")
		os.Exit(exitInterrupted)
	}()
	return ctx, cancel
}

//go:build unix

package main

import (
	"errors"
	"os"
	"os/signal"

	"golang.org/x/sys/unix"
)

// preparePipes has a pipe whose reader is gone give an error, where it would end the
// process without a word, and gives one for a standard output that was closed.
//
// A closed one has to be guessed: before main, Go puts the null device in the place of a
// closed standard stream, open for reading and writing (runtime/fds_unix.go). Shells open
// it for writing alone. A program that hands it on open for both is told what to do.
func preparePipes() error {
	signal.Notify(make(chan os.Signal, 1), unix.SIGPIPE)
	flags, err := unix.FcntlInt(os.Stdout.Fd(), unix.F_GETFL, 0)
	if err != nil {
		return err
	}
	out, err := os.Stdout.Stat()
	if err != nil {
		return err
	}
	null, err := os.Stat(os.DevNull)
	if err == nil && os.SameFile(out, null) && flags&unix.O_ACCMODE == unix.O_RDWR {
		return errors.New("it is closed (or " + os.DevNull + " opened for reading and writing, which looks the same: open it for writing alone, or name a file with --out)")
	}
	return nil
}

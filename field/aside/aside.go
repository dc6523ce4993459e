// Package aside runs work on goroutines of its own. A panic there, which would end the program,
// comes back to the one that waits for the work, where a command or a window catches it.
package aside

import (
	"errors"
	"fmt"
	"runtime"
	"runtime/debug"
	"sync/atomic"

	"golang.org/x/sync/errgroup"
)

// panicked is what a goroutine panicked with, and where.
type panicked struct {
	said  any
	stack []byte
}

func (p *panicked) Error() string { return fmt.Sprintf("%v\n%s", p.said, p.stack) }

// Catch calls do and returns its error, or its panic for Raise.
func Catch(do func() error) (err error) {
	defer func() {
		if said := recover(); said != nil {
			err = &panicked{said, debug.Stack()}
		}
	}()
	return do()
}

// Raise returns an error of Catch's, or panics where it is, or wraps, a panic.
func Raise(err error) error {
	if p := (*panicked)(nil); errors.As(err, &p) {
		panic(p)
	}
	return err
}

// Each calls do for 0 … n−1, as many at once as there are processors, none after one has failed, and
// returns the first error. It panics where one of them does.
func Each(n int, do func(k int) error) error {
	var group errgroup.Group
	var failed atomic.Bool
	group.SetLimit(runtime.GOMAXPROCS(0))
	for k := range n {
		group.Go(func() error {
			if failed.Load() {
				return nil
			}
			err := Catch(func() error { return do(k) })
			if err != nil {
				failed.Store(true)
			}
			return err
		})
	}
	return Raise(group.Wait())
}

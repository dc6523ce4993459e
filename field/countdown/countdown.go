// Package countdown has a context that is cancelled when it has been looked at a number
// of times: with it a test cuts long work short in its middle, whatever the machine, and
// sees how much of it was done.
package countdown

import (
	"context"
	"errors"
	"sync/atomic"
	"testing"
)

// Context is a context that only its Err ends. Done never closes, so it is of use for
// work that asks Err.
type Context struct {
	context.Context
	left, looks atomic.Int64
}

// After returns a context whose Err is nil the first n times and context.Canceled from
// then on.
func After(n int) *Context {
	c := &Context{Context: context.Background()}
	c.left.Store(int64(n))
	return c
}

// Err implements context.Context.
func (c *Context) Err() error {
	c.looks.Add(1)
	if c.left.Add(-1) < 0 {
		return context.Canceled
	}
	return nil
}

// Looks is how often Err has been called.
func (c *Context) Looks() int { return int(c.looks.Load()) }

// Stops runs long work that is cancelled after 0, 1, 5, 25, … looks at its context, up to
// most: each time its error must be context.Canceled, and the work must not go on to look
// more than a few times.
func Stops(t testing.TB, most int, work func(ctx context.Context) error) {
	t.Helper()
	for n := 0; n <= most; n = max(5*n, n+1) {
		ctx := After(n)
		if err := work(ctx); !errors.Is(err, context.Canceled) {
			t.Fatalf("cancelled after %d looks of %d: %v", n, ctx.Looks(), err)
		}
		if after := ctx.Looks() - n; after > 8 {
			t.Errorf("cancelled after %d looks, it looked %d times more", n, after)
		}
	}
}

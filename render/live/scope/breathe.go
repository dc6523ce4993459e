package scope

import (
	"context"
	"runtime"
	"time"
)

// Breathe is a context for work beside the window. A browser has one thread for all: there,
// whoever looks whether to end gives way to it for a moment, once in a while. Contexts made
// from it do not. It is for one goroutine.
func Breathe(ctx context.Context) context.Context {
	if runtime.GOOS != "js" {
		return ctx
	}
	return &breathing{ctx, time.Now()}
}

// breath is how long work goes on before it gives way.
const breath = 8 * time.Millisecond

type breathing struct {
	context.Context
	last time.Time
}

// Err implements context.Context.
func (b *breathing) Err() error {
	b.pause()
	return b.Context.Err()
}

// Done implements context.Context.
func (b *breathing) Done() <-chan struct{} {
	b.pause()
	return b.Context.Done()
}

// pause lets the browser do what is due, such as a frame.
func (b *breathing) pause() {
	if time.Since(b.last) > breath {
		time.Sleep(time.Millisecond)
		b.last = time.Now()
	}
}
